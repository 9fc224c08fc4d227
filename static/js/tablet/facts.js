// What an entry of the outbox says to a page, and which of them a page does not know yet.

import { entries } from "./store.js";

export function factsOf(record) {
  const { envelope, shown } = record;
  const [kind] = envelope.type.split("/");
  return { kind, subject: envelope.subject, body: JSON.parse(envelope.body), ...shown };
}

// Waiting or refused; and what was sent after the page (it may be a kept one) was made.
export const unseen = (record, head) =>
  record.state === "sent" ? record.answer.seq > head : !record.looked;

export async function unseenHere() {
  const head = Number(document.documentElement.dataset.head || 0);
  return (await entries()).filter((record) => unseen(record, head));
}

const HOW = { eye: "seen by eye", "in person": "in person", call: "by call", text: "by text" };

// What was done about an item, in a few words.
export function wordsOf({ act = "opened", how, agreed_by: by, trade }, crews = {}) {
  const what = act[0].toUpperCase() + act.slice(1).replaceAll("_", " ");
  const more = HOW[how] ?? (by ? `agreed by ${by}` : crews[trade]);
  return more ? `${what}: ${more}` : what;
}
