// The item that a check leaves for each crew, from its judgement: as `web/from_check.py` says it.

const HEADS = 3;
const MOST_WORDS = 300;

export const isOver = ({ verdict, mark, plain }) => {
  const how = verdict ?? mark;
  return how === "fail" || (how === "too_close" && plain === "fail");
};
const once = (list) => [...new Set(list)];
const firstSentence = (text) => (/^([\s\S]+?)[.!?](\s|$)/.exec(text)?.[1] ?? text).trim();
const cut = (text) => (text.length <= MOST_WORDS ? text : `${text.slice(0, MOST_WORDS - 1).trimEnd()}…`);

function wordsFor({ judged, place, title }, trade) {
  const heads = judged.findings
    .filter((one) => isOver(one) && ["", trade].includes(one.trade ?? ""))
    .map((one) => firstSentence(one.head));
  const more = heads.length > HEADS ? ` and ${heads.length - HEADS} more` : "";
  const said = heads.slice(0, HEADS).join("; ") + more;
  const named = place && said.toLowerCase().startsWith(place.toLowerCase());
  return cut(said ? `${named ? judged.sheet.title : title}: ${said}` : `${title} does not pass`);
}

// {trade, words, rules} for each crew of the house that the check is over for.
export function givesOf(check, crews) {
  const over = check.judged.rules.filter(isOver);
  return once(over.map(({ trade }) => trade)).filter((trade) => trade in crews).map((trade) => ({
    trade,
    words: wordsFor(check, trade),
    rules: once(over.filter((one) => ["", trade].includes(one.trade)).map(({ rule }) => rule)),
  }));
}

// Whether something is over that is no crew's of the house: a person picks one.
export const leftOver = ({ judged }, crews) => judged.rules.some((one) => isOver(one) && !(one.trade in crews));
