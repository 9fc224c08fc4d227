// Earlier looks among the readings of a check, and what a derived value hung on, to be kept: the
// twin of calc/looks.py.

import { secondsOf } from "./dates.js";
import { compare, parseFraction, textOf } from "./fraction.js";
import { AWAY, exact, GAP, many, number, readingKey } from "./values.js";

const BEYOND = 1000; // earlier readings count their places from here
const EARLIER = "earlier looks";

/**
 * Put the sheet's earlier quantities, and `today`, among the readings. `earlier` is
 * {today, here, house} with looks {day, judgement}; undefined where they are not known here.
 */
export function addLooks(sheet, readings, earlier, instruments) {
  if (!sheet.earlier.length) return;
  if (!earlier) {
    const names = ["today", ...sheet.earlier.map((one) => one.name)];
    for (const name of names) readings.later.set(name, EARLIER);
    return;
  }
  readings.values.set("today", dayOf(earlier.today, GAP));
  for (const one of sheet.earlier) {
    const items = earlier[one.where].flatMap((look) => itemsOf(look, one.of, readings.tools, instruments));
    readings.values.set(one.name, many(items));
  }
}

function itemsOf(look, of, tools, instruments) {
  if (of === "day") return [dayOf(look.day, AWAY)];
  const judged = typeof look.judgement === "string" ? JSON.parse(look.judgement) : look.judgement;
  const values = judged.quantities[of]?.values ?? [{}];
  return values.map((value) => numberOfLook(value, of, tools, instruments));
}

function dayOf(written, otherwise) {
  const found = secondsOf(written);
  return found === null ? otherwise : exact(found);
}

/** A kept value, with a reading of its own for each that it hung on; those go into `tools`. */
function numberOfLook(value, of, tools, instruments) {
  const written = value.nm || value.value;
  if (!written) return AWAY;
  const sens = new Map();
  for (const one of value.from ?? [{ tool: value.tool ?? "", sensitivity: "1", times: 1 }]) {
    for (let n = 0; instruments.has(one.tool) && n < one.times; n += 1) {
      const key = readingKey(of, BEYOND + tools.size);
      tools.set(key, one.tool);
      sens.set(key, parseFraction(one.sensitivity));
    }
  }
  return number(parseFraction(written), sens);
}

/** What a derived value hangs on: its sensitivity to `times` readings of a tool. */
export function hungOn(value, tools) {
  const counts = new Map();
  for (const [key, c] of value.sens) {
    if (!tools.has(key)) continue;
    const [tool, sensitivity] = [tools.get(key), textOf(c)];
    const same = `${tool} ${sensitivity}`;
    counts.set(same, { tool, sensitivity, times: (counts.get(same)?.times ?? 0) + 1 });
  }
  const bySize = (a, b) => compare(parseFraction(a.sensitivity), parseFraction(b.sensitivity));
  return [...counts.values()].sort((a, b) => (a.tool < b.tool ? -1 : a.tool > b.tool ? 1 : bySize(a, b)));
}
