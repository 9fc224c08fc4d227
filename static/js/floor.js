// The survey page: stations walked back and forth, the map filling in as numbers come.

import { Draft } from "./draft.js";
import { Painted } from "./floor_map.js";
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
  const tool = form.querySelector("input[name=instrument]:checked");
  if (!tool) return;
  document.getElementById("head-tool").textContent = tool.dataset.says;
  document.getElementById("tool-name").textContent = tool.dataset.says;
}

function offerStartOver() {
  const box = document.getElementById("brought-back");
  box.querySelector("p").textContent = "What you had typed here is brought back.";
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => {
    draft.forget();
    location.reload();
  });
}

function useSuggestion(event) {
  const button = event.target.closest("[data-use]");
  if (!button) return;
  event.preventDefault();
  const field = form.elements.namedItem(button.dataset.use);
  field.value = button.textContent.trim();
  stops.go(field);
  keypad.settle(true);
  changed();
}

form.addEventListener("input", changed);
form.addEventListener("change", sayTool);
form.addEventListener("click", useSuggestion);
form.addEventListener("submit", () => draft.keep());
document.body.classList.add("keyed", "scripted");
const head = document.querySelector(".head");
new ResizeObserver(() => pad.style.setProperty("--head", `${head.offsetHeight}px`)).observe(head);
if (draft.restore()) offerStartOver();
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
