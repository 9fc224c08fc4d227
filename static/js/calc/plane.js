// The lie of a floor, exact: high and low, the plane that fits best (calc/floors.py), and readings
// to ask about (calc/floors_doubt.py).

import { add, fraction, multiply, squared, subtract, whole } from "./fraction.js";
import { isqrt } from "./roots.js";

/** Each station that was read, in reading order: [row, column, nm]. */
function knownOf(grid) {
  const known = [];
  grid.rows.forEach((row, r) => row.forEach((z, c) => z !== null && known.push([r, c, z])));
  return known;
}

/** The highest and the lowest station, the first of equals, and their difference; or null. */
export function highLow(grid) {
  const known = knownOf(grid);
  if (!known.length) return null;
  const high = known.reduce((a, b) => (b[2] > a[2] ? b : a));
  const low = known.reduce((a, b) => (b[2] < a[2] ? b : a));
  return { high: high.slice(0, 2), low: low.slice(0, 2), range: high[2] - low[2] };
}

/** The plane of least squares: slopes, offset and residuals; null where none is best. */
export function planeOf(grid) {
  const known = knownOf(grid).map(([r, c, z]) => [BigInt(r), BigInt(c), z]);
  const n = BigInt(known.length);
  const sum = (of) => known.reduce((total, cell) => total + of(cell), 0n);
  const [sumX, sumY, sumZ] = [sum((k) => k[1]), sum((k) => k[0]), sum((k) => k[2])];
  // Centered sums times n, so that they stay whole.
  let [xx, yy, xy, xz, yz] = [0n, 0n, 0n, 0n, 0n];
  for (const [row, column, z] of known) {
    const [x, y, height] = [n * column - sumX, n * row - sumY, n * z - sumZ];
    [xx, yy, xy] = [xx + x * x, yy + y * y, xy + x * y];
    [xz, yz] = [xz + x * height, yz + y * height];
  }
  const determinant = xx * yy - xy * xy;
  if (determinant === 0n) return null;
  const perColumn = fraction(xz * yy - yz * xy, determinant);
  const perRow = fraction(yz * xx - xz * xy, determinant);
  const tilted = add(multiply(perColumn, whole(sumX)), multiply(perRow, whole(sumY)));
  const offset = multiply(subtract(whole(sumZ), tilted), fraction(1n, n));
  const per = fraction(1n, grid.spacing);
  return {
    slopeX: multiply(perColumn, per),
    slopeY: multiply(perRow, per),
    offset,
    residuals: residualsOf(grid, perColumn, perRow, offset),
  };
}

/** Height less plane, over one common denominator, which is faster than fraction by fraction. */
function residualsOf(grid, perColumn, perRow, offset) {
  const under = perColumn.d * perRow.d * offset.d;
  const [x, y, z0] = [perColumn, perRow, offset].map((f) => f.n * (under / f.d));
  const at = (z, r, c) => fraction(z * under - z0 - x * BigInt(c) - y * BigInt(r), under);
  return grid.rows.map((row, r) => row.map((z, c) => (z === null ? null : at(z, r, c))));
}

/** How much a plane rises over `run` nm where it is steepest, to the nearest nm. */
export function riseOver(plane, run) {
  const steepest = add(squared(plane.slopeX), squared(plane.slopeY));
  return (isqrt((4n * steepest.n * run * run) / steepest.d) + 1n) / 2n;
}

const TIMES_OFF = 10;
const LEAST = 25_400_000;
const ENOUGH = 2;
const AROUND = [[0, 1], [1, 0], [1, 1], [1, -1], [0, -1], [-1, 0], [-1, -1], [-1, 1]];

/** Stations to ask about, the farthest off first: {at, off} with off in whole nm. */
export function doubtsOf(grid, most = 10) {
  const heights = grid.rows.map((row) => row.map((z) => (z === null ? NaN : Number(z))));
  const told = [];
  heights.forEach((row, r) =>
    row.forEach((z, c) => {
      const [low, high] = expected(heights, r, c);
      const near = Math.min(Math.max(z, low), high);
      if (!Number.isNaN(near)) told.push({ at: [r, c], z, near, off: Math.abs(z - near) });
    }),
  );
  if (!told.length) return [];
  const bound = Math.max(TIMES_OFF * Math.trunc(median(told.map((one) => one.off))), LEAST);
  const far = told.filter((one) => one.off > bound).sort((a, b) => b.off - a.off);
  return far.slice(0, most).map(({ at, z, near }) => ({ at, off: BigInt(z) - BigInt(Math.trunc(near)) }));
}

function median(values) {
  const ordered = Float64Array.from(values).sort();
  const half = ordered.length >> 1;
  return ordered.length % 2 ? ordered[half] : (ordered[half - 1] + ordered[half]) / 2;
}

/** What the neighbors say of a station, from and to; NaN where too few do. */
function expected(heights, r, c) {
  const at = (step, times) => heights[r + step[0] * times]?.[c + step[1] * times] ?? NaN;
  const said = AROUND.slice(0, 4).map((step) => (at(step, 1) + at(step, -1)) / 2);
  for (const step of AROUND) said.push(2 * at(step, 1) - at(step, 2));
  const told = Float64Array.from(said.filter((z) => !Number.isNaN(z))).sort();
  if (told.length < ENOUGH) return [NaN, NaN];
  return [told[(told.length - 1) >> 1], told[told.length >> 1]];
}
