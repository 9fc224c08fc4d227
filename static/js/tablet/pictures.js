// Photos that are kept on this tablet, shown from there.

import { el } from "./build.js";
import { photo } from "./store.js";

const addresses = new Map();

async function addressOf(sha256) {
  const kept = !addresses.has(sha256) && (await photo(sha256));
  if (kept) {
    const { bytes, media, smallBytes } = kept;
    const blob = new Blob([smallBytes || bytes], { type: smallBytes ? "image/jpeg" : media });
    addresses.set(sha256, URL.createObjectURL(blob));
  }
  return addresses.get(sha256);
}

export async function pictures(digests, width = 240) {
  const found = await Promise.all(digests.map(addressOf));
  return found.filter(Boolean).map((src) => el("img", { src, alt: "Photo", width }));
}
