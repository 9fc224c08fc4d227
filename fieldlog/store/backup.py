"""A backup: the journal by SQLite's own backup, photos by content, all of it read back and checked.

A place for backups (`DIR`) looks so:

- `photos/<aa>/<sha256>.<ext>`: every original once, however many backups name it
- `<UTC time>-<number>/`: `fieldlog.sqlite`, `backup.json` (what is in it) and `own/`, the house's
  data files, reports, and what was set aside; `private/`: who may come in (`backup_access.py`).
  It appears under this name only when it was checked.

The key that signs forms is in no backup.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import msgspec

from fieldlog.calc.shape import Strict, is_digest
from fieldlog.store import arriving, backup_access, journal
from fieldlog.store.backed_up import BackedUp
from fieldlog.store.backed_up import write as record
from fieldlog.store.db import HouseFolder, open_reader
from fieldlog.store.devices_seen import has_head
from fieldlog.store.durable import copy_durably, make_folder, sync_folder, write_durably
from fieldlog.store.files import OWN_DATA
from fieldlog.store.photos import verify_photos

Folder = os.PathLike[str] | str

MANIFEST, DATABASE, OWN, PHOTOS = "backup.json", "fieldlog.sqlite", "own", "photos"
STANDINS = "standins"
OWN_FILES = (*OWN_DATA, "reports", "refused", STANDINS)
"""What of a house's folder goes along besides journal and photos: named, so that no secret does."""
_NAMED = re.compile(r"\d{4}-\d\d-\d\dT\d{6}Z-\d+", re.ASCII)
"""What `backup` names a backup."""
BUSY = 1024
"""Pages copied at a time, so that a house of any size is backed up while it is served."""


class BackupFailed(Exception):
    """The backup did not hold when it was read back; nothing was recorded. The message says why."""


class Manifest(Strict, frozen=True):
    """What a backup holds: the journal's head, when it was made, digests of its photos."""

    version: int
    seq: int
    chain: str
    at: str
    photos: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Made:
    """A verified backup; `coming` photos are still on a tablet, `faults` say what is amiss."""

    where: Path
    manifest: Manifest
    coming: int
    faults: tuple[str, ...]
    same_disk: bool

    @property
    def private(self) -> bool:
        """Whether the house's name, its certificate's key and its tablets are in it."""
        return (self.where / backup_access.PRIVATE).is_dir()


def backup(folder: Folder, place: Path, now: datetime) -> Made:
    """Back a house up into `place`, check what was written, then record it in the house.

    Works while the house is served. Raises BackupFailed, HouseMissing, OSError, sqlite3.Error.
    """
    at = HouseFolder(folder)
    if place.resolve().is_relative_to(at.path.resolve()):
        raise BackupFailed(f"{place} is in the house's own folder: give another disk.")
    make_folder(place)
    _check_follows(at, place)
    beside = place / f".making-{os.getpid()}"
    shutil.rmtree(beside, ignore_errors=True)
    try:
        beside.mkdir()
        manifest, coming, faults = _make(at, place, beside, now)
        final = place / f"{manifest.at.replace(':', '')}-{manifest.seq}"
        shutil.rmtree(final, ignore_errors=True)  # the same second and head: the same backup
        os.replace(beside, final)
        sync_folder(place)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    record(at, BackedUp(manifest.seq, manifest.chain, manifest.at, str(final), manifest.photos))
    same = os.stat(place).st_dev == os.stat(at.path).st_dev
    return Made(final, manifest, coming, tuple(faults), same)


def latest(place: Path) -> Path | None:
    """The latest backup in a place for backups, or None. Raises BackupFailed for a damaged one."""
    found = [one for one in _like_backups(place) if _NAMED.fullmatch(one.name)]
    return max(found, key=lambda one: (read_manifest(one).at, read_manifest(one).seq), default=None)


def passed_over(place: Path) -> list[str]:
    """What is said of folders that have a `backup.json` and no backup's name: a copied house."""
    names = [one.name for one in _like_backups(place) if not _NAMED.fullmatch(one.name)]
    return [f"{place / name} was passed over: it is not named as a backup is." for name in names]


def _like_backups(place: Path) -> list[Path]:
    return sorted(at.parent for at in place.glob(f"*/{MANIFEST}") if at.parent.name[0] != ".")


def read_manifest(one: Path) -> Manifest:
    """What a backup says it holds. Raises BackupFailed."""
    try:
        found = msgspec.json.decode((one / MANIFEST).read_bytes(), type=Manifest)
    except (OSError, msgspec.DecodeError) as err:
        raise BackupFailed(f"{one} is no backup: {MANIFEST} can't be read ({err}).") from err
    if found.version != 1:
        raise BackupFailed(f"{one} was made by a newer fieldlog. Update fieldlog first.")
    return found


def check_database(path: Path) -> tuple[int, str]:
    """Integrity and chain of a copied journal; its head. Raises BackupFailed."""
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        said = conn.execute("PRAGMA integrity_check").fetchone()[0]
        faults = [said] if said != "ok" else journal.verify(conn)
        head = journal.head(conn)
    if faults:
        raise BackupFailed(f"The copy of the journal does not hold: {' '.join(faults[:3])}")
    return head.seq, head.chain


def pooled(place: Path, sha256: str) -> Path | None:
    """A photo in a place for backups, its bytes checked against its name, or None."""
    for path in (place / PHOTOS / sha256[:2]).glob(f"{sha256}.*"):
        if _digest(path) == sha256:
            return path
    return None


def _check_follows(at: HouseFolder, place: Path) -> None:
    """Raises BackupFailed where the house lacks what the latest backup in `place` holds.

    Tablets have let go of what that backup holds: another one over it would hide the loss.
    """
    before = latest(place)
    if before is None:
        return
    manifest = read_manifest(before)
    with closing(open_reader(at)) as conn:
        if not has_head(conn, manifest.seq, manifest.chain):
            raise BackupFailed(
                f"The latest backup, {before}, has entries up to {manifest.seq} that this house "
                "lacks: an older copy is being served, or it is another house. Restore that "
                "backup, or give another folder for this house's backups."
            )


def _make(
    at: HouseFolder, place: Path, beside: Path, now: datetime
) -> tuple[Manifest, int, list[str]]:
    """The files of a backup in the folder `beside`, checked; what it holds, and what is amiss."""
    _copy_database(at, beside / DATABASE)
    seq, chain = check_database(beside / DATABASE)
    kept = tuple(sorted(_pool(at, place)))
    _copy_own(at, beside / OWN)
    backup_access.keep(at, beside)
    with closing(sqlite3.connect(beside / DATABASE, isolation_level=None)) as conn:
        coming, faults = len(arriving.waiting(conn, at)), verify_photos(conn, at)
    manifest = Manifest(1, seq, chain, journal.stamp(now), kept)
    write_durably(beside / MANIFEST, msgspec.json.encode(manifest))
    return manifest, coming, faults


def _copy_database(at: HouseFolder, to: Path) -> None:
    # One snapshot: a reader's transaction holds it while the house goes on being written to.
    with closing(open_reader(at)) as source, closing(sqlite3.connect(to)) as copy:
        source.execute("BEGIN")
        source.execute("SELECT count(*) FROM journal").fetchone()
        source.backup(copy, pages=BUSY)
        source.execute("COMMIT")
        # A backup is one file, readable from a disk that can't be written to.
        copy.execute("PRAGMA journal_mode=DELETE").fetchone()
    with to.open("rb+") as file:
        os.fsync(file.fileno())
    sync_folder(to.parent)


def _pool(at: HouseFolder, place: Path) -> Iterator[str]:
    """Copy what the pool lacks; digests of the photos that are in it, read back and whole."""
    for path in sorted(at.photos.glob("*/*")):
        sha256 = path.stem
        if not is_digest(sha256) or path.suffix == ".tmp":
            continue
        if pooled(place, sha256) is None:
            if _digest(path) != sha256:
                continue  # changed on disk: said among the faults, and not kept over a good one
            copy_durably(path, place / PHOTOS / sha256[:2] / path.name)
            if pooled(place, sha256) is None:
                raise BackupFailed(f"Photo {sha256} did not arrive whole in {place}.")
        yield sha256


def _copy_own(at: HouseFolder, to: Path) -> None:
    for name in OWN_FILES:
        path = at.path / name
        found = [path] if path.is_file() else sorted(p for p in path.rglob("*") if p.is_file())
        for one in (p for p in found if p.suffix != ".tmp"):  # which is one being written
            try:
                copy_durably(one, to / one.relative_to(at.path))
            except FileNotFoundError:
                if name != STANDINS or one.exists():
                    raise  # a stand-in goes when its original comes, at any moment


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
