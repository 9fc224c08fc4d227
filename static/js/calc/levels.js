// Level readings in expressions: the worst hollow and hump under an edge, and the range.

import { outsideOf } from "./walls.js";
import { lookUnder, reach } from "./floors.js";
import { ONE } from "./fraction.js";
import { spread } from "./named.js";
import { remembered } from "./remembered.js";
import { combined } from "./sensitivity.js";
import { elements, GAP, many, number, numberOf, RISE, WhenSent } from "./values.js";

const looked = new WeakMap();
const kept = new WeakMap();

/** The heights alone: whole nm or null, for the floor calculations. */
export const plainGrid = (levels) =>
  remembered(kept, levels, () => {
    const height = (e) => numberOf(e).value && numberOf(e).value.n / numberOf(e).value.d;
    const rows = levels.rows.map((row) => row.map(height));
    return { rows, spacing: levels.spacing, outside: outsideOf(levels) };
  });

/** Everything an edge of that length (nm) shows; each edge is looked at once. */
export const look = (levels, edge) =>
  remembered(remembered(looked, levels, () => new Map()), edge, () => lookUnder(plainGrid(levels), edge));

const isUnread = (levels) => levels.rows.some((row) => row.some((e) => e.t === "n" && e.value === null));

const under = (kind) => (levels, edge) => {
  const length = numberOf(elements(edge)[0]).value;
  if (levels.t !== "grid" || length === null) return GAP;
  const nm = length.n / length.d;
  const found = look(levels, nm);
  const worst = found[kind];
  if (worst === null) return GAP;
  let sens = new Map();
  for (const [[row, column], weight] of worst.weights) {
    sens = combined(sens, ONE, numberOf(levels.rows[row][column]).sens, weight);
  }
  const far = reach(levels.spacing, nm, "row");
  const of = { edge: worst, gaps: found.gaps, reach: far, readings: levels.readings };
  return number(worst.gap, sens, isUnread(levels) ? RISE : 0, of);
};

/** The worst hollow (hump) under an edge; it may rise while a station is not read. */
export const hollowUnder = under("hollow");
export const humpUnder = under("hump");

/** Highest less lowest station. */
export const rangeOf = (levels) => (levels.t === "grid" ? spread(many(levels.rows.flat())) : GAP);

/** FF and FL are the server's; but a floor that is not wholly read has none there either. */
export const fNumber = (levels) => {
  if (levels.t !== "grid" || isUnread(levels)) return GAP;
  throw new WhenSent("f_numbers");
};
