// Small builders of page parts: no markup in strings, so nothing typed is ever taken as markup.

const SVG = "http://www.w3.org/2000/svg";

const SIGNS = {
  pass: [
    ["circle", { cx: 12, cy: 12, r: 10, fill: "none", stroke: "#14602f", "stroke-width": 2.4 }],
    ["path", { d: "M7.5 12.4l3.2 3.4 6-7", fill: "none", stroke: "#14602f", "stroke-width": 2.6 }],
  ],
  fail: [
    ["path", { d: "M2 2h20v20H2z", fill: "#9c1c14" }],
    ["path", { d: "M7.5 7.5l9 9m0-9l-9 9", stroke: "#fffdf5", "stroke-width": 3 }],
  ],
  too_close: [
    ["path", { d: "M12 1.5L22.5 12 12 22.5 1.5 12z", fill: "none", stroke: "#6a4000", "stroke-width": 2.2 }],
    ["path", {
      d: "M7.2 10.6q2.4-2.4 4.8 0t4.8 0M7.2 14.6q2.4-2.4 4.8 0t4.8 0", fill: "none", stroke: "#6a4000",
      "stroke-width": 1.9,
    }],
  ],
  not_measured: [["path", { d: "M3.2 3.2h17.6v17.6H3.2z", fill: "none", stroke: "#444f5a", "stroke-width": 2.2 }]],
};

export const WORDS = {
  pass: "pass", fail: "fail", too_close: "too close to call", not_measured: "not measured",
  does_not_apply: "does not apply",
};

export function el(name, attributes = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== false && value !== undefined) made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...inside.filter((part) => part !== null && part !== undefined && part !== ""));
  return made;
}

function drawn(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function sign(verdict) {
  const svg = drawn("svg", { class: "m", viewBox: "0 0 24 24", width: 24, height: 24, "aria-hidden": "true" });
  svg.append(...SIGNS[verdict].map(([name, attributes]) => drawn(name, attributes)));
  return svg;
}

// A verdict: its shape and its word, or a sentence in the word's place.
export function mark(verdict, say) {
  const word = el("span", { class: "mark-word" }, say ?? WORDS[verdict] ?? verdict);
  if (say) word.prepend(el("span", { class: "vh" }, `${WORDS[verdict] ?? verdict}: `));
  const box = el("span", { class: `mark mark-${verdict.replaceAll("_", "-")}` }, word);
  if (SIGNS[verdict]) box.prepend(sign(verdict));
  return box;
}

export const stamp = (state) =>
  el("span", { class: `stamp stamp-${state.replaceAll("_", "-")}` }, state.replaceAll("_", " "));

// The mark of what the office does not have yet; made anew each time the page is shown.
export const here = (before = "") => el("span", { class: "only-here made-here" }, `${before}on this tablet only`);

// "8:12 am", as the tablet's own clock says it: for its person, never for the record.
export function clock(ms) {
  const at = new Date(ms);
  return `${at.getHours() % 12 || 12}:${String(at.getMinutes()).padStart(2, "0")} ${at.getHours() < 12 ? "am" : "pm"}`;
}

export function ago(ms, now = Date.now()) {
  const minutes = Math.max(0, Math.round((now - ms) / 60_000));
  if (minutes < 60) return `${minutes} min`;
  return minutes < 48 * 60 ? `${Math.round(minutes / 60)} h` : `${Math.round(minutes / 1440)} days`;
}
