"""The command that runs a named calculation: `fieldlog calc NAME key=value ...`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from typing import Any

from fieldlog.cli_parts import Clock, Refused, add_command, folder_of


def add(subparsers: Any) -> None:
    """The command `calc`; `subparsers` is what `add_subparsers` gave."""
    add_command(subparsers, calc)


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
