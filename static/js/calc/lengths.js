// Lengths as people type them, in exact nanometres. The grammar stands at the top of
// fieldlog/calc/lengths.py; both are tested by tests/vectors/lengths.json.

import { add, compare, fraction, multiply, nearest, whole } from "./fraction.js";
import { Ambiguous, NotUnderstood, refusal } from "./refusal.js";
import { formatLength, fractionOf, NM_PER_FOOT, NM_PER_INCH, noFraction, UNITS } from "./tape.js";
import { hasHidden, lengthOf, plain, short } from "./typed.js";

const MAX_TEXT = 40;
const MAX_NM = whole(10n ** 12n);

// Each pattern stands under the rule it implements.
// digits, join, number = decimal | [ digits join ] digits "/" digits | digits
const D = "[0-9]+";
const JOIN = "(?: and | & | |-)";
export const NUMBER = `(?:[0-9]*\\.${D}|(?:${D}${JOIN})?${D}/${D}|${D})`;
const NUMBER_PARTS = new RegExp(
  `^(?:(?<before>[0-9]*)\\.(?<after>${D})` +
    `|(?:(?<whole>${D})${JOIN})?(?<num>${D})/(?<den>${D})|(?<digits>${D}))$`,
);
// foot, inch, unit
const FOOT = "(?:'|ft\\.?|foot|feet)";
export const INCH = '(?:"|in\\.?|inch|inches)';
const UNIT = `(?:${FOOT}|${INCH}|mm|cm|m)`;
const IS_FOOT = new RegExp(`^${FOOT}$`);
const IS_INCH = new RegExp(`^${INCH}$`);
const QUANTITY = new RegExp(`^(?<number>${NUMBER})[ -]?(?<unit>${UNIT})?$`);
const FEET_INCHES = new RegExp(`^(?<feet>${D}) ?${FOOT} ?-? ?(?<inches>${NUMBER}) ?${INCH}?$`);
const HYPHEN_FEET = new RegExp(`^(?<feet>${D})-(?<inches>${NUMBER}) ?${INCH}?$`);

/** Nanometres of a text without its sign; `text` is what was typed, for the reason. */
function magnitudeOf(unsigned, unit, text) {
  let found = QUANTITY.exec(unsigned)?.groups;
  if (found) {
    const named = unitOf(found.unit, unit);
    const number = numberRead(found.number, named, text, "", found.unit ? ` ${named}` : "");
    return multiply(number, whole(UNITS[named]));
  }
  found = FEET_INCHES.exec(unsigned)?.groups;
  if (found) return feetAndInches(found, text);
  found = HYPHEN_FEET.exec(unsigned)?.groups;
  if (!found) throw refusal(unsigned, text, NUMBER, INCH);
  if (unit === "in" || unit === "ft") return feetAndInches(found, text);
  throw new Ambiguous(`"${short(text)}": is that feet and inches? Type the units.`, [
    `${found.feet} ft ${found.inches} in`,
  ]);
}

/** Whether a suggestion would be understood, and to the nanometer: only those are offered. */
function isLength(unsigned, unit) {
  try {
    const size = magnitudeOf(unsigned, unit, unsigned);
    return compare(size, MAX_NM) <= 0 && size.d === 1n;
  } catch (error) {
    if (error instanceof NotUnderstood) return false;
    throw error;
  }
}

/** How many of `unit` a number is; `before` and `after` stand around it in `text`. */
function numberRead(number, unit, text, before, after) {
  const parts = NUMBER_PARTS.exec(number).groups;
  if (parts.digits) return whole(BigInt(parts.digits));
  if (parts.after) return fraction(BigInt(parts.before + parts.after), 10n ** BigInt(parts.after.length));
  return orRefused(
    () => {
      const value = add(whole(BigInt(parts.whole ?? 0)), fractionOf(parts, text));
      if (unit !== "in" && unit !== "ft") throw noFraction(number, value, unit, text);
      return value;
    },
    (refused) => refused.within(before, after),
  );
}

function feetAndInches(found, text) {
  const inches = numberRead(found.inches, "in", text, `${found.feet} ft `, " in");
  const size = add(whole(BigInt(found.feet) * NM_PER_FOOT), multiply(inches, whole(NM_PER_INCH)));
  if (compare(inches, whole(12n)) < 0) return size;
  throw new NotUnderstood(`"${short(text)}" has 12 inches or more after the feet. Type them as feet.`, [
    formatLength(size, "us", true),
  ]);
}

function wholeNm(size, text) {
  if (compare(size, MAX_NM) > 0) {
    throw new NotUnderstood(`"${short(text)}" is more than 1 km, and no house is. Type the length again.`);
  }
  const nm = nearest(size.n, size.d); // a calculator's decimals are rounded
  if (size.d !== 1n && (!nm || /\.[0-9]{10}/.test(text))) {
    throw new NotUnderstood(`"${short(text)}" is finer than a millionth of a millimeter. Type fewer decimals.`);
  }
  return nm;
}

/** The text in plain signs. Its length is bounded here, before any pattern looks at it. */
function notTooLong(text) {
  const count = lengthOf(text);
  if (count > MAX_TEXT) {
    throw new NotUnderstood(`"${short(text)}" is ${count} characters long. Type a length, as in 7 3/4.`);
  }
  if (hasHidden(text)) {
    throw new NotUnderstood(`"${short(text)}" has a line break or a hidden sign in it. Type it again.`);
  }
  const spelled = plain(text);
  if (spelled) return spelled;
  throw new NotUnderstood("Nothing was typed. Type a length, as in 7 3/4.");
}

function orRefused(work, change) {
  try {
    return work();
  } catch (error) {
    if (error instanceof NotUnderstood) throw change(error);
    throw error;
  }
}

/** The length typed, a whole number of nm; `unit` holds where the text has none. */
export function parseLength(text, unit = "in") {
  if (!Object.hasOwn(UNITS, unit)) {
    throw new NotUnderstood(`No unit "${short(unit)}": use one of ${Object.keys(UNITS).join(", ")}.`);
  }
  const spelled = notTooLong(text);
  const sign = spelled[0] === "-" ? "-" : "";
  const unsigned = "+-".includes(spelled[0]) ? spelled.slice(1).replace(/^ +/, "") : spelled;
  const size = orRefused(
    () => wholeNm(magnitudeOf(unsigned, unit, text), text),
    (refused) => {
      refused.suggestions = refused.suggestions.filter((one) => isLength(one, unit));
      return refused.within(sign, "");
    },
  );
  return sign ? -size : size;
}

function unitOf(typed, unit) {
  if (!typed) return unit;
  return IS_FOOT.test(typed) ? "ft" : IS_INCH.test(typed) ? "in" : typed;
}
