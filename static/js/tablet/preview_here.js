// The verdict of a form as it stands, worked out on the tablet; null where the office has to be asked.

import { typedIn } from "./bodies.js";
import { MEASURES } from "../calc/measures.js";
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

// {data, typed, about, sheet} of a form that can be judged on this tablet, else null.
async function knownForm(form) {
  if (!form?.dataset.check) return null;
  const data = await houseData().catch((error) => {
    if (error instanceof TypeError || error instanceof SyntaxError) return null; // not on this tablet yet
    throw error;
  });
  const typed = new FormData(form);
  const about = JSON.parse(form.dataset.check);
  const sheet = data?.judges.sheets.find((one) => one.id === about.sheet && one.sha256 === typed.get("sheet_sha256"));
  return sheet && data.fields[about.sheet] ? { data, typed, about, sheet } : null;
}

export async function previewForm(form) {
  const found = await knownForm(form);
  if (!found) return null;
  const { data, typed, about } = found;
  const fields = data.fields[about.sheet];
  let readings;
  try {
    readings = typedIn({ about, fields, form, data: typed });
  } catch (error) {
    if (error instanceof ByTheOffice) return null;
    throw error;
  }
  const told = previewHere(data, about, readings, typed.get("instrument"), typed);
  if (!about.survey || !told?.judgement) return told;
  return navigator.onLine && !away() ? null : ofSurvey({ ...told.judgement, slots: told.slots });
}

const LEVELS = { spacing: "2 ft", rows: [["0", "0", "0"], ["0", "1", "0"], ["0", "0", "0"]] };

function exampleOf({ kind, many, choices }) {
  if (kind === "grid") return LEVELS;
  const one = { yes_no: "yes", choice: choices[0] }[kind] ?? MEASURES[kind]?.example.split(" or ")[0] ?? null;
  return many ? [one, one] : one;
}

const idle = () => new Promise((resolve) => (window.requestIdleCallback ?? setTimeout)(resolve));

// A script is slow the first time it runs. So while nothing else is to do, the form is judged empty
// and with examples for readings, a piece at a time: the first number of a person is then not the first.
export async function prepare(form) {
  await idle();
  const found = await knownForm(form);
  if (!found) return;
  const { data, typed, about, sheet } = found;
  const examples = Object.fromEntries(sheet.fields.map((field) => [field.name, exampleOf(field)]));
  for (const readings of [{}, examples, examples]) {
    await idle();
    previewHere(data, about, readings, typed.get("instrument"), typed);
  }
  performance.mark("fieldlog:prepared");
}
