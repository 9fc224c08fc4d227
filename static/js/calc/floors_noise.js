// What a survey's own noise would show, and what may be said of the worst of many gaps: the twin
// of calc/floors_noise.py, which says why. Chances and exponentials are floats as they are there;
// what leaves is rounded up to whole nm before anything is judged by it.

import { add, compare, fraction, magnitude, multiply, negate } from "./fraction.js";
import { squared, subtract, whole, ZERO } from "./fraction.js";
import { deviationsOf } from "./normal.js";
import { rootUp } from "./roots.js";

const CHANCE = 0.02275013194817921; // one-sided, of k = 2
const DIVISORS = { rectangular: 3n, triangular: 6n, normal: 4n };
const MIDDLE = [fraction(1n, 2n), fraction(1n, 2n), whole(-1n)];
const MEDIAN_NORMAL = fraction(11n, 7n);
const MEDIAN_ANY = whole(3n);
const FOUR = whole(4n);

const sumOf = (list) => list.reduce(add, ZERO);
const varianceOf = (part) => multiply(squared(part.half_width), fraction(1n, DIVISORS[part.distribution]));

/** The error parts of one height: the tool's own, or one normal part for a median of many. */
function partsOfAHeight(parts, readings) {
  const each = parts.filter((part) => part.scope === "each");
  const all = sumOf(each.map(varianceOf));
  const normal = each.every((part) => part.distribution === "normal");
  const factor = multiply(normal ? MEDIAN_NORMAL : MEDIAN_ANY, fraction(1n, BigInt(readings)));
  const shrunk = multiply(factor, all);
  if (readings < 3 || compare(shrunk, all) >= 0) return each;
  const half_width = whole(rootUp(multiply(FOUR, shrunk)));
  return [{ half_width, distribution: "normal", scope: "each" }];
}

/** What noise may have added to the worst of so many gaps, nm, rounded up. */
function allowance(parts, weights, gaps) {
  if (!parts.length) return 0n;
  const factor = chanceFactor(gaps);
  const squares = sumOf(weights.map(squared));
  const variance = sumOf(parts.map(varianceOf));
  const byQuantile = rootUp(multiply(multiply(squared(factor), squares), variance));
  const byBound = chernoff(parts, weights, gaps);
  return byQuantile < byBound ? byQuantile : byBound;
}

/** How many standard deviations one of so many gaps may be off, rounded up to a thousandth. */
function chanceFactor(gaps) {
  const k = gaps <= 1 ? 2 : -deviationsOf(CHANCE / gaps);
  return fraction(BigInt(-Math.floor(-1000 * k)), 1000n);
}

/** What noise may hide of the truly worst gap, nm, rounded up: 2 u of the least even weights. */
function guard(parts, reach) {
  const long = BigInt(Math.max(reach, 2));
  const squares = add(whole(1n), fraction((long - 1n) ** 2n + 1n, long ** 2n));
  return rootUp(multiply(multiply(FOUR, squares), sumOf(parts.map(varianceOf))));
}

function chernoff(parts, weights, gaps) {
  const sizes = [];
  for (const { distribution, half_width } of parts) {
    for (const w of weights) {
      const size = multiply(w, half_width);
      if (w.n !== 0n) sizes.push([distribution, Number(magnitude(size.n) / size.d)]);
    }
  }
  const wanted = Math.log(Math.max(gaps, 1) / CHANCE);
  const bound = (at) => {
    const s = Math.exp(at);
    return (sizes.reduce((sum, [kind, a]) => sum + logMeanExp(kind, s * a), 0) + wanted) / s;
  };
  let low = -Math.log(sizes.reduce((sum, [, a]) => sum + a, 0)) - 5;
  let high = low + 40;
  for (let n = 0; n < 120; n += 1) {
    const [left, right] = [low + (high - low) / 3, high - (high - low) / 3];
    if (bound(left) < bound(right)) high = right;
    else low = left;
  }
  return BigInt(Math.floor(bound(low) / 10) + 1) * 10n;
}

/** ln E exp(s e) of an error of half width a, x = s a. */
function logMeanExp(distribution, x) {
  if (distribution === "normal") return (x * x) / 8;
  return distribution === "triangular" ? 2 * logSinhOver(x / 2) : logSinhOver(x);
}

const logSinhOver = (x) =>
  x * 1000 < 1 ? (x * x) / 6 : x - Math.log(2 * x) + Math.log1p(-Math.exp(-2 * x));

/**
 * The worst gap of an edge against its limit (nm, BigInt): u squared that makes
 * margin squared < 4 u squared the decision, and the first of `tools` that would settle it, or null.
 */
export function judgeEdge(worst, limit, tool, tools) {
  const parts = partsOfAHeight(tool.parts, worst.readings);
  const weights = worst.edge.weights.map(([, weight]) => weight);
  const [mayAdd, mayHide] = [allowance(parts, weights, worst.gaps), guard(parts, worst.reach)];
  const over = subtract(worst.edge.gap, whole(limit));
  const wide = over.n > 0n ? mayAdd : mayHide;
  const uSquared = fraction(wide * wide, 4n);
  const clear = compare(over.n > 0n ? over : negate(over), whole(wide)) >= 0;
  if (clear) return { uSquared, settledBy: null };
  const fit = tools.find((one) => wouldDo(one, over, limit, worst.gaps, worst.reach));
  return { uSquared, settledBy: fit?.id ?? null };
}

/** Whether the tool shows a flat floor as flat, and is clear of the limit by this margin. */
function wouldDo(tool, over, limit, gaps, reach) {
  const [mayAdd, mayHide] = band(tool, gaps, reach);
  const [by, allowed] = over.n > 0n ? [over, mayAdd] : [negate(over), mayHide];
  return compare(by, whole(allowed)) >= 0 && mayAdd + mayHide <= limit;
}

function band(tool, gaps, reach) {
  if (tool.direct) {
    const twice = rootUp(multiply(FOUR, sumOf(tool.parts.map(varianceOf))));
    return [twice, twice];
  }
  const parts = partsOfAHeight(tool.parts, 1);
  return [allowance(parts, MIDDLE, gaps), guard(parts, reach)];
}
