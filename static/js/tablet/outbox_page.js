// All that is on this tablet only: each can be looked at, sent now, or saved to a file.

import { heard } from "./asking.js";
import { clock, el } from "./build.js";
import { factsOf, wordsOf } from "./facts.js";
import { sendAll } from "./send.js";
import { change, asked, entries, look } from "./store.js";

const box = document.getElementById("unsent-list");
const said = document.getElementById("unsent-said");

const NAMES = { check: "Check", photo: "Photo", walk: "Walk" };

function row(record) {
  const facts = factsOf(record);
  const about = facts.kind === "act" ? wordsOf(facts.body) : facts.body.words || "Photo, no words";
  const name = facts.title || (facts.number && `${facts.number} ${about}`) || NAMES[facts.kind] || facts.kind;
  const state = record.state === "refused" ? `refused: ${record.answer?.reason ?? ""}` : clock(record.envelope.claimed_ms);
  const link = el("a", { class: "row-link", href: `/tablet/kept#${record.id}` }, el("span", { class: "row-name" }, name), el("span", { class: "quiet" }, [facts.where, state].filter(Boolean).join(", ")));
  const item = el("li", {}, link);
  if (record.state === "refused" && !record.looked) {
    const seen = el("button", { class: "btn-small", type: "button" }, "Seen");
    seen.addEventListener("click", () => looked(record.id));
    item.append(seen);
  }
  return item;
}

async function looked(id) {
  await change(async (tx) => {
    const store = tx.objectStore("entries");
    await asked(store.put({ ...(await asked(store.get(id))), looked: true }));
  });
  show();
}

const photosLeft = async () => (await look((tx) => asked(tx.objectStore("photos").getAll()))).filter((one) => !one.original);

async function show() {
  const open = (await entries()).filter((record) => record.state !== "sent");
  const photos = await photosLeft();
  box.replaceChildren(...open.map(row));
  const bytes = photos.reduce((sum, one) => sum + one.size, 0);
  const waits = open.filter(({ state }) => state === "waiting").length;
  const parts = [
    waits && `${waits} on this tablet only.`,
    open.length > waits && `${open.length - waits} refused: see why.`,
    !open.length && "Everything entered here is sent.",
    photos.length && `Still to go as they were taken: ${photos.length} of the photos, ${(bytes / 1e6).toFixed(1)} MB.`,
  ];
  said.textContent = parts.filter(Boolean).join(" ");
}

const FORMAT = "fieldlog-outbox/1";
const line = (said) => `${JSON.stringify(said)}\n`;

// The last resort: a file that `fieldlog take` takes in, entries and photos whole.
async function save() {
  const open = (await entries()).filter((record) => record.state !== "sent");
  const photos = await photosLeft();
  const parts = [
    line({ outbox: FORMAT, entries: open.length, photos: photos.length }),
    ...open.map(({ envelope, judged = null }) => line({ entry: envelope, judged })),
    ...photos.flatMap(({ sha256, bytes }) => [line({ photo: sha256, length: bytes.byteLength }), bytes, "\n"]),
    line({ end: FORMAT }),
  ];
  const url = URL.createObjectURL(new Blob(parts));
  const link = el("a", { href: url, download: `unsent-${new Date().toISOString().slice(0, 10)}.outbox` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

document.getElementById("unsent-save").addEventListener("click", save);
document.getElementById("unsent-send").addEventListener("click", async () => {
  said.textContent = "Sending...";
  const told = await sendAll();
  await show();
  if (!told) said.textContent += " The office is out of reach.";
});
heard.addEventListener("message", show);
show();
