"""What an app is made with: one frozen value, so that nothing reads the environment later."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

SECRET_BYTES = 32
HOME_NAMES = ("127.0.0.1", "localhost", "[::1]")


def system_clock() -> datetime:
    """The machine's time, aware, in UTC. The only place where a page's time comes from."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Config:
    """One house served on one machine.

    `secret` signs the session cookie; `store.access.secret(folder)` keeps one, so that a form
    that was open over a restart can still be posted. `allowed_hosts` are Host names without a port.
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
