// Which step of getting ready is missing: each test is said as good or missing, with what to do.

const SECONDS = 8;

function loads(address) {
  return new Promise((done) => {
    const dot = new Image();
    const late = setTimeout(() => done(false), SECONDS * 1000);
    dot.onload = () => { clearTimeout(late); done(true); };
    dot.onerror = () => { clearTimeout(late); done(false); };
    dot.src = `${address}?${Date.now()}`;
  });
}

const TESTS = {
  picture: (line) => loads(line.dataset.address),
  secure: () => window.isSecureContext,
  keeps: () => "serviceWorker" in navigator && "indexedDB" in window && "storage" in navigator,
  home: () => matchMedia("(display-mode: standalone)").matches || navigator.standalone === true,
  paired: (line) => line.dataset.done === "yes",
};

function show(line, which) {
  line.dataset.result = which;
  for (const said of line.querySelectorAll("[data-when]")) said.hidden = said.dataset.when !== which;
}

async function run() {
  const lines = [...document.querySelectorAll("[data-test]")];
  for (const line of lines) show(line, "wait");
  let missing = 0;
  for (const line of lines) {
    const good = await TESTS[line.dataset.test](line);
    show(line, good ? "yes" : "no");
    missing += good ? 0 : 1;
  }
  const verdict = document.getElementById("verdict");
  verdict.textContent = missing
    ? `${missing} of ${lines.length} missing: see below what to do.`
    : "All good here.";
  verdict.hidden = false;
  document.body.classList.add("tested");
}

run();
