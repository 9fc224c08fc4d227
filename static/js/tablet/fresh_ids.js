// A kept page is opened many times, and each time its forms are new ones: they get ids of their own.
// Not when the person went back to a form: sent again, it is still the same one.

import { newId } from "./ids.js";

const wentBack = () => performance.getEntriesByType("navigation")[0]?.type === "back_forward";

export function freshIds() {
  if (wentBack()) return;
  for (const input of document.querySelectorAll("form[method=post] input[name=entry_id]")) {
    const { form } = input;
    if (form.dataset.posted === "1") continue; // it came back with its errors, and with its id
    const old = input.value;
    const broughtBack = form.dataset.entry && form.dataset.entry !== old;
    input.value = broughtBack ? form.dataset.entry : newId();
    if (form.dataset.entry) form.dataset.entry = input.value;
  }
}
