"""The commands that keep a house safe: back it up, restore it, take in a tablet's saved outbox."""

from __future__ import annotations

import argparse
import sys
from contextlib import closing
from pathlib import Path

from fieldlog.cli_parts import Clock, folder_of

FAULTS = 1
PRIVATE = (
    "In it are the house's name on the network, the key of its certificate and its paired tablets: "
    "keep this disk like a key."
)
STAYS = (
    "It is served as {name} again, with the same certificate. The tablets paired then come in as "
    "before, and offer by themselves what this backup lacks. A tablet or link that was ended since "
    "then holds again: look under Tablets."
)
PAIR_AGAIN = "Pair the tablets again: they offer by themselves what this backup lacks."

ANEW = "This folder was made anew: leave it and come back (cd .) to see what is in it."


def backup(args: argparse.Namespace, clock: Clock) -> int:
    """Back the house up, check the backup, and have the house know of it."""
    from fieldlog.store.backup import backup as make
    from fieldlog.store.backup import passed_over

    made = make(folder_of(args), Path(args.place), clock())
    manifest = made.manifest
    print(f"{made.where}: entries up to {manifest.seq}, {len(manifest.photos)} photos, checked.")
    print(f"Head: {manifest.seq} {manifest.chain}")
    for said in passed_over(Path(args.place)):
        print(said)
    if made.private:
        print(PRIVATE)
    if made.coming:
        print(f"Photos still on a tablet: {made.coming}.")
    if made.same_disk:
        print("This is on the same disk as the house: copy it to another one as well.")
    return _faults(made.faults)


def restore(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Make a house from a backup, its chain walked first."""
    from fieldlog.store.restore import newest
    from fieldlog.store.restore import restore as make

    one = newest(Path(args.place))
    here = Path(args.to).resolve() == Path.cwd()
    done = make(one, Path(args.to))
    manifest = done.manifest
    print(f"{args.to}: restored from {one}, entries up to {manifest.seq}, the chain holds.")
    print(f"Head: {manifest.seq} {manifest.chain}")
    print(STAYS.format(name=done.name) if done.name else PAIR_AGAIN)
    if here:
        print(ANEW)
    return _faults(done.faults)


def take(args: argparse.Namespace, clock: Clock) -> int:
    """Take in an outbox that a tablet saved as a file."""
    from fieldlog.store.db import open_writer
    from fieldlog.store.files import load_library
    from fieldlog.store.outbox_file import read_outbox
    from fieldlog.taking import take_in

    folder = folder_of(args)
    with Path(args.file).open("rb") as file, closing(open_writer(folder)) as conn:
        taken = take_in(conn, folder, load_library(folder), read_outbox(file), clock())
    said = [f"{count} {status.replace('_', ' ')}" for status, count in taken.entries.items()]
    print(f"Entries: {', '.join(said) or 'none'}. Photos kept: {taken.photos}.")
    return _faults(taken.reasons)


def _faults(reasons: tuple[str, ...] | list[str]) -> int:
    for reason in reasons:
        print(reason, file=sys.stderr)
    return FAULTS if reasons else 0
