// Forms that go by the outbox: what each makes, and where its person is led afterwards.

import { photosOf } from "./camera.js";
import { actBody, checkBody, itemBody, photoBody, walkBody, Unfinished } from "./bodies.js";
import { confirmDay, walkDay } from "./day.js";
import { envelope } from "./envelope.js";
import { derivedId } from "./ids.js";
import { houseData, judgedHere } from "./judging.js";
import { keep, nextNumber } from "./outbox.js";

const parts = (form) => new URL(form.action).pathname.split("/");
const filesOf = (form) => [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);
const seenIn = (data) => data.get("seen") || "";

async function photoEntries(id, photos, { room, of, caption = "", day }) {
  const made = [];
  for (const photo of photos) {
    const entry = { id: await derivedId(id, photo.sha256), ...photoBody({ photo, room, of, caption, day }) };
    made.push({ envelope: await envelope(entry), shown: { room } });
  }
  return made;
}

// Photos first, then the entry of what they show; one transaction.
async function keepAll(id, made, shown, photos, seen, judged) {
  const { room } = shown;
  const { day } = made.body;
  const before = await photoEntries(id, photos, { room, of: made.subject, day });
  const entry = { envelope: await envelope({ id, ...made, seen }), shown, judged };
  const stored = photos.map(({ small, ...rest }) => ({ ...rest, smallBytes: small }));
  await keep([...before, entry], stored);
}

export async function check(form, data) {
  const about = JSON.parse(form.dataset.check);
  const house = await houseData();
  const photos = await photosOf(filesOf(form));
  const fields = house.fields[about.sheet];
  const made = checkBody({ about, fields, data, photos, day: await walkDay() });
  const { shown: said, judged } = await judgedHere(made.body, fields, data);
  const id = form.dataset.entry;
  const shown = { room: about.room, where: about.room_name, title: about.title, ...said };
  await keepAll(id, made, shown, photos, seenIn(data), judged);
  return { id, there: `/checks/${id}`, here: `/tablet/kept#${id}` };
}

export async function item(form, data) {
  const [, , room] = parts(form);
  const photos = await photosOf(filesOf(form));
  const id = data.get("entry_id");
  const trade = data.get("trade");
  const day = await walkDay();
  itemBody({ id, room, data, photos, number: "", day }); // says what is missing before a number is used
  const number = await nextNumber();
  const made = itemBody({ id, room, data, photos, number, day });
  await keepAll(id, made, { room, trade, number, where: await roomName(room) }, photos, "");
  const here = `/rooms/${room}/items/new`;
  return { id, there: `${here}?done=${id}`, here: `${here}?done=${id}` };
}

async function roomName(room) {
  return (await houseData()).rooms[room] ?? room;
}

export async function given(form, data) {
  const id = data.get("entry_id");
  const { room, trade, words, check: found, rules, photos } = JSON.parse(form.dataset.gives);
  const number = await nextNumber();
  const body = {
    number, room, trade, words, wall: "", needs_by: "", damaged_by_other: false, check: found, rules, photos,
    day: await walkDay(),
  };
  const made = { type: "item/1", subject: `item:${id}`, body };
  await keepAll(id, made, { room, trade, number, where: await roomName(room) }, [], "");
  return { id, there: `/items/${id}?done=given`, here: `/tablet/kept#${id}` };
}

export async function act(form, data) {
  const [, , itemId] = parts(form);
  const about = JSON.parse(document.querySelector("[data-item]").dataset.item);
  const photos = await photosOf(filesOf(form));
  const made = actBody({ item: itemId, data, photos, day: await walkDay() });
  const id = data.get("entry_id");
  await keepAll(id, made, { ...about, where: await roomName(about.room) }, photos, seenIn(data));
  const there = `/items/${itemId}?done=${made.body.act}`;
  return { id, there, here: there };
}

export async function photo(form, data) {
  const [, , room] = parts(form);
  const photos = await photosOf(filesOf(form));
  if (!photos.length) throw new Unfinished("Take or choose a photo first.", "photo");
  const id = data.get("entry_id");
  const about = { room, of: new URL(form.action).searchParams.get("of") || "", caption: data.get("caption"), day: await walkDay() };
  const made = await photoEntries(id, photos, about);
  await keep(made, photos.map(({ small, ...rest }) => ({ ...rest, smallBytes: small })));
  return { id: made[0].envelope.id, there: `/rooms/${room}#photos`, here: `/rooms/${room}#unsent` };
}

export async function walk(form, data) {
  const day = data.get("day");
  const id = data.get("entry_id");
  await keep([{ envelope: await envelope({ id, ...walkBody(day) }), shown: {} }]);
  await confirmDay(day);
  return { id, past: true, there: "/", here: "/" };
}
