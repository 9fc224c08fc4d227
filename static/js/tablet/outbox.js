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

async function put(tx, device, { envelope, shown, judged }) {
  const store = tx.objectStore("entries");
  const before = await asked(store.get(envelope.id));
  if (before) return before; // the same form sent twice
  const numbered = { ...envelope, device: device.id, device_seq: device.next };
  const record = { id: envelope.id, order: device.order, state: WAITING, envelope: numbered, shown, judged };
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

const isStored = ({ status }) => status.endsWith("stored");

// What the house answered, all or none.
export function settle({ answers, head, witness, dropped }) {
  return change(async (tx) => {
    const store = tx.objectStore("entries");
    for (const answer of answers) {
      const record = answer.id && (await asked(store.get(answer.id)));
      if (!record) continue;
      Object.assign(record, { state: isStored(answer) ? SENT : REFUSED, answer });
      if (isStored(answer)) delete record.shown?.judged; // the house has it; the lists stay quick
      await asked(store.put(record));
    }
    const facts = tx.objectStore("facts");
    if (witness !== "unknown") await asked(facts.put({ name: "witness", value: head }));
    await asked(facts.put({ name: "sent", value: Date.now() }));
    // What was let go after a backup is not in the house that answers now: an older one was put back.
    await asked(facts.put({ name: "lacking", value: dropped === "unknown" }));
  });
}

// What the house once acknowledged and does not have: a restored or swapped one lacks the witness,
// or a number of this tablet's is a gap there. Not what this very answer has, nor what a house of
// another job would not keep. Resolves to how many are offered again.
export function offerAgain({ witness, has, answers }) {
  const there = (seq) => has.some(([first, last]) => first <= seq && seq <= last);
  const now = answers.map(({ id, seq }) => seq && id);
  return change(async (tx) => {
    const store = tx.objectStore("entries");
    const device = (await asked(tx.objectStore("facts").get("device"))).value;
    let again = 0;
    for (const record of await asked(store.getAll())) {
      const { device: of, device_seq: seq } = record.envelope;
      const gone = witness === "unknown" ? !now.includes(record.id) : record.answer?.seq && of === device.id && !there(seq);
      if (record.state === WAITING || !gone) continue;
      await asked(store.put({ ...record, state: WAITING, answer: undefined }));
      again += 1;
    }
    if (witness === "unknown") await asked(tx.objectStore("facts").delete("witness"));
    return again;
  });
}

// What a verified backup holds may go, where the house is the one that it was: not an older copy
// with a backup of its own. The rest stays, whatever the house says. The backup's head is kept:
// should a house ever lack it, what was dropped for its sake is missing there.
export function drop({ backed_up_to: to, backed_up_head: head, photos, witness, dropped: before }) {
  return change(async (tx) => {
    if (witness !== "known" || before === "unknown") return;
    const store = tx.objectStore("entries");
    let dropped = 0;
    for (const record of await asked(store.getAll())) {
      const { state, looked, answer } = record;
      if (!answer?.seq || answer.seq > to || (state !== SENT && !looked)) continue;
      await asked(store.delete(record.id));
      dropped += 1;
    }
    for (const [sha256, where] of Object.entries(photos)) {
      if (where === "backed_up") await asked(tx.objectStore("photos").delete(sha256));
    }
    if (dropped) await asked(tx.objectStore("facts").put({ name: "dropped", value: head }));
  });
}

export async function waiting() {
  return (await entries()).filter((record) => record.state === WAITING);
}

// {waiting, refused, oldest, sent, lacking}: what the line at the top says.
export async function count() {
  const all = await entries();
  const open = all.filter((record) => record.state === WAITING);
  return {
    waiting: open.length,
    refused: all.filter((record) => record.state === REFUSED && !record.looked).length,
    oldest: open[0]?.envelope.claimed_ms ?? 0,
    sent: (await fact("sent")) ?? 0,
    lacking: (await fact("lacking")) ?? false,
  };
}
