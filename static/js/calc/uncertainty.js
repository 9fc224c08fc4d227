// The variance of a number from the error parts of the tools that read it, exact (JCGM 100), and
// when that is too near a limit to call (JCGM 106, k = 2). The twin of calc/uncertainty.py.

import { ZERO, add, compare, multiply, whole } from "./fraction.js";

const FOUR = whole(4n);

/** u squared of sensitivities; `toolOf` gives a reading's tool, `errors` {each, shared} by tool. */
export function variance(sens, toolOf, errors) {
  const [squares, sums] = [new Map(), new Map()];
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
