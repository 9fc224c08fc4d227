// The worker: the house's pages, kept whole as of one moment, for when there is no signal.
// It answers same-origin GET alone. What is entered goes by the page's own outbox, never by here.

const ABOUT = "fieldlog";
const MARKER = "/tablet/marker";
const PATIENCE = 2000;
const SHORT = 300;
const LASTS = 60_000;
let failed = 0; // when the office last could not be reached: for a while nobody waits for it

self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
const ASKED = { fill: ({ now }) => fill(now === true), lock, unlock, page: pageFor };
self.addEventListener("message", (event) => {
  const does = ASKED[event.data?.ask];
  if (does) event.waitUntil(does(event.data, event));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/sync") || url.pathname === "/tablet/pages") return;
  const forever = /^\/(photos|static\/(?!css\/))/.test(url.pathname);
  event.respondWith(forever ? keptFirst(request, url) : freshFirst(request, url));
});

async function marker() {
  const answer = await (await caches.open(ABOUT)).match(MARKER);
  return answer ? answer.json() : null;
}

// The page as of the last whole filling; an address that only says what was just done is the page's.
async function kept(url) {
  const only = await lockedTo();
  if (only) return url.pathname === only ? (await caches.open(LIST)).match(only) : undefined;
  const filled = await marker();
  if (!filled) return undefined;
  const plain = new URL(url);
  plain.searchParams.delete("done");
  plain.hash = "";
  const cache = await caches.open(filled.name);
  return (await cache.match(plain.href)) || cache.match(anyRooms(plain));
}

// A sheet that is planned in no room of that name is kept once, for all rooms; lists with filters whole.
function anyRooms({ pathname, href }) {
  if (pathname === "/punch" || pathname === "/next") return pathname;
  const found = pathname.match(/^\/rooms\/[^/]+\/checks\/([^/]+)$/);
  return found ? `/tablet/measure/${found[1]}` : href;
}

// What these addresses name never changes: a build or a digest is in them. Not in a report's styles.
async function keptFirst(request, { pathname }) {
  const narrow = pathname.startsWith("/photos/") && (await lockedTo());
  const found = await (narrow ? (await caches.open(LIST)).match(request) : caches.match(request));
  return found || fetch(request);
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
    return (request.mode === "navigate" && (await instead(url))) || Response.error();
  }
}

// In place of a page that is not here: a sentence, or on a passed tablet the crew's list.
async function instead(url) {
  const only = await lockedTo();
  const page = await kept(new URL(only || "/tablet/no-signal", location.origin));
  if (!only || !page) return page || caches.match("/tablet/no-list");
  return url.pathname === only ? page : Response.redirect(only);
}

// What would be given for an address with no signal, told to who asks.
async function pageFor({ path }, { ports: [port] }) {
  const page = await kept(new URL(path, location.origin));
  port.postMessage({ html: page ? await page.text() : "" });
}
