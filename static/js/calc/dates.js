// Dates as numbers: whole seconds from the start of year 1 (fieldlog/calc/dates.py).

import { floorOf, whole } from "./fraction.js";
import { strip } from "./typed.js";

export const DAY = 86_400n;
const LAST = 3_652_059; // 9999-12-31
const ISO = /^(?<year>[0-9]{4})-(?<month>[0-9]{1,2})-(?<day>[0-9]{1,2})$/;
const SITE = /^(?<month>[0-9]{1,2})\/(?<day>[0-9]{1,2})\/(?<year>[0-9]{4})$/;

/** Seconds to the day named, as a fraction; null where the text names no day. */
export function secondsOf(text) {
  const found = (ISO.exec(strip(text)) ?? SITE.exec(strip(text)))?.groups;
  if (!found) return null;
  const [year, month, day] = [found.year, found.month, found.day].map(Number);
  if (year < 1 || month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return null;
  return whole(BigInt(daysBefore(year, month) + day) * DAY);
}

/** 2026-03-04; "about" where a middle of dates is no whole day. */
export function sayDate(seconds) {
  const found = Number(floorOf(seconds.n, seconds.d * DAY));
  const day = Math.max(1, Math.min(found, LAST));
  const exact = seconds.d === 1n && seconds.n === BigInt(day) * DAY;
  return (exact ? "" : "about ") + isoOf(day);
}

const isLeap = (year) => year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const daysIn = (year, month) => (month === 2 && isLeap(year) ? 29 : DAYS[month - 1]);

function daysBefore(year, month) {
  const past = year - 1;
  let days = past * 365 + Math.floor(past / 4) - Math.floor(past / 100) + Math.floor(past / 400);
  for (let m = 1; m < month; m += 1) days += daysIn(year, m);
  return days;
}

function isoOf(day) {
  let year = Math.floor((day - 1) / 366) + 1;
  while (daysBefore(year + 1, 1) < day) year += 1;
  let month = 1;
  while (month < 12 && daysBefore(year, month + 1) < day) month += 1;
  const parts = [month, day - daysBefore(year, month)].map((n) => String(n).padStart(2, "0"));
  return [String(year).padStart(4, "0"), ...parts].join("-");
}
