// A judged check on its way into JSON: the judgement that pages and reports read. The twin of the
// second half of calc/judging.py. What waits for the server is told to `told.later`.

import { measureOf, sourceOf } from "./document.js";
import { floorOf, fraction, multiply, textOf, whole } from "./fraction.js";
import { hungOn } from "./looks.js";
import { apart, MEASURES } from "./measures.js";
import { remembered } from "./remembered.js";
import { rootUp } from "./roots.js";
import { answerText } from "./sentences.js";
import { sayError } from "./units.js";
import { elements, orLater, readingKey } from "./values.js";

/** {text, nm} of a length, {text, nm: null, value, unit} of another kind, null for null. */
export function numberJson(told, measure, value, feet = false, bound = null) {
  if (value === null) return null;
  if (measure === "length") return { text: told.speaker.length(value, feet, bound), nm: textOf(value) };
  const text = told.speaker.number(measure, value);
  return { text, nm: null, value: textOf(value), unit: MEASURES[measure].unit };
}

export function sourcesOf(told, books, instrument) {
  const { library, sheet } = told;
  const head = ({ id, title, sha256 }) => ({ id, title, sha256 });
  const used = new Set([instrument, ...told.scope.readings.tools.values()]);
  const tools = [...used].map((id) => sourceOf(library.instruments, id, "instrument"));
  return {
    sheet: { ...head(sheet), trade: sheet.trade, drawing: sheet.drawing },
    books: [...new Set(books)].map((id) => head(sourceOf(library.books, id, "book"))),
    instruments: tools.map(({ id, name, says, sha256 }) => ({ id, name, says, sha256 })),
    overrides: [...new Map(told.scope.rules.flatMap((r) => (r.override ? [[r.override.rule, r.override]] : []))).values()],
    words: library.wordsSha256,
  };
}

/** Every quantity that can be told here (of `names`, where they are given), by name. */
export function quantitiesOf(told, names) {
  const { sheet } = told;
  const out = {};
  const add = (what, kind, many) => {
    if (names && !names.includes(what.name)) return;
    const quantity = () => (out[what.name] = quantityOf(told, what, kind, many));
    orLater(quantity, (why) => told.later("quantity", what.name, why));
  };
  for (const f of sheet.fields) add(f, f.kind, f.many);
  for (const e of sheet.earlier) add(e, measureOf(sheet, e.name), true);
  for (const by of sheet.from_layers) add(by, "length", false);
  for (const d of sheet.derived) {
    if (!d.takes.length) add(d, d.kind === "truth" ? "yes_no" : d.measure || "number", null);
  }
  return out;
}

function quantityOf(told, what, kind, many) {
  const { sheet } = told;
  const value = told.scope.quantity(what.name);
  const isField = sheet.field.get(what.name) === what;
  const kept = sheet.earlier.some((one) => one.of === what.name) && sheet.derivedOf.get(what.name) === what;
  const measure = measureOf(sheet, what.name);
  const ofPlace = (n) => ({ rule, index }) => rule.quantity === what.name && (index ?? 0) === n;
  const valueOf = (e, n) => {
    const out = saidOf(told, measure, e, what.feet);
    if (out.nm && out.text.startsWith("about ")) { // only then may it read as a limit that it is not
      const texts = told.results.filter(ofPlace(n)).map(({ rule }) => told.speaker.length(e.value, what.feet, rule.bound));
      out.text = texts.find((text) => text !== out.text) ?? out.text;
    }
    if (kept && e.t === "n") out.from = hungOn(e, told.scope.readings.tools);
    return isField ? namingTools(out, told.scope.readings, what.name, n) : out;
  };
  return {
    label: what.label,
    kind,
    many: many ?? value.t === "many",
    derived: !isField,
    values: value.t === "grid" ? [] : elements(value).map(valueOf),
    ...(what.places?.length ? { places: what.places } : {}),
  };
}

function saidOf(told, measure, value, feet) {
  const { t } = value;
  if (t === "n" && value.value !== null && measure) return numberJson(told, measure, value.value, feet);
  if (t === "n" || t === "away") return { text: t === "n" ? "" : "does not apply", nm: null };
  const text = answerText(value);
  return { text, nm: null, yes: text === "yes" || text === "no" ? value.value : null };
}

function namingTools(out, readings, name, n) {
  out.typed = readings.typed.get(name)?.[n] ?? "";
  out.tool = readings.tools.get(readingKey(name, n)) ?? "";
  return out;
}

export function ruleJson(told, r) {
  const { rule, value, index, verdict, plain, uSquared } = r;
  const { label, book, quantity, compare, kind } = rule;
  const number = value?.t === "n" ? value.value : null;
  const u = () => errorJson(told, rule.measure, uSquared);
  const { limit, starts, source } = remembered(told.ofRules, rule, () => atEveryPlace(told, rule));
  return {
    rule: rule.id,
    label, book, quantity, index, verdict, plain, compare, kind, limit, starts, source,
    name: told.speaker.name(r),
    value: numberJson(told, rule.measure, number, false, rule.bound) ?? { text: answerText(value), nm: null },
    margin: numberJson(told, apart(rule.measure), r.margin),
    u: uSquared && remembered(told.errors, `${rule.measure} ${textOf(uSquared)}`, u),
    settled_by: r.settledBy,
    trade: rule.trade || told.sheet.trade,
    by_gauge: r.byGauge,
    overridden: rule.override !== null,
    question: r.asks.length ? told.speaker.questions([r]).join(" ") || null : null,
  };
}

function atEveryPlace(told, rule) {
  const { document, edition } = told.library.books.get(rule.book);
  return {
    limit: numberJson(told, rule.measure, rule.bound) ?? { text: rule.wants_yes ? "yes" : "no", nm: null },
    starts: rule.starts.map(([quantity, compare, value]) => ({
      quantity,
      compare,
      ...numberJson(told, measureOf(told.sheet, quantity), value),
    })),
    source: { document, edition, clause: rule.clause, verified: rule.verified },
  };
}

/** A standard uncertainty. For showing only, no verdict hangs on it: rounded up. */
function errorJson(told, measure, uSquared) {
  if (measure === "length") {
    const u = rootUp(uSquared);
    return { text: errorText(u, told.system), nm: String(u) };
  }
  const fine = fraction(rootUp(multiply(uSquared, whole(10n ** 12n))), 10n ** 6n);
  const text = sayError(measure, fine, told.system);
  return { text, nm: null, value: textOf(fine), unit: MEASURES[apart(measure)].unit };
}

/** "0.018 in" or "0.46 mm", rounded up in its last place. */
function errorText(u, system) {
  const [step, places, unit] = system === "us" ? [25_400n, 3, "in"] : [10_000n, 2, "mm"];
  const steps = String(-floorOf(-u, step)).padStart(places + 1, "0");
  return `${steps.slice(0, -places)}.${steps.slice(-places)} ${unit}`;
}
