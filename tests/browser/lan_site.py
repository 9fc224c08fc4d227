"""A house served beyond its machine by a process of its own, and a tablet that trusts it or not."""

from __future__ import annotations

import base64
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from fieldlog import tls
from fieldlog.store import access_db, access_devices
from tests.browser.people import TABLET
from tests.conftest import CHROMIUM_ARGS, chromium, no_browser
from tests.sync.served import Browser as Knocking
from tests.sync.served import free_port

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

LOCAL = "127.0.0.1"
CODE = "271828"


@dataclass
class LanSite:
    """A house's folder, its server with three doors that comes and goes, a tablet's browser."""

    folder: Path
    profile: Path
    ports: tuple[int, int] = field(default_factory=lambda: (free_port(), free_port()))
    process: subprocess.Popen[bytes] | None = None

    @property
    def name(self) -> str:
        """The house's name on the network, once it was served."""
        with closing(access_db.open_access(self.folder)) as conn:
            return access_db.lan_name(conn)

    @property
    def address(self) -> str:
        """The tablets' door."""
        return f"https://{self.name}:{self.ports[1]}"

    def starts(self) -> None:
        """Serve, and wait until it answers."""
        machine, secure = self.ports
        doors = ["--port", machine, "--tls-port", secure, "--plain-port", free_port()]
        asked = ["serve", "--lan", "--no-announce", "--host", LOCAL, "--data", self.folder, *doors]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "fieldlog", *map(str, asked)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        Knocking(machine).greets()

    def stops(self) -> None:
        """As when the plug is pulled."""
        if self.process:
            self.process.kill()
            self.process.wait()

    def makes_code(self) -> str:
        """A pairing code, as the machine's page makes one."""
        with closing(access_db.open_access(self.folder)) as conn:
            access_devices.make_code(conn, CODE, datetime.now(UTC))
        return CODE

    def key_digest(self) -> str:
        """SHA-256 of the leaf's public key, in base64."""
        kept = tls.kept(self.folder)
        assert kept is not None
        key = x509.load_pem_x509_certificate(kept.leaf.read_bytes()).public_key()
        told = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        return base64.b64encode(hashlib.sha256(told).digest()).decode()


def trusting(site: LanSite, home: Path) -> Path:
    """A home whose store of roots has the house's own, as a tablet has it that was made ready.

    Skips where there is no certutil, fails there under CI's variable.
    """
    certutil, kept = shutil.which("certutil"), tls.kept(site.folder)
    if certutil is None:
        no_browser("no certutil on this machine (package libnss3-tools)")
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    assert kept is not None
    for asked in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "house", "-i", kept.root]):
        subprocess.run([str(certutil), "-d", f"sql:{store}", *map(str, asked)], check=True)
    return home


@contextmanager
def tablet(site: LanSite, browser: Browser, home: Path | None = None) -> Iterator[BrowserContext]:
    """The tablet's browser with what it kept. `home` has the store of roots that it trusts.

    Without one it takes the house's own key as trusted, which to a page and its worker is the same.
    """
    width, height = TABLET
    trusts = [] if home else [f"--ignore-certificate-errors-spki-list={site.key_digest()}"]
    context = browser.browser_type.launch_persistent_context(
        str(site.profile),
        executable_path=chromium(),
        args=[*CHROMIUM_ARGS, f"--host-resolver-rules=MAP {site.name} {LOCAL}", *trusts],
        base_url=site.address,
        viewport={"width": width, "height": height},
        has_touch=True,
        env={**os.environ, "HOME": str(home)} if home else None,
    )
    context.set_default_timeout(30_000)
    try:
        yield context
    finally:
        context.close()


def pairs(page: Page, site: LanSite) -> None:
    """By the code, until the whole house is on the tablet."""
    page.goto("/pair")
    page.locator("#code").fill(site.makes_code())
    with page.expect_navigation():
        page.get_by_role("button", name="Pair this tablet").click()
    page.locator(".line").filter(has_text="This tablet has all").wait_for()
