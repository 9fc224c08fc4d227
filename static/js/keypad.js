// The keypad: taps change the current slot. Two taps a riser, one for a repeat.

import { begins, press, shown } from "./typing.js";

const KEYED = [
  "length", "level", "angle", "slope", "percent", "number", "count", "temperature", "degrees", "time", "weight", "date",
];

export class Keypad {
  constructor(pad, stops, changed) {
    this.pad = pad;
    this.stops = stops;
    this.changed = changed;
    this.done = false;
    this.fresh = true;
    pad.hidden = false;
    if (window.matchMedia("(pointer: coarse)").matches) {
      // Our keys, not the system's, which would cover them.
      const keyed = KEYED.map((kind) => `input[data-kind=${kind}]`).join();
      for (const stop of stops.form.querySelectorAll(keyed)) stop.inputMode = "none";
    }
    // Keep the focus (and the caret) in the slot while keys are tapped.
    pad.querySelector("#pad-keys").addEventListener("pointerdown", (e) => e.preventDefault());
    pad.querySelector("#pad-keys").addEventListener("click", (e) => {
      const key = e.target.closest("[data-key]");
      if (key) this.tap(key.dataset.key);
    });
    pad.querySelector("#pad-back").addEventListener("click", () => stops.back());
    pad.querySelector("#pad-next").addEventListener("click", () => this.next());
    stops.addEventListener("entered", () => this.entered());
    stops.form.addEventListener("keydown", (e) => this.typed(e));
    stops.form.addEventListener("input", (e) => {
      if (e.target === stops.current) this.settle(false);
    });
  }

  keyed() {
    const { current } = this.stops;
    return current && KEYED.includes(current.dataset.kind) ? current : null;
  }

  tap(key) {
    if (this.done && begins(key) && this.stops.near(1)?.dataset.kind === this.stops.current.dataset.kind) {
      this.stops.next();
    }
    const slot = this.keyed();
    if (!slot) return;
    if (key === "same") return this.put(slot, this.stops.before(slot), true);
    const start = this.fresh && begins(key) ? "" : slot.value;
    const { text, done } = press(start, key);
    // Level with the first station is said with one key.
    this.put(slot, text, done || (slot.dataset.kind === "level" && text === "0"));
  }

  put(slot, text, done) {
    slot.value = text;
    this.settle(done);
    this.changed();
  }

  settle(done) {
    this.done = done;
    this.fresh = false;
    this.show();
  }

  next() {
    if (this.stops.near(1)) this.stops.next();
    else this.stops.form.requestSubmit();
  }

  typed(event) {
    const { target } = event;
    if (event.key !== "Enter" || !target.matches("input:not([type=file])")) return;
    if (event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    if (this.stops.near(1)) this.stops.next();
  }

  entered() {
    this.done = false;
    this.fresh = true;
    const { current } = this.stops;
    const kind = current.dataset.kind;
    this.pad.classList.toggle("keyless", !KEYED.includes(kind));
    this.offerAnswers(current);
    for (const part of this.pad.querySelectorAll("[data-only]")) {
      const only = part.dataset.only;
      if (only === "feet") part.hidden = current.dataset.feet !== "1";
      else if (only === "list") part.hidden = !this.stops.listed(current);
      else part.hidden = !only.split(" ").includes(kind);
    }
    this.show();
  }

  // A question's answers as keys: one tap answers and goes on.
  offerAnswers(stop) {
    const box = this.pad.querySelector("#pad-answers");
    const radios = stop.matches("fieldset") ? [...stop.querySelectorAll("input[type=radio]")] : [];
    box.hidden = !radios.length;
    box.replaceChildren(...radios.filter((r) => r.value).map((radio) => {
      const key = document.createElement("button");
      Object.assign(key, { type: "button", textContent: radio.parentElement.textContent.trim() });
      key.addEventListener("click", () => {
        radio.checked = true;
        this.changed();
        this.stops.next();
      });
      return key;
    }));
  }

  // How many letters the button for the next slot takes.
  room() {
    return window.matchMedia("(max-width: 759px)").matches ? 28 : 44;
  }

  show() {
    const { current } = this.stops;
    if (!current) return;
    const { label, of, kind } = current.dataset;
    const unit = kind === "length" ? this.pad.dataset.unit : current.dataset.unit || "";
    const value = current.matches("fieldset") ? "" : current.value;
    this.pad.querySelector("#pad-value").textContent = shown(value, unit);
    const place = /\d$/.test(label) && of && of !== "0" ? `${label.toLowerCase()} of ${of}` : label;
    this.pad.querySelector("#pad-of").textContent = place;
    const next = this.stops.near(1);
    const word = next ? `Next: ${next.dataset.label.toLowerCase()}` : "Save and see";
    this.pad.querySelector("#pad-next").textContent = word.length > this.room() ? "Next" : word;
    this.pad.querySelector("#pad-back").disabled = !this.stops.near(-1);
    this.pad.querySelector("#pad-save").hidden = !next;
  }
}
