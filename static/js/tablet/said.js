// What each reading is worth while it is typed, from a judgement: as `web/preview.py` says it.

const GRAVITY = ["fail", "too_close", "not_measured", "pass"];
const NEEDS_SAID = { "<": "less than {}", "<=": "{} or less", ">": "more than {}", ">=": "{} or more" };
const SUMMARY_LINES = 2;
const rankOf = (verdict) => (GRAVITY.includes(verdict) ? GRAVITY.indexOf(verdict) : GRAVITY.length);
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1).toLowerCase();

// The slot that a limit speaks about; none where it is derived or nothing was entered.
function slotOfRule(rule, fields, judged) {
  const field = fields.find((one) => one.name === rule.quantity);
  if (!field || field.kind === "grid") return null;
  const index = rule.index || 0;
  const values = judged.quantities[field.name].values;
  if (index >= values.length || !values[index].typed) return null;
  return field.many ? `q-${field.name}-${index + 1}` : `q-${field.name}`;
}

function saidOfRule(rule, tools) {
  const { verdict: mark, margin } = rule;
  const needs = (NEEDS_SAID[rule.compare] || "{}").replace("{}", rule.limit.text);
  const side = rule.compare.startsWith("<") ? "over" : "under";
  if (mark === "not_measured") {
    const asks = rule.question || "Not measured.";
    return { mark, short: asks, long: `Waits for an answer: ${asks}` };
  }
  if (mark === "pass") return { mark, short: "pass", long: `Passes. Needs ${needs}.` };
  if (mark === "too_close") {
    const short = rule.plain === "pass" ? "passes, too close" : `${side}, too close`;
    const tool = tools[rule.settled_by || ""];
    return { mark, short, long: `${capital(short)} to call.${tool ? ` ${tool} would settle it.` : ""}` };
  }
  if (!margin) return { mark, short: `needs ${needs}`, long: `Needs ${needs}.` };
  if (margin.nm === "0") return { mark, short: "at the limit", long: `Needs ${needs}.` };
  const by = margin.text.replace(/^-/, "");
  return { mark, short: `${side} by ${by}`, long: `${capital(side)} ${rule.limit.text} by ${by}.` };
}

// {slots: {name: {mark, short, long}}, summary: [{mark, text}]}; `tools`: names by id.
export function previewOf(judged, fields, tools) {
  const slots = {};
  const worst = {};
  for (const rule of judged.rules) {
    const name = slotOfRule(rule, fields, judged);
    const rank = rankOf(rule.verdict);
    if (name === null || rank >= (worst[name] ?? GRAVITY.length)) continue;
    worst[name] = rank;
    slots[name] = saidOfRule(rule, tools);
  }
  const has = (finding) => judged.rules.some((rule) => rule.rule === finding.rule && slotOfRule(rule, fields, judged) !== null);
  const failed = judged.findings.filter((one) => one.mark === "fail" && !has(one));
  return { verdict: judged.verdict, slots, summary: failed.slice(0, SUMMARY_LINES).map((one) => ({ mark: one.mark, text: one.head })) };
}

// Readings less those that can't be used: the rest can still be judged.
export function without(readings, errors) {
  const left = { ...readings };
  for (const { field, index } of errors) {
    const value = left[field];
    if (Array.isArray(value) && index !== null) left[field] = value.map((one, n) => (n === index ? null : one));
    else if (value?.rows && index !== null) {
      const wide = value.rows[0].length;
      left[field] = { ...value, rows: value.rows.map((row, r) => row.map((cell, c) => (r * wide + c === index ? null : cell))) };
    } else delete left[field];
  }
  return left;
}
