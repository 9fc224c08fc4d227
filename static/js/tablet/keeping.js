// One form's entries into the outbox: photos first, then the entry of what they show.

import { photoBody, Unfinished } from "./bodies.js";
import { envelope } from "./envelope.js";
import { derivedId, newId } from "./ids.js";
import { keep } from "./outbox.js";
import { entries, entry } from "./store.js";

const SAVED_BEFORE =
  "This form was saved before, and something in it was changed since. What was saved stands. " +
  "Save again to keep this as well.";

const stored = (photos) => photos.map(({ small, ...rest }) => ({ ...rest, smallBytes: small }));

async function photoEntries(id, photos, { room, of, caption = "", day }) {
  const made = [];
  for (const photo of photos) {
    const entry = { id: await derivedId(id, photo.sha256), ...photoBody({ photo, room, of, caption, day }) };
    made.push({ envelope: await envelope(entry), shown: { room } });
  }
  return made;
}

// The last entry of a subject that its author knows: one made on this tablet since the page, or
// the one that the page names.
async function lastSeen(subject, onPage) {
  const head = Number(document.documentElement.dataset.head || 0);
  const mine = (await entries()).filter(
    (one) => one.envelope.subject === subject && (one.state === "waiting" || (one.state === "sent" && one.answer.seq > head)),
  );
  return mine.at(-1)?.id ?? onPage;
}

// A number and a day are given anew each time; the rest of a body is what its person said.
function saidIn({ number, day, ...rest }) {
  return JSON.stringify(rest);
}

async function savedBefore(form, id, body) {
  const before = await entry(id);
  if (!before) return false;
  if (saidIn(JSON.parse(before.envelope.body)) === saidIn(body)) return true;
  const fresh = newId();
  if (form.dataset.entry) form.dataset.entry = fresh;
  form.elements.namedItem("entry_id").value = fresh;
  throw new Unfinished(SAVED_BEFORE);
}

// All in one transaction. The same form sent twice keeps nothing twice.
export async function keepAll(form, id, { made, shown, photos = [], seen = "", judged }) {
  if (await savedBefore(form, id, made.body)) return;
  const about = { room: shown.room, of: made.subject, day: made.body.day };
  const before = await photoEntries(id, photos, about);
  const known = await lastSeen(made.subject, seen);
  const last = { envelope: await envelope({ id, ...made, seen: known }), shown, judged };
  await keep([...before, last], stored(photos));
}

// Photos alone: their entries' ids.
export async function keepPhotos(form, id, photos, about) {
  const made = await photoEntries(id, photos, about);
  for (const { envelope: one } of made) await savedBefore(form, one.id, JSON.parse(one.body));
  await keep(made, stored(photos));
  return made.map((one) => one.envelope.id);
}
