// What the tablet's own modules say to the questions of a test: plain JSON in, plain JSON out. The
// same file answers in Node and in a browser.

import { Ambiguous, NotUnderstood } from "../../static/js/calc/refusal.js";
import { UnknownSource } from "../../static/js/calc/document.js";
import { judgeCheck } from "../../static/js/calc/checks.js";
import { FUNCTIONS, evaluate } from "../../static/js/calc/expressions.js";
import { SurveyNotUsable, lookUnder } from "../../static/js/calc/floors.js";
import { parseFraction, textOf } from "../../static/js/calc/fraction.js";
import { allowedActs, fold } from "../../static/js/calc/items.js";
import { ReadingsRefused, judge } from "../../static/js/calc/judge.js";
import { parseLength } from "../../static/js/calc/lengths.js";
import { doubtsOf, highLow, planeOf } from "../../static/js/calc/plane.js";
import { parseMeasure, sayError, sayMeasure } from "../../static/js/calc/units.js";
import { AWAY, GAP, UNKNOWN, exact, many, number, readingKey, text, truth } from "../../static/js/calc/values.js";

const said = (value) => JSON.parse(JSON.stringify(value, (_, v) => (typeof v === "bigint" ? String(v) : v)));

function valueOf(raw, name, index) {
  if (Array.isArray(raw)) return many(raw.map((one, n) => valueOf(one, name, n)));
  if (raw === null) return GAP;
  if (raw === "?") return UNKNOWN;
  if (raw === "away") return AWAY;
  if (typeof raw === "boolean") return truth(raw);
  if (typeof raw === "object") return text(raw.text);
  return number(parseFraction(raw), new Map([[readingKey(name, index), exact(1n).value]]));
}

function toldOf(value) {
  if (value.t === "many") return value.items.map(toldOf);
  if (value.t === "away") return "away";
  if (value.t === "t") return { text: value.value };
  if (value.t === "b") return value.value ?? "?";
  if (value.value === null) return null;
  const hangs = [...value.sens].map(([key, c]) => [key, textOf(c)]);
  return { is: textOf(value.value), may: value.may, hangs_on: Object.fromEntries(hangs) };
}

function floorOf({ rows, spacing, edges }) {
  const grid = {
    rows: rows.map((row) => row.map((z) => (z === null ? null : BigInt(z)))),
    spacing: BigInt(spacing),
  };
  const worst = (found) => found && {
    ...found,
    gap: textOf(found.gap),
    weights: found.weights.map(([cell, weight]) => [cell, textOf(weight)]),
  };
  const plane = planeOf(grid);
  return {
    edges: edges.map((edge) => {
      const { hollow, hump, gaps } = lookUnder(grid, BigInt(edge));
      return { hollow: worst(hollow), hump: worst(hump), gaps };
    }),
    ends: highLow(grid),
    plane: plane && [plane.slopeX, plane.slopeY, plane.offset].map(textOf),
    doubts: doubtsOf(grid),
  };
}

const ANSWERS = {
  length: ({ text: typed, unit }) => parseLength(typed, unit),
  measure: ({ measure, text: typed, unit }) => textOf(parseMeasure(measure, typed, unit)),
  say: ({ measure, value, system, feet }) => sayMeasure(measure, parseFraction(value), system, feet),
  error: ({ measure, value, system }) => sayError(measure, parseFraction(value), system),
  tree: ({ tree, given }) => {
    const known = (name) => valueOf(given[name], name, 0);
    const where = { quantity: known, limit: (r) => known(`limit:${r}`), applies: (r) => known(`applies:${r}`) };
    return toldOf(evaluate(tree, where));
  },
  judge: ({ args, known }, document) => judge(document, ...args, known),
  check: ({ check, earlier }, document) => judgeCheck(document, check, earlier),
  fold: ({ events }, document) => fold(document.transitions, events),
  allowed: ({ state, role }, document) => allowedActs(document.transitions, state, role),
  floor: floorOf,
  functions: () => Object.keys(FUNCTIONS).sort(),
};

/** An answer, or what was refused and why. */
function answered(question, document) {
  try {
    return said(ANSWERS[question.do](question, document));
  } catch (error) {
    if (error instanceof NotUnderstood) {
      return { refused: error.reason, suggestions: error.suggestions, ambiguous: error instanceof Ambiguous };
    }
    if (error instanceof ReadingsRefused) return { errors: said(error.errors) };
    if (error instanceof UnknownSource) return { unknown: error.message };
    if (error instanceof SurveyNotUsable) return { unusable: error.message };
    throw new Error(`${JSON.stringify(question).slice(0, 2000)}: ${error.stack}`);
  }
}

export const answersTo = ({ document, questions }) => questions.map((one) => answered(one, document));
