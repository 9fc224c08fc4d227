// What the named functions of expressions do, list by list and gap by gap: named.py's twin.

import { compare, fraction, stepAbove } from "./fraction.js";
import { AWAY, both, either, elements, exact, FALL, GAP, isNumber, many, minus } from "./values.js";
import { number, numberOf, paired, plus, RISE, scaled, summed, truth, truthOf, UNKNOWN } from "./values.js";

const here = (value) => elements(value).filter((e) => e.t !== "away").map(numberOf);

/** Largest (sign 1) or smallest; ties take the first; a gap leaves `may rise` / `may fall`. */
export function extreme(numbers, sign) {
  if (!numbers.length) return AWAY;
  let [best, may] = [null, 0];
  for (const n of numbers) {
    may |= n.value === null ? (sign > 0 ? RISE : FALL) : n.may;
    if (n.value !== null && (best === null || sign * compare(n.value, best.value) > 0)) best = n;
  }
  return best === null ? GAP : { ...best, may };
}

function overOrPaired(values, sign) {
  if (values.length === 1) return extreme(here(values[0]), sign);
  return paired((...row) => extreme(row.map(numberOf), sign), ...values);
}

export const largest = (...values) => overOrPaired(values, 1);
export const smallest = (...values) => overOrPaired(values, -1);

export function spread(value) {
  const [high, low] = [1, -1].map((sign) => extreme(here(value), sign));
  return isNumber(high) && isNumber(low) ? minus(high, low) : AWAY;
}

export function total(value) {
  const found = here(value);
  return found.length ? summed(found) : AWAY;
}

export function mean(value) {
  const found = here(value);
  if (!found.length) return AWAY;
  return scaled(summed(found), fraction(1n, BigInt(found.length)));
}

export function running(value) {
  let soFar = exact(0n);
  return many(elements(value).map((e) => (soFar = plus(soFar, numberOf(e)))));
}

export const joined = (a, b) => many([...elements(a), ...elements(b)]);
export const count = (value) => exact(BigInt(here(value).filter((n) => n.value !== null).length));

/** The places where the condition holds; the others are left out, not gaps. */
export const where = (condition, value) =>
  paired((c, e) => {
    const holds = truthOf(c).value;
    return holds === false ? AWAY : holds ? e : GAP;
  }, condition, value);

export const choose = (condition, a, b) =>
  paired((c, x, y) => {
    const holds = truthOf(c).value;
    return holds === null ? GAP : holds ? x : y;
  }, condition, a, b);

export const prefer = (a, b) => paired((x, y) => (numberOf(x).value !== null ? x : y), a, b);

/** The larger (or smaller) of two looks at the same thing, of which one is enough. */
const oneOfTwo = (sign) => (a, b) =>
  paired((x, y) => {
    const known = [numberOf(x), numberOf(y)].filter((n) => n.value !== null);
    return known.length ? extreme(known, sign) : GAP;
  }, a, b);

export const most = oneOfTwo(1);
export const least = oneOfTwo(-1);

const place = (isIt) => (value) => {
  const found = elements(value);
  const places = found.map((_, n) => truth(isIt(n, found.length)));
  return value.t === "many" ? many(places) : places[0];
};

export const firstPlace = place((n) => n === 0);
export const lastPlace = place((n, length) => n === length - 1);

export const known = (value) => paired((e) => truth(e.t !== "away" && (e.value ?? null) !== null), value);
export const anyOf = (value) => elements(value).map(truthOf).reduce(either, truth(false));
export const allOf = (value) => elements(value).map(truthOf).reduce(both, truth(true));

export const same = (a, b) =>
  paired((x, y) => {
    if (x.t !== "t" || y.t !== "t" || x.value === null || y.value === null) return UNKNOWN;
    return truth(x.value === y.value);
  }, a, b);

/** The worst of gaps read under edges of given lengths, for an edge of length `edge`. */
export function edgeGap(gaps, lengths, edge) {
  const [read, long] = [elements(gaps), elements(lengths)];
  const wanted = numberOf(elements(edge)[0]).value;
  const laid = read.slice(0, long.length).map((g, n) => g.t !== "away" && [numberOf(g), numberOf(long[n]).value]);
  const rows = laid.filter(Boolean);
  const sides = rows.map(([, n]) => (n === null || wanted === null ? null : compare(n, wanted)));
  const within = rows.filter((_, n) => sides[n] !== null && sides[n] <= 0).map(([g]) => g);
  const beyond = rows.filter((_, n) => sides[n] > 0).map(([g]) => g);
  // an edge of no known length is none of the wanted length; two unknowns are alike, as there
  if (rows.some(([, n], k) => sides[k] === 0 || (n === null && wanted === null))) return extreme(within, 1);
  const worst = extreme(beyond.length ? beyond : within, 1);
  if (!isNumber(worst) || worst.value === null) return GAP;
  return number(worst.value, worst.sens, worst.may | (beyond.length ? FALL : RISE));
}

/** The next multiple of `step` strictly above; a place not measured could ask for more. */
export const above = (value, step) =>
  paired((e, s) => {
    if (e.t === "away") return AWAY;
    const [of, size] = [numberOf(e), numberOf(s).value];
    if (of.value === null || size === null || of.may) return GAP;
    return exact(stepAbove(of.value, size.n / size.d));
  }, value, step);
