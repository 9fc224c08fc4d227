// One slot's text as a value of its field: a measure, yes or no, a choice, words.

import { compare, ONE } from "./fraction.js";
import { asText, SlotRefused } from "./grid_reading.js";
import { cut, lengthOf, strip } from "./typed.js";
import { parseMeasure, sayMeasure } from "./units.js";
import { GAP, number, text, truth, UNKNOWN } from "./values.js";

const LONGEST_TEXT = 500;

/** A slot of this field that was not filled. */
export function blank(field) {
  if (field.kind === "yes_no") return UNKNOWN;
  return field.kind === "choice" || field.kind === "text" ? text(null) : GAP;
}

/** The value of what is `written`; `reader` has the tools, the house's system and what is read. */
export function elementOf(reader, f, written, value, key, tool) {
  const bare = strip(written);
  if (!bare) return blank(f);
  if (f.kind === "yes_no") return truth(yesNo(asText(value)));
  if (f.kind === "choice") return text(choiceOf(f, bare));
  if (f.kind === "text") return text(wordsOf(written));
  const reads = toolOf(reader, f, tool);
  const metric = f.kind === "length" && reader.system === "metric";
  const found = parseMeasure(f.kind, written, metric ? "mm" : f.unit);
  plausible(reader, f, found, written);
  if (!reads) return number(found);
  reader.out.tools.set(key, reads);
  reader.out.read.set(key, found);
  return number(found, new Map([[key, ONE]]));
}

/** The tool that reads a field; "" for what is counted or told, which no tool is off in. */
function toolOf(reader, f, tool) {
  const kindOf = (id) => reader.instruments.get(id)?.kind;
  if (kindOf(tool) === f.kind && (f.kind === "length" || f.tools.includes(tool))) return tool;
  if (tool === "exact" && f.tools.length) return tool;
  if (f.kind !== "length") return f.tools.find((one) => kindOf(one) === f.kind) ?? "";
  throw new SlotRefused(`${reader.instruments.get(tool).name} gives no length: name a tool.`);
}

function plausible(reader, f, value, written) {
  if ((!f.low || compare(value, f.low) >= 0) && (!f.high || compare(value, f.high) <= 0)) return;
  const said = [f.low, f.high].filter(Boolean).map((bound) => sayMeasure(f.kind, bound, reader.system));
  const can = said.length === 2 ? said.join(" to ") : `${said[0]} or ${f.low ? "more" : "less"}`;
  const shown = cut(strip(written), 30);
  throw new SlotRefused(
    `${f.label} ${shown} is outside what this can be, ${can}. Check the number and the unit.`,
  );
}

function yesNo(written) {
  const answer = strip(written).toLowerCase();
  if (["yes", "y", "true"].includes(answer)) return true;
  if (["no", "n", "false"].includes(answer)) return false;
  throw new SlotRefused(`Answer yes or no, not "${cut(answer, 40)}".`);
}

function choiceOf(f, written) {
  if (f.choices.includes(written)) return written;
  throw new SlotRefused(`One of ${f.choices.join(", ")}, not "${cut(written, 40)}".`);
}

function wordsOf(written) {
  const count = lengthOf(written);
  if (count <= LONGEST_TEXT) return strip(written);
  throw new SlotRefused(`${count} characters; ${LONGEST_TEXT} at most.`);
}
