// The verdict of a form as it stands, worked out on the tablet; null where the office has to be asked.

import { readingsOf } from "./check_form.js";
import { houseData, previewHere } from "./judging.js";

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
  const tool = typed.get("instrument");
  return previewHere(data, about, readingsOf(fields, typed, tool), tool, typed);
}
