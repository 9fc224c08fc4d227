// What a key does to the text in a slot. Pure: text and key in, text and "done" out.
// A reading is done when a fraction was tapped: the next digit then belongs to the next slot.

const SHAPE = /^([+-]?)(?:(\d+) ?ft ?)?(\d*)(?: ?(\d+\/\d+))?$/;

// A number with its unit behind it ("70 F", "48 min", "2 %"), which feet are not.
const WITH_UNIT = /^([+-]?[\d./ ]*\d\.?) ?([a-z%]+)$/i;

function join(sign, feet, whole, fraction) {
  const parts = [];
  if (feet) parts.push(`${feet} ft`);
  if (whole) parts.push(whole);
  if (fraction) parts.push(fraction);
  return sign + parts.join(" ");
}

function fraction(text, key) {
  const found = SHAPE.exec(text);
  if (!found) return { text: `${text} ${key}`.trim(), done: true };
  const [, sign, feet, whole] = found;
  if (key === "0/16") return { text: join(sign, feet, whole || "0", ""), done: true };
  return { text: join(sign, feet, whole, key), done: true };
}

function feet(text) {
  const found = SHAPE.exec(text);
  if (!found || found[2] || found[4] || !found[3]) return { text, done: false };
  return { text: `${found[1]}${found[3]} ft `, done: false };
}

function back(text) {
  const found = SHAPE.exec(text.trimEnd());
  if (found && found[4]) return { text: join(found[1], found[2], found[3], ""), done: false };
  if (found && found[2] && !found[3]) return { text: found[1] + found[2], done: false };
  const said = WITH_UNIT.exec(text.trimEnd());
  if (said) return { text: said[1], done: false };
  return { text: text.trimEnd().slice(0, -1).trimEnd(), done: false };
}

function sign(text) {
  if (text && !SHAPE.test(text) && !/^[+-]?[\d.]+( ?[a-z%]+)?$/i.test(text)) return { text, done: false };
  if (text.startsWith("-")) return { text: text.slice(1), done: false };
  return { text: `-${text.replace(/^\+/, "")}`, done: false };
}

function digit(text, key) {
  const found = SHAPE.exec(text);
  // A digit behind a finished fraction begins the reading anew, it never lengthens it.
  if (found && found[4]) return { text: key, done: false };
  if (!found && WITH_UNIT.test(text)) return { text: key, done: false };
  return { text: text + key, done: false };
}

// The unit's own key ends a reading; another one takes its place.
function unit(text, key) {
  const number = (WITH_UNIT.exec(text)?.[1] ?? text).trim();
  return number ? { text: `${number} ${key}`, done: true } : { text, done: false };
}

export function press(text, key) {
  if (/^\d+\/\d+$/.test(key)) return fraction(text, key);
  if (/^[+-]\d+$/.test(key)) return { text: key, done: true };
  if (key === "x") return { text: "x", done: true };
  if (key === "ft") return feet(text);
  if (key === "back") return back(text);
  if (key === "sign") return sign(text);
  if (/^([a-z]+|%)$/i.test(key)) return unit(text, key);
  return digit(text, key);
}

export function isDigit(key) {
  return /^[0-9.]$/.test(key);
}

export function begins(key) {
  return isDigit(key) || key === "same" || key === "x" || /^[+-]\d+$/.test(key);
}

export function shown(text, unit) {
  const plain = text.trim();
  if (!plain) return "";
  if (/[a-z'"%]\s*$/i.test(plain)) return plain;
  return unit ? `${plain} ${unit}` : plain;
}
