// Named functions of two lengths at a right angle (geometry.py), and the trend of a list of looks
// (daily_change of fitted.py). A mark (may rise, may fall) does not go through any of them.

import { DAY } from "./dates.js";
import { absolute, add, compare, divide, floor, fraction, isZero, multiply } from "./fraction.js";
import { negate, ONE, squared, subtract, whole, ZERO } from "./fraction.js";
import { atanMicrodegrees, isqrt, RIGHT_ANGLE, rootNearest } from "./roots.js";
import { combined } from "./sensitivity.js";
import { AWAY, elements, exact, GAP, number, numberOf, paired } from "./values.js";

// Microdegrees in a radian, to 20 digits: sensitivities only, no value hangs on it.
const PER_RADIAN = fraction(57_295_779_513_082_320_877n, 10n ** 12n);

const bothKnown = (work) => (one, other) =>
  paired((a, b) => {
    if (a.t === "away" || b.t === "away") return AWAY;
    const [x, y] = [numberOf(a), numberOf(b)];
    if (x.value === null || y.value === null || x.may || y.may) return GAP;
    return work(x, y, x.value, y.value);
  }, one, other);

/** The slant of two lengths at a right angle, to the nearest nm. */
export const hypot = bothKnown((a, b, x, y) => {
  const square = add(squared(x), squared(y));
  const slant = whole(rootNearest(square.n, square.d));
  if (isZero(slant)) return number(slant, combined(a.sens, ONE, b.sens, ONE));
  return number(slant, combined(a.sens, divide(x, slant), b.sens, divide(y, slant)));
});

/** The other leg below a slant, to the nm below; not measured where the leg is longer. */
export const leg = bothKnown((a, b, slant, other) => {
  const square = subtract(squared(slant), squared(other));
  if (square.n < 0n || slant.n < 0n) return GAP;
  const found = whole(isqrt(square.n / square.d));
  if (isZero(found)) return number(found);
  return number(found, combined(a.sens, divide(slant, found), b.sens, negate(divide(other, found))));
});

/** The angle of a rise over a run, to the nearest microdegree; down is negative. */
export const angleOf = bothKnown((a, b, rise, run) => {
  if (run.n < 0n || (isZero(rise) && isZero(run))) return GAP;
  const p = absolute(rise);
  const angle = atanMicrodegrees(p.n * run.d, run.n * p.d);
  const square = add(squared(rise), squared(run));
  const byRise = divide(multiply(PER_RADIAN, run), square);
  const byRun = negate(divide(multiply(PER_RADIAN, rise), square));
  const found = rise.n < 0n ? -angle : angle < RIGHT_ANGLE ? angle : RIGHT_ANGLE;
  return number(whole(found), combined(a.sens, byRise, b.sens, byRun));
});

/** How many whole steps of one length fit into another; none into less than nothing. */
export const steps = bothKnown((_a, _b, value, step) => {
  if (step.n <= 0n) return GAP;
  const found = floor(divide(value, step));
  return exact(found > 0n ? found : 0n);
});

/** Change a day, by the straight line of least squares through values at dates; exact. */
export function dailyChange(values, days) {
  const [read, at] = [elements(values), elements(days)];
  const pairs = read.slice(0, at.length).map((v, n) => [v, at[n]]);
  const rows = pairs.filter((pair) => pair.every((e) => e.t !== "away")).map((pair) => pair.map(numberOf));
  if (rows.some(([v, d]) => v.value === null || d.value === null)) return GAP;
  const dated = rows.map(([, d]) => divide(d.value, whole(DAY)));
  if (!dated.some((day) => compare(day, dated[0]) !== 0)) return GAP;
  const middle = divide(dated.reduce(add, ZERO), whole(BigInt(dated.length)));
  const off = dated.map((day) => subtract(day, middle));
  const square = off.map(squared).reduce(add, ZERO);
  return weighted(rows.map(([v], n) => [v, divide(off[n], square)]));
}

function weighted(terms) {
  if (terms.some(([n]) => n.may)) return GAP;
  let [value, sens] = [ZERO, new Map()];
  for (const [n, weight] of terms) {
    value = add(value, multiply(weight, n.value));
    sens = combined(sens, ONE, n.sens, weight);
  }
  return number(value, sens);
}
