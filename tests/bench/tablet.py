"""Prints how fast the tablet's own modules judge: `python tests/bench/tablet.py`. Asserts nothing.

A real Chromium with its processor slowed four times stands for a tablet. Each sheet is judged with
every field filled in, by all books that fit together. "First" is a fresh page, before anything was
compiled; the median is of later ones. The slowing stops the page now and then, so its fastest says
nothing; on a machine that is busy with other things trust the last column, four times the fastest
before the page was slowed. Sheets can be named, then only those are judged.

The second table is of the invented house's entry pages: from a number's being typed to its mark
standing there, less the pause in which the page waits for the next digit. Idle time is taken from
a page "not prepared", so that what it would do ahead is left for the first number.

Wanted: a verdict within a frame (16 ms), 400 floor stations within 100 ms. What scripts weigh is
printed by weights.py.
"""

from __future__ import annotations

import json
import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from random import Random
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from playwright.sync_api import Browser, Page, sync_playwright

from fieldlog.calc.sheets import Field, Sheet
from tests.browser.serving import served
from tests.conftest import CHROMIUM_ARGS, CHROMIUM_NAMES
from tests.js import made
from tests.js.asking import BOOKS, document, library
from tests.js.serving import tree_served
from tests.js.twins import answer
from tests.seeded import NOW, house_folder

SLOWED, TIMES, TRIES = 4, 40, 20
PLACES = 14
Question = dict[str, Any]

TIMED = """async ({ text, times }) => {
  const { judge } = await import("/static/js/calc/judge.js");
  const { document: kept, args, known } = JSON.parse(text);
  const took = [];
  for (let n = 0; n < times; n += 1) {
    const readings = structuredClone(args[2]);
    const began = performance.now();
    judge(kept, args[0], args[1], readings, args[3], known);
    took.push(performance.now() - began);
  }
  return took;
}"""

ENTRY = (("stair", "q-riser-1", "7 1/2"), ("handrail", "q-height-1", "35"),
         ("trim", "q-reveal-1", "3/16"))  # fmt: skip
"""Sheets, a slot of each, and a number that is judged by itself."""
PAUSE, PAGES = 140, 5
NEVER_IDLE = "window.requestIdleCallback = () => 0"
PREPARED = "() => performance.getEntriesByName('fieldlog:prepared').length"
TYPED = """([name, text, pause]) => new Promise((done) => {
  const place = document.querySelector(`[data-say="${name}"]`);
  const input = document.querySelector(`input[name="${name}"]`);
  const began = performance.now();
  new MutationObserver((_, marks) => {
    if (!place.textContent) return;
    marks.disconnect();
    done(performance.now() - began - pause);
  }).observe(place, { childList: true });
  input.value = text;
  input.dispatchEvent(new Event("input", { bubbles: true }));
})"""


def whole_check(sheet: Sheet) -> Question:
    """Every field of a sheet filled in so that it is judged at as many places as can be."""
    return max((_accepted(_filled(sheet, Random(n))) for n in range(TRIES)), key=_weight)


def _weight(question: Question) -> int:
    left = ("not_measured", "does_not_apply")
    return sum(r["verdict"] not in left for r in answer(question)["rules"])


def _accepted(question: Question) -> Question:
    """The same without the readings that can't be so together."""
    while errors := answer(question).get("errors"):
        for error in errors:
            question["args"][2].pop(error["field"], None)
    return question


def _filled(sheet: Sheet, r: Random) -> Question:
    readings = {f.name: _field(f, sheet, r) for f in sheet.fields if f.kind != "grid"}
    return {"do": "judge", "args": [sheet.id, made.books_that_fit(r), readings, "tape"],
            "known": {"earlier": made.NOTHING_EARLIER}}  # fmt: skip


def _field(f: Field, sheet: Sheet, r: Random) -> Any:
    if not f.many:
        return made.typed(r, f, sheet)
    places = min(PLACES, f.most)
    if r.random() < 0.5:
        return [made.typed(r, f, sheet) for _ in range(places)]
    return [made.typed(r, f, sheet)] * places


def floor(side: int) -> Question:
    """Level readings of so many stations each way, a foot apart, judged by the shipped books."""
    cells = [[str(z) for z in row] for row in made.rows_of(Random(3), side, side, 1)]
    cells = [["0" if z == "None" else z for z in row] for row in cells]
    levels = {"spacing": "1 ft", "unit": "16ths", "rows": cells}
    args = ["floor", list(BOOKS), {"levels": levels}, "laser-rod"]
    return {"do": "judge", "args": args, "known": {"earlier": made.NOTHING_EARLIER}}


def timed(page: Page, question: Question, times: int) -> list[float]:
    """Milliseconds of each judging in the page."""
    asked = {"document": document(), "args": question["args"], "known": question["known"]}
    took: list[float] = page.evaluate(TIMED, {"text": json.dumps(asked), "times": times})
    return took


def measured(browser: Browser, address: str, question: Question) -> tuple[float, float, float]:
    """First and median on a slowed page of its own, then four times the fastest unslowed."""
    page = browser.new_page()
    page.goto(f"{address}/tests/js/")
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
    slowed = timed(page, question, TIMES)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    fastest = min(timed(page, question, TIMES))
    page.close()
    return slowed[0], statistics.median(slowed[TIMES // 4 :]), SLOWED * fastest


def first_number(browser: Browser, address: str, entry: tuple[str, str, str], ahead: bool) -> float:
    """Milliseconds to the first mark of a new entry page, slowed."""
    sheet, name, text = entry
    context = browser.new_context(service_workers="block")
    page = context.new_page()
    page.goto(f"{address}/")
    page.wait_for_selector("html[data-outbox]")
    if not ahead:
        page.add_init_script(NEVER_IDLE)
    session = context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
    page.goto(f"{address}/rooms/kitchen/checks/{sheet}")
    page.wait_for_selector("html[data-outbox]")
    page.wait_for_function(PREPARED) if ahead else page.wait_for_load_state("networkidle")
    took: float = page.evaluate(TYPED, [name, text, PAUSE])
    context.close()
    return took


def entry_pages(browser: Browser) -> None:
    """Print how long the first number of an entry page waits for its mark."""
    print("first number of a page, ms   prepared   not prepared")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "house"
        shutil.copytree(house_folder(), folder)
        with served(folder, NOW) as address:
            for entry in ENTRY:
                told = (
                    statistics.median(
                        first_number(browser, address, entry, ahead) for _ in range(PAGES)
                    )
                    for ahead in (True, False)
                )
                print(f"{entry[0]:26}{next(told):11.1f} {next(told):14.1f}")


def main() -> None:
    """Print both tables."""
    path = next(found for name in CHROMIUM_NAMES if (found := shutil.which(name)))
    print(f"ms, processor slowed {SLOWED} times      first   median  4 x best limits")
    with sync_playwright() as playwright, tree_served() as address:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGS)
        asked = {s.id: whole_check(s) for s in library().sheets.values()}
        asked |= {f"floor, {n * n} stations": floor(n) for n in (7, 20)}
        for name in sys.argv[1:] or asked:
            question = asked[name]
            first, median, best = measured(browser, address, question)
            limits = len(answer(question).get("rules", ()))
            print(f"{name:30} {first:8.1f} {median:8.1f} {best:8.1f} {limits:7}")
        entry_pages(browser)
        browser.close()


if __name__ == "__main__":
    main()
