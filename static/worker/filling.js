// The worker's filling: every page and file of the house as of one entry and one build, whole.

const KEPT = "house-";
const AT_ONCE = 2; // the office has a few threads, and people wait for pages
const OFTEN = 120_000;
const TRIES = 3;
const PAUSE = 1000;
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
    if (await lockedTo()) return undefined;
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
    if (!fellShort(error)) throw error;
    return tell(await marker());
  }
}

// Out of reach, a page that could not be had or was cut, or no room for a second filling.
const fellShort = (error) =>
  error instanceof TypeError || ["NetworkError", "AbortError", "QuotaExceededError"].includes(error.name);

async function takeAll(name, list, before) {
  const cache = await caches.open(name);
  const waiting = [...list.assets.map((url) => [url, true]), ...list.pages.map((url) => [url, false])];
  const old = before ? await caches.open(before.name) : null;
  const same = before?.build === list.build;
  const again = async (url, forever) => forever && old && (same || isPhoto(url)) && old.match(url);
  const taking = async () => {
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      const [url, forever] = next;
      await take(cache, url, await again(url, forever));
    }
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, taking));
    if (await lockedTo()) throw new TypeError("passed to a crew meanwhile");
    const { build } = await (await got("/tablet/pages")).json();
    if (build !== list.build) throw new TypeError("the office has another build since");
  } catch (error) {
    await caches.delete(name);
    throw error;
  }
}

// A line that drops for a moment does not end a filling.
async function take(cache, url, kept, left = TRIES) {
  try {
    const answer = kept || (await got(url));
    if (lasts(answer)) await cache.put(url, answer);
  } catch (error) {
    if (left === 1 || !(error instanceof TypeError)) throw error;
    await new Promise((resolve) => setTimeout(resolve, PAUSE));
    await take(cache, url, null, left - 1);
  }
}

const isPhoto = (url) => url.startsWith("/photos/");
// A photo may still be on the tablet that took it: what stands for it until then is not kept.
const lasts = (answer) => answer.ok && !/no-store/.test(answer.headers.get("Cache-Control") || "");

async function got(url) {
  const answer = await fetch(url, { cache: "no-store", headers: { "X-Fieldlog-Fill": "1" } });
  const missing = isPhoto(url) && answer.status === 404;
  if ((!answer.ok && !missing) || answer.redirected) throw new TypeError(`${url}: ${answer.status}`);
  return answer;
}

async function tell(about) {
  for (const client of await self.clients.matchAll()) client.postMessage({ filled: about });
}
