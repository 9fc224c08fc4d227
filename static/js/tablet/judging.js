// The tablet's own verdict, by the same rules in exact numbers; what has no twin here is
// "judged when sent".

import { judgeCheck } from "../calc/checks.js";
import { ReadingsRefused, UnknownSource } from "../calc/judge.js";
import { slotOf } from "./check_form.js";
import { houseData } from "./house_data.js";
import { digest } from "./ids.js";
import { previewOf, without } from "./said.js";

// Readings that can't be used: {slot, message, suggestions} each.
export class Unjudgeable extends Error {
  constructor(errors) {
    super(errors[0].message);
    this.errors = errors;
  }
}

const judgedBy = (data, body) => judgeCheck(data.judges, body);

// SHA-256 over each limit's verdict and value, as `calc/judged.rules_digest`.
async function rulesDigest(judged) {
  const line = ({ rule, index, verdict, value }) =>
    `${rule} ${index ?? "-"} ${verdict} ${value?.nm || value?.value || "-"}\n`;
  const lines = judged.rules.map(line);
  lines.sort((a, b) => (a < b ? -1 : Number(a > b)));
  return digest(new TextEncoder().encode(lines.join("")));
}

// {shown, judged}: what pages here show, and what the office is told of it. Throws Unjudgeable.
export async function judgedHere(body, fields, form) {
  const data = await houseData();
  let judgement;
  try {
    judgement = judgedBy(data, body);
  } catch (error) {
    if (error instanceof UnknownSource) return { shown: {} };
    if (!(error instanceof ReadingsRefused)) throw error;
    throw new Unjudgeable(error.errors.map((one) => ({ ...one, slot: slotOf(fields, form, one) })));
  }
  const { verdict } = judgement;
  const shown = { verdict: verdict === "when_sent" ? "" : verdict, judged: judgement, says: firstFail(judgement) };
  const whole = !judgement.when_sent.some(({ what }) => what === "rule");
  if (!whole) return { shown };
  return { shown, judged: { verdict, rules_sha256: await rulesDigest(judgement) } };
}

const firstFail = ({ findings }) => findings.find((one) => one.mark === "fail")?.head.split(". ")[0];

const TRIES = 3; // a text is refused by itself, then with what is left, then with what is left of that

// What each reading is worth so far, as the office's preview; null where only the office can say.
export function previewHere(data, about, readings, instrument, form) {
  const fields = data.fields[about.sheet];
  const names = Object.fromEntries(data.judges.instruments.map(({ id, name }) => [id, name]));
  const slots = {};
  let judgement = null;
  let left = readings;
  for (let n = 0; n < TRIES && !judgement; n += 1) {
    try {
      judgement = judgedBy(data, { ...about, readings: left, instrument });
    } catch (error) {
      if (error instanceof UnknownSource) return null;
      if (!(error instanceof ReadingsRefused)) throw error;
      for (const one of error.errors) {
        slots[slotOf(fields, form, one)] = { error: one.message, suggestions: one.suggestions };
      }
      left = without(left, error.errors);
    }
  }
  if (!judgement) return { verdict: "", slots, summary: [] };
  if (judgement.when_sent.some(({ what }) => what === "rule")) return null;
  const told = previewOf(judgement, fields, names);
  return { ...told, judgement, slots: { ...told.slots, ...slots } };
}

export function showErrors(form, { errors }) {
  for (const { slot, message } of errors) {
    const input = form.elements.namedItem(slot);
    input?.setAttribute?.("aria-invalid", "true");
    const place = form.querySelector(`[data-say="${CSS.escape(slot)}"]`);
    const said = Object.assign(document.createElement("span"), { className: "error", textContent: message });
    place?.replaceChildren(said);
  }
  form.querySelector("[aria-invalid=true]")?.focus();
}
