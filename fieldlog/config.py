"""What an app is made with: one frozen value, so that nothing reads the environment later."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Literal

SECRET_BYTES = 32
WARN_DAYS = 60
Front = Literal["machine", "tls", "plain"]
"""At which door an app answers: this machine's own, tablets' (HTTPS), or the guide's and crews'."""
HOME_NAMES = ("127.0.0.1", "localhost", "[::1]")


def system_clock() -> datetime:
    """The machine's time, aware, in UTC. The only place where a page's time comes from."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Lan:
    """How a house is reached from the local network: name, ports, and when its certificate ends."""

    name: str
    tls_port: int
    plain_port: int
    ends: datetime

    def warn(self, now: datetime) -> bool:
        """Whether the certificate ends within 60 days, or did."""
        return self.ends - now <= timedelta(days=WARN_DAYS)

    @property
    def tls(self) -> str:
        """Address of the tablets' front, without a slash at its end."""
        return f"https://{self.name}:{self.tls_port}"

    @property
    def plain(self) -> str:
        """Address of the front with the guide and the crews' pages."""
        return f"http://{self.name}:{self.plain_port}"


@dataclass(frozen=True)
class Config:
    """One house served on one machine.

    `secret` signs the session cookie; `store.access.secret(folder)` keeps one, so that a form
    that was open over a restart can still be posted. `allowed_hosts` are Host names without a
    port. `front` is the door that this app answers at, `lan` what is served beyond this machine.
    """

    folder: Path
    host: str = "127.0.0.1"
    port: int = 8321
    clock: Callable[[], datetime] = system_clock
    allowed_hosts: tuple[str, ...] = HOME_NAMES
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(SECRET_BYTES))
    testing: bool = False
    front: Front = "machine"
    lan: Lan | None = None


def asset_folder(name: str) -> Path:
    """Where `templates`, `static` or `seed_data` lie: in the wheel, or beside the package."""
    package = Path(__file__).parent
    packed = package / f"_{name}"
    return packed if packed.is_dir() else package.parent / name
