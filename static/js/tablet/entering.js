// Forms that go by the outbox: what each makes, and where its person is led afterwards.

import { actBody, checkBody, itemBody, walkBody, Unfinished } from "./bodies.js";
import { photosOf } from "./camera.js";
import { confirmDay, walkDay } from "./day.js";
import { fold } from "../calc/items.js";
import { unseenHere } from "./facts.js";
import { houseData } from "./house_data.js";
import { stateOf } from "./items_here.js";
import { judgedHere } from "./judging.js";
import { keepAll, keepPhotos } from "./keeping.js";
import { nextNumber } from "./outbox.js";
import { itemsNow } from "./shown.js";
import { entry } from "./store.js";

const LAST_CREW = "fieldlog:crew";

// The crew stays set for the next item.
export function sameCrew() {
  const form = document.querySelector("form#item");
  const last = sessionStorage.getItem(LAST_CREW);
  if (!form || !last) return;
  const choice = form.querySelector(`input[name=trade][value="${CSS.escape(last)}"]`);
  if (choice) choice.checked = true;
}

const parts = (form) => new URL(form.action).pathname.split("/");
const filesOf = (form) => [...form.querySelectorAll("input[type=file]:not(#points)")].flatMap((input) => [...input.files]);
const seenIn = (data) => data.get("seen") || "";
const roomName = async (room) => (await houseData()).rooms[room] ?? room;

export async function check(form, data) {
  const about = JSON.parse(form.dataset.check);
  const fields = (await houseData()).fields[about.sheet];
  const photos = await photosOf(filesOf(form));
  const made = checkBody({ about, fields, form, data, photos, day: await walkDay() });
  const { shown: said, judged } = await judgedHere(made.body, fields, data);
  const shown = { room: about.room, where: about.room_name, title: about.title, ...said };
  await keepAll(form, form.dataset.entry, { made, shown, photos, seen: seenIn(data), judged });
  const id = form.dataset.entry;
  return { id, there: `/checks/${id}`, here: `/tablet/kept#${id}` };
}

export async function item(form, data) {
  const [, , room] = parts(form);
  const photos = await photosOf(filesOf(form));
  const id = data.get("entry_id");
  const trade = data.get("trade");
  const about = { id, room, data, photos, number: "", day: await walkDay(), ...found(form) };
  itemBody(about); // says what is missing before a number is used up
  const number = await nextNumber();
  const made = itemBody({ ...about, number });
  const shown = { room, trade, number, words: made.body.words, where: await roomName(room) };
  await keepAll(form, id, { made, shown, photos });
  sessionStorage.setItem(LAST_CREW, trade);
  const here = `/rooms/${room}/items/new?done=${id}`;
  return { id, there: here, here };
}

// The check that an item is opened from by hand, and its limits that are over.
function found(form) {
  return form.dataset.found ? JSON.parse(form.dataset.found) : {};
}

export async function given(form, data) {
  const id = data.get("entry_id");
  const about = JSON.parse(form.dataset.gives);
  const { room, trade } = about;
  const number = await nextNumber();
  const plain = { wall: "", needs_by: "", damaged_by_other: false };
  const body = { number, ...about, ...plain, day: await walkDay() };
  const shown = { room, trade, number, words: about.words, where: await roomName(room) };
  await keepAll(form, id, { made: { type: "item/1", subject: `item:${id}`, body }, shown });
  return { id, there: `/items/${id}?done=given`, here: `/tablet/kept#${id}` };
}

// How the item stands on this tablet; throws where the act does not follow from that.
async function stands({ item, state, trade, number }, { body }, id) {
  const here = (await itemsNow(await unseenHere())).items.get(item);
  if (!here && !state) throw new Unfinished("This entry is no longer on this tablet: the office has it. Load this page again.");
  const was = here?.after ?? stateOf(state, trade);
  const event = { id, act: body.act, role: "superintendent", trade: body.trade };
  const [{ why }] = fold((await houseData()).judges.transitions, [event], was).lines;
  if (why && !(await entry(id))) throw new Unfinished(`${number} is unchanged: ${why}.`);
  return { was, only: here && !here.before };
}

export async function act(form, data) {
  const { dataset } = document.querySelector("[data-number]");
  const { item: itemId, room, trade, number, words: said } = dataset;
  const photos = await photosOf(filesOf(form));
  const made = actBody({ item: itemId, data, photos, day: await walkDay() });
  const id = data.get("entry_id");
  const { was, only } = await stands(dataset, made, id);
  const shown = { room, trade, number, words: said, was, where: await roomName(room) };
  await keepAll(form, id, { made, shown, photos, seen: seenIn(data) });
  const there = `/items/${itemId}?done=${made.body.act}`;
  return { id, there, here: only ? `/tablet/kept#${itemId}` : there };
}

export async function photo(form, data) {
  const [, , room] = parts(form);
  const photos = await photosOf(filesOf(form));
  if (!photos.length) throw new Unfinished("Take or choose a photo first.", "photo");
  const of = form.dataset.of || "";
  const about = { room, of, caption: data.get("caption"), day: await walkDay() };
  const [id] = await keepPhotos(form, data.get("entry_id"), photos, about);
  return { id, there: form.dataset.back || `/rooms/${room}#photos`, here: `/rooms/${room}#photos` };
}

export async function walk(form, data) {
  const day = data.get("day");
  const id = data.get("entry_id");
  const made = walkBody(day);
  await confirmDay(day); // before the entry is sent, which tells the office the day as well
  await keepAll(form, id, { made, shown: {} });
  return { id, there: "/", here: "/" };
}
