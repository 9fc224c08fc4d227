// Dates as numbers: whole seconds from the start of year 1 (fieldlog/calc/dates.py).

import { floorOf, whole } from "./fraction.js";
import { strip } from "./typed.js";

export const DAY = 86_400n;
const MILLISECONDS = 86_400_000;
const FIRST = 719_163; // 1970-01-01, from which a Date counts, as a day from the start of year 1
const LAST = 3_652_059; // 9999-12-31
const ISO = /^(?<year>[0-9]{4})-(?<month>[0-9]{1,2})-(?<day>[0-9]{1,2})$/;
const SITE = /^(?<month>[0-9]{1,2})\/(?<day>[0-9]{1,2})\/(?<year>[0-9]{4})$/;

const isoOf = (day) => new Date((day - FIRST) * MILLISECONDS).toISOString().slice(0, 10);

/** Seconds to the day named, as a fraction; null where the text names no day. */
export function secondsOf(text) {
  const found = (ISO.exec(strip(text)) ?? SITE.exec(strip(text)))?.groups;
  if (!found) return null;
  const iso = [found.year, found.month.padStart(2, "0"), found.day.padStart(2, "0")].join("-");
  const day = Date.parse(`${iso}T00:00Z`) / MILLISECONDS + FIRST;
  // February 30 is no day, or to some engines one in March
  return day >= 1 && isoOf(day) === iso ? whole(BigInt(day) * DAY) : null;
}

/** 2026-03-04; "about" where a middle of dates is no whole day. */
export function sayDate(seconds) {
  const found = Number(floorOf(seconds.n, seconds.d * DAY));
  const day = Math.max(1, Math.min(found, LAST));
  const exact = seconds.d === 1n && seconds.n === BigInt(day) * DAY;
  return (exact ? "" : "about ") + isoOf(day);
}
