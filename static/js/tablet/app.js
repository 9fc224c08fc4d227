// On every page: what is entered goes by the outbox, what waits is sent, and the line says so.

import { heard } from "./asking.js";
import { filterHere } from "./filters.js";
import { showLine } from "./line.js";
import { unlock } from "./lock.js";
import { introduce, outOfReach, sendAll } from "./send.js";
import { showUnsent } from "./shown.js";
import { fact, keepFact } from "./store.js";

const EVERY = 20_000;
let filled = null;

async function show() {
  await showLine(filled);
  try {
    await showUnsent();
  } catch (error) {
    if (!outOfReach(error)) throw error; // shown the next time
  }
}

async function sendAndShow() {
  await sendAll();
  await show();
}

// Whether the house knows this browser: as it was told before, else as it says now.
async function known() {
  if (await fact("device")) return true;
  try {
    return Boolean(await introduce());
  } catch (error) {
    if (!outOfReach(error)) throw error;
    return false;
  }
}

// Kept by the browser as long as it can be; a browser that says no is told on the readiness page.
async function keepStorage() {
  if (!navigator.storage?.persist || (await fact("lasting")) !== undefined) return;
  await keepFact("lasting", await navigator.storage.persist());
}

async function ask() {
  const { active } = await navigator.serviceWorker.ready;
  active.postMessage({ ask: "fill" });
}

// None without the certificate, even past the browser's warning.
async function hasWorker() {
  try {
    await navigator.serviceWorker?.register("/sw.js");
  } catch (error) {
    if (error.name !== "SecurityError") throw error;
    return false;
  }
  return "serviceWorker" in navigator;
}

async function work() {
  if (!(await hasWorker())) {
    filled = { missing: true };
    return show();
  }
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (!("filled" in event.data)) return;
    filled = event.data.filled;
    if (!filled) setTimeout(ask, EVERY); // it fell short, and there was none before
    show();
  });
  await ask();
}

async function start() {
  unlock(); // this page is a superintendent's
  filterHere();
  if (!(await known())) return; // nobody the house knows: plain forms, as without a script
  // Judging is much to load: only where there is a form to send.
  if (document.querySelector("form[method=post], #kept")) await (await import("./forms.js")).ready();
  document.documentElement.dataset.outbox = "1";
  await show();
  heard.addEventListener("message", show);
  addEventListener("online", sendAndShow);
  setInterval(() => document.visibilityState === "visible" && sendAndShow(), EVERY);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && sendAndShow());
  await sendAndShow();
  await keepStorage();
  await work();
}

start();
