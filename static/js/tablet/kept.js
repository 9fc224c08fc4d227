// One entry that is kept on this tablet: its verdict, what is over and by which clause, what to do now.

import { clock, el } from "./build.js";
import { factsOf, wordsOf } from "./facts.js";
import { givesOf, leftOver } from "./giving.js";
import { newId } from "./ids.js";
import { pictures } from "./pictures.js";
import { showUnsent } from "./shown.js";
import { entries, entry } from "./store.js";
import { judgement } from "./verdict_shown.js";
import { forgetSaved } from "./drafts.js";

const SAYS = {
  waiting: "On this tablet only. It is sent by itself when the office is in reach.",
  sent: "Sent, and kept here until the office has a backup of it.",
  refused: "The office did not take it. It is kept, with the reason:",
};

const crews = JSON.parse(document.getElementById("kept").dataset.crews);
const lowered = (text) => text.charAt(0).toLowerCase() + text.slice(1);

// What the check is over in, by crew: one tap puts it on that crew's list. What is nobody's is
// opened by hand.
function gives(record, { judged, room, title, body }) {
  if (!judged) return [];
  const check = { judged, title, place: body.place };
  const forms = givesOf(check, crews).map((item) => {
    const about = { room, ...item, check: record.id, photos: body.photos };
    const id = el("input", { type: "hidden", name: "entry_id", value: newId() });
    const button = el("button", { class: "btn-main" }, `Give to ${lowered(crews[item.trade])}`);
    return el("form", { method: "post", action: "/", "data-gives": JSON.stringify(about) }, id, button);
  });
  const byHand = el("a", { class: "btn", href: `/rooms/${room}/items/new` }, "Punch item");
  return leftOver(check, crews) ? [byHand, ...forms] : forms;
}

function readings(body) {
  const said = (value) => {
    if (value === null) return "not taken";
    if (Array.isArray(value)) return value.map(said).join(", ");
    if (typeof value === "object") return value.rows ? `${value.rows.flat().filter(Boolean).length} stations` : `${value.value}`;
    return String(value);
  };
  const rows = Object.entries(body.readings || {}).map(([name, value]) =>
    el("tr", {}, el("th", { scope: "row" }, name.replaceAll("_", " ")), el("td", {}, said(value))));
  return rows.length ? el("table", { class: "facts" }, el("tbody", {}, ...rows)) : "";
}

// What was done about an item, and where it stands.
async function done({ subject, body, number, words }) {
  const id = subject.slice(5);
  const href = (await entry(id)) ? `/tablet/kept#${id}` : `/items/${id}`;
  return [
    el("p", {}, el("b", {}, wordsOf(body, crews)), body.reason ? `: ${body.reason}` : ""),
    el("p", {}, el("a", { class: "row-link", href }, `${number} ${words || "Photo, no words"}`)),
  ];
}

// An item that was opened here: its page as the office will make it, with all that can be done.
async function showItem(id, { body, number, room, trade, words = "" }) {
  const page = document.getElementById("kept-item");
  Object.assign(page.dataset, { item: id, number, room, trade, words });
  page.hidden = false;
  page.querySelector("h2").textContent = words || "Photo, no words";
  const about = [body.wall && `Wall ${body.wall}`, body.needs_by && `Needed by ${body.needs_by}`, body.damaged_by_other && "Damaged by another trade"];
  page.querySelector(".quiet").replaceChildren(about.filter(Boolean).join(". "));
  page.querySelector(".history").before(...(await pictures(body.photos)));
  for (const form of document.querySelectorAll("form:has([name=act])")) form.action = `/items/${id}/acts`;
  const list = el("a", { "data-crew": true, href: `/crews/${trade}` }, `${crews[trade]}’s list`);
  document.querySelector(".head-right").replaceChildren("on the ", list);
  await showUnsent(true);
}

async function show() {
  const box = document.getElementById("kept");
  const id = location.hash.slice(1);
  const record = id ? await entry(id) : null;
  if (!record) {
    const page = el("a", { class: "btn", href: `/entries/${id}` }, "Look for it in the office's record.");
    box.replaceChildren(el("p", { class: "notice" }, "This entry is no longer on this tablet. "), id ? page : "");
    return;
  }
  const facts = factsOf(record);
  forgetSaved(id);
  document.querySelector("h1").textContent = facts.title || facts.number || { act: "Punch item", photo: "Photo", walk: "Walk" }[facts.kind] || "Entry";
  const room = facts.room ? `/rooms/${facts.room}` : "/";
  document.querySelector(".head-where").replaceChildren(el("a", { href: room }, facts.where || ""));
  document.querySelector(".head-right").textContent = clock(record.envelope.claimed_ms);
  const state = el("p", { class: "notice" }, SAYS[record.state]);
  if (record.answer?.reason) state.append(el("b", {}, ` ${record.answer.reason}`));
  const given = (await entries()).filter((one) => one.envelope.type === "item/1" && JSON.parse(one.envelope.body).check === id);
  const listed = given.map((one) => el("li", {}, el("a", { class: "row-link", href: `/tablet/kept#${one.id}` }, `${one.shown.number} is on the list: `, JSON.parse(one.envelope.body).words)));
  const open = facts.kind === "item" && record.state !== "refused";
  const parts = open && record.state === "waiting" ? [] : [state]; // its stamp says so
  if (open) await showItem(id, facts);
  else if (facts.kind === "check") parts.push(...judgement(facts), readings(facts.body));
  else if (facts.kind === "act") parts.push(...(await done(facts)));
  else parts.push(el("p", {}, facts.body.words || facts.body.caption || ""));
  if (open && record.state === "sent") parts.push(el("a", { class: "btn", href: `/items/${id}` }, "In the office’s record"));
  if (listed.length) parts.push(el("ul", { class: "rows" }, ...listed));
  if (!open) parts.push(...(await pictures(facts.body.photos ?? [facts.body.sha256].filter(Boolean))));
  box.replaceChildren(...parts.filter(Boolean));
  const act = document.getElementById("kept-act");
  act.replaceChildren(el("a", { class: "btn", href: room }, "To the room"));
  if (!given.length && record.state !== "refused") act.append(...gives(record, facts));
}

addEventListener("hashchange", () => location.reload());
show();
