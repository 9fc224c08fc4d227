// A list with filters is kept whole on the tablet: what its address asks for is picked out here.

import { el } from "./build.js";
import { isOf, stateOf } from "./items_here.js";
import { showNumbers } from "./rows_shown.js";

// A row of the page, or a group of those that it only counts: its item's state and room, how many.
const rowOf = ({ dataset: { state, trade, room } }) => [stateOf(state, trade), room, 1];
const groupOf = ([state, trade, room, count]) => [stateOf(state, trade), room, count];

function narrow(box, { states, ...whose }) {
  const rows = [...box.querySelectorAll("[data-state]")];
  const all = [...rows.map(rowOf), ...JSON.parse(box.dataset.others).map(groupOf)];
  for (const { dataset } of document.querySelectorAll("[data-count]")) {
    if (states && dataset.states === box.dataset.states) dataset.states = states;
    Object.assign(dataset, whose);
    dataset.count = all.reduce((sum, [state, room, count]) => sum + isOf(dataset, state, room) * count, 0);
  }
  Object.assign(box.dataset, whose, states && { states });
  for (const row of rows) if (!isOf(box.dataset, ...rowOf(row))) row.remove();
  if (!box.children.length) box.append(el("li", { class: "empty" }, "No item is like that."));
}

// Nothing, where the office has filtered the page itself.
export function filterHere() {
  const asked = new URLSearchParams(location.search);
  const picked = [...document.querySelectorAll(".filters option")].filter((one) =>
    one.value === asked.get(one.parentNode.name) && !one.defaultSelected);
  const box = document.querySelector("[data-others]");
  for (const option of picked) {
    const { far, ...narrowed } = option.dataset;
    option.selected = true;
    if (far) document.querySelector(".filters").after(el("p", { class: "notice" }, far));
    if (box) narrow(box, narrowed);
  }
  if (!picked.length) return;
  showNumbers({ items: new Map() });
  const whose = picked.filter(({ dataset }) => !dataset.states).map(({ text }) => text).join(", ");
  if (whose) document.querySelector(".head-where").textContent = whose;
}
