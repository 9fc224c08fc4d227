// The worker run in Node, with an office that goes away, restarts with another build, or cuts an
// answer short, and a store of pages that may be full. Steps come as JSON on standard input:
// {source, plays}, each play its steps; what each came to goes out. Run by test_worker.py.

const HOME = "https://house.local";
const listeners = {};
const told = [];
const stores = new Map();
let office = null; // {build, head, pages, scripts, left, then, cut}; null is out of reach
let room = Infinity; // how many more answers can be kept

const addressOf = (asked) => new URL(typeof asked === "string" ? asked : asked.url, HOME).href;
const again = ({ body, status }) => new Response(body, { status });

function storeOf(name) {
  if (!stores.has(name)) stores.set(name, new Map());
  const kept = stores.get(name);
  return {
    match: async (asked) => (kept.has(addressOf(asked)) ? again(kept.get(addressOf(asked))) : undefined),
    put: async (asked, answer) => {
      const body = await answer.text();
      room -= 1;
      if (room < 0) throw new DOMException("no room", "QuotaExceededError");
      kept.set(addressOf(asked), { body, status: answer.status });
    },
    delete: async (asked) => kept.delete(addressOf(asked)),
  };
}

const caches = {
  open: async (name) => storeOf(name),
  keys: async () => [...stores.keys()],
  delete: async (name) => stores.delete(name),
  match: async (asked) => {
    for (const name of stores.keys()) {
      const found = await storeOf(name).match(asked);
      if (found) return found;
    }
    return undefined;
  },
};

const script = (name, build) => `/static/${build}/js/${name}.js`;

function cutShort() {
  const body = new ReadableStream({
    start(controller) {
      controller.enqueue(new TextEncoder().encode("half of"));
      controller.error(new TypeError("cut"));
    },
  });
  return new Response(body);
}

function answered(path) {
  const { build, head, pages, scripts, photos = {} } = office;
  const assets = [...scripts.map((name) => script(name, build)), "/static/css/report.css", ...Object.keys(photos)];
  if (path === "/tablet/pages") return Response.json({ build, head, rooms: 2, pages, assets });
  if (photos[path] === "waits") return new Response("a picture of a tablet", { headers: { "Cache-Control": "no-store" } });
  if (photos[path] === "missing") return new Response("no such photo", { status: 404 });
  if (pages.includes(path) || assets.includes(path)) return new Response(`${path} of ${build}`);
  return new Response("no such page", { status: 404 });
}

// `left`: requests that are still answered; then the office is as `then` says, or one is cut.
async function fetch(asked) {
  if (!office) throw new TypeError("out of reach");
  if (office.left === 0) {
    const { cut, then } = office;
    office = then ?? null;
    if (cut) return cutShort();
    return fetch(asked);
  }
  office.left -= 1;
  return answered(new URL(addressOf(asked)).pathname);
}

const self = {
  addEventListener: (name, listener) => { listeners[name] = listener; },
  skipWaiting: async () => {},
  clients: { claim: async () => {}, matchAll: async () => [{ postMessage: (what) => told.push(what) }] },
};

async function says(data) {
  let done = null;
  listeners.message({ data, ports: [], waitUntil: (work) => { done = work; } });
  await done;
}

async function get(path, { method = "GET", mode = "navigate" } = {}) {
  let answer = null;
  listeners.fetch({ request: { url: HOME + path, method, mode }, respondWith: (given) => { answer = given; } });
  if (!answer) return "left alone";
  const given = await answer.catch((error) => {
    if (error instanceof TypeError) return Response.error(); // as a browser does
    throw error;
  });
  return given.type === "error" ? "nothing" : given.headers.get("Location") ?? given.text();
}

// Nothing of an entry is in the worker's reach: there is no IndexedDB here.
class Answer extends Response {
  static redirect(path) {
    return new Response(null, { status: 302, headers: { Location: path } });
  }
}
const soon = (work, ms) => setTimeout(work, ms / 100); // a second's wait is one of ten milliseconds
const world = { self, setTimeout: soon, caches, fetch, Response: Answer, location: new URL(HOME), navigator: { onLine: true }, indexedDB: null };

const STEPS = {
  office: async (given) => { office = given && { left: -1, ...given }; },
  room: async (given) => { room = given ?? Infinity; },
  says: async (what) => {
    told.length = 0;
    await says(what);
    return told.map(({ filled }) => filled && filled.build);
  },
  get: async (paths) => Promise.all(paths.map((path) => get(path))),
  post: async (path) => get(path, { method: "POST" }),
  kept: async () => [...stores.keys()].filter((name) => name.startsWith("house-")).length,
};

async function play(source, steps) {
  stores.clear();
  office = null;
  room = Infinity;
  new Function(...Object.keys(world), source)(...Object.values(world));
  const out = [];
  for (const step of steps) {
    const [[name, given]] = Object.entries(step);
    out.push((await STEPS[name](given)) ?? null);
  }
  return out;
}

let text = "";
for await (const part of process.stdin) text += part;
const { source, plays } = JSON.parse(text);
const out = [];
for (const steps of plays) out.push(await play(source, steps));
process.stdout.write(JSON.stringify(out), () => process.exit(0));
