// Checks, photos, a walk and an item just opened, as far as a page does not have them yet.

import { el, here, mark } from "./build.js";
import { factsOf } from "./facts.js";
import { pictures } from "./pictures.js";

const kept = ({ id }) => `/tablet/kept#${id}`;
const waits = ({ state }) => state === "waiting";
const hereIf = (record) => (waits(record) ? here() : "");
const isA = (kind) => ({ envelope }) => envelope.type === `${kind}/1`;

function checkRow(record, kind, name) {
  const { verdict, says } = record.shown;
  const told = verdict ? mark(verdict, says) : el("span", { class: "mark" }, "judged when sent");
  const link = el("a", { class: `row-link ${kind}`, href: kept(record) }, el("span", { class: "row-name full" }, name), told, hereIf(record));
  return el("li", { class: "made-here" }, link);
}

const measured = (record) => checkRow(record, "measure", record.shown.title);

// The last look at each thing that is measured, in its place.
export function showChecks(records, day) {
  const checks = records.filter(isA("check"));
  const box = document.querySelector("[data-checks]");
  const latest = new Map(checks.filter((one) => one.shown.room === box?.dataset.checks).map((one) => [one.envelope.subject, one]));
  for (const row of box?.querySelectorAll("[data-check]") ?? []) {
    const record = latest.get(row.dataset.check);
    row.hidden = Boolean(record);
    if (record) row.before(measured(record));
    latest.delete(row.dataset.check);
  }
  box?.append(...[...latest.values()].map(measured));
  const walked = checks.filter((one) => factsOf(one).body.day === day);
  const failed = walked.filter(({ shown }) => shown.verdict === "fail");
  const list = document.querySelector("[data-failed]");
  list?.append(...failed.map((record) => checkRow(record, "", `${record.shown.title}, ${record.shown.where}`)));
  const none = walked.length && list?.querySelector(".empty");
  if (none) none.textContent = "Nothing failed so far.";
}

// How much of a room is on this tablet only, and that who can start does not count it yet.
export function showNotes(records) {
  for (const note of document.querySelectorAll("[data-not-counted]")) note.hidden = !records.some(waits);
  for (const row of document.querySelectorAll("[data-here]")) {
    const count = records.filter((one) => waits(one) && one.shown.room === row.dataset.here).length;
    if (count) row.firstElementChild.append(here(`${count} `));
  }
}

export async function preparePhotos(records) {
  const box = document.querySelector("[data-photos]");
  const mine = box ? records.filter(isA("photo")).filter((one) => one.shown.room === box.dataset.photos) : [];
  const made = await Promise.all(mine.map(async (record) => {
    const link = el("a", { class: "thumb", href: kept(record) }, ...(await pictures([factsOf(record).body.sha256], 160)));
    return el("li", { class: "made-here" }, link, hereIf(record));
  }));
  return () => box?.prepend(...made.reverse());
}

// The day's walk was started here already.
export function showWalk(records, day) {
  const form = document.getElementById("start");
  const walk = form && records.find(({ envelope }) => envelope.subject === `walk:${day}`);
  if (!walk) return;
  form.hidden = document.querySelector("[form=start]").hidden = true;
  form.before(el("p", { class: "notice made-here" }, `The walk of ${day} is started. `, hereIf(walk)));
}

// The item that this form has just opened: said once.
export function showDone(records) {
  const place = document.getElementById("done-here");
  const made = place?.hidden && records.find(({ id }) => location.search.includes(id));
  if (!made) return;
  place.hidden = false;
  place.prepend(el("a", { href: kept(made) }, el("b", {}, made.shown.number)));
}
