// What the tablet keeps by itself: entries, photos and a few facts, in IndexedDB.
// "Kept" means that a strict transaction has completed, not that it was asked for.

const NAME = "fieldlog";
const VERSION = 1;
let database = null;

export const asked = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

function build(db) {
  const entries = db.createObjectStore("entries", { keyPath: "id" });
  entries.createIndex("order", "order", { unique: true });
  db.createObjectStore("photos", { keyPath: "sha256" });
  db.createObjectStore("facts", { keyPath: "name" });
}

export function openStore() {
  database ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => build(request.result);
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      // Another tab has a newer page: let it go on; this one opens again when it next asks.
      db.onversionchange = () => {
        db.close();
        database = null;
      };
      resolve(db);
    };
  });
  return database;
}

// `work` gets the transaction and may await requests of it, and nothing else: an await of
// anything slower would let the transaction complete before its time.
export async function inTransaction(mode, work) {
  const db = await openStore();
  const tx = db.transaction(["entries", "photos", "facts"], mode, { durability: "strict" });
  const done = new Promise((resolve, reject) => {
    tx.oncomplete = resolve;
    tx.onabort = () => reject(tx.error || new DOMException("Not kept.", "AbortError"));
  });
  try {
    const result = await work(tx);
    await done;
    return result;
  } catch (error) {
    done.catch(() => {});
    try {
      tx.abort();
    } catch (late) {
      if (late.name !== "InvalidStateError") throw late; // it had ended already
    }
    throw error;
  }
}

export const change = (work) => inTransaction("readwrite", work);
export const look = (work) => inTransaction("readonly", work);

export const fact = (name) =>
  look((tx) => asked(tx.objectStore("facts").get(name))).then((kept) => kept?.value);

export const keepFact = (name, value) =>
  change((tx) => asked(tx.objectStore("facts").put({ name, value })));

export const forgetFact = (name) => change((tx) => asked(tx.objectStore("facts").delete(name)));

export const entries = () => look((tx) => asked(tx.objectStore("entries").index("order").getAll()));

export const entry = (id) => look((tx) => asked(tx.objectStore("entries").get(id)));

export const photo = (sha256) => look((tx) => asked(tx.objectStore("photos").get(sha256)));

export const photoKeys = () => look((tx) => asked(tx.objectStore("photos").getAllKeys()));
