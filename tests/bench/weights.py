"""Prints what a tablet loads, and how soon a kept page is there: `python tests/bench/weights.py`.

Asserts nothing. The invented house is served by `fieldlog serve`, a fresh browser visits it, the
server is stopped. Bytes are those on the wire, gzipped as they are sent. Wanted: all scripts within
60 KiB, a room page within 120 KiB on a first visit, and with no signal a usable room within 1 s.
"Usable": the room's name stands there and its forms go by the outbox.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "sync"))

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright
from served import Browser, free_port, serve

from fieldlog.web import sent
from tests.conftest import CHROMIUM_ARGS, CHROMIUM_NAMES

ROOT = Path(__file__).resolve().parent.parent.parent
KIB, MS = 1024, 1000
PAGES = (
    "/rooms/boat-room",
    "/rooms/kitchen",
    "/punch",
    "/",
    "/rooms/slip-stair/checks/stair?place=whole-flight",
)
OPENED, SLOWED = 9, 4
READY = "html[data-outbox]"


def scripts() -> list[tuple[str, int]]:
    """Each script and the worker, in bytes as they are sent."""
    found = sent.files().items()
    return [(name, len(file.zipped or file.data)) for name, file in found if name.endswith(".js")]


def first_visit(playwright: Playwright, path: str) -> tuple[int, int, int]:
    """Bytes on the wire, bytes of them scripts, and how many answers, in a browser that is new."""
    browser = playwright.chromium.launch(executable_path=chromium(), args=CHROMIUM_ARGS)
    page = browser.new_context(service_workers="block").new_page()
    told: dict[str, str] = {}
    weights: dict[str, int] = {}
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.on(
        "Network.responseReceived", lambda e: told.update({e["requestId"]: e["response"]["url"]})
    )
    session.on(
        "Network.loadingFinished",
        lambda e: weights.update({e["requestId"]: int(e["encodedDataLength"])}),
    )
    page.goto(path)
    page.wait_for_selector(READY)
    page.wait_for_load_state("networkidle")
    browser.close()
    of_scripts = sum(w for key, w in weights.items() if told.get(key, "").endswith(".js"))
    return sum(weights.values()), of_scripts, len(weights)


def opened(page: Page, path: str) -> float:
    """Milliseconds from asking for a page to its being usable, with no signal."""
    began = time.perf_counter()
    page.goto(path, wait_until="commit")
    page.wait_for_selector(READY)
    assert page.locator("h1").inner_text().strip()
    return (time.perf_counter() - began) * MS


def kept(context: BrowserContext, base: str) -> Page:
    """A page of a tablet that has the whole house."""
    page = context.new_page()
    page.goto(base + "/")
    page.locator(".line", has_text="This tablet has all").wait_for(timeout=120 * MS)
    return page


def no_signal(page: Page, base: str) -> list[str]:
    """How soon each page opens, at the machine's speed and slowed."""
    lines = []
    session = page.context.new_cdp_session(page)
    for path in PAGES:
        times = []
        for rate in (1, SLOWED):
            session.send("Emulation.setCPUThrottlingRate", {"rate": rate})
            times.append(sorted(opened(page, base + path) for _ in range(OPENED)))
        said = "".join(f"{statistics.median(t):9.0f} {t[-1]:9.0f}" for t in times)
        lines.append(f"{path:34}{said}")
    return lines


def chromium() -> str:
    """Where it is."""
    return str(next(found for name in CHROMIUM_NAMES if (found := shutil.which(name))))


def main() -> None:
    """Print the tables."""
    all_scripts = scripts()
    print("KiB gzipped, as sent")
    for name, size in all_scripts:
        print(f"  {name:32} {size / KIB:6.1f}")
    print(f"  {'all scripts':32} {sum(size for _, size in all_scripts) / KIB:6.1f}")
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as playwright:
        folder, port = Path(scratch) / "house", free_port()
        command = [sys.executable, "-m", "fieldlog", "demo", "--no-serve", "--out", str(folder)]
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        process = serve(folder, port)
        base = f"http://127.0.0.1:{port}"
        Browser(port).greets()
        print("first visit, KiB on the wire           all   scripts   answers")
        for path in PAGES:
            whole, js, answers = first_visit(playwright, base + path)
            print(f"  {path:32} {whole / KIB:7.1f} {js / KIB:9.1f} {answers:9}")
        context = playwright.chromium.launch_persistent_context(
            str(Path(scratch) / "profile"), executable_path=chromium(), args=CHROMIUM_ARGS
        )
        began = time.perf_counter()
        page = kept(context, base)
        print(f"the whole house fetched ahead: {time.perf_counter() - began:.1f} s")
        process.kill()
        process.wait()
        print(f"no signal, ms to usable            median   slowest, and slowed {SLOWED} times")
        print("\n".join(f"  {line}" for line in no_signal(page, base)))
        context.close()


if __name__ == "__main__":
    main()
