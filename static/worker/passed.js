// The worker on a tablet that was passed to a crew.

const LOCK = "/tablet/lock"; // which list it is locked to
const LIST = "passed-list"; // that list's page and pictures, as the crew sees them

// In a crew's hands the worker gives that crew's list and no other page, until the office shows a
// superintendent's page again. `take`: the list's page and its pictures.
let turn = Promise.resolve();

function lock(asked) {
  return inTurn(() => locking(asked));
}

function unlock() {
  return inTurn(unlocking);
}

// In the order they were asked for: a page that is left may still say "unlock" as the lock begins.
function inTurn(work) {
  turn = turn.then(work, work);
  return turn;
}

async function locking({ page, take = [] }) {
  if ((await lockedTo()) !== page) await caches.delete(LIST);
  await (await caches.open(ABOUT)).put(LOCK, new Response(page));
  try {
    const had = await Promise.all(take.map(async (url) => [url, await got(url)]));
    const list = await caches.open(LIST);
    for (const [url, answer] of had) await list.put(url, answer);
  } catch (error) {
    if (!fellShort(error)) throw error; // what was had before stays
  }
}

async function unlocking() {
  await (await caches.open(ABOUT)).delete(LOCK);
  await caches.delete(LIST);
}

async function lockedTo() {
  const answer = await (await caches.open(ABOUT)).match(LOCK);
  return answer ? answer.text() : "";
}
