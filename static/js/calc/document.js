// The tablet's document, as fieldlog/calc/tablet_document.py writes it: everything it judges by.
// Texts become fractions and lists become maps, once for each sheet and rule.

import { namesIn, startsOf } from "./expressions.js";
import { add, parseFraction } from "./fraction.js";
import { remembered } from "./remembered.js";

/** A sheet, book or instrument is named that the document does not have. */
export class UnknownSource extends Error {}

const opened = new WeakMap();
const behind = new WeakMap();
const made = new WeakMap(); // sheets and rules in fractions, each when it is first asked for
const fractionOrNull = (text) => (text === null ? null : parseFraction(text));
const by = (key, list) => new Map(list.map((one) => [one[key], one]));

/** The document ready for judging; the same object gives the same one again. */
export const libraryOf = (document) => remembered(opened, document, () => readDocument(document));

function readDocument(document) {
  const instruments = document.instruments.map(instrumentOf);
  return {
    sheets: by("id", document.sheets),
    books: by("id", document.books),
    instruments: by("id", instruments),
    errors: new Map(instruments.map((i) => [i.id, errorsOf(i)])),
    words: document.words,
    wordsSha256: document.words_sha256,
  };
}

function instrumentOf(raw) {
  const parts = raw.parts.map((p) => ({ ...p, half_width: parseFraction(p.half_width) }));
  return { ...raw, parts };
}

function errorsOf(raw) {
  const [each, shared] = [raw.each, raw.shared].map(parseFraction);
  const longer = (raw.longer ?? []).map((step) => step.map(parseFraction));
  return { each, shared, both: add(each, shared), longer };
}

function ruleOf(book, raw) {
  return {
    ...raw,
    book: book.id,
    whenText: JSON.stringify(raw.when),
    starts: startsOf(raw.when),
    bound: fractionOrNull(raw.bound),
    gauge_nm: fractionOrNull(raw.gauge_nm),
    give: new Map(Object.entries(raw.give).map(([name, nm]) => [name, BigInt(nm)])),
  };
}

/** A sheet of the document, ready. Throws UnknownSource. */
export function sheetNamed(library, id) {
  const raw = sourceOf(library.sheets, id, "sheet");
  return remembered(made, raw, () => sheetOf(raw));
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
    const book = sourceOf(library.books, id, "book");
    for (const raw of book.rules) {
      if (raw.sheet !== sheetId) continue;
      if (chosen.has(raw.id)) {
        const other = chosen.get(raw.id).book;
        throw new UnknownSource(
          `books "${other}" and "${id}" both have the limit "${raw.id}": choose one of them`,
        );
      }
      chosen.set(raw.id, remembered(made, raw, () => ruleOf(book, raw)));
    }
  }
  return [...chosen.values()];
}

/** What a quantity is measured in; "" where it is no number. */
export const measureOf = (sheet, name) => sheet.measures[name] ?? "";

/** The field, or what is derived, of that name. */
export const quantityNamed = (sheet, name) => sheet.field.get(name) ?? sheet.derivedOf.get(name);

/** What the page calls a quantity. */
export const labelOf = (sheet, name) => quantityNamed(sheet, name)?.label ?? name;

/** Names of the fields that a tree hangs on, through derived quantities, in order. */
export const fieldsBehind = (sheet, tree) => remembered(behind, tree, () => [...fieldsIn(sheet, tree)]);

function fieldsIn(sheet, tree, found = new Set()) {
  for (const name of namesIn(tree)) {
    const derived = sheet.derivedOf.get(name);
    if (derived) fieldsIn(sheet, derived.tree, found);
    else found.add(name);
  }
  return found;
}
