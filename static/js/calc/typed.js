// Text as people type it: one spelling for each sign, and what was typed, fit for a sentence.

import { remembered } from "./remembered.js";

const PLAIN = new Map([
  ...[..."“”″„‟"].map((sign) => [sign, '"']),
  ...[..."‘’′‛`´"].map((sign) => [sign, "'"]),
  ...[..."−‐‑–"].map((sign) => [sign, "-"]),
  ...[..."⁄∕"].map((sign) => [sign, "/"]),
  ...[..."\u00a0\u2007\u2009\u200a\u202f"].map((sign) => [sign, " "]),
]);
const SIGNS = new RegExp(`[${[...PLAIN.keys()].join("")}]`, "g");
const VULGAR = {
  "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
  "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6",
  "⅚": "5/6", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10",
};
const VULGAR_SIGN = new RegExp(`([0-9]?)([${Object.keys(VULGAR).join("")}])`, "g");
// What Python's str.strip() takes away: the server strips the same.
const SPACE = "[\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]";
const ENDS = new RegExp(`^${SPACE}+|${SPACE}+$`, "g");
const UNSHOWN = /[^\P{C}]|[^\P{Z} ]/u;

/** `text` in lower case with plain quotes, dashes, spaces and fractions: 7½” is 7 1/2". */
export function plain(text) {
  // The space behind keeps ½4 from turning into 1/24.
  const spelled = text
    .replace(SIGNS, (sign) => PLAIN.get(sign))
    .replace(VULGAR_SIGN, (_, digit, sign) => `${digit && `${digit} `}${VULGAR[sign]} `);
  return spelled.toLowerCase().replaceAll("''", '"').replace(/ +/g, " ").replace(/^ | $/g, "");
}

export const strip = (text) => text.replace(ENDS, "");

/** How many signs a text has, an odd one (a pair of halves) counted once, as the server does. */
export const lengthOf = (text) => [...text].length;

export const cut = (text, most) => [...text].slice(0, most).join("");

/** What was typed, fit to stand in a sentence. */
export function short(text) {
  const signs = [...text];
  const shown = signs.slice(0, 24).map((sign) => (UNSHOWN.test(sign) ? "?" : sign));
  return shown.join("") + (signs.length > 24 ? "..." : "");
}

/** A text in quotes as the server writes it in a refusal. */
export function quoted(text) {
  const mark = text.includes("'") && !text.includes('"') ? '"' : "'";
  return mark + text.replaceAll("\\", "\\\\").replaceAll(mark, `\\${mark}`) + mark;
}

export const hasHidden = (text) => [...text].some((sign) => sign < " " || sign === "\x7f");

const templates = new Map();
const partsOf = (template) => remembered(templates, template, () => template.split(/\{(\w+)\}/));

/** The names in a template's braces. */
export const namesOf = (template) => partsOf(template).filter((_, n) => n % 2);

/** A template with its {names} filled in. */
export const filled = (template, values) =>
  partsOf(template).reduce((said, part, n) => said + (n % 2 ? values[part] : part));
