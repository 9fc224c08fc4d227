"""What an app is made with: one frozen value, so that nothing reads the environment later."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

SECRET_FILE = "page-secret"
SECRET_BYTES = 32
HOME_NAMES = ("127.0.0.1", "localhost", "[::1]")


def system_clock() -> datetime:
    """The machine's time, aware, in UTC. The only place where a page's time comes from."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Config:
    """One house served on one machine.

    `secret` signs the session cookie; `secret_of(folder)` keeps one, so that a form that was
    open over a restart can still be posted. `allowed_hosts` are Host names without a port.
    """

    folder: Path
    host: str = "127.0.0.1"
    port: int = 8321
    clock: Callable[[], datetime] = system_clock
    allowed_hosts: tuple[str, ...] = HOME_NAMES
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(SECRET_BYTES))
    testing: bool = False


def asset_folder(name: str) -> Path:
    """Where `templates`, `static` or `seed_data` lie: in the wheel, or beside the package."""
    package = Path(__file__).parent
    packed = package / f"_{name}"
    return packed if packed.is_dir() else package.parent / name


def secret_of(folder: Path) -> bytes:
    """The house's page secret; made on first use, readable by its owner only.

    It is no part of the journal and is not exported: losing it only ends open forms.
    """
    path = folder / SECRET_FILE
    try:
        kept = path.read_bytes()
    except FileNotFoundError:
        kept = b""
    if len(kept) == SECRET_BYTES:
        return kept
    fresh = secrets.token_bytes(SECRET_BYTES)
    folder.mkdir(parents=True, exist_ok=True)
    partial = path.with_suffix(".partial")
    with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(fresh)
    partial.replace(path)
    return fresh
