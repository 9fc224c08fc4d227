// Ids that sort by time (UUID version 7, RFC 9562), made where an entry is made.

const hex = (bytes) => [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");

function dashed(digits) {
  return [digits.slice(0, 8), digits.slice(8, 12), digits.slice(12, 16), digits.slice(16, 20), digits.slice(20)].join("-");
}

export function newId(now = Date.now()) {
  const random = crypto.getRandomValues(new Uint8Array(10));
  random[0] = 0x70 | (random[0] & 0x0f);
  random[2] = 0x80 | (random[2] & 0x3f);
  return dashed(now.toString(16).padStart(12, "0") + hex(random));
}

export async function digest(bytes) {
  return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
}

// The id of a second entry that the same form makes: the same each time. As `web/saving.py`.
export async function derivedId(id, about) {
  const d = await digest(new TextEncoder().encode(`${id} ${about}`));
  return `${id.slice(0, 13)}-7${d.slice(0, 3)}-${"89ab"[parseInt(d[3], 16) % 4]}${d.slice(4, 7)}-${d.slice(7, 19)}`;
}
