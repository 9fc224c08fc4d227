// A page of tests: each line is said as good or missing, with what to do. `tests`: functions by
// the line's name, true where it is good. Resolves to how many are missing, and of how many.

function show(line, which) {
  line.dataset.result = which;
  for (const said of line.querySelectorAll("[data-when]")) said.hidden = said.dataset.when !== which;
}

export async function runTests(tests) {
  const lines = [...document.querySelectorAll("[data-test]")];
  for (const line of lines) show(line, "wait");
  let missing = 0;
  for (const line of lines) {
    const good = await tests[line.dataset.test](line);
    show(line, good ? "yes" : "no");
    missing += good ? 0 : 1;
  }
  return { missing, of: lines.length };
}

export function sayVerdict(words) {
  const verdict = document.getElementById("verdict");
  verdict.textContent = words;
  verdict.hidden = false;
  document.body.classList.add("tested");
}
