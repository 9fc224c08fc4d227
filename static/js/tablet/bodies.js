// Forms as journal bodies: the same bodies that the server's forms make, key for key.

import { slug } from "../calc/checks.js";
import { nothingIn, readingsOf } from "./check_form.js";
import { surveyed } from "./survey_form.js";

const tidy = (text) => String(text ?? "").replaceAll("\r\n", "\n").replaceAll("\r", "\n").trim();

// What keeps a form from being kept: a sentence per field, and the first field's name.
export class Unfinished extends Error {
  constructor(sentence, field = "") {
    super(sentence);
    this.field = field;
  }
}

export const digests = (photos) => photos.map((photo) => photo.sha256);

// What was typed, as the parser takes it; a survey's stations with walls and tests of the tool.
export function typedIn({ about, fields, form, data }) {
  const readings = readingsOf(fields, data, data.get("instrument"));
  if (about.survey && readings.levels) readings.levels = surveyed(readings.levels, form, data, about.survey);
  return readings;
}

export function checkBody({ about, fields, form, data, photos, day }) {
  const place = about.planned ? about.place : tidy(data.get("place"));
  const readings = typedIn({ about, fields, form, data });
  if (nothingIn(readings)) {
    throw new Unfinished("Nothing is entered yet: fill in at least one reading, then save.");
  }
  if (place && !slug(place)) throw new Unfinished("Use letters or digits, such as First flight.", "place");
  const body = {
    room: about.room, sheet: about.sheet, readings, instrument: data.get("instrument"), place,
    books: about.books, sheet_sha256: data.get("sheet_sha256"), day, note: tidy(data.get("note")),
    photos: digests(photos),
  };
  const key = place ? `${about.sheet}/${slug(place)}` : about.sheet;
  return { type: "check/1", subject: `check:${about.room}/${key}`, body };
}

function words(data) {
  const text = tidy(data.get("words"));
  const tapped = data.getAll("phrase").filter((phrase) => !text.toLowerCase().includes(phrase.toLowerCase()));
  return [...tapped, ...(text ? [text] : [])].join(", ");
}

export function itemBody({ id, room, data, photos, number, day, check = "", rules = [], shown = [] }) {
  const trade = data.get("trade") || "";
  const said = words(data);
  if (!trade) throw new Unfinished("Pick the crew whose list it goes on.", "trade");
  if (!said && !photos.length) throw new Unfinished("Tap a phrase, write what is wrong, or add a photo.", "words");
  const body = {
    number, room, trade, words: said, wall: data.get("wall") || "", needs_by: data.get("needs_by") || "",
    damaged_by_other: data.get("damaged_by_other") === "y", check, rules, photos: [...digests(photos), ...shown], day,
  };
  return { type: "item/1", subject: `item:${id}`, body };
}

const ASKS = {
  sent_back: ["reason", "Say what is still not right: the crew reads this."],
  withdrawn: ["reason", "Say why it should not have been opened."],
  accepted_as_is: ["agreed_by", "Say who agreed that it stays as it is."],
  passed_on: ["trade", "Pick the crew that owns it."],
  note: ["reason", "Write the note first, or add a photo."],
  corrected: ["how", "Say how the crew told you."],
};

export function actBody({ item, data, photos, day }) {
  const act = data.get("act");
  const [field, sentence] = ASKS[act] || [];
  const excused = act === "note" && photos.length;
  if (field && !excused && !tidy(data.get(field))) throw new Unfinished(sentence, field);
  const body = {
    act,
    how: act === "accepted" ? "eye" : act === "corrected" ? data.get("how") : "",
    reason: tidy(data.get("reason")),
    trade: act === "passed_on" ? data.get("trade") : "",
    agreed_by: act === "accepted_as_is" ? tidy(data.get("agreed_by")) : "",
    check: "", photos: digests(photos), day,
  };
  return { type: "act/1", subject: `item:${item}`, body };
}

export function photoBody({ photo, room, of, caption, day }) {
  const { sha256, size, media, width, height } = photo;
  const body = { sha256, size, media, width, height, room, of, caption: tidy(caption), day };
  return { type: "photo/1", subject: `photo:${sha256}`, body };
}

export function walkBody(day) {
  if (!/^\d{4}-\d\d-\d\d$/.test(day)) throw new Unfinished("Pick the date of this walk.", "day");
  return { type: "walk/1", subject: `walk:${day}`, body: { day, note: "" } };
}
