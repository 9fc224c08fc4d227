// What was done on this tablet and is not in the page yet stands where the office will have it:
// in lists, rows, numbers, on an item's page; marked as long as it is on this tablet only.

import { preparePhotos, showChecks, showDone, showNotes, showWalk } from "./checks_shown.js";
import { walkDay } from "./day.js";
import { unseenHere } from "./facts.js";
import { houseData } from "./house_data.js";
import { itemsHere, stateOf } from "./items_here.js";
import { prepareItem } from "./item_shown.js";
import { showNumbers, showRows } from "./rows_shown.js";

let last = "";

// The page's own items, as the office knew them when it made the page.
function known() {
  const rows = [...document.querySelectorAll("[data-state]")];
  return new Map(rows.map(({ dataset }) => [dataset.item, stateOf(dataset.state, dataset.trade)]));
}

// {items, table, crews}: every item about which something was done here since the page was made.
export async function itemsNow(records) {
  const about = records.filter(({ id, envelope }) =>
    envelope.subject.startsWith("item:") && !document.getElementById(`entry-${id}`));
  if (!about.length) return { items: new Map(), table: [], crews: {} };
  const { judges, crews } = await houseData();
  return { items: itemsHere(judges.transitions, about, known()), table: judges.transitions, crews };
}

// `anew`: the page itself was changed meanwhile.
export async function showUnsent(anew = false) {
  const records = await unseenHere();
  const which = records.map(({ id, state }) => id + state).join();
  if (which === last && !anew) return;
  const taken = records.filter(({ state }) => state !== "refused");
  const [now, day] = [await itemsNow(records), await walkDay()];
  // All that is waited for comes before the first change of the page.
  const ready = await Promise.all([preparePhotos(taken), prepareItem(now)]);
  last = which;
  document.querySelectorAll(".made-here").forEach((old) => old.remove());
  showRows(now);
  showNumbers(now);
  showChecks(taken, day);
  showNotes(taken);
  showWalk(taken, day);
  showDone(taken);
  ready.forEach((put) => put?.());
}
