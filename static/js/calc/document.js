// The tablet's document, as fieldlog/calc/tablet_document.py writes it: everything it judges by.
// Texts become fractions and lists become maps, once for each document.

import { namesIn, startsOf } from "./expressions.js";
import { parseFraction } from "./fraction.js";

/** A sheet, book or instrument is named that the document does not have. */
export class UnknownSource extends Error {}

const opened = new WeakMap();
const fractionOrNull = (text) => (text === null ? null : parseFraction(text));
const by = (key, list) => new Map(list.map((one) => [one[key], one]));

/** The document ready for judging; the same object gives the same one again. */
export function open(document) {
  let found = opened.get(document);
  if (!found) opened.set(document, (found = read(document)));
  return found;
}

function read(document) {
  const instruments = document.instruments.map(instrumentOf);
  return {
    sheets: by("id", document.sheets.map(sheetOf)),
    books: by("id", document.books.map((b) => ({ ...b, rules: b.rules.map((r) => ruleOf(b, r)) }))),
    instruments: by("id", instruments),
    errors: new Map(instruments.map((i) => [i.id, { each: i.each, shared: i.shared }])),
    words: document.words,
    wordsSha256: document.words_sha256,
    table: document.transitions,
  };
}

function instrumentOf(raw) {
  const parts = raw.parts.map((p) => ({ ...p, half_width: parseFraction(p.half_width) }));
  return { ...raw, parts, each: parseFraction(raw.each), shared: parseFraction(raw.shared) };
}

function ruleOf(book, raw) {
  return {
    ...raw,
    book: book.id,
    starts: startsOf(raw.when),
    bound: fractionOrNull(raw.bound),
    gauge_nm: fractionOrNull(raw.gauge_nm),
    give: new Map(Object.entries(raw.give).map(([name, nm]) => [name, BigInt(nm)])),
  };
}

function sheetOf(raw) {
  const fields = raw.fields.map((f) => ({
    ...f,
    low: fractionOrNull(f.low),
    high: fractionOrNull(f.high),
  }));
  return { ...raw, fields, field: by("name", fields), derivedOf: by("name", raw.derived) };
}

export function sourceOf(found, id, what) {
  if (found.has(id)) return found.get(id);
  const known = [...found.keys()].sort().join(", ");
  throw new UnknownSource(`There is no ${what} "${id}". There are: ${known}.`);
}

/** The rules of the chosen books on a sheet, in book order. Throws UnknownSource. */
export function rulesOf(library, sheetId, bookIds) {
  const chosen = new Map();
  for (const id of new Set(bookIds)) {
    for (const rule of sourceOf(library.books, id, "book").rules) {
      if (rule.sheet !== sheetId) continue;
      if (chosen.has(rule.id)) {
        const other = chosen.get(rule.id).book;
        throw new UnknownSource(
          `books "${other}" and "${id}" both have the limit "${rule.id}": choose one of them`,
        );
      }
      chosen.set(rule.id, rule);
    }
  }
  return [...chosen.values()];
}

/** What a quantity is measured in; "" where it is no number. */
export const measureOf = (sheet, name) => sheet.measures[name] ?? "";

/** What the page calls a quantity. */
export const labelOf = (sheet, name) =>
  (sheet.field.get(name) ?? sheet.derivedOf.get(name))?.label ?? name;

/** Names of the fields that a tree hangs on, through derived quantities, in order. */
export function fieldsBehind(sheet, tree, found = new Set()) {
  for (const name of namesIn(tree)) {
    const derived = sheet.derivedOf.get(name);
    if (derived) fieldsBehind(sheet, derived.tree, found);
    else found.add(name);
  }
  return found;
}
