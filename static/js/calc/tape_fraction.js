// The fraction of a typed length: only what a tape has, and less than one.

import { fraction } from "./fraction.js";
import { Ambiguous, NotUnderstood } from "./refusal.js";
import { decimalText, inchesText } from "./tape.js";
import { short } from "./typed.js";

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
