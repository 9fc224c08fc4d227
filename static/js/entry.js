// The entry page: brings slots, keypad, preview and draft together.

import { Draft } from "./draft.js";
import { bringBack, followHead, keepInSight, mainTool, sayMainTool, useSuggestions } from "./keyed.js";
import { Keypad } from "./keypad.js";
import { Preview } from "./preview.js";
import { Slots } from "./slots.js";
import { Stops } from "./stops.js";

const form = document.getElementById("entry");
const pad = document.getElementById("pad");

const stops = new Stops(form);
const preview = new Preview(form, stops);
const changed = () => {
  preview.soon();
  draft.soon();
};
const slots = new Slots(form, stops, () => changed());
const draft = new Draft(form, slots);
const keypad = new Keypad(pad, stops, () => {
  slots.label();
  changed();
});

// The tool of the field in hand: the one chosen for it, else the check's where that can take it.
function toolOf(ask) {
  const main = mainTool(form);
  if (!ask) return main?.parentElement.textContent.trim() || "";
  const able = JSON.parse(ask.dataset.tools);
  const chosen = ask.querySelector(".other-tool select")?.value;
  const one = able.find(([id]) => id === chosen) || able.find(([id]) => id === main?.value) || able[0];
  return one ? one[1] : "";
}

function sayHead() {
  const ask = stops.current?.closest(".ask");
  document.getElementById("head-how").textContent = ask ? ask.dataset.how : "";
  document.getElementById("head-tool").textContent = toolOf(ask);
}

form.addEventListener("input", () => changed());
form.addEventListener("change", () => {
  sayMainTool(form);
  sayHead();
});
useSuggestions(form, stops, keypad, changed);
form.addEventListener("submit", () => draft.keep());
stops.addEventListener("entered", sayHead);

document.body.classList.add("keyed");
history.scrollRestoration = "manual"; // after a reload the page begins where its notice stands
followHead(pad);
keepInSight(pad, stops);
bringBack(draft);
sayMainTool(form);
slots.label();
const firstWrong = form.querySelector("[aria-invalid=true]");
const held = stops.held();
stops.go(firstWrong || held || form.querySelector(".ask [data-stop]"));
if (!firstWrong && !held) {
  window.scrollTo(0, 0);
  if (document.getElementById("brought-back").hidden) stops.bringIntoView(stops.current);
}
preview.soon();
