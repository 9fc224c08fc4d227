// Why a text is no length or number, as a sentence for the person, and what to tap instead.

import { short } from "./typed.js";

/** A text is not understood: `reason` is a sentence, `suggestions` are texts to tap. */
export class NotUnderstood extends Error {
  constructor(reason, suggestions = []) {
    super(reason);
    this.reason = reason;
    this.suggestions = suggestions;
  }

  /** The same refusal of a part of a text, its suggestions with the rest around them. */
  within(before, after) {
    const around = this.suggestions.map((one) => before + one + (/[0-9]$/.test(one) ? after : ""));
    return new this.constructor(this.reason, around);
  }
}

/** A text could be two lengths: ask the person which. */
export class Ambiguous extends NotUnderstood {}

// Why a text that the grammar refuses is refused: the first pattern found names the reason.
const REASONS = [
  [/[^\x00-\x7f]/, "has a sign that is on no tape. Type plain digits, as in 7 3/4"],
  [/[0-9],[0-9]/, "has a comma. Use a point for decimals, as in 7.5, and none for thousands"],
  [/^[+-]/, "has two signs. Type one, as in -3"],
  [/[0-9]e[+-]?[0-9]/, "is written in powers of ten. Type the number out, as in 1000"],
  [/\/.*\//, "has two fractions. Type one, as in 7 3/4"],
  [/\.[0-9]*[ -].*\//, "has a decimal and a fraction. Type one of them, as in 7.75 or 7 3/4"],
  [/ (strong|full|shy|scant)$/, "is beside a mark. Type the mark or the next 32nd, as in 15/16 or 31/32"],
  [/[a-z"'].*[0-9].*[a-z"']/, "has units that clash. Type feet and inches, or one unit"],
  [/^[+-]? ?[a-z"'. -]*$/, "has no number. Type a length, as in 7 3/4"],
  [/[0-9]\.?$|\./, "is not one number. Type a length, as in 7 3/4 or 6 ft 8 in"],
];

/** Why no rule of the grammar fits; `number` and `inch` are its patterns. */
export function refusal(unsigned, text, number, inch) {
  const two = new RegExp(`^([0-9]+) (${number})(${inch})?$`).exec(unsigned);
  if (two) {
    return new Ambiguous(`"${short(text)}" is two numbers. Is the first one feet?`, [
      `${two[1]} ft ${two[2]} in`,
    ]);
  }
  const comma = /^([0-9]+),([0-9]+)([^,]*)$/.exec(unsigned);
  const joints = comma?.[2].length === 3 ? [".", ""] : ["."];
  const meant = comma ? joints.map((joint) => comma[1] + joint + comma[2] + comma[3]) : [];
  for (const [pattern, reason] of REASONS) {
    if (pattern.test(unsigned)) return new NotUnderstood(`"${short(text)}" ${reason}.`, meant);
  }
  return new NotUnderstood(
    `"${short(text)}" is not a length. Type one, as in 7 3/4, 6 ft 8 in or 196 mm.`,
  );
}
