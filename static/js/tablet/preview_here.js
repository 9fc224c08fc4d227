// The verdict of a form as it stands, worked out on the tablet; null where the office has to be asked.

import { typedIn } from "./bodies.js";
import { houseData } from "./house_data.js";
import { previewHere } from "./judging.js";
import { away } from "./reach.js";
import { ByTheOffice } from "./survey_form.js";

// The worst of each kind and the stations to read again; the map's tints are the office's.
function ofSurvey({ verdict, grids, findings, slots }) {
  for (const { at, off, off_text: by } of grids.levels?.doubts ?? []) {
    const text = `Check this one: ${by} ${Number(off) > 0 ? "above" : "below"} what those around it say.`;
    slots[`q-levels-${at[0] + 1}-${at[1] + 1}`] = { mark: "too_close", short: text, long: text };
  }
  const over = findings.filter(({ mark }) => mark === "fail" || mark === "too_close");
  return { verdict, slots, summary: over.map(({ mark, head }) => ({ mark, text: head })) };
}

export async function previewForm(form) {
  if (!form.dataset.check) return null;
  const data = await houseData().catch((error) => {
    if (error instanceof TypeError || error instanceof SyntaxError) return null; // not on this tablet yet
    throw error;
  });
  if (!data) return null;
  const typed = new FormData(form);
  const about = JSON.parse(form.dataset.check);
  const fields = data.fields[about.sheet];
  if (!fields || !data.judges.sheets.some(({ id, sha256 }) => id === about.sheet && sha256 === typed.get("sheet_sha256"))) return null;
  let readings;
  try {
    readings = typedIn({ about, fields, form, data: typed });
  } catch (error) {
    if (error instanceof ByTheOffice) return null;
    throw error;
  }
  const told = previewHere(data, about, readings, typed.get("instrument"), typed);
  if (!about.survey || !told) return told;
  return navigator.onLine && !away() ? null : ofSurvey({ ...told.judgement, slots: told.slots });
}
