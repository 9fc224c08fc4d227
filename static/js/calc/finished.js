// The same readings when the finishes are on: the twin of calc/finished.py. `finishes` is what is
// still to come by place: {below: {room, name, floor, ceiling}, ...} with nm as text.

import { fieldsBehind } from "./document.js";
import { evaluate, namesIn } from "./expressions.js";
import { add, compare, floorOf, largerOf, multiply, negate, parseFraction } from "./fraction.js";
import { smallerOf, subtract, whole, ZERO } from "./fraction.js";
import { formatLength } from "./tape.js";
import { filled } from "./typed.js";
import { elements, exact, GAP, numberOf } from "./values.js";

const FINISH_NAMES = [
  "floor_below", "floor_above", "floor_here", "floor_there", "ceiling_below", "ceiling_here",
];
const LAYERS = "layers of the rooms";

/** The rooms whose layers a sheet hangs on: below, above, here, there. */
function placesOf(sheet) {
  const names = sheet.finished.flatMap((one) => [...namesIn(one.tree)]);
  const of = sheet.from_layers.map((one) => one.of);
  const wanted = [...names.filter((name) => FINISH_NAMES.includes(name)), ...of];
  return [...new Set(wanted.map((name) => name.split("_")[1]))];
}

/** Put what the sheet reads of the layers among the readings; undefined is not known here. */
export function addLayers(sheet, readings, finishes) {
  for (const one of sheet.from_layers) {
    if (finishes === undefined) readings.later.set(one.name, LAYERS);
    else readings.values.set(one.name, stillToCome(one.of, finishes));
  }
}

function stillToCome(name, finishes) {
  const [what, place] = name.split("_");
  const found = finishes[place];
  return found ? exact(parseFraction(what === "floor" ? found.floor : found.ceiling)) : GAP;
}

/** The readings as they will be; null where the layers of no room that matters are known. */
export function finishedReadings(scope, finishes) {
  const { sheet, readings } = scope;
  if (!sheet.finished.length || !placesOf(sheet).some((place) => finishes[place])) return null;
  const where = scope.seeing((name) =>
    FINISH_NAMES.includes(name) ? stillToCome(name, finishes) : scope.quantity(name),
  );
  const values = new Map(readings.values);
  for (const one of sheet.finished) values.set(one.field, evaluate(one.tree, where));
  return { ...readings, values };
}

/** The limits on what the finishes change, but for what was not measured in the first place. */
export function changedByFinishes(sheet, rough, finished) {
  const fields = new Set(sheet.finished.map((one) => one.field));
  const key = (r) => `${r.rule.id} ${r.index}`;
  const blank = new Set(rough.filter((r) => r.verdict === "not_measured").map(key));
  const behind = (quantity) => {
    const derived = sheet.derivedOf.get(quantity);
    return derived ? fieldsBehind(sheet, derived.tree) : [quantity];
  };
  const changes = (r) => behind(r.rule.quantity).some((name) => fields.has(name));
  return finished.filter((r) => changes(r) && !(r.verdict === "not_measured" && blank.has(key(r))));
}

/** What a judgement keeps of the layers it was judged with. */
export function layersJson(told, finishes) {
  const places = placesOf(told.sheet);
  const length = (nm) => ({ text: told.speaker.length(parseFraction(nm)), nm });
  return Object.entries(finishes)
    .filter(([place]) => places.includes(place))
    .map(([place, { room, name, floor, ceiling }]) => ({
      place, room, name, floor: length(floor), ceiling: length(ceiling),
    }));
}

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
  if (compare(high, low) < 0 || to < start) return [filled(words.no_thickness, { n: index + 1, room: floor.name })];
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
