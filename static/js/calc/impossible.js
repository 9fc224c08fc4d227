// What no such thing can be is asked about, not judged: the twin of calc/impossible.py.

import { labelOf, measureOf } from "./document.js";
import { evaluate } from "./expressions.js";
import { ReadingsRefused } from "./readings.js";
import { filled, namesOf, plain, short, strip } from "./typed.js";
import { sayMeasure } from "./units.js";
import { elements, orLater } from "./values.js";

const METRIC = /[0-9 ](?:mm|cm|m)$/;

/** Throws ReadingsRefused; `later(condition, what)` is told of what the server has to look at. */
export function refuseImpossible(scope, system, later) {
  const errors = scope.sheet.fields.map((f) => mixed(f, scope.readings, system)).filter(Boolean);
  for (const one of scope.sheet.impossible) {
    const found = orLater(() => broken(one, scope, system), (why) => later(one, why), null);
    if (found) errors.push(found);
  }
  if (errors.length) throw new ReadingsRefused(errors);
}

/** The first reading of a list that is in other units than the first one. */
function mixed(f, readings, system) {
  if (f.kind !== "length" || !f.many) return null;
  const typed = readings.typed.get(f.name) ?? [];
  const first = typed.findIndex(strip);
  if (first < 0) return null;
  const metric = isMetric(typed[first], system);
  const index = typed.findIndex((text) => isMetric(text, system) !== metric && strip(text));
  if (index < 0) return null;
  const [isIn, others] = metric ? ["inches", "millimeters"] : ["millimeters", "inches"];
  const message =
    `${f.label} ${index + 1}, ${short(typed[index])}, is in ${isIn} and ${f.label.toLowerCase()} ` +
    `${first + 1} in ${others}: mixed units in one list. Type them all in one.`;
  return { field: f.name, index, message, suggestions: [] };
}

function isMetric(text, system) {
  if (system !== "metric" && !/m/i.test(text)) return false;
  const spelled = plain(text);
  if (METRIC.test(spelled)) return true;
  return system === "metric" && /[0-9]$/.test(spelled) && !/['"]/.test(spelled);
}

function broken(one, scope, system) {
  const found = evaluate(one.tree, scope);
  const n = elements(found).findIndex((e) => e.t === "b" && e.value);
  if (n < 0) return null;
  const index = scope.sheet.field.get(one.field)?.many && found.t === "many" ? n : null;
  const count = scope.readings.typed.get(one.field)?.length ?? 0;
  const place = index === null || index < count ? index : 0;
  return { field: one.field, index: place, message: said(one.says, scope, system), suggestions: [] };
}

/** The sentence with the quantities it names. */
function said(says, scope, system) {
  return filled(says, Object.fromEntries(namesOf(says).map((name) => [name, inWords(scope, name, system)])));
}

function inWords(scope, name, system) {
  const value = scope.quantity(name);
  if (value.t !== "n" || value.value === null) return labelOf(scope.sheet, name).toLowerCase();
  return sayMeasure(measureOf(scope.sheet, name), value.value, system);
}
