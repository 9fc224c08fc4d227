"""The history of a room's air and of a stack of boards: lines, ends, and the text twin."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from drawn import few, fits, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.units import say_measure
from fieldlog.drawings import draw

Size = Fraction | None
sizes = st.one_of(st.none(), st.integers(-30, 60).map(Fraction))
looks = st.lists(st.tuples(sizes, sizes), min_size=1, max_size=30)


def history(rows: list[tuple[Size, Size]], sheet: str = "air") -> dict[str, Any]:
    """A judgement of `rows` looks, the last one this one: main quantity, dashed quantity."""
    names = {
        "air": ("surface_temperature", "surface_then", "dew_point", "dew_then"),
        "wood": ("board_mean", "mean_then", "target", "target_then"),
    }[sheet]
    kind = {"air": "temperature", "wood": "percent"}[sheet]

    def quantity(label: str, values: list[Size]) -> dict[str, Any]:
        told = [{"text": "" if v is None else say_measure(kind, v), "nm": None,
                 **({} if v is None else {"value": str(v)})} for v in values]  # fmt: skip
        return {"label": label, "kind": kind, "many": True, "derived": True, "values": told}

    main, dashed = [r[0] for r in rows], [r[1] for r in rows]
    days = [
        {"text": f"2026-03-{n + 1:02d}", "nm": None, "value": str(n)} for n in range(len(rows) - 1)
    ]
    return {
        "system": "us", "rules": [],
        "sheet": {"id": sheet, "drawing": {"air": "air-history", "wood": "wood-trend"}[sheet]},
        "quantities": {
            names[0]: quantity("Surface temperature", main[-1:]),
            names[1]: quantity("Earlier", main[:-1]),
            names[2]: quantity("Dew point", dashed[-1:]),
            names[3]: quantity("Earlier", dashed[:-1]),
            "day_then": {"label": "Days", "kind": "date", "many": True, "derived": True,
                         "values": days},
        },
    }  # fmt: skip


@few
@given(looks, st.booleans(), st.sampled_from(["air", "wood"]))
def test_texts_do_not_collide(rows: list[tuple[Size, Size]], narrow: bool, sheet: str) -> None:
    svg = draw(history(rows, sheet), narrow)
    if svg:
        fits(svg)
        assert "style" not in svg
        assert "class=" not in svg
    else:
        assert all(size is None for row in rows for size in row)


def test_the_dew_point_is_dashed_and_the_ends_have_their_values() -> None:
    svg = draw(history([(Fraction(20), Fraction(10)), (Fraction(15), Fraction(12))]))
    assert svg.count("stroke-dasharray") == 1
    assert {"68 F", "59 F", "50 F", "53.6 F", "this look", "Sun Mar 1"} <= set(words(svg))


def test_the_twin_says_every_look() -> None:
    svg = draw(history([(Fraction(20), None), (Fraction(15), Fraction(12))]))
    assert "Sun Mar 1: 68 F, dew point not measured." in svg
    assert "This look: 59 F, dew point 53.6 F." in svg


def test_nothing_measured_is_nothing_drawn() -> None:
    assert draw(history([(None, None)])) == ""


def test_it_is_drawn_the_same_every_time() -> None:
    rows = [(Fraction(n), Fraction(n, 2)) for n in range(1, 20)]
    assert draw(history(rows)) == draw(history(rows))
