// One finding per limit, verdict and side, the gravest first, then by seriousness: the grouping
// half of calc/sentences.py.

import { compare, isZero, negate, squared } from "./fraction.js";
import { apart } from "./measures.js";
import { remembered } from "./remembered.js";
import { orLater } from "./values.js";

const ORDER = ["fail", "too_close", "not_measured", "pass"];
/** Safety and code, holds the next trade, contract, our standard: most serious first. */
const GRAVEST = ["safety", "holds", "contract", "ours"];

/** `later(rule, what)` is told of a sentence that waits for the server. */
export function findingsOf(speaker, results, later) {
  const groups = new Map();
  for (const r of results) {
    if (r.verdict === "does_not_apply") continue;
    const side = r.verdict === "too_close" ? r.plain : "";
    const key = `${r.rule.id} ${r.verdict} ${side} ${r.byGauge} ${r.asks.length > 0} ${r.waitsForGap}`;
    remembered(groups, key, () => []).push(r);
  }
  const found = [...groups.values()].map((group) => findingOf(speaker, group, later));
  const rank = (f) => ORDER.indexOf(f.mark) * GRAVEST.length + GRAVEST.indexOf(f.kind);
  return found.sort((a, b) => rank(a) - rank(b));
}

function findingOf(speaker, group, later) {
  const [first] = group;
  const { rule } = first;
  const own = (template) => orLater(() => speaker.filled(template), (why) => later(rule, why), "");
  const [measured, needs, where] = [speaker.measured(group), speaker.needs(first), speaker.where(group)];
  return {
    mark: first.verdict,
    plain: first.plain,
    head: headline(speaker, group, own, { value: measured, needs, where }),
    body: bodyOf(speaker, group, needs),
    measured,
    needs,
    where,
    source: speaker.source(first),
    verified: rule.override ? "" : rule.verified,
    kind: rule.kind,
    trade: rule.trade || speaker.sheet.trade,
    rule: rule.id,
    indices: group.map((r) => r.index).filter((n) => n !== null),
    fix: first.verdict === "fail" ? own(rule.fix) : "",
    settle: first.verdict === "too_close" ? settleOf(speaker, group) : "",
    questions: speaker.questions(group),
  };
}

function headline(speaker, group, own, told) {
  const [first] = group;
  const { rule } = first;
  const said = own({ fail: rule.fails, pass: rule.passes }[first.verdict] ?? "");
  if (said) return said;
  const { where } = told;
  if (first.byGauge && rule.gauge) {
    const gauge = speaker.library.instruments.get(rule.gauge.instrument).name;
    return speaker.word(first.verdict === "fail" ? "gauge_fails" : "gauge_passes", { gauge, where });
  }
  return speaker.word(templateOf(group), {
    name: first.verdict === "not_measured" ? where : speaker.name(first),
    plural: speaker.plural(rule),
    ...told,
  });
}

function templateOf(group) {
  const [first] = group;
  const many = group.length > 1;
  if (first.verdict === "fail") {
    return first.rule.bound === null ? "fails_answer" : many ? "fails_many" : "fails_one";
  }
  if (first.verdict === "too_close") {
    const side = first.plain === "pass" ? "pass" : sideOf(first);
    return many ? `close_many_${side}` : `close_${side}`;
  }
  if (first.verdict === "not_measured") return first.waitsForGap ? "not_measured_so_far" : "not_measured";
  return many ? "passes_many" : "passes_one";
}

const sideOf = (result) => (result.rule.compare[0] === "<" ? "over" : "under");

function bodyOf(speaker, group, needs) {
  const [first] = group;
  if (["too_close", "pass"].includes(first.verdict)) return speaker.word("close_body", { needs });
  if (first.verdict === "not_measured") {
    if (!first.asks.length) return speaker.word("needs_body", { needs });
    return speaker.word("needs_answer", { question: speaker.questions(group).join(" ") });
  }
  if (first.byGauge || first.margin === null) return "";
  const worst = group.reduce((a, b) => (compare(b.margin, a.margin) < 0 ? b : a));
  const by = byHowMuch(speaker, worst);
  return group.length > 1 ? `${speaker.word("worst", { name: speaker.name(worst) })} ${by}` : by;
}

function byHowMuch(speaker, result) {
  if (isZero(result.margin)) return speaker.words.at_limit;
  const by = speaker.number(apart(result.rule.measure), negate(result.margin));
  return speaker.word(sideOf(result), { by });
}

/** The tools, where their error is more than the limit itself; "" where it is not. */
function coarse(speaker, group) {
  const { bound } = group[0].rule;
  if (!bound || isZero(bound) || group.some((r) => compare(r.uSquared, squared(bound)) <= 0)) return "";
  const used = group.flatMap((r) => [...r.value.sens.keys()]).map((key) => speaker.scope.readings.tools.get(key));
  const told = [...new Set(used)].map((id) => speaker.library.instruments.get(id));
  return speaker.word("settle_coarse", { tools: told.map(({ name, says }) => `${name}, ${says}`).join("; ") });
}

function settleOf(speaker, group) {
  if (group.some((r) => r.settledBy === null)) return coarse(speaker, group) || speaker.words.settle_none;
  const tools = group.map((r) => speaker.library.instruments.get(r.settledBy));
  const most = tools.reduce((a, b) => (b.effort - a.effort || (b.id > a.id ? 1 : -1)) > 0 ? b : a);
  return speaker.word("settle", { tool: most.name });
}
