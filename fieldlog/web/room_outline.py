"""A room's outline as a form has it: texts in, walls and stations out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fieldlog.calc.bodies import RoomOutline
from fieldlog.calc.lengths import LengthNotUnderstood, format_length, parse_length
from fieldlog.store import reading_floors
from fieldlog.web import request as at

if TYPE_CHECKING:
    from fieldlog.calc.floors_outline import Layout, Outline

_SIZE = re.compile(r"\s*([\d./ ]+?)\s*(?:x|by|×)\s*([\d./ ]+?)\s*([a-z]+)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[a-z'\"]\s*$", re.IGNORECASE)
MOST_CUT_OUTS = 20

Pair = tuple[str, str]


class OutlineNotUsable(ValueError):
    """A line of the outline can't be used; the message says which and why."""

    def __init__(self, field: str, sentence: str) -> None:
        self.field = field
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Laid:
    """A room ready to be walked: what was entered, its walls, its stations."""

    body: RoomOutline
    outline: Outline
    layout: Layout

    @property
    def first(self) -> Pair:
        """Where row 1, column 1 is, as texts that parse back."""
        x, y = self.layout.origin
        system = at.house().system
        return exact_text(x, system), exact_text(y, system)

    def reading(self) -> dict[str, object]:
        """The outline as a grid's readings carry it."""
        return {
            "corners": [list(c) for c in self.body.corners],
            "cut_outs": [[list(c) for c in ring] for ring in self.body.cut_outs],
            "first": list(self.first),
        }


def exact_text(nm: int, system: str) -> str:
    """A length as a text that reads back as exactly that: micrometers where no fraction fits."""
    said = format_length(nm, system, feet=True)
    return said if not said.startswith("about") else f"{nm // 1_000_000}.{nm % 1_000_000:06d} mm"


def lay(body: RoomOutline) -> Laid:
    """Walls and stations. Raises OutlineNotUsable."""
    from fieldlog.calc.floors_outline import Outline, cells  # NumPy: only for a floor
    from fieldlog.calc.floors_survey import SurveyNotUsable

    rings = [tuple((_nm(x, "corners"), _nm(y, "corners")) for x, y in ring)
             for ring in (body.corners, *body.cut_outs)]  # fmt: skip
    spacing, rod = _nm(body.spacing, "spacing"), _nm(body.rod, "rod")
    try:
        outline = Outline(rings[0], tuple(rings[1:]))
        layout = cells(outline, spacing, rod)
    except SurveyNotUsable as err:
        raise OutlineNotUsable("corners", err.sentence) from err
    if layout.shape[0] * layout.shape[1] > MOST_STATIONS:
        raise OutlineNotUsable("spacing", "So many stations cannot be walked: space them wider.")
    if len(layout.order) < FEWEST_STATIONS:
        said = f"{len(layout.order)} of them fit, and no floor can be judged by so few."
        raise OutlineNotUsable("spacing", f"{said} Space them closer.")
    return Laid(body, outline, layout)


FEWEST_STATIONS, MOST_STATIONS = 4, 2000


def laid_room(room: str) -> tuple[Laid | None, str]:
    """The room as last outlined, and the id of that entry; None where it was not."""
    body, entry = reading_floors.outline_of(at.conn(), room)
    return (lay(body), entry) if body else (None, "")


def default_texts(size: str) -> dict[str, str]:
    """What the form starts with: the room's size where the house knows it."""
    metric = at.house().system == "metric"
    spacing, rod = ("600 mm", "25 mm") if metric else ("2 ft", "1 in")
    start = {"shape": "rectangle", "spacing": spacing, "rod": rod}
    found = _SIZE.fullmatch(size)
    if found:
        wide, deep, unit = found.groups()
        start |= {"width": f"{wide} {unit}", "depth": f"{deep} {unit}"}
    return start


def texts_of(body: RoomOutline) -> dict[str, str]:
    """A kept outline as the form shows it."""
    said = {"spacing": body.spacing, "rod": body.rod}
    said["cut_outs"] = "\n".join(_cut_line(ring) for ring in body.cut_outs)
    (_, _), (width, _), (_, depth) = body.corners[:3]
    if body.corners == _rectangle(width, depth):
        return said | {"shape": "rectangle", "width": width, "depth": depth}
    lines = "\n".join(f"{x}, {y}" for x, y in body.corners)
    return said | {"shape": "corners", "corners": lines}


def body_of(texts: dict[str, str], room: str, day: str) -> RoomOutline:
    """The entry that a form's texts make. Raises OutlineNotUsable for the first wrong line."""
    if texts.get("shape") == "corners":
        corners = tuple(_pairs(texts.get("corners", ""), "corners"))
    else:
        width, depth = (_text(texts.get(n, ""), n) for n in ("width", "depth"))
        corners = _rectangle(width, depth)
    cut_outs = tuple(_cut_outs(texts.get("cut_outs", "")))
    spacing, rod = (_text(texts.get(n, ""), n) for n in ("spacing", "rod"))
    return RoomOutline(room, corners, spacing, rod, cut_outs, day)


def _rectangle(width: str, depth: str) -> tuple[Pair, ...]:
    return (("0", "0"), (width, "0"), (width, depth), ("0", depth))


def _pairs(lines: str, field: str) -> list[Pair]:
    pairs = []
    for n, line in enumerate(_lines(lines), start=1):
        parts = [part.strip() for part in line.split(",")]
        if len(parts) != 2:
            raise OutlineNotUsable(
                field, f"Line {n}: a corner is across and down with a comma between: 14 ft, 0."
            )
        pairs.append((_text(parts[0], field, n), _text(parts[1], field, n)))
    if len(pairs) < 3:
        raise OutlineNotUsable(field, "A room has three corners or more, a line for each.")
    return pairs


def _cut_outs(lines: str) -> list[tuple[Pair, ...]]:
    """A line for each: across and down of its near corner, then its width and depth."""
    rings: list[tuple[Pair, ...]] = []
    for n, line in enumerate(_lines(lines), start=1):
        parts = [part.strip() for part in line.split(",")]
        if len(parts) != 4 or n > MOST_CUT_OUTS:
            raise OutlineNotUsable(
                "cut_outs",
                f"Line {n}: across, down, width, depth: 3 ft, 11 ft, 1 ft, 1 ft.",
            )
        x, y, wide, deep = (_nm(_text(p, "cut_outs", n), "cut_outs") for p in parts)
        system = at.house().system
        low_x, low_y = exact_text(x, system), exact_text(y, system)
        high_x, high_y = exact_text(x + wide, system), exact_text(y + deep, system)
        rings.append(((low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y)))
    return rings


def _cut_line(ring: tuple[Pair, ...]) -> str:
    (x, y), (high_x, high_y), system = ring[0], ring[2], at.house().system
    wide, deep = _nm(high_x, "") - _nm(x, ""), _nm(high_y, "") - _nm(y, "")
    return f"{x}, {y}, {exact_text(wide, system)}, {exact_text(deep, system)}"


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _text(text: str, field: str, line: int = 0) -> str:
    """A length's text with its unit, so that it says the same for ever. Raises."""
    plain = text.strip()
    where = f"Line {line}: " if line else ""
    try:
        nm = parse_length(plain, _unit())
    except LengthNotUnderstood as err:
        raise OutlineNotUsable(field, f"{where}{err}") from err
    if not nm:
        return "0"
    return plain if _UNIT.search(plain) else f"{plain} {_unit()}"


def _nm(text: str, field: str) -> int:
    try:
        return parse_length(text, _unit())
    except LengthNotUnderstood as err:
        raise OutlineNotUsable(field, str(err)) from err


def _unit() -> str:
    return "m" if at.house().system == "metric" else "ft"
