"""A small history: one quantity's line over the looks, and the dashed line it is held against.

The air of a room with its dew point; the boards of a stack with the moisture that wood comes to.
Looks stand in their order, evenly apart; the last one is this one. Every text is the judgement's.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.svg import INK, PAD, PENCIL, RULE, SMALL, Sheet, text_box

MOST_LOOKS = 12
_TOP, _HEIGHT, _SIDE, _SIZE = 26.0, 130.0, 34.0, 14.0


@dataclass(frozen=True)
class _Line:
    """A quantity now and in earlier looks: its name, texts, and sizes in its base unit."""

    name: str
    texts: tuple[str, ...]
    sizes: tuple[float | None, ...]

    @property
    def known(self) -> list[float]:
        return [size for size in self.sizes if size is not None]


def draw_air(judged: Judged, width: float) -> str:
    """Surface temperature over the looks, with the dew point; "" where neither was measured."""
    return _draw(judged, width, "Air of the room", ("surface_temperature", "surface_then"),
                 ("dew_point", "dew_then"))  # fmt: skip


def draw_wood(judged: Judged, width: float) -> str:
    """The boards' mean over the looks, with what wood comes to; "" where neither was measured."""
    return _draw(judged, width, "Moisture of the boards", ("board_mean", "mean_then"),
                 ("target", "target_then"))  # fmt: skip


def _draw(
    judged: Judged, width: float, title: str, main: tuple[str, str], against: tuple[str, str]
) -> str:
    line, dashed = _line(judged, *main), _line(judged, *against)
    if not line.known and not dashed.known:
        return ""
    sheet = Sheet(width=width)
    scale = _Scale.of(line.known + dashed.known)
    sheet.line([(PAD, _TOP + _HEIGHT), (sheet.right, _TOP + _HEIGHT)], width=1.0, stroke=RULE)
    for one, dash in ((dashed, "7 5"), (line, "")):
        _plot(sheet, one, scale, dash)
    days = [*_days(judged, len(line.texts) - 1), "this look"]
    _axis(sheet, days)
    key = [_key("solid line, dots", line), _key("dashed line", dashed)]
    height = notes(sheet, _TOP + _HEIGHT + 34.0, key)
    return sheet.finish(height + PAD, title, _twin(line, dashed, days))


@dataclass(frozen=True)
class _Scale:
    """Heights of the sheet for sizes from `low` to `high`."""

    low: float
    high: float

    @classmethod
    def of(cls, sizes: list[float]) -> _Scale:
        room = max((max(sizes) - min(sizes)) * 0.15, 0.5)
        return cls(min(sizes) - room, max(sizes) + room)

    def y(self, size: float) -> float:
        return _TOP + _HEIGHT * (self.high - size) / (self.high - self.low)


def _x(sheet: Sheet, nth: int, count: int) -> float:
    if count == 1:
        return sheet.width / 2
    return PAD + _SIDE + (sheet.right - PAD - 2 * _SIDE) * nth / (count - 1)


def _plot(sheet: Sheet, line: _Line, scale: _Scale, dash: str) -> None:
    count = len(line.sizes)
    points = [(_x(sheet, n, count), scale.y(s)) for n, s in enumerate(line.sizes) if s is not None]
    if len(points) > 1:
        sheet.line(points, width=2.4 if not dash else 1.6, stroke=INK, dash=dash)
    for point in points:
        sheet.circle(point, 4.0 if not dash else 2.6, width=1.6, fill=INK if not dash else "#fff")
    for n in (count - 1, 0):
        size = line.sizes[n]
        if size is not None:
            _value(sheet, _x(sheet, n, count), scale.y(size), line.texts[n], below=bool(dash))


def _value(sheet: Sheet, x: float, y: float, words: str, *, below: bool) -> None:
    """Write a value by its point, where it is clear of other texts; the twin has all of them."""
    for at in (y + 20.0, y - 9.0) if below else (y - 9.0, y + 20.0):
        if sheet.free(text_box(x, at, words, _SIZE, anchor="middle")):
            sheet.text(x, at, words, _SIZE, anchor="middle", halo=True)
            return


def _axis(sheet: Sheet, days: list[str]) -> None:
    count = len(days)
    ends = [(count - 1, "end" if count > 1 else "middle")] + ([(0, "start")] if count > 1 else [])
    for n, anchor in ends:
        x = {"start": PAD, "end": sheet.right}.get(anchor, sheet.width / 2)
        sheet.text(x, _TOP + _HEIGHT + 18.0, days[n], SMALL, anchor=anchor, fill=PENCIL)


def _line(judged: Judged, now: str, then: str) -> _Line:
    both = [*_values(judged, then), *(_values(judged, now) or [("", None)])][-MOST_LOOKS:]
    return _Line(judged.label(now), tuple(t for t, _ in both), tuple(s for _, s in both))


def _values(judged: Judged, name: str) -> list[tuple[str, float | None]]:
    quantity = judged.raw["quantities"].get(name, {"values": []})
    return [
        (str(v["text"]).removeprefix("about "), float(Fraction(v["value"])))
        if v.get("value") is not None else ("", None)
        for v in quantity["values"]
    ]  # fmt: skip


def _days(judged: Judged, count: int) -> list[str]:
    days = [_day(text) for text, _ in _values(judged, "day_then")]
    return ([""] * count + days)[len(days) :][-count:] if count else []


def _day(text: str) -> str:
    """ "Fri Nov 20", as pages say it; text that is no ISO date comes back as it is."""
    try:
        on = date.fromisoformat(text)
    except ValueError:
        return text
    return f"{on:%a %b} {on.day}"


def _key(how: str, line: _Line) -> Label:
    return (Piece(f"{line.name}: {how}", fill=PENCIL),)


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _twin(line: _Line, dashed: _Line, days: list[str]) -> list[str]:
    told = [f"{line.name}, with {dashed.name.lower()}, over {len(days)} looks."]
    for n, day in enumerate(days):
        one, other = line.texts[n] or "not measured", dashed.texts[n] or "not measured"
        told.append(f"{_upper(day or 'earlier')}: {one}, {dashed.name.lower()} {other}.")
    return told
