// Numbers of every kind as they are typed and said, exact: the twin of fieldlog/calc/units.py.

import { sayDate, secondsOf } from "./dates.js";
import { absolute, add, ceiling, compare, divide, fraction, multiply } from "./fraction.js";
import { magnitude, nearest, negate, ONE, parseFraction, subtract, whole, ZERO } from "./fraction.js";
import { parseLength } from "./lengths.js";
import { apart, MEASURES, PERCENTS } from "./measures.js";
import { NotUnderstood } from "./refusal.js";
import { remembered } from "./remembered.js";
import { formatLength } from "./tape.js";
import { hasHidden, lengthOf, plain, short, strip } from "./typed.js";

const MAX_SIZE = whole(10n ** 15n);
const A_NUMBER =
  "(?:[0-9]{1,15}(?:\\.[0-9]{1,12})?|\\.[0-9]{1,12}|(?:[0-9]{1,9} )?[0-9]{1,9}/[0-9]{1,9})";
const BARE = new RegExp(`^${A_NUMBER}$`);
const TYPED = new RegExp(`^(?<sign>[+-]?) ?(?<number>${A_NUMBER}) ?(?<unit>[^0-9 ./].*)?$`);
const RATIO = new RegExp(`^(?<one>${A_NUMBER}) ?(?::|in) ?(?<of>${A_NUMBER})$`);
const SAID = { f: "F", c: "C" };
const HOUR = whole(3600n);
const parsed = new Map();
const saidBefore = new Map();

/** The number typed, in the base unit of `measure`; `unit` holds where the text has none. */
export const parseMeasure = (measure, text, unit = "") =>
  remembered(parsed, `${measure}\n${unit}\n${text}`, () => readMeasure(measure, text, unit));

function readMeasure(measure, text, unit) {
  const m = MEASURES[measure];
  if (measure === "length") return whole(parseLength(text, unit || "in"));
  const spelled = within(text, m);
  if (measure === "date") return dateOf(spelled, text, m);
  const value = measure === "slope" ? slopeOf(spelled, text, m) : valueIn(spelled, unit, text, m);
  if (compare(absolute(value), MAX_SIZE) > 0) notUnderstood(text, " is too large to be one. Type it again.");
  if (m.least && compare(value, m.least) < 0) notUnderstood(text, " is less than nothing. Type it again.");
  if (m.whole && value.d !== 1n) notUnderstood(text, " is no whole number. Count again, as in 4.");
  if (measure === "angle" && value.d !== 1n) notUnderstood(text, " is finer than a millionth of a degree.");
  return value;
}

/** A value in words with its unit; "about" where it is not all of it. */
export const sayMeasure = (measure, value, system = "us", feet = false) =>
  remembered(saidBefore, `${measure} ${value.n}/${value.d} ${system} ${feet}`, () =>
    measureInWords(measure, value, system, feet),
  );

function measureInWords(measure, value, system, feet) {
  if (measure === "length") return formatLength(value, system, feet);
  if (measure === "slope") return saySlope(value);
  if (measure === "date") return sayDate(value);
  const m = MEASURES[measure];
  let unit = system === "metric" ? m.metric : m.shown;
  if (measure === "time" && compare(value, ZERO) > 0 && compare(value, HOUR) < 0) unit = "min";
  const [size, zero] = m.units.get(unit) ?? [ONE, ZERO];
  return strip(`${decimal(divide(subtract(value, zero), size), m.places)} ${SAID[unit] ?? unit}`);
}

/** A standard uncertainty, rounded up in its last place: "0.06 deg". */
export function sayError(measure, u, system) {
  const m = MEASURES[apart(measure)];
  const unit = system === "metric" ? m.metric : m.shown;
  const size = measure === "slope" ? fraction(1n, 100n) : (m.units.get(unit)?.[0] ?? ONE);
  const step = 10n ** BigInt(m.places + 1);
  const steps = ceiling(divide(multiply(u, whole(step)), size));
  return strip(`${decimal(fraction(steps, step), m.places + 1)} ${SAID[unit] ?? unit}`);
}

/** A number as a decimal of so many places, half to even; "about" where that is not all. */
function decimal(value, places) {
  const scaled = multiply(value, whole(10n ** BigInt(places)));
  const rounded = nearest(scaled.n, scaled.d);
  const digits = String(magnitude(rounded)).padStart(places + 1, "0");
  const point = digits.length - places;
  const rest = digits.slice(point).replace(/0+$/, "");
  const sign = rounded < 0n ? "-" : "";
  return `${scaled.d === 1n ? "" : "about "}${sign}${digits.slice(0, point)}${rest && `.${rest}`}`;
}

function notUnderstood(text, why, suggestions = []) {
  throw new NotUnderstood(`"${short(text)}"${why}`, suggestions);
}

function within(text, m) {
  if (lengthOf(text) > 40 || hasHidden(text)) notUnderstood(text, ` is no number. Type it as in ${m.example}.`);
  const spelled = plain(text);
  if (spelled) return spelled;
  throw new NotUnderstood(`Nothing was typed. Type it as in ${m.example}.`);
}

function valueIn(spelled, unit, text, m) {
  const found = TYPED.exec(spelled)?.groups;
  if (!found) notUnderstood(text, ` is no number. Type it as in ${m.example}.`);
  const size = numberIn(found.number, text);
  const number = found.sign === "-" ? negate(size) : size;
  const wanted = strip(found.unit ?? "") || unit.toLowerCase() || m.bare;
  if (wanted === null) {
    const ways = [...new Set([m.shown, m.metric])];
    const meant = ways.map((u) => `${strip(short(text))} ${SAID[u] ?? u}`);
    notUnderstood(text, ` has no unit. Type it as in ${m.example}.`, meant);
  }
  if (wanted === "" && !m.units.size) return number;
  if (!m.units.has(wanted)) notUnderstood(text, `: type it as in ${m.example}.`);
  const [each, zero] = m.units.get(wanted);
  return add(multiply(number, each), zero);
}

function dateOf(spelled, text, m) {
  return secondsOf(spelled) ?? notUnderstood(text, ` is no date. Type it as in ${m.example}.`);
}

/** 1:48, or a percent; a bare number could be either, so it is asked about. */
function slopeOf(spelled, text, m) {
  const ratio = RATIO.exec(spelled)?.groups;
  if (ratio) {
    const of = numberIn(ratio.of, text);
    if (of.n === 0n) notUnderstood(text, ` has nothing under it. As in ${m.example}.`);
    return divide(numberIn(ratio.one, text), of);
  }
  const typed = TYPED.exec(spelled)?.groups;
  if (!typed || !PERCENTS.has(strip(typed.unit ?? ""))) {
    const meant = BARE.test(spelled) ? [`1:${spelled}`, `${spelled} %`] : [];
    notUnderstood(text, ` is no slope. Type it as in ${m.example}.`, meant);
  }
  const number = divide(numberIn(typed.number, text), whole(100n));
  return typed.sign === "-" ? negate(number) : number;
}

/** A decimal, a fraction or a whole and a fraction, exactly. */
function numberIn(number, text) {
  if (/\/0+$/.test(number)) notUnderstood(text, " has a zero under the line.");
  return number.split(" ").map(parseFraction).reduce(add, ZERO);
}

function saySlope(value) {
  const percent = multiply(value, whole(100n));
  if (multiply(percent, whole(100n)).d !== 1n && value.n === 1n) return `1:${value.d}`;
  return `${decimal(percent, 2)} %`;
}
