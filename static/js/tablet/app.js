// On every page: what is entered goes by the outbox, what waits is sent, and the line says so.

import { putRoomIn } from "./any_room.js";
import { sameCrew } from "./entering.js";
import { freshIds } from "./fresh_ids.js";
import { showLine } from "./line.js";
import { heard, introduce, outOfReach, sendAll } from "./send.js";
import { showUnsent } from "./shown.js";
import { fact, keepFact } from "./store.js";
import { intercept } from "./submitting.js";

const EVERY = 20_000;
let filled = null;

async function show() {
  await showLine(filled);
  await showUnsent();
}

async function sendAndShow() {
  await sendAll();
  await show();
}

async function known() {
  try {
    if (await introduce()) return true;
  } catch (error) {
    if (!outOfReach(error)) throw error;
  }
  return Boolean(await fact("device"));
}

// Kept by the browser as long as it can be; a browser that says no is told on the readiness page.
async function keepStorage() {
  if (!navigator.storage?.persist || (await fact("lasting")) !== undefined) return;
  await keepFact("lasting", await navigator.storage.persist());
}

async function work() {
  if (!("serviceWorker" in navigator)) return; // no certificate yet: works in reach, see the guide
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (!("filled" in event.data)) return;
    filled = event.data.filled;
    show();
  });
  await navigator.serviceWorker.register("/sw.js");
  const { active } = await navigator.serviceWorker.ready;
  active.postMessage({ ask: "fill" });
}

async function start() {
  if (!(await known())) return; // nobody the house knows: plain forms, as without a script
  freshIds();
  sameCrew();
  await putRoomIn();
  intercept();
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
