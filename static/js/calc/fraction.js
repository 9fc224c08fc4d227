// Exact fractions of whole numbers: {n, d} BigInt, d above zero, lowest terms. No float anywhere.

const SAFE = 1n << 53n;

export const ZERO = { n: 0n, d: 1n };
export const ONE = { n: 1n, d: 1n };
export const MINUS_ONE = { n: -1n, d: 1n };

export const magnitude = (n) => (n < 0n ? -n : n);

/** Greatest common divisor; plain numbers as soon as they fit into one, because that is faster. */
export function gcd(a, b) {
  let x = magnitude(a);
  let y = magnitude(b);
  while (y >= SAFE) {
    const rest = x % y;
    x = y;
    y = rest;
  }
  if (y === 0n) return x;
  let p = Number(y);
  let q = Number(x % y);
  while (q) {
    const rest = p % q;
    p = q;
    q = rest;
  }
  return BigInt(p);
}

export function fraction(n, d = 1n) {
  if (d === 1n) return { n, d };
  if (d === 0n) throw new RangeError("a fraction over zero");
  if (d < 0n) return fraction(-n, -d);
  const common = gcd(n, d);
  return common === 1n ? { n, d } : { n: n / common, d: d / common };
}

/** "n", "n/d", or a decimal, as text. */
export function parseFraction(text) {
  const slash = text.indexOf("/");
  if (slash >= 0) return fraction(BigInt(text.slice(0, slash)), BigInt(text.slice(slash + 1)));
  const point = text.indexOf(".");
  if (point < 0) return { n: BigInt(text), d: 1n };
  const places = text.length - point - 1;
  return fraction(BigInt(text.slice(0, point) + text.slice(point + 1)), 10n ** BigInt(places));
}

export const whole = (n) => ({ n: BigInt(n), d: 1n });
export const textOf = (a) => (a.d === 1n ? String(a.n) : `${a.n}/${a.d}`);

export function add(a, b) {
  if (a.d === b.d) return fraction(a.n + b.n, a.d);
  return fraction(a.n * b.d + b.n * a.d, a.d * b.d);
}

export function subtract(a, b) {
  if (a.d === b.d) return fraction(a.n - b.n, a.d);
  return fraction(a.n * b.d - b.n * a.d, a.d * b.d);
}

export const negate = (a) => ({ n: -a.n, d: a.d });
export const multiply = (a, b) => fraction(a.n * b.n, a.d * b.d);
export const squared = (a) => multiply(a, a);
export const divide = (a, b) => fraction(a.n * b.d, a.d * b.n);
export const inverse = (a) => fraction(a.d, a.n);

/** Below zero where a < b, zero where they are equal, above zero where a > b. */
export function compare(a, b) {
  const difference = a.d === b.d ? a.n - b.n : a.n * b.d - b.n * a.d;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

export const isZero = (a) => a.n === 0n;
export const absolute = (a) => ({ n: magnitude(a.n), d: a.d });
export const largerOf = (a, b) => (compare(a, b) >= 0 ? a : b);
export const smallerOf = (a, b) => (compare(a, b) <= 0 ? a : b);

/** n divided by d (above zero), rounded down: BigInt's own `/` cuts towards zero. */
export function floorOf(n, d) {
  const quotient = n / d;
  return n < 0n && quotient * d !== n ? quotient - 1n : quotient;
}

export const floor = (a) => floorOf(a.n, a.d);
export const ceiling = (a) => -floorOf(-a.n, a.d);

/** The nearest whole number, a half to the even one. */
export function nearest(n, d) {
  const steps = floorOf(n, d);
  const twice = 2n * (n - steps * d);
  return twice > d || (twice === d && steps % 2n !== 0n) ? steps + 1n : steps;
}

/** The next multiple of `step` (a whole number) strictly above a fraction. */
export const stepAbove = (a, step) => (floorOf(a.n, a.d * step) + 1n) * step;
