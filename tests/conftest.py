"""What every test may ask for: a time that stands still, and a real browser."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# No deadline: two busy cores make a slow example, not a wrong one. Under CI the examples are the
# same every time, so that a run says something about the change and not about its luck; new
# ones are looked for wherever the tests are run by hand.
settings.register_profile("fieldlog", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("fieldlog")

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
SHELL_NAMES = ("chromium-headless-shell", "chrome-headless-shell")
"""The same engine with no window: half the processor of `chromium --headless`."""
CHROMIUM_ARGS = [
    "--no-sandbox",  # the tests run as root in a container
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture
def now() -> datetime:
    """Tuesday, March 3, 2026, 8:15 in the morning in Chicago."""
    return datetime(2026, 3, 3, 14, 15, tzinfo=UTC)


def chromium(names: tuple[str, ...] = CHROMIUM_NAMES) -> str:
    """Where Chromium is. Skips the test where there is none, fails it under CI's variable."""
    path = next((found for name in names if (found := shutil.which(name))), None)
    if path is None:
        no_browser(f"no Chromium on this machine (looked for {', '.join(names)})")
    return str(path)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A Chromium with no window. Skips where there is none, fails there under CI's variable."""
    path = chromium(SHELL_NAMES + CHROMIUM_NAMES)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        one = playwright.chromium.launch(executable_path=path, args=CHROMIUM_ARGS)
        yield one
        one.close()


def no_browser(reason: str) -> None:
    """Skip a test for want of a program, fail it under CI's variable."""
    if os.environ.get("FIELDLOG_REQUIRE_BROWSER") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files that drive a browser first: they take longest, and must not come last on one core."""
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name the tests skipped for want of a program: a skip that nobody sees is a hole."""
    skipped = terminalreporter.getreports("skipped")
    for what, program in (("BROWSER", "Chromium"), ("TABLET", "Node"), ("TRUST", "certutil")):
        missing = [r for r in skipped if f"no {program}" in str(r.longrepr)]
        if missing:
            terminalreporter.write_sep("!", f"{len(missing)} {what} TESTS SKIPPED: no {program}")
