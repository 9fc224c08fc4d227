// The walk's day as its person confirmed it on this tablet today; else none, and the house's own
// time decides when the entry arrives. The tablet's clock only says when "today" is over.

import { fact, keepFact } from "./store.js";

function today() {
  const now = new Date();
  const two = (n) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

export const confirmDay = (day) => keepFact("walk", { on: today(), day });

export async function walkDay() {
  const walk = await fact("walk");
  return walk?.on === today() ? walk.day : "";
}
