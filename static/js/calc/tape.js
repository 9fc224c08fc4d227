// What a tape shows: units, marks, a length (nm) as the person reading it would say it, and the
// fractions that it has.

import { floorOf, fraction, gcd, magnitude } from "./fraction.js";
import { Ambiguous, NotUnderstood } from "./refusal.js";
import { short } from "./typed.js";

export const NM_PER_INCH = 25_400_000n;
export const NM_PER_FOOT = 304_800_000n;
const NM_PER_MM = 1_000_000n;

/** Nanometres in one of each unit; `16ths` are sixteenths of an inch. */
export const UNITS = {
  in: NM_PER_INCH,
  ft: NM_PER_FOOT,
  mm: NM_PER_MM,
  cm: 10n * NM_PER_MM,
  m: 1000n * NM_PER_MM,
  "16ths": NM_PER_INCH / 16n,
};

const MARK = NM_PER_INCH / 64n;
const MICRON = NM_PER_MM / 1000n;

/** A length (a fraction of nm) with its unit: "7 1/2 in", "190.5 mm", "6 ft 8 in". */
export function formatLength(nm, system = "us", feet = false) {
  if (system === "metric") return `${trimmed(inThousandths(nm, MICRON))} mm`;
  const [marks, about] = nearestStep(nm, MARK);
  if (about && !marks) return formatFine(nm);
  const size = magnitude(marks);
  const wholeFeet = size / 768n;
  if (!feet || !wholeFeet) return `${about}${inchesText(marks)} in`;
  const rest = size % 768n;
  const inches = rest ? ` ${inchesText(rest)} in` : "";
  return `${about}${marks < 0n ? "-" : ""}${wholeFeet} ft${inches}`;
}

/** To a thousandth of an inch, for what a 64th does not tell apart: "about 0.065 in". */
export const formatFine = (nm) =>
  `${inThousandths(nm, NM_PER_INCH / 1000n)} in`.replace("about 0.000", "less than 0.001");

function inThousandths(nm, step) {
  const [steps, about] = nearestStep(nm, step);
  const size = magnitude(steps);
  const decimals = String(size % 1000n).padStart(3, "0");
  return `${about}${steps < 0n ? "-" : ""}${size / 1000n}.${decimals}`;
}

/** A tape fraction (64 at most under the line) as a decimal. */
function decimalText(value) {
  const millionths = (value.n * 10n ** 6n) / value.d;
  return trimmed(`${millionths / 10n ** 6n}.${String(millionths % 10n ** 6n).padStart(6, "0")}`);
}

/** A count of 64ths as 7 1/2. */
function inchesText(marks) {
  const size = magnitude(marks);
  const rest = size % 64n;
  const common = gcd(rest, 64n);
  const parts = [size / 64n ? String(size / 64n) : "", rest ? `${rest / common}/${64n / common}` : ""];
  return (marks < 0n ? "-" : "") + (parts.filter(Boolean).join(" ") || "0");
}

const trimmed = (decimals) => decimals.replace(/0+$/, "").replace(/\.$/, "");

/** How many steps, half to even, and "about " where that is not all of it. */
function nearestStep(nm, step) {
  const part = nm.d * step;
  const steps = floorOf(nm.n, part);
  const rest = nm.n - steps * part;
  if (!rest) return [steps, ""];
  const up = 2n * rest > part || (2n * rest === part && steps % 2n !== 0n);
  return [up ? steps + 1n : steps, "about "];
}

const TAPE = ["2", "4", "8", "16", "32", "64"];

/** The fraction of a number's `parts` {whole, num, den}; `text` is what was typed. */
export function fractionOf(parts, text) {
  const [num, den] = [BigInt(parts.num), BigInt(parts.den)];
  if (den === 0n) {
    throw new NotUnderstood(`"${short(text)}" has a zero under the line. Type a fraction, as in 3/4.`);
  }
  if (!TAPE.includes(parts.den)) {
    throw new NotUnderstood(
      `"${short(text)}": no tape has marks of 1/${den}. ` +
        "Type halves, quarters, 8ths, 16ths, 32nds or 64ths, or a decimal.",
    );
  }
  if (num < den) return fraction(num, den);
  const writtenOut = inchesText(((BigInt(parts.whole ?? 0) * den + num) * 64n) / den);
  const meant = parts.whole === undefined ? missedSpaces(parts.num, den) : [];
  if (!meant.length) {
    throw new NotUnderstood(`"${short(text)}": ${num}/${den} is one or more. Type ${writtenOut}.`, [
      writtenOut,
    ]);
  }
  throw new Ambiguous(`"${short(text)}": was a space missed? Did you mean ${meant.join(" or ")}?`, [
    ...meant,
    writtenOut,
  ]);
}

/** 71/2 may be 7 1/2, and 111/16 may be 11 1/16 or 1 11/16. */
function missedSpaces(num, den) {
  const meant = [];
  for (let at = num.length - 1; at > 0; at -= 1) {
    const [head, rest] = [num.slice(0, at), num.slice(at)];
    if (head[0] !== "0" && rest[0] !== "0" && BigInt(rest) < den) meant.push(`${head} ${rest}/${den}`);
  }
  return meant;
}

/** Millimeters have no fractions, and a fraction among sixteenths may be one of an inch. */
export function noFraction(number, value, unit, text) {
  const meant = [decimalText(value), `${number} in`];
  if (unit === "16ths") {
    return new Ambiguous(
      `"${short(text)}": sixteenths are counted here, as in 3. Is this in inches?`,
      meant,
    );
  }
  return new NotUnderstood(
    `"${short(text)}" is a fraction of a ${unit}. Type a decimal, or inches.`,
    meant,
  );
}
