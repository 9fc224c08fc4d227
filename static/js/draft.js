// What is typed survives a reload, a dead server, a wrong tap and a tablet that was switched off: kept
// until it is saved, or for two days.

import { DRAFTS } from "./tablet/drafts.js";

const WAIT = 200;
const LASTS = 48 * 3_600_000;

export class Draft {
  constructor(form, slots) {
    this.form = form;
    this.slots = slots;
    this.key = DRAFTS + location.pathname + location.search;
    this.timer = 0;
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.keep(), WAIT);
  }

  keep() {
    const values = {};
    for (const [name, value] of new FormData(this.form)) {
      if (typeof value === "string" && name !== "csrf_token" && name !== "do") values[name] = value;
    }
    const draft = { entry: this.form.dataset.entry, sheet: values.sheet_sha256, values, at: Date.now() };
    try {
      localStorage.setItem(this.key, JSON.stringify(draft));
    } catch (error) {
      if (error.name !== "QuotaExceededError" && error.name !== "SecurityError") throw error;
    }
  }

  read() {
    try {
      return JSON.parse(localStorage.getItem(this.key) || "null");
    } catch (error) {
      if (error instanceof SyntaxError || error.name === "SecurityError") return null;
      throw error;
    }
  }

  // True when something was brought back. A form that came back with its errors is newer.
  restore() {
    const draft = this.read();
    if (!draft || this.form.dataset.posted === "1" || Date.now() - draft.at > LASTS) return false;
    if (draft.sheet !== this.form.elements.sheet_sha256.value || !this.worth(draft.values)) return false;
    for (const [name, value] of Object.entries(draft.values)) {
      if (name.startsWith("slots-")) this.slots.resize(name.slice(6), Number(value) || 1);
    }
    for (const [name, value] of Object.entries(draft.values)) this.put(name, value);
    this.form.dataset.entry = draft.entry;
    this.form.dataset.broughtBack = "1"; // it stays the entry that it was
    this.unfold(draft.values);
    return true;
  }

  // The tool and the number of slots are there anyway: worth a word is only what was typed.
  worth(values) {
    const typed = (name) => (name.startsWith("q-") && !/-(unit|spacing)$/.test(name)) || name === "note";
    return Object.entries(values).some(([name, value]) => typed(name) && value.trim());
  }

  put(name, value) {
    const field = this.form.elements.namedItem(name);
    if (!field || name === "sheet_sha256") return;
    if (field.type !== "file") field.value = value; // a RadioNodeList takes a value as well
  }

  // What was brought back into a fold is in sight.
  unfold(values) {
    for (const [name, value] of Object.entries(values)) {
      if (!name.startsWith("q-") || !value.trim()) continue;
      const field = this.form.querySelector(`[name="${CSS.escape(name)}"]`);
      for (let fold = field?.closest(".folded"); fold; fold = fold.parentElement.closest(".folded")) fold.open = true;
    }
  }

  forget() {
    localStorage.removeItem(this.key);
  }
}
