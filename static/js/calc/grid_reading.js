// A grid of level readings as it was entered: heights or rod readings, the room around them. The
// twin of calc/grid_reading.py. What only the server joins (several set-ups, a tool's own test)
// is judged when sent.

import { negate, subtract } from "./fraction.js";
import { parseLength } from "./lengths.js";
import { NotUnderstood } from "./refusal.js";
import { UNITS } from "./tape.js";
import { WhenSent } from "./values.js";

const MOST_STATIONS = 2500;
const MOST_CORNERS = 200;
const KEYS = ["spacing", "unit", "rows", "instrument", "kind", "readings", "outline"];
const SERVER_KEYS = ["set_ups", "tested"];
const OUTLINE = ["corners", "cut_outs", "first"];

/** What stands in a slot can't be used; the message says why. */
export class SlotRefused extends Error {
  constructor(message, suggestions = []) {
    super(message);
    this.suggestions = suggestions;
  }
}

export const isPlain = (raw) => typeof raw === "object" && raw !== null && !Array.isArray(raw);
const isNothing = (raw) =>
  raw === null || raw === undefined || raw === "" || (isPlain(raw) && !Object.keys(raw).length);
export const isIn = (keys, raw) => Object.keys(raw).every((key) => keys.includes(key));

/** The frame of a grid's raw readings. Throws SlotRefused, WhenSent. */
export function gridShape(raw, system) {
  if (!isPlain(raw) || !isIn([...KEYS, ...SERVER_KEYS], raw)) {
    throw new SlotRefused('Level readings are {"spacing": "2 ft", "unit": "in", "rows": [[...]]}.');
  }
  const { rows } = raw;
  if (!Array.isArray(rows) || !rows.length || !rows.every(Array.isArray)) {
    throw new SlotRefused("Level readings need rows, each a list of heights.");
  }
  if (!rows[0].length || rows.some((row) => row.length !== rows[0].length)) {
    throw new SlotRefused("Every row of level readings has the same number of stations.");
  }
  const count = rows.length * rows[0].length;
  if (count > MOST_STATIONS) throw new SlotRefused(`${count} stations; ${MOST_STATIONS} at most.`);
  const unit = raw.unit || (system === "metric" ? "mm" : "in");
  if (!Object.keys(UNITS).includes(unit)) throw new SlotRefused("The unit of heights is in, ft, mm, cm, m or 16ths.");
  const kind = raw.kind || "heights";
  if (kind !== "heights" && kind !== "rod") {
    throw new SlotRefused("Level readings are heights, or readings of a rod.");
  }
  const rings = ringsOf(raw.outline, system);
  const readings = gridReadings(raw.readings);
  const spacing = spacingOf(raw.spacing, system);
  for (const key of SERVER_KEYS) if (!isNothing(raw[key])) throw new WhenSent(key);
  const heights = kind === "rod" ? fromRod : (cells) => cells;
  const madeOf = (cells) => ({ t: "grid", rows: heights(cells), spacing, readings, rings });
  return { unit, rows, madeOf };
}

/** A reading as text. Throws SlotRefused for what is neither text, yes or no, nor whole. */
export function asText(value) {
  if (value === null || value === undefined) return "";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "string") return value;
  if (Number.isInteger(value)) return String(value);
  if (typeof value === "number") {
    throw new SlotRefused('A number with a point is rounded on its way here: send text, "7.5".');
  }
  throw new SlotRefused("A reading is text, yes or no, or nothing.");
}

/** Down is less: each reading is taken from the first one, which the rest are measured off. */
function fromRod(cells) {
  const first = cells.flat().find((e) => e.t === "n" && e.value !== null)?.value;
  const down = (e) => {
    if (e.t === "away" || e.value === null) return e;
    const sens = new Map([...e.sens].map(([key, weight]) => [key, negate(weight)]));
    return { ...e, value: subtract(first, e.value), sens };
  };
  return cells.map((row) => row.map(down));
}

function gridReadings(raw) {
  if (raw === null || raw === undefined || raw === "") return 1;
  if (Number.isInteger(raw) && raw >= 1 && raw <= 10 ** 9) return raw;
  throw new SlotRefused("How many readings a height was made of is a whole number.");
}

function spacingOf(raw, system) {
  const spacing = lengthIn(raw, system, "Spacing of stations");
  if (spacing > 0n) return spacing;
  throw new SlotRefused("Spacing of stations is more than zero.");
}

function lengthIn(raw, system, what) {
  try {
    return parseLength(asText(raw), system === "metric" ? "mm" : "ft");
  } catch (error) {
    if (!(error instanceof NotUnderstood)) throw error;
    throw new SlotRefused(`${what}: ${error.message}`, error.suggestions);
  }
}

function ringsOf(raw, system) {
  if (isNothing(raw)) return [];
  if (!isPlain(raw) || !isIn(OUTLINE, raw) || !Object.hasOwn(raw, "corners")) {
    throw new SlotRefused('An outline is {"corners": [["0", "0"], ...], "first": ["1 ft", "1 ft"]}.');
  }
  const isEmpty = (list) => !list || (Array.isArray(list) && !list.length) || isNothing(list);
  const [x0, y0] = corner(isEmpty(raw.first) ? ["0", "0"] : raw.first, system);
  const cutOuts = isEmpty(raw.cut_outs) ? [] : raw.cut_outs;
  const rings = [raw.corners, ...listed(cutOuts)];
  return rings.map((ring) =>
    listed(ring).map((one) => {
      const [x, y] = corner(one, system);
      return [x - x0, y - y0];
    }),
  );
}

function listed(raw) {
  if (Array.isArray(raw) && raw.length <= MOST_CORNERS) return raw;
  throw new SlotRefused(`An outline has a list of corners, ${MOST_CORNERS} at most.`);
}

function corner(raw, system) {
  if (!Array.isArray(raw) || raw.length !== 2) {
    throw new SlotRefused("A corner is two lengths: across, and down.");
  }
  return raw.map((part) => lengthIn(part, system, "Corner of the room"));
}
