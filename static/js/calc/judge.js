// One check judged on the tablet: readings in, the judgement out, key for key what the server will
// say (calc/judging.py). What only the server can make is named in `when_sent`: drawings, limits
// on what has no twin here, and what hangs on looks or layers that this tablet does not know.

import { libraryOf, measureOf, rulesOf, sheetNamed, sourceOf, UnknownSource } from "./document.js";
import { findingsOf } from "./findings.js";
import { addLayers, changedByFinishes, finishedReadings, foretold } from "./finished.js";
import { layersJson } from "./finished.js";
import { absolute, isZero } from "./fraction.js";
import { refuseImpossible } from "./impossible.js";
import { gridsOf, notesOf, placed } from "./judge_grids.js";
import { quantitiesOf, ruleJson, sourcesOf } from "./judged.js";
import { addLooks } from "./looks.js";
import { apart } from "./measures.js";
import { parseReadings, ReadingsRefused } from "./readings.js";
import { Scope } from "./scope.js";
import { answerText, Speaker } from "./sentences.js";
import { filled } from "./typed.js";
import { tooClose, variance } from "./uncertainty.js";
import { sayMeasure } from "./units.js";
import { minus, orLater } from "./values.js";
import { overall, resultsOf, VERDICTS } from "./verdicts.js";

export { ReadingsRefused, UnknownSource };

/**
 * Judge readings by a sheet and books of the document.
 *
 * `instrument` holds where a reading names none. Known besides: `system`, the house's `tools`,
 * `finishes` (what is still to come, by place) and `earlier` looks; where these two are left out
 * they are not known here. Throws ReadingsRefused with an error per slot, and UnknownSource.
 */
export function judge(document, sheetId, books, readings, instrument, known = {}) {
  const { system = "us", tools = [], finishes, earlier } = known;
  const library = libraryOf(document);
  const sheet = sheetNamed(library, sheetId);
  sourceOf(library.instruments, instrument, "instrument");
  const rules = rulesOf(library, sheetId, books);
  const parsed = parseReadings(sheet, readings, library.instruments, instrument, system);
  addLooks(sheet, parsed, earlier, library.instruments);
  addLayers(sheet, parsed, finishes);
  const waiting = new Map();
  const later = (what, name, why) => waiting.set(`${what} ${name}`, { what, name, why });
  const scope = new Scope(sheet, rules, parsed);
  refuseImpossible(scope, system, (one, why) => later("impossible", one.field, why));
  const house = tools.length ? tools : [...library.instruments.keys()].filter((id) => id !== "exact");
  const tell = (of) => toldOf(library, of, system, later);
  const ofRules = (of) => resultsOf(of, library, house, (rule, why) => later("rule", rule.id, why));
  const rough = ofRules(scope);
  const told = tell(scope);
  const out = judgementOf(told, rough, books, instrument);
  const reads = sheet.from_layers.length && Object.keys(finishes ?? {}).length;
  if (reads) out.layers = layersJson(told, finishes);
  const then = finishes && finishedReadings(scope, finishes);
  if (then) {
    const after = new Scope(sheet, rules, then);
    out.finished = {
      ...summary(tell(after), changedByFinishes(sheet, rough, ofRules(after))),
      layers: layersJson(told, finishes),
      notes: foretold(after, finishes, library.words, system),
    };
  } else if (finishes === undefined && sheet.finished.length) {
    later("finished", sheet.id, "layers of the rooms");
  }
  if (sheet.drawing) later("drawing", sheet.drawing, "drawings");
  return withWaiting(out, [...waiting.values()]);
}

/** The judgement with what waits for the server: short of a fail its verdict is not known yet. */
function withWaiting(out, when_sent) {
  const open = when_sent.some(({ what }) => what === "rule");
  return { ...out, verdict: open && out.verdict !== "fail" ? "when_sent" : out.verdict, when_sent };
}

function toldOf(library, scope, system, later) {
  const { sheet } = scope;
  const told = { library, sheet, scope, system, later, ofRules: new Map(), errors: new Map() };
  told.speaker = new Speaker(sheet, library, system, (name) => textNamed(scope, name, system), scope);
  return told;
}

function findingsIn(told, results, grids) {
  const said = findingsOf(told.speaker, results, (rule, why) => told.later("sentence", rule.id, why));
  return placed(said, results, grids);
}

const countsOf = (results) =>
  Object.fromEntries(VERDICTS.map((v) => [v, results.filter((r) => r.verdict === v).length]));

function judgementOf(told, results, books, instrument) {
  told.results = results;
  const { library, scope, sheet, system } = told;
  const grids = gridsOf(told);
  const findings = findingsIn(told, results, grids);
  const notes = [...disagreements(told), ...notesOf(grids)];
  if (!scope.rules.length) notes.push(library.words.no_limits);
  return {
    v: 1,
    verdict: overall(results),
    system,
    ...sourcesOf(told, books, instrument),
    instrument,
    quantities: quantitiesOf(told),
    grids,
    rules: results.map((r) => ruleJson(told, r)),
    counts: countsOf(results),
    findings,
    notes,
    questions: [...new Set(findings.flatMap((f) => f.questions))],
    caution: sheet.caution,
  };
}

/** A scalar quantity in words, for sentences. */
function textNamed(scope, name, system) {
  const value = scope.quantity(name);
  if (value.t !== "n" || value.value === null) return answerText(value);
  return sayMeasure(measureOf(scope.sheet, name), value.value, system);
}

/** A difference that the tools do not explain is named, with both numbers. */
function disagreements(told) {
  return told.sheet.agreements.flatMap((agree) =>
    orLater(() => disagreement(told, agree), (why) => told.later("note", agree.one, why), []),
  );
}

function disagreement(told, { one, other, says }) {
  const [a, b] = [one, other].map((name) => told.scope.quantity(name));
  if (a.t !== "n" || b.t !== "n") return [];
  const between = minus(a, b);
  if (between.value === null || isZero(between.value) || between.may) return [];
  const u2 = variance(between.sens, told.scope.readings, told.library.errors);
  if (tooClose(between.value, u2)) return [];
  const inWords = (name, value) => told.speaker.number(measureOf(told.sheet, name), value);
  const kind = apart(measureOf(told.sheet, one));
  const difference = told.speaker.number(kind, absolute(between.value));
  return [filled(says, { one: inWords(one, a.value), other: inWords(other, b.value), difference })];
}

/** What is kept of the judgement of the finished readings. */
function summary(told, results) {
  told.results = results;
  const quantities = quantitiesOf(told, told.sheet.finished.map((one) => one.field));
  const findings = findingsIn(told, results, gridsOf(told)).filter((f) => f.mark !== "pass");
  return { verdict: overall(results), counts: countsOf(results), quantities, findings };
}
