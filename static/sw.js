// The worker: the house's pages, kept whole as of one moment, for when there is no signal.
// It answers same-origin GET alone. What is entered goes by the page's own outbox, never by here.

const KEPT = "house-";
const ABOUT = "fieldlog";
const MARKER = "/tablet/marker";
const PATIENCE = 2000;
const SHORT = 300;
const LASTS = 60_000;
let failed = 0; // when the office last could not be reached: for a while nobody waits for it
const AT_ONCE = 1; // the office has a few threads, and people wait for pages
const OFTEN = 120_000;

self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  if (event.data?.ask === "fill") event.waitUntil(fill(event.data.now === true));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/sync") || url.pathname === "/tablet/pages") return;
  const forever = url.pathname.startsWith("/static/") || url.pathname.startsWith("/photos/");
  event.respondWith(forever ? keptFirst(request) : freshFirst(request, url));
});

async function marker() {
  const answer = await (await caches.open(ABOUT)).match(MARKER);
  return answer ? answer.json() : null;
}

// The page as of the last whole filling; an address that only says what was just done is the page's.
async function kept(url) {
  const filled = await marker();
  if (!filled) return undefined;
  const plain = new URL(url);
  plain.searchParams.delete("done");
  plain.hash = "";
  const cache = await caches.open(filled.name);
  return (await cache.match(plain.href)) || cache.match(anyRooms(plain));
}

// A sheet that is planned in no room of that name is kept once, for all rooms.
function anyRooms({ pathname, href }) {
  const found = pathname.match(/^\/rooms\/[^/]+\/checks\/([^/]+)$/);
  return found ? `/tablet/measure/${found[1]}` : href;
}

// What an address names never changes here: a version or a digest is in it.
async function keptFirst(request) {
  return (await caches.match(request)) || fetch(request);
}

async function freshFirst(request, url) {
  const fresh = fetch(request);
  fresh.then(() => { failed = 0; }, () => { failed = Date.now(); });
  const patience = !navigator.onLine || Date.now() - failed < LASTS ? SHORT : PATIENCE;
  const late = new Promise((resolve) => setTimeout(resolve, patience, null));
  try {
    const first = await Promise.race([fresh, late]);
    if (first) return first;
    return (await kept(url)) || (await fresh);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    const page = await kept(url);
    if (page) return page;
    const lost = request.mode === "navigate" && (await kept(new URL("/tablet/no-signal", location.origin)));
    return lost || Response.error();
  }
}

let filling = null;

// All of it or nothing: the old filling serves until the new one is complete.
function fill(now) {
  filling ??= fillOnce(now).finally(() => {
    filling = null;
  });
  return filling;
}

async function fillOnce(now) {
  try {
    const list = await (await got("/tablet/pages")).json();
    const before = await marker();
    if (!now && before?.build === list.build && (before.head === list.head || Date.now() - before.filled < OFTEN)) {
      return tell(before);
    }
    const name = `${KEPT}${list.build}-${list.head}-${Date.now()}`;
    await takeAll(name, list, before);
    const { build, head, rooms } = list;
    const after = { name, build, head, rooms, filled: Date.now() };
    await (await caches.open(ABOUT)).put(MARKER, new Response(JSON.stringify(after)));
    for (const key of await caches.keys()) {
      if (key.startsWith(KEPT) && key !== name) await caches.delete(key);
    }
    return tell(after);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error; // out of reach, or a page that could not be had
    return tell(await marker());
  }
}

async function takeAll(name, list, before) {
  const cache = await caches.open(name);
  const waiting = [...list.assets.map((url) => [url, true]), ...list.pages.map((url) => [url, false])];
  const old = before ? await caches.open(before.name) : null;
  const taking = async () => {
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      const [url, forever] = next;
      await cache.put(url, (forever && old && (await old.match(url))) || (await got(url)));
    }
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, taking));
  } catch (error) {
    await caches.delete(name);
    throw error;
  }
}

async function got(url) {
  const answer = await fetch(url, { cache: "no-store", headers: { "X-Fieldlog-Fill": "1" } });
  if (!answer.ok || answer.redirected) throw new TypeError(`${url}: ${answer.status}`);
  return answer;
}

async function tell(about) {
  for (const client of await self.clients.matchAll()) client.postMessage({ filled: about });
}
