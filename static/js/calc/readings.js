// What was entered, parsed once: text to exact numbers, with every error at its own slot. The twin
// of calc/readings.py. A reading is text as typed, yes or no, null, or {value, instrument}.

import { asText, gridShape, isIn, isPlain, SlotRefused } from "./grid_reading.js";
import { ONE } from "./fraction.js";
import { NotUnderstood } from "./refusal.js";
import { remembered } from "./remembered.js";
import { blank, elementOf } from "./slot_reading.js";
import { cut, quoted, strip } from "./typed.js";
import { parseMeasure } from "./units.js";
import { AWAY, GAP, many, number, orLater, readingKey } from "./values.js";

/** Some readings can't be used; nothing was judged. `errors`: {field, index, message, suggestions}. */
export class ReadingsRefused extends Error {
  constructor(errors) {
    const place = ({ index }) => (index === null ? "" : ` ${index + 1}`);
    super(errors.map((e) => `${e.field}${place(e)}: ${e.message}`).join(" "));
    this.errors = errors;
  }
}

/** Readings for a sheet: {values, typed, tools, read, later} Maps. Throws ReadingsRefused. */
export function parseReadings(sheet, raw, instruments, tool, system) {
  const out = { later: new Map(), read: new Map(), tools: new Map(), typed: new Map(), values: new Map() };
  const reader = { instruments, tool, system, out, errors: [] };
  for (const name of Object.keys(raw)) {
    if (sheet.field.has(name)) continue;
    const known = sheet.fields.map((f) => f.name).join(", ");
    refuseAt(reader, name, null, `The sheet "${sheet.id}" has no "${name}". It has: ${known}.`);
  }
  for (const f of sheet.fields) readField(reader, f, raw[f.name] ?? null);
  if (reader.errors.length) throw new ReadingsRefused(reader.errors);
  return out;
}

function refuseAt(reader, field, index, message, suggestions = []) {
  reader.errors.push({ field, index, message, suggestions });
}

function readField(reader, f, raw) {
  const { values } = reader.out;
  if (f.kind === "grid") return readGrid(reader, f, raw);
  if (!f.many || !Array.isArray(raw)) {
    // one thickness for every tread: a list field given one value broadcasts it
    return values.set(f.name, slot(reader, f, null, raw));
  }
  if (raw.length > f.most) {
    return refuseAt(reader, f.name, null, `${raw.length} ${f.plural.toLowerCase()}; ${f.most} at most.`);
  }
  const items = raw.map((one, n) => slot(reader, f, n, one));
  const alone = items.length === 1 && f.one_serves_all;
  return values.set(f.name, alone ? items[0] : items.length ? many(items) : blank(f));
}

/** `work` done, or its refusal kept at a slot and `otherwise` given. */
function orErrorAt(reader, name, index, otherwise, work) {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof SlotRefused || error instanceof NotUnderstood)) throw error;
    refuseAt(reader, name, index, error.message, error.suggestions);
    return otherwise;
  }
}

function slot(reader, f, index, raw) {
  const [typed, element] = orErrorAt(reader, f.name, index, ["", blank(f)], () => {
    const [value, tool] = unwrapped(reader, raw);
    const written = asText(value);
    return [written, elementOf(reader, f, written, value, readingKey(f.name, index ?? 0), tool)];
  });
  remembered(reader.out.typed, f.name, () => []).push(typed);
  return element;
}

function unwrapped(reader, raw) {
  if (!isPlain(raw)) return [raw, reader.tool];
  if (!Object.hasOwn(raw, "value") || !isIn(["value", "instrument"], raw)) {
    throw new SlotRefused('A reading is text, or {"value": ..., "instrument": ...}.');
  }
  const tool = raw.instrument || reader.tool;
  if (reader.instruments.has(tool)) return [raw.value, tool];
  throw new SlotRefused(`There is no instrument ${quoted(cut(String(tool), 40))}.`);
}

function readGrid(reader, f, raw) {
  const { values, typed, later, tools } = reader.out;
  typed.set(f.name, []);
  values.set(f.name, GAP);
  if (raw === null || raw === "" || (isPlain(raw) && !Object.keys(raw).length)) return;
  const shapeOf = () => gridShape(raw, reader.system);
  const framed = () => orLater(shapeOf, (why) => later.set(f.name, why), null);
  const shape = orErrorAt(reader, f.name, null, null, framed);
  if (shape === null) return;
  const tool = raw.instrument || reader.tool;
  const station = (one, r, c) =>
    orErrorAt(reader, f.name, r * shape.rows[0].length + c, GAP, () => {
      const written = strip(asText(one));
      if (written.toLowerCase() === "x") return AWAY;
      if (!written) return GAP;
      if (reader.instruments.get(tool)?.kind !== "length") {
        throw new SlotRefused(`There is no tool ${quoted(cut(String(tool), 40))} that reads heights.`);
      }
      const key = readingKey(f.name, r, c);
      tools.set(key, tool);
      return number(parseMeasure("length", written, shape.unit), new Map([[key, ONE]]));
    });
  values.set(f.name, shape.madeOf(shape.rows.map((row, r) => row.map((one, c) => station(one, r, c)))));
}
