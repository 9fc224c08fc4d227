"""The command that judges a floor: `fieldlog floor FILE --edge "10 ft" --limit "3/16 in"`."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldlog.cli_parts import Clock, Refused, folder_of

if TYPE_CHECKING:
    from fieldlog.calc.floor_command import Answer, Asked
    from fieldlog.calc.floors_plan import Site
    from fieldlog.calc.floors_plan_watch import Watch
    from fieldlog.calc.products import Product

HELP = "Judge a floor from a file of points, and say what makes it flat; keeps nothing."
NOTE = (
    "The file has x, y, z on each line (CSV, TXT, XYZ) or is a PLY. Without --plan every plan "
    "that can be made is shown for a small floor that fails."
)
EXAMPLE = (
    'floor points.csv --edge "10 ft" --limit "3/16 in" --plan mix --bag-price 38 --grind-price 6'
)
FLOORS = ("slab", "wood-nail-down", "wood-glue-down")
FILLS = ("trowel", "pour")


def add(subparsers: Any) -> None:
    """The command `floor`; `subparsers` is what `add_subparsers` gave."""
    one = subparsers.add_parser(
        "floor", help=HELP, description=f"{HELP} {NOTE}", epilog=f"Example: fieldlog {EXAMPLE}"
    )
    one.set_defaults(command=floor)
    one.add_argument("file", metavar="FILE", help='the points; "-" reads standard input')
    option = one.add_argument
    option("--edge", required=True, metavar="LENGTH", help='how long the straightedge is: "10 ft"')
    option("--limit", required=True, metavar="LENGTH", help='the most gap under it: "3/16 in"')
    option("--method", choices=["hollow", "hump", "both"], default="both",
           help="what the limit holds for (default: %(default)s)")  # fmt: skip
    option("--level", metavar="LENGTH", help='the whole floor level within so much: "1/4 in" '
           "(default: flat is enough)")  # fmt: skip
    option("--unit", default="", metavar="UNIT",
           help="unit of x, y and z in the file: in, ft, mm, cm, m or 16ths (default: the one its "
           "header names, else in)")  # fmt: skip
    option("--rod", action="store_true", help="z is read down from the plane of light")
    option("--skip-bad-rows", action="store_true", help="leave out rows that are no point")
    _add_plans(option)
    shown = one.add_mutually_exclusive_group()
    shown.add_argument("--json", action="store_true", help="print the answer as JSON")
    shown.add_argument("--svg", metavar="FILE", help="write the floor's map there")
    option("--data", "--folder", metavar="FOLDER",
           help="use the products of the house there too (default: those that ship)")  # fmt: skip


def _add_plans(option: Any) -> None:
    option("--plan", action="append", choices=["least", "pool", "mix"], default=[],
           help="least: the least troweled fill; pool: a self-leveler; mix: grind and fill at "
           "the two prices. Give it once for each")  # fmt: skip
    option("--floor", choices=FLOORS, default="slab", help="what is there (default: %(default)s)")
    option("--bag-yield", metavar="VOLUME", help='what a bag fills: "0.45 cu ft" (default: the '
           "product's own)")  # fmt: skip
    option("--bag-price", metavar="PRICE", help="price of a bag")
    option("--grind-price", metavar="PRICE", help="price of a square foot ground")
    option("--most-grind", metavar="LENGTH", help='most to grind off: "1/8 in" (default: the '
           "product's own)")  # fmt: skip


def floor(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Judge a floor from a file of points."""
    from fieldlog.calc.amounts import AmountNotUnderstood
    from fieldlog.calc.floor_command import NotAsked, answer, as_json, as_text
    from fieldlog.calc.floors_import import parse_points
    from fieldlog.calc.floors_survey import SurveyNotUsable
    from fieldlog.calc.lengths import LengthNotUnderstood
    from fieldlog.store.files import load_plan_words

    try:
        question = _question(args)
        data, name = _bytes_of(args.file)
        imported = parse_points(data, name, args.unit, args.skip_bad_rows)
        system = "metric" if imported.unit in ("mm", "cm", "m") else "us"
        question = replace(question, system=system)
        found = answer(imported.points, question, _watch())
    except (NotAsked, SurveyNotUsable, AmountNotUnderstood, LengthNotUnderstood) as err:
        raise Refused(str(err)) from err
    if imported.skipped:
        rows = "1 row was" if imported.skipped == 1 else f"{imported.skipped} rows were"
        print(f"{rows} skipped.", file=sys.stderr)
    words = load_plan_words()
    if args.json:
        print(json.dumps(as_json(found, question, words), indent=2))
    else:
        print("\n".join(as_text(found, question, words)))
    if args.svg:
        _write_map(Path(args.svg), found, question)
    return 0


def _watch() -> Watch:
    """On a terminal, how far a large floor's plan is; Ctrl-C stops it."""
    from fieldlog.calc.floors_plan_watch import Progress, Watch

    def tell(progress: Progress) -> None:
        print(f"\r{progress.done} of {progress.of} parts", end="", file=sys.stderr, flush=True)
        if progress.done == progress.of:
            print(file=sys.stderr)

    return Watch(tell) if sys.stderr.isatty() else Watch()


def _question(args: argparse.Namespace) -> Asked:
    from fieldlog.calc.floor_command import asked

    return asked(
        args.edge, args.limit, _site(args), args.level, method=args.method, plans=tuple(args.plan),
        rod=args.rod,
    )  # fmt: skip


def _site(args: argparse.Namespace) -> Site:
    from fieldlog.calc.amounts import parse_price, parse_volume
    from fieldlog.calc.floors_plan import Site
    from fieldlog.calc.floors_plan_materials import Prices
    from fieldlog.calc.lengths import parse_length
    from fieldlog.calc.products import with_yield
    from fieldlog.store.product_files import load_products

    products: Mapping[str, Product] = load_products(folder_of(args) if args.data else None)
    if args.bag_yield is not None:
        yields = parse_volume(args.bag_yield)
        products = {
            kind: with_yield(one, yields) if kind in FILLS else one
            for kind, one in products.items()
        }
    bag, grind = (
        None if text is None else parse_price(text) for text in (args.bag_price, args.grind_price)
    )
    most = None if args.most_grind is None else parse_length(args.most_grind)
    if most is not None and most < 0:
        raise Refused(f'"{args.most_grind}" is below zero: how deep may be ground at most?')
    return Site(args.floor, products, Prices(bag, grind), most_grind=most)


def _bytes_of(name: str) -> tuple[bytes, str]:
    if name == "-":
        return sys.stdin.buffer.read(), "standard input"
    path = Path(name)
    return path.read_bytes(), path.name


def _write_map(path: Path, found: Answer, question: Asked) -> None:
    """The floor's map, and under it the patches of each plan that is offered."""
    from fieldlog.calc.floor_command import MAPPED_UP_TO, judgement
    from fieldlog.calc.floors_plan import Plan
    from fieldlog.calc.floors_plan_json import kept
    from fieldlog.calc.floors_plan_words import PlanSpeaker
    from fieldlog.drawings import draw
    from fieldlog.drawings.floor_work import draw_work
    from fieldlog.drawings.judged import Judged
    from fieldlog.drawings.stacked import stacked
    from fieldlog.store.files import load_library, load_plan_words

    if found.stations.z.size > MAPPED_UP_TO:
        raise Refused(f"A map of more than {MAPPED_UP_TO} stations would not be legible.")
    judged = judgement(load_library(None), found, question)
    speaker = PlanSpeaker(load_plan_words(), found.stations, question.site, question.system)
    work = [
        draw_work(Judged(judged), json.loads(kept(plan, speaker)))
        for plan in found.plans.values()
        if isinstance(plan, Plan)
    ]
    path.write_text(stacked([draw(judged), *work]), encoding="utf-8")
