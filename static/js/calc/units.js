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
const NUMBER =
  "(?:[0-9]{1,15}(?:\\.[0-9]{1,12})?|\\.[0-9]{1,12}|(?:[0-9]{1,9} )?[0-9]{1,9}/[0-9]{1,9})";
const BARE = new RegExp(`^${NUMBER}$`);
const TYPED = new RegExp(`^(?<sign>[+-]?) ?(?<number>${NUMBER}) ?(?<unit>[^0-9 ./].*)?$`);
const RATIO = new RegExp(`^(?<one>${NUMBER}) ?(?::|in) ?(?<of>${NUMBER})$`);
const SAID = { f: "F", c: "C" };
const HOUR = whole(3600n);
const parsed = new Map();
const said = new Map();

/** The number typed, in the base unit of `measure`; `unit` holds where the text has none. */
export const parseMeasure = (measure, text, unit = "") =>
  remembered(parsed, `${measure}\n${unit}\n${text}`, () => read(measure, text, unit));

function read(measure, text, unit) {
  const m = MEASURES[measure];
  if (measure === "length") return whole(parseLength(text, unit || "in"));
  const spelled = bounded(text, m);
  if (measure === "date") return dateOf(spelled, text, m);
  const value = measure === "slope" ? slopeOf(spelled, text, m) : valueOf(spelled, unit, text, m);
  if (compare(absolute(value), MAX_SIZE) > 0) refuse(text, " is too large to be one. Type it again.");
  if (m.least && compare(value, m.least) < 0) refuse(text, " is less than nothing. Type it again.");
  if (m.whole && value.d !== 1n) refuse(text, " is no whole number. Count again, as in 4.");
  if (measure === "angle" && value.d !== 1n) refuse(text, " is finer than a millionth of a degree.");
  return value;
}

/** A value in words with its unit; "about" where it is not all of it. */
export const sayMeasure = (measure, value, system = "us", feet = false) =>
  remembered(said, `${measure} ${value.n}/${value.d} ${system} ${feet}`, () =>
    inWords(measure, value, system, feet),
  );

function inWords(measure, value, system, feet) {
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

function refuse(text, why, suggestions = []) {
  throw new NotUnderstood(`"${short(text)}"${why}`, suggestions);
}

function bounded(text, m) {
  if (lengthOf(text) > 40 || hasHidden(text)) refuse(text, ` is no number. Type it as in ${m.example}.`);
  const spelled = plain(text);
  if (spelled) return spelled;
  throw new NotUnderstood(`Nothing was typed. Type it as in ${m.example}.`);
}

function valueOf(spelled, unit, text, m) {
  const found = TYPED.exec(spelled)?.groups;
  if (!found) refuse(text, ` is no number. Type it as in ${m.example}.`);
  const size = numberOf(found.number, text);
  const number = found.sign === "-" ? negate(size) : size;
  const wanted = strip(found.unit ?? "") || unit.toLowerCase() || m.bare;
  if (wanted === null) {
    const ways = [...new Set([m.shown, m.metric])];
    const meant = ways.map((u) => `${strip(short(text))} ${SAID[u] ?? u}`);
    refuse(text, ` has no unit. Type it as in ${m.example}.`, meant);
  }
  if (wanted === "" && !m.units.size) return number;
  if (!m.units.has(wanted)) refuse(text, `: type it as in ${m.example}.`);
  const [each, zero] = m.units.get(wanted);
  return add(multiply(number, each), zero);
}

function dateOf(spelled, text, m) {
  return secondsOf(spelled) ?? refuse(text, ` is no date. Type it as in ${m.example}.`);
}

/** 1:48, or a percent; a bare number could be either, so it is asked about. */
function slopeOf(spelled, text, m) {
  const ratio = RATIO.exec(spelled)?.groups;
  if (ratio) {
    const of = numberOf(ratio.of, text);
    if (of.n === 0n) refuse(text, ` has nothing under it. As in ${m.example}.`);
    return divide(numberOf(ratio.one, text), of);
  }
  const typed = TYPED.exec(spelled)?.groups;
  if (!typed || !PERCENTS.has(strip(typed.unit ?? ""))) {
    const meant = BARE.test(spelled) ? [`1:${spelled}`, `${spelled} %`] : [];
    refuse(text, ` is no slope. Type it as in ${m.example}.`, meant);
  }
  const number = divide(numberOf(typed.number, text), whole(100n));
  return typed.sign === "-" ? negate(number) : number;
}

/** A decimal, a fraction or a whole and a fraction, exactly. */
function numberOf(number, text) {
  if (/\/0+$/.test(number)) refuse(text, " has a zero under the line.");
  return number.split(" ").map(parseFraction).reduce(add, ZERO);
}

function saySlope(value) {
  const percent = multiply(value, whole(100n));
  if (multiply(percent, whole(100n)).d !== 1n && value.n === 1n) return `1:${value.d}`;
  return `${decimal(percent, 2)} %`;
}
