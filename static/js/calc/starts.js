// Where a limit starts to apply: the comparisons with a constant in its condition, as they read
// without a `not`. The twin of calc/starts.py.

import { parseFraction } from "./fraction.js";

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
