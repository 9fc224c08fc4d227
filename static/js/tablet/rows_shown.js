// Lists of items: a row's state and crew as they are now, rows that join a list, those that leave it
// struck, and the numbers above.

import { el, here, stamp } from "./build.js";
import { isOf, stateOf, wordOf } from "./items_here.js";

const boxes = () => [...document.querySelectorAll("[data-items]")];

// The crew in a row's first words, and where a link to its list leads.
function nameCrew(place, crews, was, now) {
  const text = place.firstChild;
  place.dataset.crew ||= text.data;
  text.data = place.dataset.crew.replace(crews[was], crews[now]);
  if (place.href) place.href = `/crews/${now}`;
}

function showRow(row, item, crews) {
  const { state, trade, room } = row.dataset;
  const now = item?.after ?? (state && stateOf(state, trade));
  if (!now) return; // the page of an item that is only here, still to be filled in
  const box = row.closest("[data-items]");
  const left = Boolean(box) && !isOf(box.dataset, now, room);
  const passed = box?.dataset.trade && now.trade !== trade ? `for the ${crews[now.trade]}, ` : "";
  row.querySelector(".stamp").replaceWith(stamp(wordOf(now)), ...(item?.waits ? [here(passed)] : []));
  if (box) row.querySelector(".row-name, h2").classList.toggle("struck", left);
  row.hidden = boxes().some((other) => other !== box && isOf(other.dataset, now, room)); // it stands there
  const form = box && row.querySelector("form");
  if (form) form.hidden = Boolean(item);
  if (item) (row.dataset.number ? document : row).querySelectorAll("[data-crew]").forEach((place) => nameCrew(place, crews, trade, now.trade));
}

function joining({ id, before, after, shown, waits }, box, crews) {
  const href = before ? `/items/${id}` : `/tablet/kept#${id}`;
  const name = el("span", isOf(box.dataset, after, shown.room) ? {} : { class: "struck" });
  name.append(el("b", {}, shown.number), ` ${shown.words || "Photo, no words"}`);
  const signs = [stamp(wordOf(after)), waits ? here() : ""];
  const where = [!box.matches(".room-punch *") && shown.where, !box.dataset.trade && crews[after.trade]].filter(Boolean).join(", ");
  const says = [el("span", { class: "row-name punch-what" }, name), el("span", { class: "quiet punch-where" }, where)];
  return el(box.matches("ul") ? "li" : "article", { class: "made-here" }, el("a", { class: "row-link item-row", href }, ...says, ...signs));
}

export function showRows({ items, crews }) {
  document.querySelectorAll("[data-item]").forEach((row) => showRow(row, items.get(row.dataset.item), crews));
  for (const box of boxes()) {
    const there = new Set([...box.querySelectorAll("[data-item]")].map(({ dataset }) => dataset.item));
    // What was opened here and is done with stays in sight, struck.
    const joins = ({ before, after, shown, waits }) =>
      [after, !before && waits && { ...after, state: "open" }].some((one) => isOf(box.dataset, one, shown.room));
    const join = [...items.values()].filter((item) => !there.has(item.id) && joins(item));
    box.append(...join.map((item) => joining(item, box, crews)));
  }
}

export function showNumbers({ items }) {
  for (const box of document.querySelectorAll("[data-count]")) {
    const more = ({ before, after, shown }) => isOf(box.dataset, after, shown.room) - isOf(box.dataset, before, shown.room);
    const count = [...items.values()].reduce((sum, item) => sum + more(item), Number(box.dataset.count));
    box.textContent = count;
    const whole = box.closest("[data-zero]");
    if (whole) whole.hidden = !count;
  }
}
