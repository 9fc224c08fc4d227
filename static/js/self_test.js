// Which step of getting ready is missing: each test is said as good or missing, with what to do.

import { runTests, sayVerdict } from "./told_tests.js";

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

const { missing, of } = await runTests(TESTS);
sayVerdict(missing ? `${missing} of ${of} missing: see below what to do.` : "All good here.");
