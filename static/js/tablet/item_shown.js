// One item's page: what was done about it here, in its history, and what can be done now.

import { allowedActs } from "../calc/items.js";
import { clock, el, here } from "./build.js";
import { wordsOf } from "./facts.js";
import { pictures } from "./pictures.js";

async function line({ id, envelope, state, answer }, { before, why }, crews) {
  const body = JSON.parse(envelope.body);
  const refused = state === "refused";
  const no = refused ? answer.reason : why[id] && `${why[id]}.`;
  const photos = body.act ? await pictures(body.photos) : [];
  const quiet = `${envelope.author.split("/")[1]}, ${clock(envelope.claimed_ms)} `;
  return el("li", { class: "made-here" },
    el("p", no ? { class: "struck" } : {}, el("b", {}, wordsOf(body, crews))),
    el("p", { class: "quiet" }, quiet, before && state === "waiting" ? here() : ""),
    body.reason ? el("p", { class: "said" }, body.reason) : "",
    no ? el("p", {}, el("b", {}, refused ? "Refused by the office:" : "No effect:"), ` ${no}`) : "",
    ...photos);
}

export async function prepareItem({ items, table, crews }) {
  const page = document.querySelector("[data-number]");
  const item = page && items.get(page.dataset.item);
  if (!item) return null;
  const lines = await Promise.all(item.all.map((record) => line(record, item, crews)));
  const may = allowedActs(table, item.after.state, "superintendent");
  return () => {
    page.querySelector(".history").append(...lines);
    for (const one of document.querySelectorAll("[data-act]")) one.hidden = !may.includes(one.dataset.act) && !one.open;
  };
}
