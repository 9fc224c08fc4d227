// The page's own outbox in Node, asked by lines of JSON: {do, ...}, each answered by {done}. What it
// asks of the office goes out as {fetch} and is answered by the next line: {status, body} or {away}.
// Run by page_tablet.py.

import readline from "node:readline";
import { empty, indexedDB } from "./memory_db.js";

const lines = readline.createInterface({ input: process.stdin })[Symbol.asyncIterator]();
const next = async () => {
  const { value, done } = await lines.next();
  return done ? null : JSON.parse(value);
};
const tell = (what) => process.stdout.write(`${JSON.stringify(what)}\n`);
const encoded = (body) => (typeof body === "string" ? { text: body } : body && { base64: Buffer.from(body).toString("base64") });

async function fetch(path, { method = "GET", headers, body = "" } = {}) {
  tell({ fetch: { path, method, headers, ...encoded(body) } });
  const answer = await next();
  if (answer.away) throw new TypeError("out of reach");
  return new Response(answer.body, { status: answer.status, headers: { "Content-Type": "application/json" } });
}

const storage = { getItem: () => null, setItem: () => {}, removeItem: () => {} };
Object.assign(globalThis, { fetch, indexedDB, sessionStorage: storage, localStorage: {} });
const locks = { request: (_name, work) => work() };
Object.defineProperty(globalThis, "navigator", { value: { locks }, configurable: true });

const { introduce, sendAll } = await import("./tablet/send.js");
const { keep } = await import("./tablet/outbox.js");
const { change, asked, entries, fact, photoKeys } = await import("./tablet/store.js");

const bytesOf = (base64) => new Uint8Array(Buffer.from(base64, "base64")).buffer;

async function looked(id) {
  await change(async (tx) => {
    const store = tx.objectStore("entries");
    await asked(store.put({ ...(await asked(store.get(id))), looked: true }));
  });
}

const DOES = {
  empty: async () => empty(),
  greet: async () => introduce(),
  keep: async ({ made, photos }) => {
    const taken = photos.map(({ data, small, ...rest }) => ({ ...rest, bytes: bytesOf(data), smallBytes: bytesOf(small) }));
    return keep(made, taken);
  },
  send: async ({ photos }) => sendAll({ photos }),
  looked: async ({ id }) => looked(id),
  state: async () => ({ entries: await entries(), photos: await photoKeys(), lacking: await fact("lacking") }),
};

for (let asks = await next(); asks; asks = await next()) tell({ done: (await DOES[asks.do](asks)) ?? null });
process.exit(0);
