"""Secrets that are neither chained nor exported: they live beside the journal, not in it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from fieldlog.store.db import HouseFolder
from fieldlog.store.durable import write_durably

SECRET_BYTES = 32


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


def _read(path: Path) -> bytes:
    # A file cut short by a full disk is no key: a new one only ends open sessions.
    try:
        kept = path.read_bytes()
    except FileNotFoundError:
        return b""
    return kept if len(kept) == SECRET_BYTES else b""
