"""Files that are whole or not there, also after the power failed."""

from __future__ import annotations

import os
import shutil
import tempfile
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

BLOCK = 1 << 20
"""Bytes copied at a time."""


def write_durably(path: Path, data: bytes) -> None:
    """Write a file so that after a crash it is whole or not there at all. Raises OSError."""
    _put_whole(path, BytesIO(data))


def copy_durably(source: Path, to: Path) -> None:
    """Copy a file's bytes so that after a crash the copy is whole or not there. Raises OSError."""
    with source.open("rb") as whole:
        _put_whole(to, whole)


def _put_whole(path: Path, source: BinaryIO) -> None:
    make_folder(path.parent)
    descriptor, beside = tempfile.mkstemp(dir=path.parent, suffix=".tmp")
    done = False
    try:
        with os.fdopen(descriptor, "wb") as file:
            shutil.copyfileobj(source, file, BLOCK)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
        done = True
    finally:
        if not done:
            Path(beside).unlink(missing_ok=True)
    sync_folder(path.parent)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, each entered durably in its own. Raises OSError."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Have a folder's own entries on the disk. Raises OSError."""
    # Windows cannot open a folder; there the rename itself is journalled by the file system.
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
