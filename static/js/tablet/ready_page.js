// Ready for walking? The app tests on itself what a walk with no signal needs.

import { photoOf } from "./camera.js";
import { digest } from "./ids.js";
import { introduce, outOfReach } from "./send.js";
import { fact, forgetFact, keepFact } from "./store.js";
import { runTests, sayVerdict } from "../told_tests.js";

const TRIED = "tried";
const FILLED_WITHIN = 180_000;
const ANSWERED_WITHIN = 10_000;

const late = (ms) => new Promise((resolve) => setTimeout(resolve, ms, null));

async function worker() {
  if (!navigator.serviceWorker) return null;
  const there = navigator.serviceWorker.ready.then(({ active }) => active);
  return Promise.race([there, late(ANSWERED_WITHIN)]);
}

// The worker fetches the house if it has none as of now, and says what it has.
async function filled() {
  const active = await worker();
  if (!active) return false;
  const told = new Promise((resolve) => {
    navigator.serviceWorker.addEventListener("message", ({ data }) => "filled" in data && resolve(data.filled));
  });
  active.postMessage({ ask: "fill" });
  return Boolean((await Promise.race([told, late(FILLED_WITHIN)]))?.rooms);
}

async function lasting() {
  if (!navigator.storage?.persist) return false;
  const kept = (await navigator.storage.persisted()) || (await navigator.storage.persist());
  await keepFact("lasting", kept);
  return kept;
}

async function keptAndRead(value) {
  await keepFact(TRIED, value);
  const read = await fact(TRIED);
  await forgetFact(TRIED);
  return read;
}

async function writes() {
  const written = crypto.getRandomValues(new Uint8Array(64));
  return String(await keptAndRead(written)) === String(written);
}

async function picture() {
  const canvas = Object.assign(document.createElement("canvas"), { width: 1200, height: 900 });
  const drawing = canvas.getContext("2d");
  drawing.fillStyle = `hsl(${Date.now() % 360} 60% 50%)`;
  drawing.fillRect(100, 100, 1000, 700);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg"));
}

// Kept as a photo is kept, read back whole, and there and back to the office, which keeps nothing.
async function photo() {
  const made = await photoOf(await picture());
  const read = await keptAndRead({ bytes: made.bytes, small: made.small });
  if ((await digest(read.bytes)) !== made.sha256 || !read.small?.byteLength) return false;
  try {
    const hello = await introduce();
    const headers = { "X-CSRF-Token": hello.token, "Content-Type": "image/jpeg" };
    const answer = await fetch("/tablet/ready/photo", { method: "POST", body: read.bytes, headers });
    return answer.ok && (await answer.json()).sha256 === made.sha256;
  } catch (error) {
    if (!outOfReach(error)) throw error;
    return false;
  }
}

// What a reload would get were the office gone: today's walk, of this build, with all it names.
async function reload() {
  const active = await worker();
  if (!active) return false;
  const { port1, port2 } = new MessageChannel();
  const told = new Promise((resolve) => { port1.onmessage = ({ data }) => resolve(data.html); });
  active.postMessage({ ask: "page", path: "/" }, [port2]);
  const html = await Promise.race([told, late(ANSWERED_WITHIN)]);
  const page = new DOMParser().parseFromString(html || "", "text/html");
  const named = [...page.querySelectorAll("script[src], link[rel=stylesheet]")].map((one) => one.getAttribute("src") || one.getAttribute("href"));
  const kept = await Promise.all(named.map((address) => caches.match(address)));
  return named.length > 0 && kept.every(Boolean) && page.documentElement.dataset.build === document.documentElement.dataset.build;
}

const TESTS = { worker: async () => Boolean(await worker()), filled, lasting, writes, photo, reload };

const { missing, of } = await runTests(TESTS);
if (missing) await forgetFact("ready");
else await keepFact("ready", Date.now());
sayVerdict(missing ? `Not ready for walking yet: ${missing} of ${of} missing. See below what to do.` : "Ready for walking.");
