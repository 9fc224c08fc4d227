// Which tool of the house would give a clear verdict where this one is too close to call.

import { compare } from "./fraction.js";
import { fieldOf } from "./values.js";
import { tooClose, variance } from "./uncertainty.js";

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
