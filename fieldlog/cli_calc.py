"""The command that runs a named calculation: `fieldlog calc NAME key=value ...`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from typing import Any

from fieldlog.cli_parts import Clock, Refused, folder_of

HELP = "Run a calculation: prints inputs, formula, source and answer as JSON."
EXAMPLE = "fieldlog calc even-spaces length=37 width=1.5 gap=4"


def add(subparsers: Any) -> None:
    """The command `calc`; `subparsers` is what `add_subparsers` gave."""
    one = subparsers.add_parser(
        "calc",
        help=HELP,
        description=f"{HELP} Without a name it lists the calculations, a line each.",
        epilog=f"Example: {EXAMPLE}",
    )
    one.add_argument("name", nargs="?", default="", metavar="NAME", help="which calculation")
    one.add_argument("inputs", nargs="*", metavar="KEY=VALUE", help="its inputs")
    one.add_argument(
        "--system",
        choices=["us", "metric"],
        default="us",
        help="how lengths are typed and shown (default: %(default)s)",
    )
    one.add_argument(
        "--data",
        "--folder",
        metavar="FOLDER",
        help="a house's data folder, for its own books and species (default: those that ship)",
    )
    one.set_defaults(command=calc)


def calc(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Run a calculation, or list them all."""
    from fieldlog.calc.calculations import REGISTRY, calculation, run
    from fieldlog.store.calc_files import load_reference

    if not args.name:
        width = max(map(len, REGISTRY))
        for one in REGISTRY.values():
            print(f"{one.name:{width}}  {one.says}")
        return 0
    takes = calculation(args.name)
    if not args.inputs:
        asked = (f"{i.name}=" if i.required else f"[{i.name}=]" for i in takes.inputs)
        raise Refused(f"{takes.name} takes {' '.join(asked)}")
    given = pairs(args.inputs)
    reference = load_reference(folder_of(args) if args.data else None)
    print(json.dumps(run(args.name, given, args.system, reference), indent=2))
    return 0


def pairs(typed: Sequence[str]) -> dict[str, str]:
    """The inputs typed as key=value. Raises Refused for one that is not, or is there twice."""
    found: dict[str, str] = {}
    for one in typed:
        key, equals, value = one.partition("=")
        key = key.strip().lower().replace("_", "-")
        if not equals or not key:
            raise Refused(f'"{one[:40]}" is no input. Type it as in width=1.5.')
        if key in found:
            raise Refused(f"{key[:40]} is there twice.")
        found[key] = value
    return found
