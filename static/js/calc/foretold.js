// What the first and the last riser will be when the floors are on, and which floor thickness
// makes each right: the sentences of calc/finished.py.

import { add, compare, floorOf, largerOf, parseFraction, smallerOf, subtract, whole } from "./fraction.js";
import { ZERO, multiply, negate } from "./fraction.js";
import { formatLength } from "./tape.js";
import { filled } from "./typed.js";
import { elements, numberOf } from "./values.js";

const SIXTEENTH = 1_587_500n;
const MILLIMETER = 1_000_000n;

/** Sentences; `after` is the scope of the finished readings. */
export function foretold(after, finishes, words, system) {
  const will = elements(after.quantity("riser")).map((e) => numberOf(e).value);
  const isFinished = after.sheet.finished.some((one) => one.field === "riser");
  if (will.length < 2 || !isFinished) return [];
  const ends = [["below", 0, "riser_first", 1n], ["above", will.length - 1, "riser_last", -1n]];
  return ends.flatMap(([place, index, key, sign]) => {
    const [one, floor] = [will[index], finishes[place]];
    if (one === null || !floor) return [];
    const says = filled(words[key], {
      n: index + 1,
      will: formatLength(one, system),
      room: floor.name,
      thickness: formatLength(parseFraction(floor.floor), system),
    });
    return [says, ...rightThickness(after, will, index, sign, floor, words, system)];
  });
}

/** The thicknesses that keep this end within the limits on one riser and on their spread. */
function rightThickness(after, will, index, sign, floor, words, system) {
  const spread = limitOf(after, "stair.riser-spread");
  const others = othersOf(will, index, spread ?? ZERO);
  if (spread === null || !others.length || compare(range(others), spread) > 0) return [];
  const most = limitOf(after, "stair.riser-height");
  const least = limitOf(after, "stair.riser-least");
  const [smallest, largest] = [others.reduce(smallerOf), others.reduce(largerOf)];
  const high = smallerOf(add(smallest, spread), most ?? add(smallest, spread));
  const low = largerOf(subtract(largest, spread), least ?? subtract(largest, spread));
  // a thicker floor below makes the first riser lower, a thicker one above the last one higher
  const bare = add(will[index], multiply(whole(sign), parseFraction(floor.floor)));
  const ends = [high, low].map((r) => multiply(whole(sign), subtract(bare, r))).sort(compare);
  const step = system === "metric" ? MILLIMETER : SIXTEENTH;
  const first = negate(ends[0]);
  const from = -floorOf(first.n, first.d * step) * step;
  const to = floorOf(ends[1].n, ends[1].d * step) * step;
  const start = from > 0n ? from : 0n;
  if (to < start) return [filled(words.no_thickness, { n: index + 1, room: floor.name })];
  const [lowText, highText] = [start, to].map((nm) => formatLength(whole(nm), system));
  return [filled(words.right_thickness, { n: index + 1, room: floor.name, low: lowText, high: highText })];
}

const range = (list) => subtract(list.reduce(largerOf), list.reduce(smallerOf));

/** The risers an end has to be like: those between, and the other end where it is right. */
function othersOf(will, index, spread) {
  const between = will.slice(1, -1).filter((value) => value !== null);
  const other = index === 0 ? will.at(-1) : will[0];
  const withIt = other === null ? between : [...between, other];
  return withIt.length && compare(range(withIt), spread) <= 0 ? withIt : between;
}

function limitOf(scope, rule) {
  const found = scope.limit(rule);
  return found.t === "n" ? found.value : null;
}
