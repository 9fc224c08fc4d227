// The one line under the head: what is safe, what is on this tablet only, and since when.

import { ago, clock, el } from "./build.js";
import { count } from "./outbox.js";
import { fact } from "./store.js";

const LACKING =
  ". The office's record lacks entries that this tablet let go after a backup: an older backup was put " +
  "back there. Restore the newest one.";
const NOT_READY = "Not ready for no signal yet: don’t reload a page out of reach. What is missing";
const UNTRIED = "Is it ready for walking?";
const READY = "/tablet/ready";
const plural = (n, one, many) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

export function said({ waiting, refused, oldest, sent }, now = Date.now()) {
  const parts = [];
  if (refused) parts.push(`${refused} refused: see why`);
  if (waiting) parts.push(`${waiting} on this tablet only, ${now - oldest < 60_000 ? "just now" : `oldest ${ago(oldest, now)}`}`);
  if (!parts.length) parts.push(sent ? `All sent, ${clock(sent)}` : "All sent");
  return parts.join(". ");
}

// `nag` hours: how old an unsent entry may grow before the line speaks up; the house sets it.
export async function showLine(rooms) {
  const line = document.querySelector(".line");
  if (!line) return;
  const counted = await count();
  // At the machine itself nobody walks off.
  const untried = location.protocol === "https:" && location.pathname !== READY && !(await fact("ready"));
  const nag = Number(document.documentElement.dataset.nag || 24) * 3_600_000;
  const old = counted.waiting && Date.now() - counted.oldest > nag;
  line.classList.toggle("line-urgent", Boolean(old || counted.refused || counted.lacking));
  const words = el("a", { href: "/tablet/outbox" }, said(counted));
  line.replaceChildren(words);
  if (counted.lacking) line.append(LACKING);
  else if (old) line.append(` Bring this tablet near the office: ${plural(counted.waiting, "entry is", "entries are")} in no other place.`);
  else if (rooms?.missing) line.append(". ", el("a", { href: READY }, NOT_READY));
  else if (rooms?.filled) {
    line.append(`. This tablet has all ${rooms.rooms} rooms as of ${clock(rooms.filled)}`);
    if (untried) line.append(". ", el("a", { href: READY }, UNTRIED));
  }
  line.hidden = false;
}
