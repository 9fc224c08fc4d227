"""A house from a backup: checked before it stands there, and under a name only when it is whole."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from fieldlog.store import backup_access
from fieldlog.store.backed_up import BackedUp
from fieldlog.store.backed_up import write as record
from fieldlog.store.backup import (
    DATABASE,
    MANIFEST,
    OWN,
    BackupFailed,
    Manifest,
    check_database,
    latest,
    passed_over,
    pooled,
    read_manifest,
)
from fieldlog.store.db import HouseFolder
from fieldlog.store.durable import copy_durably, make_folder, sync_folder


def newest(place: Path) -> Path:
    """The latest backup in a place for backups, or `place` itself if it is one.

    Raises BackupFailed where there is none.
    """
    if (place / MANIFEST).is_file():
        return place
    found = latest(place)
    if found is None:
        raise BackupFailed(" ".join([f"There is no backup in {place}.", *passed_over(place)]))
    return found


@dataclass(frozen=True, slots=True)
class Restored:
    """What the backup held, what is missing, and the house's name on the network or ""."""

    manifest: Manifest
    faults: list[str]
    name: str


def restore(one: Path, to: Path) -> Restored:
    """Make the house in the new folder `to` from the backup `one`.

    The journal's chain is walked first; a backup that does not hold leaves nothing behind.
    Raises BackupFailed, OSError, sqlite3.Error.
    """
    if to.exists() and any(to.iterdir()):
        raise BackupFailed(f"{to} is not empty. A house is restored into a new folder.")
    manifest = read_manifest(one)
    to = to.resolve()  # "." has no name to make another beside it
    beside = to.with_name(f".{to.name}.restoring")
    shutil.rmtree(beside, ignore_errors=True)
    try:
        faults = _fill(one, manifest, HouseFolder(beside))
        name = backup_access.put_back(one, HouseFolder(beside))
        if to.exists():
            to.rmdir()
        os.replace(beside, to)
        sync_folder(to.parent)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return Restored(manifest, faults, name)


def _fill(one: Path, manifest: Manifest, at: HouseFolder) -> list[str]:
    make_folder(at.path)
    copy_durably(one / DATABASE, at.database)
    head = check_database(at.database)
    if head != (manifest.seq, manifest.chain):
        raise BackupFailed(
            f"The backup says that it ends at {manifest.seq} {manifest.chain[:12]}, and its "
            f"journal at {head[0]} {head[1][:12]}. Take another backup."
        )
    for path in sorted(p for p in (one / OWN).rglob("*") if p.is_file()):
        copy_durably(path, at.path / path.relative_to(one / OWN))
    here, faults = [], []
    for sha256 in manifest.photos:
        kept = pooled(one.parent, sha256)
        if kept is None:
            faults.append(f"Photo {sha256}: the backup's file is gone or was changed.")
            continue
        copy_durably(kept, at.photos / sha256[:2] / kept.name)
        here.append(sha256)
    record(at, BackedUp(manifest.seq, manifest.chain, manifest.at, str(one), tuple(here)))
    return faults
