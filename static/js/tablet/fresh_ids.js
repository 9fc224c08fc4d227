// A kept page is opened many times, and each time its forms are new ones: they get ids of their own.
// Not when the person went back to a form: sent again, it is still the same one. The browser's
// history keeps the ids, because a page that is fetched again on the way back has others.

import { newId } from "./ids.js";

const wentBack = () => performance.getEntriesByType("navigation")[0]?.type === "back_forward";

function idFor({ form, value }, before) {
  if (before) return before;
  // It came back with its errors, or as it was typed before a reload: and with its id.
  if (form.dataset.posted === "1" || form.dataset.broughtBack === "1") return value;
  const broughtBack = form.dataset.entry && form.dataset.entry !== value;
  return broughtBack ? form.dataset.entry : newId();
}

export function freshIds() {
  const before = (wentBack() && history.state?.ids) || {};
  const ids = {};
  document.querySelectorAll("form[method=post] input[name=entry_id]").forEach((input, n) => {
    const { form } = input;
    const key = `${n} ${new URL(form.action).pathname}`;
    input.value = ids[key] = idFor(input, before[key]);
    if (!form.dataset.entry || form.dataset.entry === input.value) return;
    form.dataset.entry = input.value;
    form.dispatchEvent(new Event("input")); // what is typed already is kept under the new id
  });
  history.replaceState({ ...history.state, ids }, "");
}
