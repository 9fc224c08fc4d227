// How far off a number may be by the tools that read it, exact (JCGM 100), when that is too near a
// limit to call (JCGM 106, k = 2), and which tool would settle it. The twin of calc/uncertainty.py.

import { add, compare, multiply, ONE, squared, ZERO } from "./fraction.js";
import { fieldOf } from "./values.js";

/** How many times its width on a short reading a tool's own error is on this one. */
const timesOn = ({ longer }, read) =>
  (read && longer.filter(([over]) => compare(read, over) > 0).at(-1)?.[1]) || ONE;

/** u squared of sensitivities, not in lowest terms: no one asks for those. `readings` knows what was
 * `read` and by which tool, `errors` {each, shared, both, longer} by tool; `only` tries a tool. */
export function variance(sens, readings, errors, only) {
  const toolOf = (key) => only ?? readings.tools.get(key);
  if (sens.size === 1) { // most places of most lists: one reading as it is
    const [[key, c]] = sens;
    const error = errors.get(toolOf(key));
    if (timesOn(error, readings.read.get(key)) === ONE) return c === ONE ? error.both : product(squared(c), error.both);
  }
  const byTool = new Map();
  sens.forEach((c, key) => {
    const tool = toolOf(key);
    const [squares, sum] = byTool.get(tool) ?? [ZERO, ZERO];
    const times = timesOn(errors.get(tool), readings.read.get(key));
    byTool.set(tool, [add(squares, squared(c)), add(sum, times === ONE ? c : multiply(c, times))]);
  });
  let found = ZERO;
  byTool.forEach(([squares, sum], tool) => {
    const { each, shared } = errors.get(tool);
    found = mapsJoined(found, mapsJoined(product(squares, each), product(squared(sum), shared)));
  });
  return found;
}

const product = (a, b) => ({ n: a.n * b.n, d: a.d * b.d });
const mapsJoined = (a, b) =>
  a.d === b.d ? { n: a.n + b.n, d: a.d } : { n: a.n * b.d + b.n * a.d, d: a.d * b.d };

/** Whether the limit lies within 2u of the value: margin squared < 4 u squared, no root. */
export const tooClose = (margin, uSquared) =>
  margin.n * margin.n * uSquared.d < 4n * uSquared.n * margin.d * margin.d;

/** A gauge says something only where the limit is its own size. */
export const gaugeFits = (rule) =>
  rule.gauge !== null && rule.bound !== null && compare(rule.gauge_nm, rule.bound) === 0;

/** The least bothersome tool's id, or null; `judge.tools` begin with the least. */
export function settledBy(judge, rule, value, margin) {
  const names = new Set([...value.sens.keys()].map(fieldOf));
  const fields = [...names].map((name) => judge.scope.sheet.field.get(name));
  const gauge = gaugeFits(rule) ? rule.gauge.instrument : null;
  const settles = ({ id, kind }) =>
    kind !== "yes_no" &&
    fields.every((f) => f?.tools.includes(id)) &&
    !tooClose(margin, variance(value.sens, judge.scope.readings, judge.library.errors, id));
  return judge.tools.find((tool) => tool.id === gauge || settles(tool))?.id ?? null;
}
