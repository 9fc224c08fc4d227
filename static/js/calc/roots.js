// Square root and arctangent in whole numbers, to a stated rounding: see fieldlog/calc/roots.py.

export const RIGHT_ANGLE = 90_000_000n;
const SCALE = 10n ** 40n;
const PI = 31415926535897932384626433832795028841971n; // pi * 10**40, rounded down

/** The whole part of a square root, by Newton's steps from above. */
export function isqrt(n) {
  if (n < 2n) return n;
  if (n < 1n << 52n) return BigInt(Math.floor(Math.sqrt(Number(n))));
  let root = 1n << BigInt((n.toString(2).length + 1) >> 1);
  for (;;) {
    const next = (root + n / root) >> 1n;
    if (next >= root) return root;
    root = next;
  }
}

/** The square root of n/d, to the nearest whole number. */
export const rootNearest = (n, d = 1n) => (isqrt((4n * n) / d) + 1n) / 2n;

/** The square root of a fraction that is not negative, to the whole number above. */
export function rootUp(square) {
  const above = (square.n + square.d - 1n) / square.d;
  const root = isqrt(above);
  return root * root === above ? root : root + 1n;
}

/** The angle (microdegrees, 0 to 90 degrees) whose tangent is p/q; neither is negative. */
export function atanMicrodegrees(p, q) {
  return p > q ? RIGHT_ANGLE - nearestAngle(q, p) : nearestAngle(p, q);
}

function nearestAngle(p, q) {
  let t = (p * SCALE) / q;
  for (let n = 0; n < 3; n += 1) t = (t * SCALE) / (SCALE + isqrt(SCALE * SCALE + t * t));
  return ((8n * series(t) * 2n * 180n * 10n ** 6n) / PI + 1n) / 2n;
}

function series(t) {
  const square = (t * t) / SCALE;
  let [total, term, n] = [0n, t, 0n];
  while (term) {
    const part = term / (2n * n + 1n);
    total += n % 2n ? -part : part;
    [term, n] = [(term * square) / SCALE, n + 1n];
  }
  return total;
}
