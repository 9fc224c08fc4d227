// One entry that is kept on this tablet: its verdict, what is over and by which clause, what to do now.

import { clock, el, mark, WORDS } from "./build.js";
import { entries, entry, photo } from "./store.js";
import { factsOf } from "./shown.js";
import { givesOf, leftOver } from "./giving.js";
import { forgetSaved } from "../draft.js";
import { newId } from "./ids.js";

const SAYS = {
  waiting: "On this tablet only. It is sent by itself when the office is in reach.",
  sent: "Sent, and kept here until the office has a backup of it.",
  refused: "The office did not take it. It is kept, with the reason:",
};

function finding(one) {
  const says = [one.body, one.fix, one.settle].filter(Boolean).map((text) => el("p", {}, text));
  const asks = (one.questions || []).map((text) => el("p", { class: "finding-ask" }, text));
  const box = el("div", {}, el("p", { class: "finding-head" }, one.head), ...(asks.length ? asks : says), el("p", { class: "quiet" }, one.source || ""));
  const sign = mark(one.mark).querySelector("svg");
  return el("li", { class: "finding" }, sign || "", el("span", { class: "vh" }, WORDS[one.mark]), box);
}

function judgement({ judged, verdict, says }) {
  if (!judged && verdict) return [el("p", { class: "counts" }, mark(verdict, says))];
  if (!judged) return [el("p", { class: "notice" }, "This is judged when it is sent: the tablet cannot work it out by itself.")];
  const over = judged.findings.filter((one) => one.mark !== "pass");
  const list = over.length ? over : judged.findings;
  return [
    el("p", { class: "counts" }, mark(verdict)),
    el("ul", { class: "findings", "aria-label": "Findings, the gravest first" }, ...list.map(finding)),
    ...(judged.notes || []).map((note) => el("p", {}, note)),
    el("p", { class: "caution" }, judged.caution || ""),
  ];
}

const lowered = (text) => text.charAt(0).toLowerCase() + text.slice(1);

// What the check is over in, by crew: one tap puts it on that crew's list. What is nobody's is
// opened by hand.
function gives(record, { judged, room, title, body }) {
  if (!judged) return [];
  const crews = JSON.parse(document.getElementById("kept").dataset.crews);
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

async function pictures(body) {
  const kept = await Promise.all((body.photos || (body.sha256 ? [body.sha256] : [])).map(photo));
  return kept.filter(Boolean).map(({ bytes, media, smallBytes }) => {
    const data = smallBytes || bytes;
    const url = URL.createObjectURL(new Blob([data], { type: smallBytes ? "image/jpeg" : media }));
    return el("img", { src: url, alt: "Photo", width: 240 });
  });
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

async function show() {
  const box = document.getElementById("kept");
  const id = location.hash.slice(1);
  const record = id ? await entry(id) : null;
  if (!record) {
    const page = el("a", { class: "btn", href: `/checks/${id}` }, "Look for it in the office's record.");
    box.replaceChildren(el("p", { class: "notice" }, "This entry is no longer on this tablet. "), id ? page : "");
    return;
  }
  const facts = factsOf(record);
  forgetSaved(id);
  document.querySelector("h1").textContent = facts.title || facts.number || { act: "Punch item", photo: "Photo", walk: "Walk" }[facts.kind] || "Entry";
  document.querySelector(".head-where").textContent = facts.where || "";
  document.querySelector(".head-right").textContent = clock(record.envelope.claimed_ms);
  const state = el("p", { class: "notice" }, SAYS[record.state]);
  if (record.answer?.reason) state.append(el("b", {}, ` ${record.answer.reason}`));
  const given = (await entries()).filter((one) => one.envelope.type === "item/1" && JSON.parse(one.envelope.body).check === id);
  const listed = given.map((one) => el("li", {}, el("a", { class: "row-link", href: `/tablet/kept#${one.id}` }, `${one.shown.number} is on the list: `, JSON.parse(one.envelope.body).words)));
  const parts = [state];
  if (facts.kind === "check") parts.push(...judgement(facts), readings(facts.body));
  else parts.push(el("p", {}, facts.body.words || facts.body.reason || facts.body.caption || ""));
  if (listed.length) parts.push(el("ul", { class: "rows" }, ...listed));
  parts.push(...(await pictures(facts.body)));
  box.replaceChildren(...parts.filter(Boolean));
  const act = document.getElementById("kept-act");
  act.replaceChildren(el("a", { class: "btn", href: facts.room ? `/rooms/${facts.room}` : "/" }, "To the room"));
  if (!given.length && record.state !== "refused") act.append(...gives(record, facts));
}

addEventListener("hashchange", show);
show();
