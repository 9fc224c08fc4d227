// Level readings of a judgement, as plain JSON values: the twin of calc/judge_grids.py.

import { KINDS } from "./floors.js";
import { magnitude, textOf, whole } from "./fraction.js";
import { numberJson } from "./judged.js";
import { look, plainGrid } from "./levels.js";
import { doubtsOf, highLow, planeOf, riseOver } from "./plane.js";

const TEN_FEET = { us: 3_048_000_000n, metric: 3_000_000_000n };

/** The level readings of a check, each with its worst hollow and hump, ends and plane. */
export function gridsOf(told) {
  const out = {};
  for (const f of told.sheet.fields) {
    const { values, later } = told.scope.readings;
    const value = values.get(f.name);
    if (value?.t === "grid" && !later.has(f.name)) out[f.name] = gridOf(told, value);
  }
  return out;
}

function gridOf(told, levels) {
  const grid = plainGrid(levels);
  const lengths = [...new Set(told.scope.rules.map((rule) => rule.give.get("edge")))];
  const ordered = lengths.filter((nm) => nm !== undefined).sort((a, b) => (a < b ? -1 : 1));
  const edges = ordered.map((nm) => edgeOf(told, levels, nm));
  const last = edges.at(-1);
  if (told.scope.rules.some((rule) => rule.quantity === "ff" || rule.quantity === "fl")) {
    told.later("grid", "f_numbers", "f_numbers");
  }
  const ends = highLow(grid);
  return {
    spacing_nm: String(grid.spacing),
    spacing_text: told.speaker.length(whole(grid.spacing), true),
    rows: grid.rows.map((row) => row.map((z) => (z === null ? null : String(z)))),
    blocked: levels.rows.map((row) => row.map((e) => e.t === "away")),
    worst: Object.fromEntries(KINDS.map((kind) => [kind, last ? last[kind] : null])),
    edges,
    doubts: doubtsOf(grid).map(({ at, off }) => ({
      at,
      off: String(off),
      off_text: told.speaker.length(whole(magnitude(off))),
    })),
    rings: levels.rings.map((ring) => ring.map(([x, y]) => [String(x), String(y)])),
    high: ends && ends.high,
    low: ends && ends.low,
    range: ends && numberJson(told, "length", whole(ends.range)),
    plane: planeText(told, grid),
  };
}

/** The worst hollow and hump under an edge of a length (nm) that a limit names. */
function edgeOf(told, levels, length) {
  const under = look(levels, length);
  const edge_text = told.speaker.length(whole(length), true);
  const edge = { edge_nm: String(length), edge_text };
  for (const kind of KINDS) {
    const found = under[kind];
    const texts = found && { edge_text, gap_text: told.speaker.length(found.gap) };
    edge[kind] = found && { ...worstText(found), ...texts };
  }
  return edge;
}

const worstText = (found) => ({
  ...found,
  gap: textOf(found.gap),
  weights: found.weights.map(([cell, weight]) => [cell, textOf(weight)]),
});

function planeText(told, grid) {
  const plane = planeOf(grid);
  if (!plane) return null;
  const run = TEN_FEET[told.system] ?? TEN_FEET.metric;
  const rise = told.speaker.length(whole(riseOver(plane, run)));
  return {
    slope_x: textOf(plane.slopeX),
    slope_y: textOf(plane.slopeY),
    offset: textOf(plane.offset),
    residuals: plane.residuals.map((row) => row.map((z) => (z === null ? null : textOf(z)))),
    slope_text: `${rise} over ${told.speaker.length(whole(run), true)}`,
  };
}

/** Findings with where a worst straightedge lies, by the numbers at the map's edge. */
export function placed(findings, results, grids) {
  const ofRule = new Map(results.map((r) => [r.rule.id, r]));
  return findings.map((finding) => placedOne(finding, ofRule.get(finding.rule), grids));
}

function placedOne(finding, result, grids) {
  const edge = result?.rule.give.get("edge");
  if (edge === undefined || (finding.mark !== "fail" && finding.mark !== "too_close")) return finding;
  const value = result.value?.value ?? null;
  for (const grid of Object.values(grids)) {
    const worst = grid.edges.find((one) => one.edge_nm === String(edge))?.[result.rule.quantity];
    if (!worst || value === null || worst.gap !== textOf(value)) continue;
    const where = lies(worst);
    return { ...finding, where, body: `${finding.body} ${where}.`.trim() };
  }
  return finding;
}

/** Where a straightedge lies, and where the gap is under it: "Row 3, 1 to 6, at 4". */
function lies(worst) {
  const [[a, b], [c, d], [e, f]] = [worst.start, worst.end, worst.at].map((cell) => cell.map((n) => n + 1));
  if (a === c) return `Row ${a}, ${b} to ${d}, at ${f}`;
  if (b === d) return `Column ${b}, ${a} to ${c}, at ${e}`;
  return `From row ${a}, ${b} to row ${c}, ${d}, at row ${e}, ${f}`;
}

/** What to look at again, in sentences. A reading is asked about, never dropped. */
export function notesOf(grids) {
  const doubts = Object.values(grids).flatMap((grid) => grid.doubts);
  return doubts.map(({ at, off, off_text }) => {
    const side = off.startsWith("-") ? "below" : "above";
    const place = `row ${at[0] + 1}, ${at[1] + 1}`;
    return `Check ${place}: it is ${off_text} ${side} what the stations around it say.`;
  });
}
