// What a quantity is measured in: base unit, units as typed, and how it is said. The twin of the
// table in fieldlog/calc/units.py.

import { fraction, ONE, whole, ZERO } from "./fraction.js";

const sized = (sizes) =>
  new Map(Object.entries(sizes).map(([name, size]) => [name, [whole(size), ZERO]]));
const each = (names, unit) => names.map((name) => [name, unit]);

const POUND = 453_592_370;
const MILLION = 10 ** 6;
const ANGLES = sized({ deg: MILLION, degree: MILLION, degrees: MILLION, "°": MILLION });
const TEMPERATURES = new Map([
  ...each(["f", "°f", "deg f", "degf"], [fraction(5n, 9n), fraction(-160n, 9n)]),
  ...each(["c", "°c", "deg c", "degc"], [ONE, ZERO]),
]);
const DEGREES = new Map([...TEMPERATURES].map(([name, [size]]) => [name, [size, ZERO]]));
export const PERCENTS = sized({ percent: 1, pct: 1, "%": 1 });
const TIMES = sized({
  s: 1, sec: 1, min: 60, minutes: 60, h: 3600, hour: 3600, hours: 3600, hr: 3600,
  day: 86_400, days: 86_400, d: 86_400,
});
const WEIGHTS = new Map([
  ...sized({ lb: POUND, lbs: POUND, g: MILLION, kg: 10 ** 9 }),
  ["oz", [fraction(BigInt(POUND), 16n), ZERO]],
]);
const NONE = new Map();

function measure(name, unit, units, bare, shown, metric, places, example, more = {}) {
  return { name, unit, units, bare, shown, metric, places, example, whole: false, least: null, ...more };
}

/** Every measure by name. `bare` is the unit where none is typed, null where one has to be. */
export const MEASURES = Object.fromEntries(
  [
    measure("length", "nm", NONE, "in", "in", "mm", 0, "7 1/2 in"),
    measure("angle", "microdegree", ANGLES, "deg", "deg", "deg", 2, "40 deg"),
    measure("slope", "", NONE, null, "%", "%", 2, "1:48 or 2 %"),
    measure("number", "", NONE, "", "", "", 3, "0.5"),
    measure("count", "", NONE, "", "", "", 0, "4", { whole: true, least: ZERO }),
    measure("percent", "%", PERCENTS, "%", "%", "%", 2, "45 %"),
    measure("temperature", "degC", TEMPERATURES, null, "f", "c", 1, "70 F"),
    measure("degrees", "K", DEGREES, null, "f", "c", 1, "5 F"),
    measure("time", "s", TIMES, null, "h", "h", 2, "48 h", { least: ZERO }),
    measure("weight", "ug", WEIGHTS, null, "lb", "kg", 1, "50 lb", { least: ZERO }),
    measure("date", "s", NONE, null, "", "", 0, "2026-03-04 or 3/4/2026"),
  ].map((one) => [one.name, one]),
);

/** What a difference of two of a measure is said in: "degrees" for "temperature". */
export const apart = (name) => ({ temperature: "degrees", date: "time" })[name] ?? name;
