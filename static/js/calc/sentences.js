// Verdicts in sentences: what it is, what it needs, where, which clause. Templates are the words
// of the document; the twin of calc/sentences.py, whose findings are grouped in findings.js.

import { labelOf, quantityNamed } from "./document.js";
import { compare, largerOf, smallerOf } from "./fraction.js";
import { formatFine } from "./tape.js";
import { filled, namesOf } from "./typed.js";
import { sayMeasure } from "./units.js";

const NEEDS = { "<": "needs_less", "<=": "needs_at_most", ">": "needs_more", ">=": "needs_at_least" };

/** A yes/no or a choice in words; "" where it is not given. */
export function answerText(value) {
  if (value?.t === "b") return value.value === null ? "" : value.value ? "yes" : "no";
  return value?.t === "t" ? (value.value ?? "") : "";
}

/** Puts results of one sheet into words. `textOf` gives a scalar quantity in words. */
export class Speaker {
  constructor(sheet, library, system, textOf, scope) {
    Object.assign(this, { sheet, library, system, textOf, scope, words: library.words });
  }

  word(name, values) {
    return filled(this.words[name], values);
  }

  /** Finer where it would read the same as a limit (`bound`) that it is not: what is on a mark never does. */
  length(nm, feet = false, bound = null) {
    const text = sayMeasure("length", nm, this.system, feet);
    if (!bound || this.system === "metric" || !text.startsWith("about ")) return text;
    return text.replace("about ", "") === this.length(bound, feet) ? formatFine(nm) : text;
  }

  number(measure, value, feet = false, bound = null) {
    return measure === "length"
      ? this.length(value, feet, bound)
      : sayMeasure(measure, value, this.system);
  }

  /** "7 3/4 in or less", "less than 4 in", "yes". */
  needs({ rule }) {
    if (rule.bound === null) return this.words[rule.wants_yes ? "needs_yes" : "needs_no"];
    const limit = this.number(rule.measure, rule.bound, this.feet(rule.quantity));
    return this.word(NEEDS[rule.compare], { limit });
  }

  feet(quantity) {
    return Boolean(quantityNamed(this.sheet, quantity)?.feet);
  }

  /** "Riser 7", "Open gap at riser 7", "Reveal, right top", "Headroom". */
  name(result) {
    const { quantity } = result.rule;
    const label = this.label(result);
    if (result.index === null) return label;
    const place = this.place(quantity, result.index);
    if (place) return this.word("one_place", { label, place });
    const at = this.at(quantity);
    return this.word(at ? "one_at" : "one", { label, at: at.toLowerCase(), n: result.index + 1 });
  }

  label(result) {
    const { give, label, quantity } = result.rule;
    if (!give.size) return labelOf(this.sheet, quantity);
    const edge = this.scope.laid(result);
    return edge ? this.word("laid", { label, edge: this.length(edge, true) }) : label;
  }

  at(quantity) {
    const at = this.sheet.derivedOf.get(quantity)?.at;
    return at ? labelOf(this.sheet, at) : "";
  }

  /** What the sheet calls a place of a list, or "" where it only has a number. */
  place(quantity, index) {
    const derived = this.sheet.derivedOf.get(quantity);
    return this.sheet.field.get(derived ? derived.at : quantity)?.places[index] ?? "";
  }

  plural(rule, at = false) {
    const { quantity } = rule;
    const name = (at && this.sheet.derivedOf.get(quantity)?.at) || quantity;
    return quantityNamed(this.sheet, name)?.plural ?? name;
  }

  /** Document, edition and clause; for an override, who said so and instead of what. */
  source({ rule }) {
    const { document, edition } = this.library.books.get(rule.book);
    const found = this.word("source", { document, edition, clause: rule.clause });
    const source = found.split(/\s+/).filter(Boolean).join(" ");
    if (!rule.override) return source;
    const { by, reason } = rule.override;
    const unseen = { memory: "_memory", "common practice": "_practice" }[rule.verified] ?? "";
    return this.word(`overridden${unseen}`, { by, reason, source, limit: rule.limit });
  }

  questions(group) {
    const names = new Set(group.flatMap((r) => r.asks));
    const fields = [...names].map((name) => this.sheet.field.get(name)).filter(Boolean);
    return fields.map((f) => f.ask || `${f.label}?`);
  }

  measured(group) {
    const values = group.map((r) => r.value);
    const numbers = values.filter((v) => v?.t === "n" && v.value !== null).map((v) => v.value);
    if (!numbers.length) return answerText(values[0]);
    const [low, high] = [numbers.reduce(smallerOf), numbers.reduce(largerOf)];
    const { bound, measure, quantity } = group[0].rule;
    if (compare(low, high) === 0) return this.number(measure, high, this.feet(quantity), bound);
    const [lowest, highest] = [low, high].map((value) => this.number(measure, value, false, bound));
    const unit = measure === "length" ? -3 : undefined; // said once
    return this.word("range", { low: lowest.slice(0, unit), high: highest });
  }

  where(group) {
    const { rule } = group[0];
    const indices = group.map((r) => r.index).filter((n) => n !== null);
    if (!indices.length) return this.label(group[0]);
    if (indices.length === 1) return this.name(group[0]);
    const plural = this.plural(rule, true);
    const places = indices.map((n) => this.place(rule.quantity, n));
    if (places.every(Boolean)) return this.word("places_of", { plural, list: this.listed(places) });
    if (indices.every((n, k) => n === indices[0] + k)) {
      return this.word("all_of", { plural, n: indices[0] + 1, m: indices.at(-1) + 1 });
    }
    return this.word("some_of", { plural, list: this.listed(indices.map((n) => String(n + 1))) });
  }

  listed(names) {
    return names.slice(0, -1).join(", ") + this.words.list_and + names.at(-1);
  }

  /** A sentence with quantities in it, or "" where one of them is not known. */
  filled(template) {
    const names = namesOf(template);
    const texts = Object.fromEntries(names.map((name) => [name, this.textOf(name)]));
    return names.every((name) => texts[name]) ? filled(template, texts) : "";
  }
}
