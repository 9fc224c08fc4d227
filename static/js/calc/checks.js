// A check entry judged as this house has it: its planned books, its tools, the layers of its rooms,
// the photos that were taken. The twin of calc/checking.py and of the rooms in calc/layers.py.

import { judge } from "./judge.js";

const PHOTOS = "photos"; // a sheet's count of this name is that of the check's photos
const PLACES = { room_below: "below", room_above: "above", room_there: "there" };

/**
 * The judgement of a check entry {room, sheet, place, books, readings, instrument, photos}.
 * `earlier` are the looks it reads, where this tablet knows them. Throws as `judge` does.
 */
export function judgeCheck(document, check, earlier) {
  const readings = withPhotos(document, check);
  const books = [check.books, plannedBooks(document, check)].find((list) => list?.length);
  const { system, tools } = document;
  const known = { system, tools, earlier, finishes: finishesOf(document, check) };
  return judge(document, check.sheet, books ?? document.books_of_house, readings, check.instrument, known);
}

function withPhotos(document, { sheet, readings, photos = [] }) {
  const fields = document.sheets.find((one) => one.id === sheet)?.fields ?? [];
  const counted = fields.some((f) => f.name === PHOTOS && f.kind === "count");
  return counted ? { ...readings, [PHOTOS]: String(photos.length) } : readings;
}

function plannedBooks(document, { room, sheet, place = "" }) {
  const checks = document.rooms.find((one) => one.id === room)?.checks ?? [];
  return checks.find((one) => one.sheet === sheet && one.place === place)?.books;
}

/** What is still to come, by place, for rooms whose layers are recorded; undefined if not told. */
function finishesOf(document, { room, readings }) {
  if (!document.layers) return undefined;
  const rooms = { here: room };
  for (const [name, place] of Object.entries(PLACES)) {
    const typed = readings[name]?.value ?? readings[name];
    const found = typeof typed === "string" ? roomNamed(document, typed) : null;
    if (found) rooms[place] = found;
  }
  const layersOf = (id) => document.layers.find((one) => one.room === id);
  return Object.fromEntries(
    Object.entries(rooms)
      .map(([place, id]) => [place, layersOf(id)])
      .filter(([, layers]) => layers),
  );
}

/** A room by its id or as it is called. */
function roomNamed(document, typed) {
  const wanted = slug(typed);
  if (!wanted) return null;
  return document.rooms.find((one) => one.id === wanted || slug(one.name) === wanted)?.id ?? null;
}

/** As `calc/house.slug`. */
export const slug = (text) => text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "");
