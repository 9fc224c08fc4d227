// The survey page: stations walked back and forth, the map filling in as numbers come.

import { Draft } from "./draft.js";
import { Painted } from "./floor_map.js";
import { bringBack, followHead, keepInSight, mainTool, sayMainTool, useSuggestions } from "./keyed.js";
import { Keypad } from "./keypad.js";
import { Stops } from "./stops.js";

// In walking order: along each row and back along the next, as the rod goes.
class Walk extends Stops {
  all() {
    const order = (stop) => Number(stop.dataset.walk);
    return super.all().filter((stop) => stop.dataset.walk).sort((a, b) => order(a) - order(b));
  }
}

const form = document.getElementById("entry");
const pad = document.getElementById("pad");
const reads = document.getElementById("reads");
const nothing = { resize() {}, label() {} };

const stops = new Walk(form);
const preview = new Painted(form, stops);
const draft = new Draft(form, nothing);
const changed = () => {
  preview.count();
  preview.soon();
  draft.soon();
};
const keypad = new Keypad(pad, stops, changed);

function sayReads() {
  const chosen = reads.selectedOptions[0];
  document.getElementById("head-how").textContent = chosen.dataset.how;
  const kind = chosen.value === "heights 16ths" ? "level" : "length";
  for (const stop of form.querySelectorAll("[data-walk]")) stop.dataset.kind = kind;
  keypad.entered();
}

function sayTool() {
  sayMainTool(form);
  const tool = mainTool(form);
  if (tool) document.getElementById("head-tool").textContent = tool.dataset.says;
}

form.addEventListener("input", changed);
form.addEventListener("change", sayTool);
useSuggestions(form, stops, keypad, changed);
form.addEventListener("submit", () => draft.keep());
document.body.classList.add("keyed", "scripted");
followHead(pad);
keepInSight(pad, stops);
bringBack(draft);
sayTool();
const blank = stops.all().find((stop) => !stop.value.trim());
const held = stops.held();
const first = form.querySelector("[aria-invalid=true]") || held || blank || stops.all()[0];
stops.go(first);
sayReads();
reads.addEventListener("change", () => {
  sayReads();
  changed();
});
if (!held && !form.querySelector("[aria-invalid=true]")) window.scrollTo(0, 0);
preview.count();
preview.soon();
