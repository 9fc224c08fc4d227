// Photos handed over: bytes go until the house repeats their digest.

import { ask, say } from "./asking.js";
import { asked, change, photo, photoKeys } from "./store.js";

const FOR_GOOD = ["photo", "large"]; // else the bytes came cut, and go again

async function upload(path, bytes, media) {
  const answer = await ask(path, { method: "PUT", body: bytes, headers: { "Content-Type": media } }, 120_000);
  const said = /json/.test(answer.headers.get("Content-Type"));
  if (answer.status >= 500 || !said) throw new TypeError(`${path}: ${answer.status}`);
  return answer.json(); // if only why it was refused
}

const keepPhoto = (sha256, facts) =>
  change(async (tx) => {
    const store = tx.objectStore("photos");
    const kept = await asked(store.get(sha256));
    if (kept) await asked(store.put({ ...kept, ...facts }));
  });

// Small ones first, so that the office sees something; then each as it was taken. What the house
// says it lacks is sent, whatever was sent before: it may be an older one that was put back.
export async function sendPhotos(there) {
  const keys = await photoKeys();
  for (const part of ["small", "original"]) {
    for (const sha256 of keys) {
      const kept = await photo(sha256);
      const small = part === "small";
      const where = there[sha256] ?? (kept?.[part] ? "here" : "missing");
      if (!kept || kept.refused || !["missing", !small && "small"].includes(where)) continue;
      if (small && !kept.smallBytes) continue;
      const told = small
        ? await upload(`/photos/${sha256}/small`, kept.smallBytes, "image/jpeg")
        : await upload(`/photos/${sha256}`, kept.bytes, kept.media);
      if (told.sha256 === sha256) await keepPhoto(sha256, { [part]: true });
      else if (!small && FOR_GOOD.includes(told.code)) await keepPhoto(sha256, { refused: told.reason });
      say({ photo: sha256 });
    }
  }
}
