// A tree's value, in exact fractions: the twin of fieldlog/calc/evaluate.py, and the functions
// that a tree may call here. Trees come compiled in the tablet's document; the language and its
// functions are described in DEVELOPERS.md.

import { MINUS_ONE, parseFraction } from "./fraction.js";
import { fNumber, hollowUnder, humpUnder, rangeOf } from "./levels.js";
import { AWAY, both, constant, either, GAP, less, minus, numberOf, opposite } from "./values.js";
import { over, paired, plus, scaled, text, times, truthOf, UNKNOWN, WhenSent } from "./values.js";
import * as geometry from "./geometry.js";
import * as named from "./named.js";

/** What an expression may call here. A function that is not in it is judged when sent. */
export const FUNCTIONS = {
  max: named.largest,
  min: named.smallest,
  spread: named.spread,
  sum: named.total,
  mean: named.mean,
  running: named.running,
  joined: named.joined,
  count: named.count,
  where: named.where,
  choose: named.choose,
  prefer: named.prefer,
  most: named.most,
  least: named.least,
  known: named.known,
  given: named.known,
  answered: named.known,
  any: named.anyOf,
  all: named.allOf,
  same: named.same,
  first_place: named.firstPlace,
  last_place: named.lastPlace,
  edge_gap: named.edgeGap,
  step_above: named.above,
  hypot: geometry.hypot,
  leg: geometry.leg,
  angle_of: geometry.angleOf,
  steps: geometry.steps,
  daily_change: geometry.dailyChange,
  hollow_under: hollowUnder,
  hump_under: humpUnder,
  range_of: rangeOf,
  ff_of: fNumber,
  fl_of: fNumber,
};

const numeric = (work) => (a, b = GAP) =>
  a.t === "away" || b.t === "away" ? AWAY : work(numberOf(a), numberOf(b));
const logical = (work) => (a, b = UNKNOWN) => work(truthOf(a), truthOf(b));
const WORK = {
  "+": numeric(plus),
  "-": numeric(minus),
  "*": numeric(times),
  "/": numeric(over),
  neg: numeric((a) => scaled(a, MINUS_ONE)),
  "<": numeric((a, b) => less(a, b, false)),
  "<=": numeric((a, b) => less(a, b, true)),
  ">": numeric((a, b) => less(b, a, false)),
  ">=": numeric((a, b) => less(b, a, true)),
  and: logical(both),
  or: logical(either),
  not: logical(opposite),
};

/**
 * The value of a tree; `where` has quantity(name), limit(rule) and applies(rule).
 * What is not measured stays not measured. Throws WhenSent.
 */
export function evaluate(tree, where) {
  const op = tree[0];
  if (op === "n") return constant(tree[1]);
  if (op === "t") return text(tree[1]);
  if (op === "q") return where.quantity(tree[1]);
  if (op === "f") return called(tree, where);
  return paired(WORK[op], ...tree.slice(1).map((part) => evaluate(part, where)));
}

function called(tree, where) {
  const name = tree[1];
  if (name === "limit") return where.limit(tree[2][1]);
  if (name === "applies") return where.applies(tree[2][1]);
  if (!Object.hasOwn(FUNCTIONS, name)) throw new WhenSent(name);
  return FUNCTIONS[name](...tree.slice(2).map((part) => evaluate(part, where)));
}

/** Names of quantities in a tree, in order of first use. */
export function namesIn(tree, found = new Set()) {
  if (tree[0] === "q") found.add(tree[1]);
  for (const part of tree) if (Array.isArray(part)) namesIn(part, found);
  return found;
}

const TURNED = { "<": ">", "<=": ">=", ">": "<", ">=": "<=" };
const NEGATED = { "<": ">=", "<=": ">", ">": "<=", ">=": "<" };

/** [quantity, compare, value] of each, in order, each once. */
export function startsOf(when) {
  const found = new Map();
  for (const [quantity, compare, written] of when ? starts(when, false) : []) {
    found.set(`${quantity} ${compare} ${written}`, [quantity, compare, parseFraction(written)]);
  }
  return [...found.values()];
}

function* starts(tree, turned) {
  const [head, ...parts] = tree;
  if (TURNED[head]) {
    const [one, other] = parts;
    const as = (compare) => (turned ? NEGATED[compare] : compare);
    if (one[0] === "q" && other[0] === "n") yield [one[1], as(head), other[1]];
    else if (one[0] === "n" && other[0] === "q") yield [other[1], as(TURNED[head]), one[1]];
  } else if (["and", "or", "not"].includes(head)) {
    for (const part of parts) yield* starts(part, turned !== (head === "not"));
  }
}
