// As much of IndexedDB as the tablet's store asks of it, in memory: one transaction after another,
// complete when nothing more is asked of it, undone when it is aborted.

const kept = new Map(); // of each store: its key path, its index's path, its values by key
let last = Promise.resolve();

const byKey = (path) => (a, b) => (a[path] < b[path] ? -1 : 1);

class Store {
  constructor(name, tx) {
    Object.assign(this, kept.get(name), { tx });
  }

  values(path = this.keyPath) {
    return [...this.all.values()].sort(byKey(path));
  }

  get(key) {
    return this.tx.asks(() => structuredClone(this.all.get(key)));
  }

  getAll() {
    return this.tx.asks(() => structuredClone(this.values()));
  }

  getAllKeys() {
    return this.tx.asks(() => this.values().map((one) => one[this.keyPath]));
  }

  put(value) {
    const copy = structuredClone(value);
    return this.tx.asks(() => { this.all.set(copy[this.keyPath], copy); });
  }

  delete(key) {
    return this.tx.asks(() => { this.all.delete(key); });
  }

  index() {
    return { getAll: () => this.tx.asks(() => structuredClone(this.values(this.indexPath))) };
  }
}

class Transaction {
  constructor() {
    this.waiting = [];
    const before = last;
    last = new Promise((ends) => { this.ends = ends; });
    before.then(() => this.begins());
  }

  begins() {
    this.before = new Map([...kept].map(([name, { all }]) => [name, new Map(all)]));
    setImmediate(() => this.goesOn());
  }

  objectStore(name) {
    return new Store(name, this);
  }

  asks(work) {
    if (this.over) throw new DOMException("over", "TransactionInactiveError");
    const request = { work };
    this.waiting.push(request);
    return request;
  }

  goesOn() {
    const request = this.waiting.shift();
    if (!request) return this.over || this.finishes("oncomplete");
    request.result = request.work();
    request.onsuccess();
    return setImmediate(() => this.goesOn());
  }

  finishes(how) {
    this.over = true;
    this[how]?.();
    this.ends();
  }

  abort() {
    if (this.over) throw new DOMException("over", "InvalidStateError");
    for (const [name, all] of this.before) kept.get(name).all = all;
    this.waiting = [];
    this.finishes("onabort");
  }
}

const db = {
  createObjectStore(name, { keyPath }) {
    const made = { keyPath, all: new Map() };
    kept.set(name, made);
    return { createIndex: (_name, path) => { made.indexPath = path; } };
  },
  transaction: () => new Transaction(),
};

export function empty() {
  for (const store of kept.values()) store.all = new Map();
}

export const indexedDB = {
  open() {
    const request = { result: db };
    setImmediate(() => {
      request.onupgradeneeded();
      request.onsuccess();
    });
    return request;
  },
};
