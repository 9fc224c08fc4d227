// What a tape shows: units, marks, and a length (nm) as the person reading it would say it.
// Every 1/64 in (396 875 nm) and every 0.001 mm is a whole number of nanometres.

import { floorOf, gcd, magnitude } from "./fraction.js";

export const NM_PER_INCH = 25_400_000n;
export const NM_PER_FOOT = 304_800_000n;
export const NM_PER_MM = 1_000_000n;

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
  if (system === "metric") return `${formatPlain(nm, system)} mm`;
  const [marks, about] = nearestStep(nm, MARK);
  const size = magnitude(marks);
  const wholeFeet = size / 768n;
  if (!feet || !wholeFeet) return `${about}${inchesText(marks)} in`;
  const rest = size % 768n;
  const inches = rest ? ` ${inchesText(rest)} in` : "";
  return `${about}${marks < 0n ? "-" : ""}${wholeFeet} ft${inches}`;
}

/** The same without feet and unit: "7 1/2", "190.5". */
export function formatPlain(nm, system = "us") {
  const [marks, about] = nearestStep(nm, system === "metric" ? MICRON : MARK);
  if (system !== "metric") return about + inchesText(marks);
  const size = magnitude(marks);
  const decimals = trimmed(`.${String(size % 1000n).padStart(3, "0")}`);
  return `${about}${marks < 0n ? "-" : ""}${size / 1000n}${decimals}`;
}

/** A tape fraction (64 at most under the line) as a decimal. */
export function decimalText(value) {
  const millionths = (value.n * 10n ** 6n) / value.d;
  return trimmed(`${millionths / 10n ** 6n}.${String(millionths % 10n ** 6n).padStart(6, "0")}`);
}

/** A count of 64ths as 7 1/2. */
export function inchesText(marks) {
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
