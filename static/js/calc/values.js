// Values of expressions: exact numbers that remember their readings, gaps, truths, texts, lists.
// The twin of fieldlog/calc/values.py, which says what each rule is for.
//
//   number {t, value, sens, may, worst}   value a fraction or null (a gap), sens a Map by reading
//   truth {t, value}   text {t, value}   AWAY   many {t, items}   grid {t, rows, spacing, ...}

import { add, compare, divide, inverse, isZero, MINUS_ONE, multiply, negate } from "./fraction.js";
import { ONE, parseFraction, subtract, whole, ZERO } from "./fraction.js";
import { remembered } from "./remembered.js";
import { combined, NOTHING, timesEach, together } from "./sensitivity.js";

export const RISE = 1;
export const FALL = 2;

export const number = (value, sens = NOTHING, may = 0, worst = null) => ({ t: "n", value, sens, may, worst });
export const text = (value) => ({ t: "t", value });
export const many = (items) => ({ t: "many", items });

export const GAP = number(null);
export const AWAY = { t: "away" };
const TRUTHS = new Map([true, false, null].map((value) => [value, { t: "b", value }]));
export const truth = (value) => TRUTHS.get(value);
export const UNKNOWN = truth(null);

/** The key of one reading: field, index (row in a grid), column (-1 outside a grid). */
export const readingKey = (field, index, column = -1) => `${field} ${index} ${column}`;
export const fieldOf = (key) => key.slice(0, key.indexOf(" "));

export const isNumber = (e) => e.t === "n";
export const numberOf = (e) => (e.t === "n" ? e : GAP);
export const truthOf = (e) => (e.t === "b" ? e : UNKNOWN);
export const exact = (value) => number(typeof value === "bigint" ? whole(value) : value);
export const isKnown = (e) => e.t === "away" || (e.value !== null && e.value !== undefined);

const constants = new Map();

/** A number of a tree, "n" or "n/d"; each is read once. */
export const constant = (written) => remembered(constants, written, () => exact(parseFraction(written)));

/** A list's elements, or the one element of a scalar. */
export function elements(value) {
  if (value.t === "grid") throw new TypeError("a grid is read by its own functions");
  return value.t === "many" ? value.items : [value];
}

/** `work` place by place: lists pair by position, scalars broadcast, a short list's tail is a gap. */
export function paired(work, ...values) {
  const lists = values.filter((v) => v.t === "many");
  if (!lists.length) return work(...values);
  const length = Math.max(...lists.map((v) => v.items.length));
  const tails = values.map((v) => (v.t === "many" ? gapLike(v.items) : v));
  const items = [];
  for (let n = 0; n < length; n += 1) items.push(work(...values.map((v, k) => v.items?.[n] ?? tails[k])));
  return many(items);
}

function gapLike(items) {
  if (items.some((e) => e.t === "b")) return UNKNOWN;
  return items.some((e) => e.t === "t") ? text(null) : GAP;
}

/** The marks of -x from those of x. */
const turned = (may) => (may & FALL ? RISE : 0) | (may & RISE ? FALL : 0);

/** `k` times a number. */
export function scaled(a, k) {
  if (a.value === null) return GAP;
  const may = k.n > 0n ? a.may : k.n < 0n ? turned(a.may) : 0;
  return number(multiply(k, a.value), timesEach(a.sens, k), may);
}

export function plus(a, b) {
  if (a.value === null || b.value === null) return GAP;
  return number(add(a.value, b.value), combined(a.sens, ONE, b.sens, ONE), a.may | b.may);
}

export function minus(a, b) {
  if (a.value === null || b.value === null) return GAP;
  const sens = combined(a.sens, ONE, b.sens, MINUS_ONE);
  return number(subtract(a.value, b.value), sens, a.may | turned(b.may));
}

/** The sum of a list; a gap in it makes a gap. */
export function summed(list) {
  if (list.some((n) => n.value === null)) return GAP;
  const may = list.reduce((marks, n) => marks | n.may, 0);
  return number(list.reduce((sum, n) => add(sum, n.value), ZERO), together(list.map((n) => n.sens)), may);
}

/** Two marked factors, or a marked one by a measured one, are not measured. */
export function times(a, b) {
  if (a.value === null || b.value === null) return GAP;
  if (a.may && !b.may && !b.sens.size) return scaled(a, b.value);
  if (b.may && !a.may && !a.sens.size) return scaled(b, a.value);
  if (a.may || b.may) return GAP;
  return number(multiply(a.value, b.value), combined(a.sens, b.value, b.sens, a.value));
}

/** Division by zero is not measured. */
export function over(a, b) {
  if (a.value === null || b.value === null || isZero(b.value) || b.may) return GAP;
  if (a.may) return b.sens.size ? GAP : scaled(a, inverse(b.value));
  const quotient = divide(a.value, b.value);
  const byB = negate(divide(quotient, b.value));
  return number(quotient, combined(a.sens, inverse(b.value), b.sens, byB));
}

/** By the plain values; not known where a gap could change it. */
export function less(a, b, orEqual) {
  if (a.value === null || b.value === null) return UNKNOWN;
  const side = compare(a.value, b.value);
  const holds = orEqual ? side <= 0 : side < 0;
  const may = a.may | turned(b.may);
  if ((holds && may & RISE) || (!holds && may & FALL)) return UNKNOWN;
  return truth(holds);
}

export function both(a, b) {
  if (a.value === false || b.value === false) return truth(false);
  return a.value && b.value ? truth(true) : UNKNOWN;
}

export const opposite = (a) => (a.value === null ? UNKNOWN : truth(!a.value));
export const either = (a, b) => opposite(both(opposite(a), opposite(b)));

/** Thrown where something hangs on what only the server can compute; always caught on the way, so
 * it is no Error, whose stack takes time. `what` names it. */
export class WhenSent {
  constructor(what) {
    this.what = what;
  }
}

/** `work` done; where it waits for the server `later` is told for what, and `otherwise` given. */
export function orLater(work, later, otherwise) {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof WhenSent)) throw error;
    later(error.what);
    return otherwise;
  }
}
