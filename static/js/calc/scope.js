// What an expression sees of a check: readings, derived quantities, limits in force. The twin of
// calc/scope.py. What only the server can compute throws WhenSent to whoever asks for it.

import { UnknownSource } from "./document.js";
import { evaluate } from "./expressions.js";
import { remembered } from "./remembered.js";
import { elements, exact, GAP, truth, WhenSent } from "./values.js";

const YES = truth(true);
const NO = truth(false);

export class Scope {
  constructor(sheet, rules, readings) {
    this.sheet = sheet;
    this.rules = rules;
    this.readings = readings;
    this.known = new Map();
    this.conditions = new Map();
    this.busy = [];
  }

  /** A field's value, or a derived quantity's, computed once. */
  quantity(name) {
    if (this.readings.later.has(name)) throw new WhenSent(this.readings.later.get(name));
    const read = this.readings.values.get(name);
    if (read) return read;
    const derived = this.sheet.derivedOf.get(name);
    if (!derived || derived.takes.length) return GAP;
    return this.once(name, () => evaluate(derived.tree, this));
  }

  /** The value of a rule's quantity, with the lengths that the rule gives it. */
  withGiven(rule) {
    const derived = this.sheet.derivedOf.get(rule.quantity);
    if (!derived || !rule.give.size) return this.quantity(rule.quantity);
    return evaluate(derived.tree, this.seeing((name) =>
      rule.give.has(name) ? exact(rule.give.get(name)) : this.quantity(name),
    ));
  }

  /** The length beside the one reading that a number is, where the limit is for another. */
  laid({ rule, value }) {
    const [key, another] = value?.sens?.keys() ?? [];
    if (!rule.give.size || !key || another) return null;
    const [name, n] = key.split(" ");
    const { follows } = this.sheet.field.get(name);
    const edge = follows ? elements(this.quantity(follows))[n]?.value : null;
    const given = [...rule.give.values()].some((nm) => edge?.d === 1n && edge.n === nm);
    return edge && !given ? edge : null;
  }

  /** The same limits, with quantities of one's own. */
  seeing(quantity) {
    return { quantity, limit: (id) => this.limit(id), applies: (id) => this.applies(id) };
  }

  /** The limit of a rule in force (nm), or a gap; only lengths are asked for by rule. */
  limit(id) {
    const rule = this.ruleOf(id);
    return !rule || rule.bound === null || rule.measure !== "length" ? GAP : exact(rule.bound);
  }

  /** Whether a rule in force applies; no where the house's books do not have it. */
  applies(id) {
    const rule = this.ruleOf(id);
    return rule ? this.condition(rule) : NO;
  }

  /** A rule's `when`, or yes. */
  condition(rule) {
    if (!rule.when) return YES;
    const condition = () => this.once(`when ${rule.id}`, () => evaluate(rule.when, this));
    return remembered(this.conditions, rule.whenText, condition); // many rules have the same one
  }

  ruleOf(id) {
    return this.rules.find((rule) => rule.id === id) ?? null;
  }

  once(name, compute) {
    return remembered(this.known, name, () => {
      if (this.busy.includes(name)) {
        throw new UnknownSource(`These wait for each other: ${[...this.busy, name].join(" needs ")}.`);
      }
      this.busy.push(name);
      try {
        return compute();
      } finally {
        this.busy.pop();
      }
    });
  }
}
