// A punch item, folded from the entries about it by the published transition table (`transitions`
// of the tablet's document): the twin of calc/items.py. An act outside the table has no effect,
// and the line says why.

const BEFORE = {
  state: "open", trade: "", sent_back: false, not_ours: "", state_day: "", last_reason: "",
  opened: false, struck: "",
};

/** The acts that take effect from `state` for `role`, in the table's order. */
export const allowedActs = (table, state, role) =>
  table.filter((row) => row.states.includes(state) && row.roles.includes(role)).map((row) => row.act);

/**
 * The state of an item after `events`, in journal order, with what became of each in `lines`.
 * An event is {id, act, role, day, crew, trade, reason, struck}; the opening's act is "opened".
 * `from`: what is known of it before them, where that is not nothing.
 */
export function fold(table, events, from = BEFORE) {
  let item = { ...BEFORE, ...from };
  const lines = [];
  for (const raw of events) {
    const event = { crew: "", trade: "", reason: "", struck: "", ...raw };
    const row = table.find((one) => one.act === event.act);
    const why = whyNoEffect(item, event, row);
    lines.push({ id: event.id, effect: !why, why });
    if (event.act === "opened") item = afterOpening(event);
    else if (!why) item = after(item, event, row);
  }
  return { ...item, lines };
}

const afterOpening = ({ trade, day, struck }) => ({ ...BEFORE, trade, state_day: day, opened: true, struck });
const spaced = (word) => word.replaceAll("_", " ");

function whyNoEffect(item, event, row) {
  if (event.struck) return "struck through";
  if (event.act === "opened") return "";
  if (!item.opened) return "there was no such item";
  if (item.struck) return "the item is struck through";
  const act = spaced(event.act);
  if (!row.roles.includes(event.role)) return `a ${event.role} cannot enter ${act}`;
  if (event.crew && event.crew !== item.trade) return "the item is another crew's";
  if (!row.states.includes(item.state)) {
    return `the item was ${spaced(item.state)}, and ${act} does not follow that`;
  }
  if (event.act === "passed_on" && event.trade === item.trade) return "the item is that crew's already";
  return "";
}

function after(item, { act, day, trade, reason }, row) {
  if (act === "note") return item;
  if (act === "not_ours") return { ...item, not_ours: reason, last_reason: reason };
  if (act === "passed_on") {
    return { ...item, trade, not_ours: "", sent_back: false, last_reason: reason };
  }
  const sent_back = act === "sent_back";
  return { ...item, state: row.to, sent_back, not_ours: "", state_day: day, last_reason: reason };
}
