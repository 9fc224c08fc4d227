// Sensitivities: how a number hangs on its readings, a Map of fractions by reading, none of them
// zero. One that was made is never changed.

import { add, isZero, MINUS_ONE, multiply, negate, ONE } from "./fraction.js";

export const NOTHING = new Map();

/** `k` times each. */
export function timesEach(sens, k) {
  if (k === ONE || !sens.size) return sens;
  const out = new Map();
  if (!isZero(k)) sens.forEach((c, key) => out.set(key, k === MINUS_ONE ? negate(c) : multiply(k, c)));
  return out;
}

/** Their sum; readings that cancel are dropped. */
export function together(list) {
  const some = list.filter((sens) => sens.size);
  if (some.length < 2) return some[0] ?? NOTHING;
  const out = new Map(some[0]);
  for (const sens of some.slice(1)) sens.forEach((c, key) => addOne(out, key, c));
  return out;
}

function addOne(out, key, c) {
  const before = out.get(key);
  const sum = before === undefined ? c : add(before, c);
  if (isZero(sum)) out.delete(key);
  else out.set(key, sum);
}

/** Sensitivities of `ka*a + kb*b`. */
export const combined = (a, ka, b, kb) => together([timesEach(a, ka), timesEach(b, kb)]);
