// A judged check on its way into JSON: the judgement that pages and reports read. The twin of the
// second half of calc/judging.py. What waits for the server is told to `told.later`.

import { measureOf, sourceOf } from "./document.js";
import { floorOf, fraction, multiply, textOf, whole } from "./fraction.js";
import { hungOn } from "./looks.js";
import { apart, MEASURES } from "./measures.js";
import { rootUp } from "./roots.js";
import { answerText } from "./sentences.js";
import { sayError } from "./units.js";
import { elements, readingKey, WhenSent } from "./values.js";

/** {text, nm} of a length, {text, nm: null, value, unit} of another kind, null for null. */
export function numberJson(told, measure, value, feet = false) {
  if (value === null) return null;
  if (measure === "length") return { text: told.speaker.length(value, feet), nm: textOf(value) };
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
    overrides: told.scope.rules.map((rule) => rule.override).filter(Boolean),
    words: library.wordsSha256,
  };
}

/** Every quantity that can be told here, by name. */
export function quantitiesOf(told) {
  const { sheet } = told;
  const out = {};
  const add = (what, kind, many) => {
    try {
      out[what.name] = quantityOf(told, what, kind, many);
    } catch (error) {
      if (!(error instanceof WhenSent)) throw error;
      told.later("quantity", what.name, error.what);
    }
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
  const value = told.scope.quantity(what.name);
  const values = value.t === "grid" ? [] : elements(value).map((e, n) => valueOf(told, what, n, e));
  return {
    label: what.label,
    kind,
    many: many ?? value.t === "many",
    derived: told.sheet.field.get(what.name) !== what,
    values,
    ...(what.places?.length ? { places: what.places } : {}),
  };
}

function valueOf(told, what, n, value) {
  const { readings } = told.scope;
  const isField = told.sheet.field.get(what.name) === what;
  const measure = measureOf(told.sheet, what.name);
  let out = { text: "", nm: null };
  if (value.t === "away") out.text = "does not apply";
  else if (value.t === "n") {
    if (value.value !== null && measure) out = numberJson(told, measure, value.value, what.feet);
    const kept = told.sheet.earlier.some((one) => one.of === what.name);
    if (kept && told.sheet.derivedOf.get(what.name) === what) out.from = hungOn(value, readings.tools);
  } else {
    out.text = answerText(value);
    out.yes = out.text === "yes" || out.text === "no" ? value.value : null;
  }
  if (!isField) return out;
  out.typed = readings.typed.get(what.name)?.[n] ?? "";
  out.tool = readings.tools.get(readingKey(what.name, n)) ?? "";
  return out;
}

export function ruleJson(told, r) {
  const { rule } = r;
  const book = told.library.books.get(rule.book);
  const value = r.value?.t === "n" ? r.value.value : null;
  const { document, edition } = book;
  return {
    rule: rule.id,
    label: rule.label,
    book: rule.book,
    quantity: rule.quantity,
    index: r.index,
    name: told.speaker.name(r),
    verdict: r.verdict,
    plain: r.plain,
    compare: rule.compare,
    value: numberJson(told, rule.measure, value) ?? { text: answerText(r.value), nm: null },
    limit: numberJson(told, rule.measure, rule.bound) ?? { text: rule.wants_yes ? "yes" : "no", nm: null },
    margin: numberJson(told, apart(rule.measure), r.margin),
    u: r.uSquared === null ? null : errorJson(told, rule.measure, r.uSquared),
    settled_by: r.settledBy,
    kind: rule.kind,
    trade: rule.trade || told.sheet.trade,
    by_gauge: r.byGauge,
    overridden: rule.override !== null,
    question: told.speaker.questions([r]).join(" ") || null,
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
