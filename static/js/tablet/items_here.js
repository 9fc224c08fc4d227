// Items as they stand on this tablet: the office's state, as a page or the outbox knows it, and
// what was done here since.

import { fold } from "../calc/items.js";

// A stamp's word, and the state that it stands for.
export const wordOf = ({ state, sent_back }) => (sent_back ? "sent_back" : state);
export const stateOf = (word, trade) => {
  const sent_back = word === "sent_back";
  return { state: sent_back ? "open" : word, sent_back, trade, opened: true };
};

function eventOf({ id, envelope }) {
  const { act = "opened", day, trade, reason } = JSON.parse(envelope.body);
  return { id, act, role: envelope.author.split("/")[0], day, trade, reason };
}

function itemOf(table, id, all, known) {
  const { shown } = all[0];
  const before = known ?? shown.was; // none of an item that was made here
  const counted = all.filter(({ state, envelope }) => state !== "refused" && !(before && envelope.type === "item/1"));
  const { lines, ...after } = fold(table, counted.map(eventOf), before);
  const why = Object.fromEntries(lines.map((one) => [one.id, one.why]));
  const waits = counted.some(({ state }) => state === "waiting");
  return { id, before, after, shown, all, why, waits };
}

/**
 * A Map of items by id: `before` and `after` the acts, `why` an act has no effect, by its id.
 * `records`: entries that the page's maker had not seen, in order. `known`: the page's items by id.
 */
export function itemsHere(table, records, known) {
  const about = new Map();
  for (const record of records) {
    const [kind, id] = record.envelope.subject.split(":");
    if (kind === "item") about.set(id, [...(about.get(id) ?? []), record]);
  }
  return new Map([...about].map(([id, all]) => [id, itemOf(table, id, all, known.get(id))]));
}

/** Whether an item of `room` in this state belongs to a list or number: of which states, crew, rooms. */
export const isOf = ({ states, trade, rooms }, item, room) =>
  Boolean(item?.opened) && (!states || states.split(" ").includes(item.state)) &&
  (!trade || trade === item.trade) && (!rooms || rooms.split(" ").includes(room));
