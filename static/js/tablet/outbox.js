// The outbox: every entry made on this tablet, numbered in the transaction that keeps it.
// What the server has is kept here too, until the server says that it is backed up.

import { asked, change, entries, fact } from "./store.js";

export const WAITING = "waiting";
export const SENT = "sent";
export const REFUSED = "refused";

// `made`: envelopes without device and number; `photos`: {sha256, media, bytes, small}.
// Resolves to the kept records when the transaction has completed.
export function keep(made, photos = []) {
  return change(async (tx) => {
    const facts = tx.objectStore("facts");
    const device = (await asked(facts.get("device")))?.value;
    if (!device) throw new DOMException("This tablet has no number yet.", "NotFoundError");
    const kept = [];
    for (const one of made) kept.push(await put(tx, device, one));
    for (const photo of photos) await asked(tx.objectStore("photos").put(photo));
    await asked(facts.put({ name: "device", value: device }));
    return kept;
  });
}

async function put(tx, device, { envelope, shown }) {
  const store = tx.objectStore("entries");
  const before = await asked(store.get(envelope.id));
  if (before) return before; // the same form sent twice
  const numbered = { ...envelope, device: device.id, device_seq: device.next };
  const record = { id: envelope.id, order: device.order, state: WAITING, envelope: numbered, shown };
  device.next += 1;
  device.order += 1;
  await asked(store.put(record));
  return record;
}

// A short number for an item that is unique without a server: the tablet's own letter.
export function nextNumber() {
  return change(async (tx) => {
    const facts = tx.objectStore("facts");
    const device = (await asked(facts.get("device"))).value;
    const number = `${device.prefix}-${device.item}`;
    device.item += 1;
    await asked(facts.put({ name: "device", value: device }));
    return number;
  });
}

// The server's answers, all or none: {id, status, seq, reason, verdict}.
export function settle(answers, facts = {}) {
  return change(async (tx) => {
    const store = tx.objectStore("entries");
    for (const answer of answers) {
      const record = await asked(store.get(answer.id));
      if (!record) continue;
      const stored = answer.status === "stored" || answer.status === "already_stored";
      Object.assign(record, { state: stored ? SENT : REFUSED, answer, settled: Date.now() });
      await asked(store.put(record));
    }
    for (const [name, value] of Object.entries(facts)) {
      await asked(tx.objectStore("facts").put({ name, value }));
    }
  });
}

// The server does not have what it once acknowledged: all of it is offered again.
export function offerAgain() {
  return change(async (tx) => {
    const store = tx.objectStore("entries");
    for (const record of await asked(store.getAll())) {
      if (record.state !== SENT) continue;
      await asked(store.put({ ...record, state: WAITING, answer: undefined }));
    }
    await asked(tx.objectStore("facts").delete("witness"));
  });
}

// Entries that a verified backup holds may go; the others stay, whatever the server says.
export function drop(backedUpTo) {
  return change(async (tx) => {
    const store = tx.objectStore("entries");
    for (const record of await asked(store.getAll())) {
      if (record.state === SENT && record.answer.seq <= backedUpTo) await asked(store.delete(record.id));
    }
  });
}

export async function waiting() {
  return (await entries()).filter((record) => record.state === WAITING);
}

// {waiting, refused, oldest, sent}: what the line at the top says.
export async function count() {
  const all = await entries();
  const open = all.filter((record) => record.state === WAITING);
  return {
    waiting: open.length,
    refused: all.filter((record) => record.state === REFUSED && !record.looked).length,
    oldest: open[0]?.envelope.claimed_ms ?? 0,
    sent: (await fact("sent")) ?? 0,
  };
}
