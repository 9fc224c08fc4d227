"""What the commands share: their words and options, the house's folder, a file's text."""

from __future__ import annotations

import argparse
import os
import sys
import tomllib
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

WORDS = Path(__file__).parent / "words"
DATA, HERE = "FIELDLOG_DATA", "fieldlog-data"
MOST_BYTES = 4 << 20

Clock = Callable[[], datetime]
Command = Callable[[argparse.Namespace, Clock], int]


class Refused(Exception):
    """What was asked can't be done; the message is the sentence to print."""


@cache
def command_words() -> dict[str, Any]:
    """What the command line says of itself, of each command and of its options."""
    return tomllib.loads((WORDS / "en-commands.toml").read_text("utf-8"))


def add_command(added: Any, command: Command) -> None:
    """A command under its function's name; `added` is what `add_subparsers` gave."""
    says = command_words()["command"][command.__name__]
    one = added.add_parser(
        command.__name__,
        help=says["help"],
        description=f"{says['help']} {says.get('note', '')}",
        epilog=f"Example: fieldlog {says['example']}",
    )
    one.set_defaults(command=command)
    for option in says["option"]:
        _add(one, **option)


def _add(to: argparse.ArgumentParser, flags: list[str], takes: str = "", **rest: Any) -> None:
    """An option as the file describes it."""
    if takes in ("switch", "many"):
        rest["action"] = {"switch": "store_true", "many": "append"}[takes]
    elif takes == "port":
        rest["type"] = _port
    to.add_argument(*flags, **rest)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text[:9]) < 65536):
        raise argparse.ArgumentTypeError(f'"{text}" is not a port: 1 to 65535')
    return int(text)


def folder_of(args: argparse.Namespace) -> Path:
    """The house's data folder: as given, as the environment says, or the one here."""
    return Path(args.data or os.environ.get(DATA) or HERE)


def text_of(name: str) -> str:
    """The text of a file, or of standard input for "-". Raises Refused, OSError."""
    if name == "-":
        source = getattr(sys.stdin, "buffer", sys.stdin)
        raw = source.read(MOST_BYTES + 1)
    else:
        with Path(name).open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise Refused(f"{name} is longer than {MOST_BYTES >> 20} MB.")
    try:
        return raw if isinstance(raw, str) else raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        raise Refused(f"{name} is not text in UTF-8 (byte {err.start + 1}).") from err
