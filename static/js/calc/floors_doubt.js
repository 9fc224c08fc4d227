// Readings to ask about: far from what their neighbors say. The twin of calc/floors_doubt.py.
// Heights and halves of them are exact in floats; nothing is dropped, and no verdict hangs on it.

const TIMES = 10;
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
  const bound = Math.max(TIMES * Math.trunc(median(told.map((one) => one.off))), LEAST);
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
