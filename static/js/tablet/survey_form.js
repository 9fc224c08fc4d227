// The stations of a floor as raw readings, the same that `web/surveying.py` makes of them.

const BLOCKED = "x";

// Set-ups of a moved laser are joined by the office: such a survey is sent when it is in reach.
export class ByTheOffice extends Error {}

// `levels` as the sheet's own form gives it; `survey`: walls, tests of the tools, units by what is read.
export function surveyed(levels, form, data, survey) {
  if (Number(data.get("set-ups") || 1) > 1) throw new ByTheOffice();
  const reads = data.get("reads") || "";
  const told = { ...levels, unit: survey.units[reads] ?? "in", kind: reads.split(" ")[0] || "heights" };
  const tested = survey.tested[data.get("instrument")];
  if (tested) told.tested = tested;
  if (Number(data.get("scan") || 1) > 1) told.readings = Number(data.get("scan"));
  if (!survey.outline) return told;
  const station = (r, c) => form.elements.namedItem(`q-levels-${r + 1}-${c + 1}`);
  const rows = levels.rows.map((row, r) => row.map((cell, c) => (station(r, c) ? cell : BLOCKED)));
  return { ...told, outline: survey.outline, rows };
}
