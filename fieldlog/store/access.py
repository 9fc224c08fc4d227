"""Secrets that are neither chained nor exported: they live beside the journal, not in it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from fieldlog.store.db import HouseFolder
from fieldlog.store.durable import write_durably

SECRET_BYTES = 32
TOKEN_BYTES = 24
"""192 bits: a token or a link's secret is not guessed."""
CODE_DIGITS = 6
ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"
"""What is printed to be typed: no two signs of it are taken for each other."""
LINK_CODE = 10
"""Signs of a link's code: 31 to the 10th, near 50 bits, and tries are limited."""
NAME_SIGNS = 4


def secret(folder: os.PathLike[str] | str) -> bytes:
    """The key that signs this house's sessions and form tokens, made at the first call.

    It is in `secret.key`, readable by its owner alone.
    """
    path = HouseFolder(folder).path / "secret.key"
    kept = _read(path)
    if kept:
        return kept
    made = secrets.token_bytes(SECRET_BYTES)
    # The temporary file is private from the start, and is renamed.
    write_durably(path, made)
    return made


def draw_token() -> str:
    """A device's token, or a link's secret."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def draw_pairing_code() -> str:
    """Six digits."""
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}"


def draw_link_code() -> str:
    """Ten signs for a browser without scripts."""
    return _drawn(LINK_CODE)


def draw_lan_name() -> str:
    """`fieldlog-7k2m.local`."""
    return f"fieldlog-{_drawn(NAME_SIGNS)}.local"


def _drawn(count: int) -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(count))


def _read(path: Path) -> bytes:
    # A file cut short by a full disk is no key: a new one only ends open sessions.
    try:
        kept = path.read_bytes()
    except FileNotFoundError:
        return b""
    return kept if len(kept) == SECRET_BYTES else b""
