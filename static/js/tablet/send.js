// Handing over: what waits goes to the house in batches, entries first, then photos. One tab sends.
// Never while a transaction is open; nothing here deletes what the server has not backed up.

import { ask, say } from "./asking.js";
import { walkDay } from "./day.js";
import { forgetSaved } from "./drafts.js";
import { drop, offerAgain, settle, waiting } from "./outbox.js";
import { noteReach } from "./reach.js";
import { sendPhotos } from "./send_photos.js";
import { asked, change, fact, keepFact, photoKeys } from "./store.js";

const BATCH = 50;
const MOST = 1_000_000;
const MOST_ROUNDS = 400;
const MOST_FAILS = 20;

// Out of reach, or a server that stopped half way: try again later, nothing is lost.
export const outOfReach = (error) => error instanceof TypeError || ["TimeoutError", "AbortError"].includes(error.name);

// Who this tablet is to the house. A new pairing is a new device: all that is kept is numbered anew.
export async function introduce() {
  const answer = await ask("/sync/hello", {}, 4000);
  if (!answer.ok) return null;
  const hello = await answer.json();
  await change(async (tx) => {
    const facts = tx.objectStore("facts");
    const known = (await asked(facts.get("device")))?.value;
    if (known?.id === hello.device) return;
    const device = {
      id: hello.device, prefix: hello.prefix, next: hello.next_device_seq, order: known?.order ?? 1,
      item: hello.next_number,
    };
    const store = tx.objectStore("entries");
    for (const record of await asked(store.index("order").getAll())) {
      record.envelope = { ...record.envelope, device: device.id, device_seq: device.next };
      device.next += 1;
      await asked(store.put(record));
    }
    await asked(facts.put({ name: "device", value: device }));
  });
  await keepFact("hello", hello);
  return hello;
}

function batchOf(records, most) {
  const batch = [];
  let size = 0;
  for (const record of records.slice(0, most)) {
    size += record.envelope.body.length;
    if (batch.length && size > MOST) break;
    batch.push(record);
  }
  return batch;
}

async function sendBatch(records, left) {
  const device = await fact("device");
  const body = JSON.stringify({
    entries: records.map((record) => ({ ...record.envelope, ...(record.judged && { judged: record.judged }) })),
    witness: (await fact("witness")) ?? null,
    dropped: (await fact("dropped")) ?? null,
    last: device.next - 1, waiting: left, now_ms: Date.now(), walk: await walkDay(),
    photos: (await photoKeys()).slice(0, 500),
  });
  const headers = { "Content-Type": "application/json" };
  const answer = await ask("/sync", { method: "POST", body, headers });
  if (answer.status === 500 && records.length) return null;
  if (!answer.ok) throw new TypeError(`/sync: ${answer.status}`);
  return answer.json();
}

// Entries that the house failed at, each alone: tried again when nothing else waits.
const failing = new Set();
const toSend = async () => (await waiting()).filter(({ id }) => !failing.has(id));

// Until nothing waits. What the house turns out not to have any more is offered again, once a time.
// A batch that it fails at goes by halves: one entry does not hold up the rest.
async function sendEntries() {
  if (!(await toSend()).length) failing.clear();
  for (let round = 0, most = BATCH, fails = 0; ; round += 1) {
    const open = await toSend();
    const records = batchOf(open, most);
    const told = await sendBatch(records, open.length);
    if (!told) {
      most = Math.ceil(records.length / 2);
      if (records.length === 1) failing.add(records[0].id);
      if (++fails > MOST_FAILS) throw new TypeError("/sync: 500");
      continue;
    }
    // Paired anew since the greeting: the next one numbers all of it.
    if (told.answers.some(({ code }) => code === "device")) throw new TypeError("/sync: device");
    most = Math.min(BATCH, 2 * most);
    await settle(told);
    if (records.length) say({ settled: records.map((one) => one.id) });
    told.answers.forEach(({ id, seq }) => seq && forgetSaved(id));
    const again = await offerAgain(told);
    if ((!again && !(await toSend()).length) || round > MOST_ROUNDS) return told;
  }
}

// Resolves to what the house said last, or null when it could not be reached. Photos may be left
// to the page that comes next.
export function sendAll({ photos = true } = {}) {
  return navigator.locks.request("fieldlog-send", async () => {
    try {
      if (!(await introduce())) return null;
      const told = await sendEntries();
      if (photos) await sendPhotos(told.photos);
      await drop(told);
      noteReach(true);
      return told;
    } catch (error) {
      if (!outOfReach(error)) throw error;
      noteReach(false);
      return null;
    }
  });
}
