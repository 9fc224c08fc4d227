"""A link's QR in a real browser: its secret leaves the address and lets in, with scripts; without
them the printed code does. And the self-test names the step that is missing."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from cheroot.wsgi import Server
from flask import Flask

from fieldlog import tls
from fieldlog.app import create_app
from fieldlog.calc.bodies import ItemEntry
from fieldlog.config import Config, Lan
from fieldlog.lan import LateHandshake
from fieldlog.store import access_db, access_links
from fieldlog.web import request
from tests.browser.people import PATIENCE, PHONE, TABLET
from tests.browser.serving import LOCAL, Clock
from tests.browser.test_layout import MEASURE
from tests.conftest import CHROMIUM_ARGS, CHROMIUM_NAMES
from tests.keeping import copied

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

NAME = "fieldlog-7k2m.local"
SECRET, CODE = "Qx7-" + "k" * 28, "23456789ab"


@contextmanager
def listening(app: Flask, leaf: Path | None = None) -> Iterator[int]:
    """The app at a free port, over TLS where there is a leaf."""
    server = Server((LOCAL, 0), app, numthreads=3)
    if leaf is not None:
        server.ssl_adapter = LateHandshake(str(leaf), str(leaf))
    server.prepare()
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield int(server.bind_addr[1])
    finally:
        server.stop()
        thread.join(timeout=10)


@dataclass(frozen=True)
class Doors:
    """The two doors beyond the machine."""

    plain: str
    tls: str


@pytest.fixture(scope="module")
def doors(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Doors]:
    """A house with an item for the stair crew, and a link for it."""
    kept = copied(tmp_path_factory.mktemp("link") / "house")
    kept.record("item/1", ItemEntry("", "hall", "stairs", "Squeak on tread 4"))
    kept.conn.close()
    now = datetime.now(UTC)
    conn = access_db.open_access(kept.folder)
    access_links.make_link(conn, "link", "crew", "stairs", secret=SECRET, code=CODE, now=now)
    conn.close()
    leaf = tls.renew(kept.folder, NAME, now).leaf
    base = Config(kept.folder, clock=Clock(now), allowed_hosts=(NAME,), testing=True)
    lan = Lan(NAME, 1, 1, now.replace(year=now.year + 1))
    plain = create_app(replace(base, front="plain", lan=lan))
    secure = create_app(replace(base, front="tls", lan=lan), plain.extensions[request.KEY])
    with listening(plain) as plain_port, listening(secure, leaf) as tls_port:
        found = Lan(NAME, tls_port, plain_port, lan.ends)
        for app in (plain, secure):
            app.extensions[request.CONFIG] = replace(app.extensions[request.CONFIG], lan=found)
        yield Doors(found.plain, found.tls)
    plain.extensions[request.KEY].close()


@pytest.fixture(scope="module")
def phones(browser: Browser) -> Iterator[Browser]:
    """A browser that finds the house's name on this machine."""
    path = next(found for name in CHROMIUM_NAMES if (found := shutil.which(name)))
    mapped = f"--host-resolver-rules=MAP {NAME} {LOCAL}"
    one = browser.browser_type.launch(executable_path=path, args=[*CHROMIUM_ARGS, mapped])
    yield one
    one.close()


def context_of(phones: Browser, **options: bool) -> BrowserContext:
    context = phones.new_context(
        viewport={"width": PHONE[0], "height": PHONE[1]}, service_workers="block", **options
    )
    context.set_default_timeout(PATIENCE)
    return context


def test_the_scanned_secret_leaves_the_address_and_lets_in(phones: Browser, doors: Doors) -> None:
    context = context_of(phones)
    page: Page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda sent: asked.append(sent.url))
    page.goto(f"{doors.plain}/in#{SECRET}")
    page.wait_for_url("**/crews/stairs")
    page.get_by_text("Squeak on tread 4").wait_for()
    assert not [url for url in asked if SECRET in url.partition("#")[0]]
    page.go_back()
    assert SECRET not in page.url
    context.close()


def test_without_scripts_the_printed_code_lets_in(phones: Browser, doors: Doors) -> None:
    context = context_of(phones, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{doors.plain}/in#{SECRET}")
    page.fill("#code", CODE)
    page.get_by_role("button", name="Show it").click()
    page.get_by_text("Squeak on tread 4").wait_for()
    page.get_by_role("button", name="Corrected, come look").click()
    page.get_by_text("It will be looked at").wait_for()
    context.close()


def test_the_self_test_names_the_missing_step_and_is_content_with_the_rest(
    phones: Browser, doors: Doors
) -> None:
    for trusts in (False, True):
        context = context_of(phones, ignore_https_errors=trusts)
        page = context.new_page()
        page.goto(f"{doors.plain}/guide/test")
        page.wait_for_selector("body.tested")
        results = page.locator("[data-test]").evaluate_all("all => all.map(e => e.dataset.result)")
        assert results == ["yes", "yes" if trusts else "no"]
        assert page.get_by_text("Step 2 or 3. On an iPad").is_visible() != trusts
        context.close()


def test_the_pages_of_these_doors_fit_and_every_target_can_be_hit(
    phones: Browser, doors: Doors
) -> None:
    context = context_of(phones, ignore_https_errors=True)
    page = context.new_page()
    page.goto(f"{doors.plain}/in")
    page.fill("#code", CODE)
    page.get_by_role("button", name="Show it").click()
    page.wait_for_url("**/crews/stairs")
    wrong = {}
    asked = [f"{doors.plain}{at}" for at in ("/crews/stairs", "/guide", "/guide/test", "/in")]
    asked += [f"{doors.tls}{at}" for at in ("/", "/pair", "/guide", "/guide/test", "/in")]
    for size in (PHONE, TABLET):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        for address in asked:
            page.goto(address)
            found = page.evaluate(MEASURE)
            if any(found.values()):
                wrong[address, size] = found
    assert wrong == {}
    context.close()
