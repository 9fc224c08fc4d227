// On a tablet in a crew's hands: the worker keeps this list and gives nothing else, and a form
// that the office can't take now says so instead of being lost.

import { letPast, notice } from "./reach.js";

const PATIENCE = 4000;
const FAR = "No signal: this needs the office, and nothing was sent. What you typed stays here; send it again in reach.";
const page = document.documentElement.dataset.passed;

async function keepList() {
  const here = location.pathname === page && !location.search;
  const take = here ? [page, ...[...document.images].map((image) => image.src)] : [];
  const { active } = await navigator.serviceWorker.ready;
  active.postMessage({ ask: "lock", page, take });
  document.documentElement.dataset.locked = "1";
}

// By HEAD, which the worker leaves alone.
async function reached() {
  try {
    await fetch("/guide/here.svg", { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
    return true;
  } catch (error) {
    if (error instanceof TypeError || error.name === "TimeoutError") return false;
    throw error;
  }
}

document.addEventListener("submit", async (event) => {
  const { target: form, submitter } = event;
  if (form.method !== "post" || form.dataset.past) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "1";
  if (await reached()) letPast(form, submitter);
  else notice(form, FAR);
  delete form.dataset.busy;
});

if (navigator.serviceWorker) keepList();
