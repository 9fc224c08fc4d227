"""Earlier looks: what a sheet reads of the checks that were judged before, by its `[[earlier]]`.

`here` is every earlier look at the same place, oldest first: the air of a room, a stack of
boards. `house` is the last look at every other place of the same sheet: the grooves of all other
doors. `today` is the day of this look. A look that did not measure the quantity is left out.
A field's reading keeps its tool, and a derived quantity what it hung on (`hung_on`), so the doubt
of both counts, and what a tool has wrong every time cancels in a change.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import msgspec

from fieldlog.calc.dates import seconds_of
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.readings import Readings
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.values import AWAY, GAP, Element, Many, Number, ReadingKey, exact

BEYOND = 1000
"""Earlier readings count their places from here, clear of every list's own."""

_decode = msgspec.json.Decoder(dict[str, Any]).decode


@dataclass(frozen=True, slots=True)
class Look:
    """A check that was judged: its place in the journal, day as entered, judgement as stored."""

    subject: str
    day: str
    seq: int
    judgement: str


LooksOf = Callable[[str], Iterable[Look]]
"""All looks of a sheet so far that are not struck through."""


def no_looks(_sheet: str) -> Iterable[Look]:
    """No earlier looks."""
    return ()


@dataclass(frozen=True, slots=True)
class Earlier:
    """What is known when a check is judged: its day, and looks `here` and in the `house`."""

    today: str = ""
    here: Sequence[Look] = ()
    house: Sequence[Look] = ()


NOTHING_EARLIER = Earlier()


def earlier_of(looks: Iterable[Look], subject: str, day: str) -> Earlier:
    """The looks of one sheet, as a check of `subject` reads them."""
    ordered = sorted(looks, key=lambda look: (look.day, look.seq))
    last = {look.subject: look for look in ordered if look.subject != subject}
    here = [look for look in ordered if look.subject == subject]
    return Earlier(day, here, [last[s] for s in sorted(last)])


def add_looks(
    sheet: Sheet, readings: Readings, earlier: Earlier, instruments: Mapping[str, Instrument]
) -> None:
    """Put the sheet's earlier quantities, and `today`, among the readings."""
    if not sheet.earlier:
        return
    readings.values["today"] = _day(earlier.today, GAP)
    looked = {w: [(k, _decode(k.judgement)) for k in getattr(earlier, w)]
              for w in {e.where for e in sheet.earlier}}  # fmt: skip
    for one in sheet.earlier:
        items: list[Element] = []
        for look, judged in looked[one.where]:
            if one.of == "day":
                items.append(_day(look.day, AWAY))
                continue
            values = judged["quantities"].get(one.of, {"values": [{}]})["values"]
            items += [_number(v, one.of, readings.tools, instruments) for v in values]
        readings.values[one.name] = Many(tuple(items))


def hung_on(number: Number, tools: Mapping[ReadingKey, str]) -> list[dict[str, Any]]:
    """What a derived value hangs on, to be kept: its sensitivity to `times` readings of a tool."""
    counts = Counter((tools[key], c) for key, c in number.sens.items() if key in tools)
    return [
        {"tool": tool, "sensitivity": str(c), "times": times}
        for (tool, c), times in sorted(counts.items())
    ]


def _day(text: str, otherwise: Element) -> Element:
    found = seconds_of(text)
    return otherwise if found is None else exact(found)


def _number(
    value: Mapping[str, Any], of: str, tools: dict[ReadingKey, str], known: Mapping[str, Instrument]
) -> Element:
    """A kept value, with a reading of its own for each that it hung on; those go into `tools`."""
    text = value.get("nm") or value.get("value")
    if text is None:
        return AWAY
    itself = {"tool": value.get("tool", ""), "sensitivity": "1", "times": 1}
    sens: dict[ReadingKey, Fraction] = {}
    for one in value.get("from", [itself]):
        for _ in range(one["times"] if one["tool"] in known else 0):
            key = (of, BEYOND + len(tools), -1)
            tools[key], sens[key] = one["tool"], Fraction(one["sensitivity"])
    return Number(Fraction(text), sens)
