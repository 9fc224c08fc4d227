// The entry page: brings slots, keypad, preview and draft together.

import { Draft } from "./draft.js";
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

function sayHow() {
  const ask = stops.current.closest(".ask");
  const how = ask ? ask.dataset.how : "";
  document.getElementById("head-how").textContent = how;
}

function sayTool() {
  const tool = form.querySelector("input[name=instrument]:checked");
  if (!tool) return;
  document.getElementById("head-tool").textContent = tool.parentElement.textContent.trim();
  document.getElementById("tool-name").textContent = tool.dataset.says;
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

function offerStartOver() {
  const box = document.getElementById("brought-back");
  box.querySelector("p").textContent = "What you had typed here is brought back.";
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => {
    draft.forget();
    location.reload();
  });
}

form.addEventListener("input", () => changed());
form.addEventListener("change", sayTool);
form.addEventListener("click", useSuggestion);
form.addEventListener("submit", () => draft.keep());
stops.addEventListener("entered", sayHow);

document.body.classList.add("keyed");
history.scrollRestoration = "manual"; // after a reload the page begins where its notice stands
// Under the head, which stays in sight and grows with a long "how to measure".
const head = document.querySelector(".head");
new ResizeObserver(() => {
  pad.style.setProperty("--head", `${head.offsetHeight}px`);
}).observe(head);
if (draft.restore()) offerStartOver();
sayTool();
slots.label();
const firstWrong = form.querySelector("[aria-invalid=true]");
const held = stops.held();
stops.go(firstWrong || held || form.querySelector(".ask [data-stop]"));
if (!firstWrong && !held) window.scrollTo(0, 0);
preview.soon();
