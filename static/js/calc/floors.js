// The worst straightedge on a grid of heights, exactly: every triple of stations on every row,
// column and diagonal. The twin of calc/floors_edge.py, which goes by passes and finds the same:
// of equal gaps the first by direction, line, start, end and station.
//
// Heights are whole nm; a grid is {rows: [[BigInt | null]], spacing: BigInt, outside},
// the last one places ("row column") beyond the walls, if there are any. Inside they are
// numbers in units of their greatest common divisor, small enough to be exact (refused if not).

import { fraction, gcd, negate, ONE, subtract, whole, ZERO } from "./fraction.js";
import { isqrt } from "./roots.js";

const DIRECTIONS = ["row", "column", "diagonal", "cross diagonal"];
const STEPS = { row: [0, 1], column: [1, 0], diagonal: [1, 1], "cross diagonal": [1, -1] };
export const KINDS = ["hollow", "hump"];
const NOWHERE = new Set();
const EXACT = 2n ** 48n;

/** No floor can be judged by these readings: the message says why. */
export class SurveyNotUsable extends Error {}

/** How many spacings fit between the two contacts of an edge (nm) laid in that direction. */
export function reach(spacing, edge, direction) {
  if (edge <= 0n) return 0;
  if (direction === "row" || direction === "column") return Number(edge / spacing);
  return Number(isqrt((edge * edge) / (2n * spacing * spacing)));
}

/** The same, no longer than the longest line of the grid. */
function far(grid, edge, direction) {
  const [rows, columns] = [grid.rows.length, grid.rows[0].length];
  const longest = { row: columns, column: rows }[direction] ?? Math.min(rows, columns);
  return Math.min(reach(grid.spacing, edge, direction), longest - 1);
}

/** Worst hollow and hump of one edge, and of how many gaps: null where none can be seen. */
export function lookUnder(grid, edge) {
  const sought = { hollow: null, hump: null, gaps: 0 };
  const heights = reach(grid.spacing, edge, "row") >= 2 ? heightsOf(grid, edge) : null;
  if (heights === null) return sought;
  for (const direction of DIRECTIONS) {
    const most = far(grid, edge, direction);
    if (most < 2) continue;
    for (const cells of linesOf(grid, direction)) alongLine(heights, cells, most, direction, sought);
  }
  for (const kind of KINDS) sought[kind] &&= worstOf(kind, sought[kind], heights.unit);
  return sought;
}

function heightsOf(grid, edge) {
  const known = grid.rows.flat().filter((z) => z !== null);
  if (!known.length) return null;
  const low = known.reduce((a, b) => (b < a ? b : a));
  const high = known.reduce((a, b) => (b > a ? b : a));
  const unit = known.reduce((common, z) => gcd(common, z - low), 0n) || 1n;
  const longest = BigInt(Math.max(far(grid, edge, "row"), far(grid, edge, "column"), 1));
  const spread = high - low;
  if ((spread / unit) * longest * longest >= EXACT || spread * longest >= EXACT) {
    throw new SurveyNotUsable(
      "So long an edge over so many stations cannot be judged exactly. Take larger cells.",
    );
  }
  const small = (z) => (z === null ? NaN : Number((z - low) / unit));
  return { z: grid.rows.map((row) => row.map(small)), unit, outside: grid.outside ?? NOWHERE };
}

/** The lines of a direction in order, each as its stations. Diagonals go by column less row. */
function linesOf(grid, direction) {
  const [rows, columns] = [grid.rows.length, grid.rows[0].length];
  const [down, right] = STEPS[direction];
  const isIn = (r, c) => r >= 0 && r < rows && c >= 0 && c < columns;
  const order = ([r, c]) => (down ? c - r * right : r);
  const cells = grid.rows.flatMap((row, r) => row.map((_, c) => [r, c]));
  const starts = cells.filter(([r, c]) => !isIn(r - down, c - right));
  starts.sort((a, b) => order(a) - order(b));
  return starts.map(([r, c]) => {
    const line = [];
    for (; isIn(r, c); r += down, c += right) line.push([r, c]);
    return line;
  });
}

/** Every start, end and station between on one line; what is worse than before is kept. */
function alongLine(heights, cells, most, direction, sought) {
  const z = Float64Array.from(cells, ([r, c]) => heights.z[r][c]);
  let { hollow, hump, gaps } = sought;
  const isOutside = ([r, c]) => heights.outside.has(`${r} ${c}`);
  for (let start = 0; start < z.length - 2; start += 1) {
    if (Number.isNaN(z[start])) continue;
    const last = Math.min(start + most, z.length - 1);
    let wall = isOutside(cells[start + 1]);
    for (let end = start + 2; end <= last && !wall; end += 1) {
      wall = isOutside(cells[end]);
      if (Number.isNaN(z[end])) continue;
      const run = end - start;
      for (let at = start + 1; at < end; at += 1) {
        const n = z[start] * (end - at) + z[end] * (at - start) - z[at] * run;
        if (Number.isNaN(n)) continue;
        gaps += 1;
        const is = (size) => {
          const ends = [start, end, at].map((k) => cells[k]);
          return { n: size, run, ends, along: at - start, direction };
        };
        if (hollow === null || n * hollow.run > hollow.n * run) hollow = is(n);
        if (hump === null || -n * hump.run > hump.n * run) hump = is(-n);
      }
    }
  }
  Object.assign(sought, { hollow, hump, gaps });
}

function worstOf(kind, found, unit) {
  const [start, end, at] = found.ends;
  const gap = fraction(BigInt(found.n) * unit, BigInt(found.run));
  const along = fraction(BigInt(found.along), BigInt(found.run));
  const signed = (weight) => (kind === "hollow" ? weight : negate(weight));
  const weights = [
    [start, signed(subtract(ONE, along))],
    [end, signed(along)],
    [at, signed(whole(-1n))],
  ];
  const { direction } = found;
  return { kind, gap: gap.n > 0n ? gap : ZERO, start, end, at, weights, direction };
}
