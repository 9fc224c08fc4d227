// How far off a number may be by the tools that read it, exact (JCGM 100), when that is too near a
// limit to call (JCGM 106, k = 2), and which tool would settle it. The twin of calc/uncertainty.py.

import { add, compare, multiply, whole, ZERO } from "./fraction.js";
import { fieldOf } from "./values.js";

const FOUR = whole(4n);

/** u squared of sensitivities; `toolOf` gives a reading's tool, `errors` {each, shared} by tool. */
export function variance(sens, toolOf, errors) {
  const [squares, sums] = [new Map(), new Map()];
  if (sens.size === 1) { // most places of most lists: one reading as it is
    const [[key, c]] = sens;
    const error = errors.get(toolOf(key));
    return multiply(multiply(c, c), add(error.each, error.shared));
  }
  for (const [key, c] of sens) {
    const tool = toolOf(key);
    squares.set(tool, add(squares.get(tool) ?? ZERO, multiply(c, c)));
    sums.set(tool, add(sums.get(tool) ?? ZERO, c));
  }
  let found = ZERO;
  for (const [tool, square] of squares) {
    const error = errors.get(tool);
    const sum = sums.get(tool);
    const shared = multiply(multiply(sum, sum), error.shared);
    found = add(found, add(multiply(square, error.each), shared));
  }
  return found;
}

/** Whether the limit lies within 2u of the value: margin squared < 4 u squared, no root. */
export const tooClose = (margin, uSquared) =>
  compare(multiply(margin, margin), multiply(FOUR, uSquared)) < 0;

/** A gauge says something only where the limit is its own size. */
export const gaugeFits = (rule) =>
  rule.gauge !== null && rule.bound !== null && compare(rule.gauge_nm, rule.bound) === 0;

/** The least bothersome tool's id, or null. */
export function settledBy(judge, rule, value, margin) {
  const fields = new Set([...value.sens.keys()].map((key) => judge.scope.sheet.field.get(fieldOf(key))));
  const gauge = gaugeFits(rule) ? rule.gauge : null;
  const known = judge.tools.map((id) => judge.library.instruments.get(id)).filter(Boolean);
  known.sort((a, b) => a.effort - b.effort || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
  for (const tool of known) {
    if (gauge && tool.id === gauge.instrument) return tool.id;
    if ([...fields].some((f) => !f || !f.tools.includes(tool.id))) continue;
    const uSquared = variance(value.sens, () => tool.id, judge.library.errors);
    if (tool.kind !== "yes_no" && !tooClose(margin, uSquared)) return tool.id;
  }
  return null;
}
