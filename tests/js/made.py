"""Questions made at random from a seed: trees, floors, whole checks of every sheet."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from random import Random
from typing import Any

from fieldlog.calc.checking import encode_judgement
from fieldlog.calc.floors_outline import Outline
from fieldlog.calc.floors_survey import SurveyNotUsable
from fieldlog.calc.judging import judge
from fieldlog.calc.lengths import parse_length
from fieldlog.calc.looks import Earlier
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.units import MEASURES, say_measure
from tests.js.asking import Question, house, library

Tree = list[Any]
NOTHING_EARLIER = {"today": "", "here": [], "house": []}
NUMBERS, TRUTHS, TEXTS = ("a", "b", "c", "d"), ("p", "q"), ("s", "t")
DEEPEST = 4


def tree_question(r: Random) -> Question:
    """A tree and its quantities: lists with gaps and places left out, and scalars."""
    given = {name: _listed(r, _number) for name in NUMBERS}
    given |= {name: _listed(r, _truth) for name in TRUTHS}
    given |= {name: _listed(r, _text) for name in TEXTS}
    given |= {"limit:x": _number(r), "applies:x": _listed(r, _truth)}
    made = _numeric if r.random() < 0.7 else _condition
    return {"do": "tree", "tree": made(r, DEEPEST), "given": given}


def _listed(r: Random, one: Callable[[Random], Any]) -> Any:
    return one(r) if r.random() < 0.35 else [one(r) for _ in range(r.randint(1, 5))]


def _number(r: Random) -> Any:
    chance = r.random()
    if chance < 0.06:
        return None
    if chance < 0.08:
        return "away"
    if chance < 0.25:
        return str(Fraction(r.randint(-999, 999), r.choice((2, 3, 7, 64))))
    return str(r.choice((0, r.randint(-20, 20), r.randint(-(10**9), 10**9) * 1000)))


def _truth(r: Random) -> Any:
    return r.choice((True, False, True, False, "?"))


def _text(r: Random) -> Any:
    return {"text": r.choice(("oak", "ash", None))}


def _numeric(r: Random, depth: int) -> Tree:
    if depth == 0 or r.random() < 0.1:
        if r.random() < 0.2:
            return ["n", str(Fraction(r.randint(-12, 12), r.choice((1, 1, 5))))]
        return ["q", r.choice(NUMBERS)]
    down: Callable[[], Tree] = lambda: _numeric(r, depth - 1)  # noqa: E731
    true: Callable[[], Tree] = lambda: _condition(r, depth - 1)  # noqa: E731
    kind = r.random()
    if kind < 0.4:
        return [r.choice("+-*/"), down(), down()]
    if kind < 0.45:
        return ["neg", down()]
    return r.choice(_FUNCTIONS)(down, true)


_Make = Callable[[], Tree]
_STEP = ["n", "1587500"]
_FUNCTIONS: list[Callable[[_Make, _Make], Tree]] = [
    *(lambda d, _, f=f: ["f", f, d()] for f in ("max", "min", "spread", "sum", "mean")),
    *(lambda d, _, f=f: ["f", f, d(), d()] for f in ("max", "min", "most", "least", "prefer")),
    *(lambda d, _, f=f: ["f", f, d()] for f in ("running", "count")),
    *(lambda d, _, f=f: ["f", f, d(), d()] for f in ("hypot", "leg", "angle_of", "steps")),
    lambda d, _: ["f", "joined", d(), d()],
    lambda d, _: ["f", "daily_change", d(), d()],
    lambda d, t: ["f", "where", t(), d()],
    lambda d, t: ["f", "choose", t(), d(), d()],
    lambda d, _: ["f", "step_above", d(), _STEP],
    lambda d, _: ["f", "edge_gap", d(), d(), d()],
    lambda _, __: ["f", "limit", ["rule", "x"]],
]


def _condition(r: Random, depth: int) -> Tree:
    if depth == 0 or r.random() < 0.1:
        return ["q", r.choice(TRUTHS)]
    down: Callable[[], Tree] = lambda: _condition(r, depth - 1)  # noqa: E731
    value: Callable[[], Tree] = lambda: _numeric(r, depth - 1)  # noqa: E731
    kind = r.randrange(10)
    if kind < 4:
        return [r.choice(("<", "<=", ">", ">=")), value(), value()]
    if kind < 6:
        return [r.choice(("and", "or")), down(), down()]
    named = r.choice(("any", "all", "answered", "first_place", "last_place"))
    return r.choice((
        ["not", down()], ["f", r.choice(("known", "given")), value()], ["f", named, down()],
        ["f", "same", ["q", r.choice(TEXTS)], ["t", "oak"]], ["f", "applies", ["rule", "x"]],
    ))  # fmt: skip


def rows_of(r: Random, rows: int, columns: int, rough: int) -> list[list[int | None]]:
    """Heights in sixteenths: a slope, some waves, what was not read, now and then a slip."""
    slope, twist = r.randint(-2, 2), r.randint(-1, 1)
    gaps = r.choice((0, 0, 0.05, 0.4))
    slip = r.choice((0, 0, 0.01))

    def height(row: int, column: int) -> int | None:
        if r.random() < gaps:
            return None
        far = r.choice((-40, 40)) if r.random() < slip else 0
        return row * slope + column * twist + r.randint(-rough, rough) + far

    return [[height(y, x) for x in range(columns)] for y in range(rows)]


def _shape(r: Random) -> tuple[int, int]:
    return (20, 20) if r.random() < 0.04 else (r.randint(1, 9), r.randint(1, 9))


def floor_question(r: Random) -> Question:
    """Heights on a grid, nm, and edges to look under."""
    rows = rows_of(r, *_shape(r), r.choice((0, 1, 3, 20)))
    unit = r.choice((1_587_500, 1_000_000, 7))
    edges = [str(e) for e in (1_828_800_000, 3_048_000_000, r.randint(1, 10**10))]
    return {
        "do": "floor",
        "rows": [[None if z is None else str(z * unit) for z in row] for row in rows],
        "spacing": str(r.choice((304_800_000, 609_600_000, 500_000_000))),
        "edges": edges,
    }


_ROOMS = [
    [[f"{x} ft", f"{y} ft"] for x, y in corners]
    for corners in (
        *(((0, 0), (4, 0), (4, 8), (6, 8), (6, 0), (24, 0), (24, 24), (0, 24)),) * 5,
        ((0, 0), (9, 0), (9, 12)), ((0, 0), (20, 0), (20, 20), (0, 20)), ((0, 0), (9, 0)),
        ((0, 0), (12, 0), (12, 4), (4, 4), (4, 12), (0, 12)), ((0, 0), (9, 9), (9, 0), (0, 9)),
        ((0, 0), (3, 0), (3, 0), (6, 0), (6, 9), (0, 9)), ((0, 0), (6, 0), (3, 0), (3, 9)),
    )
]  # fmt: skip
_HOLES: list[list[Any]] = [
    [], [], [[["3 ft", "3 ft"], ["5 ft", "3 ft"], ["5 ft", "5 ft"], ["3 ft", "5 ft"]]],
    [[["30 ft", "3 ft"], ["31 ft", "3 ft"], ["31 ft", "5 ft"]]],
]  # fmt: skip
"""Rooms and what is cut out of them: some cross themselves, or lie where they can't."""


def _block_beyond_walls(levels: dict[str, Any]) -> None:
    """Nobody reads a station beyond the walls."""
    given = (levels["outline"]["corners"], *levels["outline"]["cut_outs"])
    rings = [[(_feet(x), _feet(y)) for x, y in ring] for ring in given]
    try:
        outline = Outline(tuple(rings[0]), tuple(map(tuple, rings[1:])))
    except SurveyNotUsable:
        return
    step, (x, y) = parse_length(levels["spacing"]), (_feet("1 ft"), _feet("6 in"))
    for r, row in enumerate(levels["rows"]):
        for c in range(len(row)):
            if not outline.holds((x + c * step, y + r * step)):
                row[c] = "x"


def _feet(text: str) -> int:
    return parse_length(text, "ft")


def judged_floor(r: Random) -> Question:
    """A floor judged: level readings in sixteenths, by any tool that levels."""
    rows = rows_of(r, *_shape(r), r.choice((0, 1, 2, 4)))
    cells = [["" if z is None else str(z) for z in row] for row in rows]
    for _ in range(r.choice((0, 0, 1, 6))):
        r.choice(cells)[-1 - r.randrange(len(cells[0]))] = "x"
    levels: dict[str, Any] = {
        "spacing": r.choice(("2 ft", "1 ft", "18 in")), "unit": "16ths", "rows": cells,
        "kind": r.choice(("heights", "rod")), "readings": r.choice((1, 1, 1, 4, 40)),
    }  # fmt: skip
    if r.random() < 0.6:
        levels["outline"] = {
            "corners": r.choice(_ROOMS), "cut_outs": r.choice(_HOLES), "first": ["1 ft", "6 in"],
        }  # fmt: skip
        _block_beyond_walls(levels)
    tool = r.choice(("laser-rod", "story-pole", "exact", "tape"))
    args = ["floor", books_that_fit(r), {"levels": levels}, tool]
    return {"do": "judge", "args": args, "known": _known(r)}


def _known(r: Random) -> dict[str, Any]:
    tools = r.choice(([], list(house().instruments), ["tape", "laser-rod", "straightedge"]))
    system = r.choice(("us", "us", "us", "metric"))
    return {"system": system, "tools": tools, "earlier": NOTHING_EARLIER}


def books_that_fit(r: Random) -> list[str]:
    """Books of which no two have the same limit."""
    chosen: list[str] = []
    taken: set[str] = set()
    for book in r.sample(list(library().books.values()), len(library().books)):
        rules = {rule.id for rule in book.rules}
        if not rules & taken:
            chosen.append(book.id)
            taken |= rules
    return chosen


def stair_question(r: Random) -> Question:
    """A stair between two rooms whose floors are still to come, its risers nearly alike."""
    count = r.randint(1, 9)
    usual = r.choice((112, 114, 118, 122, 124))  # sixteenths
    riser = [say_measure("length", (usual + r.choice((0, 0, 0, 1, -2))) * 1_587_500)
             for _ in range(count)]  # fmt: skip
    end = r.choice((0, -1))
    riser[end] = say_measure("length", (usual + r.randint(-14, 14)) * 1_587_500)
    readings: dict[str, Any] = {"riser": riser, "tread": ["10"] * (count - 1)}
    readings |= {"tread_finish": r.choice(("3/4", "")), "headroom": "6 ft 9 in"}
    readings |= {r.choice(("room_below", "room_above")): r.choice(("Hall", "loft", "Attic"))
                 for _ in range(2)}  # fmt: skip
    check = {"sheet": "stair", "room": r.choice(("hall", "loft")), "readings": readings,
             "instrument": r.choice(("tape", "exact"))}  # fmt: skip
    return {"do": "check", "check": check, "earlier": NOTHING_EARLIER}


def check_question(r: Random) -> Question:
    """Readings for any sheet: near its limits, blank, mixed tools, now and then nonsense."""
    others = [s for s in library().sheets.values() if s.id != "floor"]
    sheet = library().sheets["stair"] if r.random() < 0.2 else r.choice(others)
    instrument = r.choice(("tape", "tape", "exact", "steel-rule", "story-pole"))
    readings = {f.name: _reading(r, f, sheet) for f in sheet.fields if r.random() < 0.7}
    if r.random() < 0.3:
        check = {
            "sheet": sheet.id, "room": "hall", "place": "North window", "readings": readings,
            "instrument": instrument, "photos": r.choice(([], ["a" * 64])),
        }  # fmt: skip
        return {"do": "check", "check": check, "earlier": NOTHING_EARLIER}
    args = [sheet.id, books_that_fit(r), readings, instrument]
    return {"do": "judge", "args": args, "known": _known(r) | {"earlier": _earlier(r, sheet)}}


def _earlier(r: Random, sheet: Sheet) -> dict[str, Any]:
    """Looks before this one, at the same place and at others, where the sheet reads any."""
    looks = [_look(r, sheet, n) for n in range(4 if sheet.earlier else 0)]
    sound = [look for look in looks if look]
    return {"today": "2026-03-05", "here": sound[::2], "house": sound[1::2]}


def _look(r: Random, sheet: Sheet, n: int) -> dict[str, str] | None:
    readings = {f.name: _reading(r, f, sheet) for f in sheet.fields}
    today = Earlier(today=f"2026-02-1{n}")
    try:
        judged = judge(library(), sheet.id, (), readings, "tape", earlier=today)
    except ReadingsRefused:
        return None
    return {"day": today.today, "judgement": encode_judgement(judged)}


def _reading(r: Random, f: Field, sheet: Sheet) -> Any:
    if not f.many or r.random() < 0.1:
        return _slot(r, f, sheet)
    return [_slot(r, f, sheet) for _ in range(r.randint(0, min(f.most, 9)))]


def _slot(r: Random, f: Field, sheet: Sheet) -> Any:
    if r.random() < 0.08:
        return r.choice(("", None, "  "))
    if r.random() < 0.004:
        return r.choice(("71/2", "6,5", "soon", 7, 7.5, [], {"value": "7", "instrument": "none"}))
    text = typed(r, f, sheet)
    able = [i.id for i in library().instruments.values() if i.kind == f.kind]
    if able and isinstance(text, str) and r.random() < 0.15:
        return {"value": text, "instrument": r.choice(able)}
    return text


def typed(r: Random, f: Field, sheet: Sheet) -> Any:
    if f.kind == "yes_no":
        return r.choice(("yes", "no", True, False))
    if f.kind == "choice":
        return r.choice(f.choices)
    if f.kind == "text":
        return r.choice(("Hall", "loft", "by the door", "½ up"))
    if f.kind == "date":
        return r.choice(("2026-03-04", "2/27/2026", "2026-01-31"))
    return _measured(r, f, sheet)


def _measured(r: Random, f: Field, sheet: Sheet) -> str:
    """A value about a limit of this quantity, else between its bounds, said as people type it."""
    low = f.low or Fraction(0)
    high = f.high or low + 10**9
    bound = [b for book in library().bound.values() for b in book if b.rule.sheet == sheet.id]
    known = [b.limit for b in bound if b.limit is not None and b.measure == f.kind]
    limits = [limit for limit in known if low < limit < high]
    about = r.choice(limits) if limits and r.random() < 0.7 else _between(r, low, high)
    return _said_about(r, f, about, low, high)


def _between(r: Random, low: Fraction, high: Fraction) -> Fraction:
    return low + (high - low) * Fraction(r.randint(1, 31), 32)


def _said_about(r: Random, f: Field, about: Fraction, low: Fraction, high: Fraction) -> str:
    """A mark or two beside it, within the bounds but for one in fifty."""
    size = MEASURES[f.kind].units.get(MEASURES[f.kind].shown, (Fraction(1),))[0]
    step = {"length": Fraction(396_875), "count": Fraction(1), "angle": size / 10}.get(
        f.kind, size / 4
    )
    value = round(about / step) * step + r.choice((0, 0, 0, -1, 1, 2, -4)) * step
    if r.random() < 0.98:
        inner = (-(-low // step) * step, high // step * step)
        value = min(max(value, inner[0]), inner[1])
    if f.kind == "slope":
        return f"{value.numerator}/{value.denominator * 2} %" if value > 0 else "1:48"
    return say_measure(f.kind, value, feet=r.random() < 0.2).removeprefix("about ")
