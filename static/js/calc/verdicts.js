// Each limit against each place of its quantity, exactly, knowing the tool: the twin of
// calc/verdicts.py. A limit that hangs on what only the server can compute is left for it.

import { fieldsBehind, UnknownSource } from "./document.js";
import { judgeEdge } from "./floors_noise.js";
import { floor, subtract } from "./fraction.js";
import { gaugeFits, settledBy, tooClose, variance } from "./uncertainty.js";
import { elements, FALL, GAP, isKnown, orLater, RISE, UNKNOWN } from "./values.js";

/** Gravest first: a check's verdict is the first of these that one of its limits has. */
export const VERDICTS = ["fail", "too_close", "not_measured", "pass", "does_not_apply"];

/** Every limit at every place, in book order; `later(rule, what)` is told of those left out. */
export function resultsOf(scope, library, tools, later) {
  const known = tools.map((id) => library.instruments.get(id)).filter(Boolean);
  known.sort((a, b) => a.effort - b.effort || (a.id < b.id ? -1 : 1));
  const judge = { scope, library, tools: known };
  return scope.rules.flatMap((rule) =>
    orLater(() => ofRule(judge, rule), (why) => later(rule, why), []),
  );
}

export const overall = (results) => {
  const seen = new Set(results.map((r) => r.verdict));
  return VERDICTS.find((verdict) => seen.has(verdict)) ?? "not_measured";
};

function result(rule, index, verdict, more = {}) {
  return {
    rule, index, verdict, plain: null, value: null, margin: null, uSquared: null,
    settledBy: null, byGauge: false, asks: [], waitsForGap: false, ...more,
  };
}

function ofRule(judge, rule) {
  const { scope } = judge;
  const values = [scope.withGiven(rule), scope.condition(rule), gaugeAnswers(scope, rule)];
  const count = Math.max(0, ...values.filter((v) => v.t === "many").map((v) => v.items.length));
  const columns = values.map((value) => columnOf(value, count));
  return Array.from({ length: count || 1 }, (_, n) =>
    at(judge, rule, count ? n : null, ...columns.map((column) => column(n))),
  );
}

function columnOf(value, count) {
  const items = elements(value);
  if (value.t !== "many" || !count) return () => items[0];
  const tail = items[0]?.t === "b" ? UNKNOWN : GAP;
  return (n) => items[n] ?? tail;
}

const gaugeAnswers = (scope, rule) => (gaugeFits(rule) ? scope.quantity(rule.gauge.quantity) : UNKNOWN);

function at(judge, rule, index, value, holds, answer) {
  const applies = holds.t === "b" ? holds.value : null;
  if (applies === false || value.t === "away") return result(rule, index, "does_not_apply");
  if (applies === null) {
    return result(rule, index, "not_measured", { value, asks: unanswered(judge.scope, rule, index) });
  }
  if (answer.t === "b" && answer.value !== null) {
    const side = answer.value ? "fail" : "pass";
    return result(rule, index, side, { plain: side, value, byGauge: true });
  }
  if (value.t === "b") return yesNoVerdict(rule, index, value);
  if (value.t !== "n" || value.value === null) return result(rule, index, "not_measured");
  return againstLimit(judge, rule, index, value);
}

function yesNoVerdict(rule, index, value) {
  if (value.value === null) return result(rule, index, "not_measured", { value });
  const plain = value.value === rule.wants_yes ? "pass" : "fail";
  return result(rule, index, plain, { plain, value });
}

function againstLimit(judge, rule, index, value) {
  const [plain, margin] = marginOf(rule, value);
  const worse = rule.compare[0] === "<" ? RISE : FALL;
  const better = worse === RISE ? FALL : RISE;
  if (value.may & (plain === "pass" ? worse : better)) {
    return result(rule, index, "not_measured", { value, waitsForGap: true });
  }
  if (value.worst && rule.measure === "length" && worse === RISE) {
    return worstOfMany(judge, rule, index, value, plain, margin);
  }
  const uSquared = variance(value.sens, judge.scope.readings, judge.library.errors);
  const told = { plain, value, margin, uSquared };
  if (!tooClose(margin, uSquared)) return result(rule, index, plain, told);
  return result(rule, index, "too_close", { ...told, settledBy: settledBy(judge, rule, value, margin) });
}

/** The worst of many noisy gaps: what the survey's noise alone would show is allowed. */
function worstOfMany(judge, rule, index, value, plain, margin) {
  const { readings, sheet } = judge.scope;
  const tool = judge.library.instruments.get(readings.tools.get(value.sens.keys().next().value));
  const found = judgeEdge(value.worst, floor(rule.bound), tool, thatSettle(judge, sheet, rule));
  const told = { plain, value, margin, uSquared: found.uSquared };
  if (!tooClose(margin, found.uSquared)) return result(rule, index, plain, told);
  return result(rule, index, "too_close", { ...told, settledBy: found.settledBy });
}

/** Tools of the house that level the stations, or that read the gap itself. */
function thatSettle(judge, sheet, rule) {
  const derived = sheet.derivedOf.get(rule.quantity);
  const fields = (derived ? fieldsBehind(sheet, derived.tree) : []).map((n) => sheet.field.get(n));
  const toolsOf = (isIt) => new Set(fields.filter((f) => f && isIt(f)).flatMap((f) => f.tools));
  const direct = toolsOf((f) => f.kind === "length" && f.follows);
  const levels = toolsOf((f) => f.kind === "grid");
  const fit = judge.tools.filter(({ id }) => direct.has(id) || levels.has(id));
  return fit.map((tool) => ({ ...tool, direct: direct.has(tool.id) }));
}

/** The blank fields a condition waits for: those with a question first, then the rest. */
function unanswered(scope, rule, index) {
  const names = rule.when ? fieldsBehind(scope.sheet, rule.when) : [];
  const fields = names.map((name) => scope.sheet.field.get(name));
  const blank = fields.filter((f) => f && isBlank(scope.quantity(f.name), index));
  // an exemption nobody claims is not asked about while something that must be known is open
  const ways = [(f) => f.ask && f.required, (f) => f.ask, (f) => f.required, () => true];
  const asked = ways.map((way) => blank.filter(way)).find((found) => found.length) ?? [];
  return asked.map((f) => f.name);
}

function isBlank(value, index) {
  if (value.t === "grid") return true;
  if (value.t !== "many") return value.t === "away" || !isKnown(value);
  return index === null ? !value.items.every(isKnown) : !isKnown(value.items[index] ?? GAP);
}

/** The plain side and how far inside (positive) or outside the limit. */
function marginOf(rule, value) {
  if (rule.bound === null) throw new UnknownSource(`"${rule.id}" has no limit to compare with`);
  const below = rule.compare[0] === "<";
  const margin = below ? subtract(rule.bound, value.value) : subtract(value.value, rule.bound);
  const inside = margin.n > 0n || (margin.n === 0n && rule.compare.endsWith("="));
  return [inside ? "pass" : "fail", margin];
}
