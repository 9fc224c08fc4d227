// What a check that is kept on this tablet came to, as the office's page says it: what is over, by
// which clause, and what becomes of it when the finishes are on.

import { el, mark, WORDS } from "./build.js";
import { isOver } from "./giving.js";

const SEEN = ["primary", "secondary"];

// "too close to call" has a side.
export const wordFor = (verdict, plain) =>
  verdict === "too_close" && plain ? `${plain === "pass" ? "passes" : "over"}, too close to call` : WORDS[verdict];

const signOf = ({ mark: verdict }) => mark(verdict).querySelector("svg") || "";
const spoken = ({ mark: verdict, plain }) => el("span", { class: "vh" }, wordFor(verdict, plain));

function finding(one) {
  const { head, where, body, fix, settle, questions = [], source = "", verified } = one;
  const places = one.indices?.length > 1 && where ? `${where}. ` : "";
  const says = [places + (body || ""), fix, settle].filter(Boolean).map((text) => el("p", {}, text));
  const asks = questions.map((text) => el("p", { class: "finding-ask" }, text));
  const how = !verified || SEEN.includes(verified) ? "" : `, ${verified === "common practice" ? verified : "from memory"}`;
  const clause = el("p", { class: "quiet" }, source + how);
  const box = el("div", {}, el("p", { class: "finding-head" }, head), ...(asks.length ? asks : says), clause);
  return el("li", { class: "finding" }, signOf(one), spoken(one), box);
}

const list = (findings) => el("ul", { class: "findings", "aria-label": "Findings, the gravest first" }, ...findings.map(finding));

// In one line before all else: what passes now and will not then.
function ahead({ findings }) {
  const [first, ...more] = findings.filter(isOver);
  if (!first) return "";
  const rest = more.length ? ` And ${more.length} more.` : "";
  const words = el("span", {}, el("a", { href: "#then" }, "When the finishes are on"), `: ${first.head}${rest}`);
  return el("p", { class: "ahead" }, signOf(first), spoken(first), words);
}

const layer = ({ name, floor, ceiling }) =>
  `${name} floor ${floor.text}${ceiling.nm === "0" ? "" : `, ceiling ${ceiling.text}`}`;

const then = ({ findings, notes, layers }) =>
  el("section", { class: "then" }, el("h2", { id: "then" }, "When the finishes are on"), list(findings),
    ...notes.map((note) => el("p", {}, note)),
    el("p", { class: "quiet" }, `Reckoned with what is still to come: ${layers.map(layer).join("; ")}.`));

export function judgement({ judged, verdict, says }) {
  if (!judged && verdict) return [el("p", { class: "counts" }, mark(verdict, says))];
  if (!judged) return [el("p", { class: "notice" }, "This is judged when it is sent: the tablet cannot work it out by itself.")];
  const over = judged.findings.filter((one) => one.mark !== "pass");
  const side = judged.rules.some(isOver) ? "fail" : "pass";
  return [
    el("p", { class: "counts" }, mark(verdict, verdict === "too_close" ? wordFor(verdict, side) : undefined)),
    judged.finished ? ahead(judged.finished) : "",
    list(over.length ? over : judged.findings),
    ...(judged.notes || []).map((note) => el("p", {}, note)),
    judged.finished ? then(judged.finished) : "",
    el("p", { class: "caution" }, judged.caution || ""),
  ];
}
