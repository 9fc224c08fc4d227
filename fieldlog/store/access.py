"""Secrets that are neither chained nor exported: they live beside the journal, not in it."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from fieldlog.store.db import HouseFolder

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
    beside = path.with_name(f"secret.{os.getpid()}.tmp")
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(descriptor, "wb") as file:
        file.write(made)
        file.flush()
        os.fsync(file.fileno())
    os.replace(beside, path)
    return made


def _read(path: Path) -> bytes:
    # A file cut short by a full disk is no key: a new one only ends open sessions.
    try:
        kept = path.read_bytes()
    except FileNotFoundError:
        return b""
    return kept if len(kept) == SECRET_BYTES else b""
