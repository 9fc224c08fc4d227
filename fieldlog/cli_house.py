"""The commands that print the house as it is now, and change it."""

from __future__ import annotations

import argparse
import re
import secrets
from contextlib import closing

from fieldlog.cli_parts import Clock, Refused, folder_of, text_of

_AS_OF = "# As of entry"
_STAMP = re.compile(rf"^{_AS_OF} ([0-9a-f-]{{36}})", re.MULTILINE)


def house(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Print the house as TOML."""
    from fieldlog.calc.house_toml import house_toml
    from fieldlog.store import reading
    from fieldlog.store.db import open_reader

    with closing(open_reader(folder_of(args))) as conn:
        print(f"{_AS_OF} {reading.head_of(conn, 'house')}. Change it, then: fieldlog change --from")
        print(house_toml(reading.house(conn)), end="")
    return 0


def change(args: argparse.Namespace, clock: Clock) -> int:
    """Change the house: append it as the file says."""
    from fieldlog.calc.house import parse_house
    from fieldlog.calc.ids import new_id
    from fieldlog.changing import change_house
    from fieldlog.store import reading
    from fieldlog.store.db import HouseFolder, open_writer
    from fieldlog.store.files import load_library

    text = text_of(args.source)
    new, folder, now = parse_house(text, args.source), folder_of(args), clock()
    with closing(open_writer(HouseFolder(folder))) as conn:
        head = reading.head_of(conn, "house")
        _still_the_same(text, head)
        said = change_house(
            conn, folder, load_library(folder), new,
            id=new_id(now, secrets.token_bytes(10)),
            author=f"superintendent/{reading.house(conn).superintendent}", now=now, seen=head,
        )  # fmt: skip
    print("\n".join(said))
    return 0


def _still_the_same(text: str, head: str) -> None:
    """Raises Refused where the file was printed before the house was last changed."""
    stamped = _STAMP.search(text)
    if stamped and stamped[1] != head:
        raise Refused(
            "The house was changed after this file was printed, and that would be undone. Print "
            f'it again and make your changes there, or take out the line "{_AS_OF}".'
        )
