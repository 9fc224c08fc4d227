// What is on this tablet only, shown at the top of the page it belongs to: a room, an item, a list.

import { el, mark, stamp } from "./build.js";
import { entries } from "./store.js";

const STATES = { corrected: "corrected", accepted: "accepted", accepted_as_is: "accepted as is", sent_back: "sent back", withdrawn: "withdrawn" };

const ACTS = {
  corrected: "Corrected, the crew says", accepted: "Seen corrected", accepted_as_is: "Accepted as is",
  sent_back: "Sent back", withdrawn: "Withdrawn", passed_on: "Passed on", note: "Note", not_ours: "Not theirs",
};

function where(path) {
  const [, place, id] = path.split("/");
  if (place === "") return () => true;
  if (place === "rooms") return id ? ({ room }) => room === id : ({ kind }) => kind !== "walk";
  if (place === "items") return ({ subject }) => subject === `item:${id}`;
  if (place === "crews") return ({ trade }) => trade === id;
  if (place === "punch") return ({ kind }) => kind === "item" || kind === "act";
  return () => false;
}

export function factsOf(record) {
  const { envelope, shown } = record;
  const [kind] = envelope.type.split("/");
  return { kind, subject: envelope.subject, body: JSON.parse(envelope.body), ...shown };
}

function words({ kind, body, title, number }) {
  if (kind === "check") return title;
  if (kind === "item") return `${number} ${body.words || "Photo, no words"}`;
  if (kind === "act") return [ACTS[body.act], body.reason].filter(Boolean).join(": ");
  if (kind === "photo") return body.caption || "Photo";
  return kind === "walk" ? `Walk of ${body.day}` : kind;
}

function line(record) {
  const facts = factsOf(record);
  const row = el("a", { class: "row-link", href: `/tablet/kept#${record.id}` }, el("span", { class: "row-name" }, words(facts)));
  if (facts.kind === "check" && facts.verdict) row.append(mark(facts.verdict, facts.says));
  if (facts.kind === "item") row.append(stamp("open"));
  if (facts.kind === "act" && STATES[facts.body.act]) row.append(stamp(facts.body.act));
  row.append(el("span", { class: "quiet" }, record.state === "refused" ? "Refused: see why" : facts.where || ""));
  return el("li", {}, row);
}

// Waiting or refused; and what was sent after the page (it may be a kept one) was made.
export const unseen = (record, head) =>
  record.state === "sent" ? record.answer.seq > head : !record.looked;

export async function showUnsent() {
  const here = where(location.pathname);
  const head = Number(document.documentElement.dataset.head || 0);
  const all = (await entries()).filter((record) => unseen(record, head) && here(factsOf(record)));
  const photos = all.filter((record) => factsOf(record).kind === "photo" && factsOf(record).body.of);
  const listed = all.filter((record) => !photos.includes(record));
  document.getElementById("unsent")?.remove();
  if (!listed.length) return;
  const box = el("section", { id: "unsent", class: "unsent", "aria-labelledby": "unsent-head" });
  const sent = listed.every((record) => record.state === "sent");
  box.append(el("h2", { id: "unsent-head" }, sent ? "Sent since this page was made" : "On this tablet only"));
  box.append(el("ul", { class: "rows" }, ...listed.map(line)));
  document.getElementById("page").prepend(box);
}
