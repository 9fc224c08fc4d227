"""The sheets of the finish stage: what they derive, and bad input that never becomes a pass."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

import pytest

from fieldlog.calc.finished import reopened
from fieldlog.calc.judging import judge
from fieldlog.calc.layers import ToCome
from fieldlog.calc.lengths import parse_length
from fieldlog.calc.library import Library
from fieldlog.calc.looks import Earlier, Look, earlier_of
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.values import AWAY, GAP, Many, Number, exact
from fieldlog.store.files import load_library

BOOKS = {
    "air": ["paint-conditions"], "wood": ["wood-floors"], "slab": ["slab-moisture"],
    "tile": ["tile-ansi"], "wall": ["home-tolerances", "gypsum-finish"],
}  # fmt: skip
AIR = {
    "air_temperature": "70 F", "humidity": "50", "surface_temperature": "66 F", "work": "paint",
}  # fmt: skip
TRIM = {
    "casing": ["3 1/2"] * 4, "reveal": ["3/16"] * 4, "miter_gap": ["0", "0"],
    "base_gap": ["0", "0"],
}  # fmt: skip
FINISH = (
    "door", "pocket-door", "cased-opening", "tile", "threshold", "wall", "air", "wood", "slab",
    "sunken-floor",
)  # fmt: skip


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library()


def judged(library: Library, sheet: str, readings: dict[str, Any], **more: Any) -> dict[str, Any]:
    books = BOOKS.get(sheet, ["our-standard"])
    return judge(library, sheet, books, readings, more.pop("tool", "tape"), **more)


def text(out: dict[str, Any], name: str) -> str:
    return str(out["quantities"][name]["values"][0]["text"])


def verdict(out: dict[str, Any], rule: str) -> str:
    return str(next(r["verdict"] for r in out["rules"] if r["rule"] == rule))


@pytest.mark.parametrize("sheet", FINISH)
def test_nothing_entered_is_never_a_pass(library: Library, sheet: str) -> None:
    assert judged(library, sheet, {})["verdict"] in ("not_measured", "fail")


@pytest.mark.parametrize("sheet", FINISH)
def test_every_sheet_says_how_to_measure_and_what_it_does_not_decide(
    library: Library, sheet: str
) -> None:
    found = library.sheet(sheet)
    assert len(found.caution) > 40
    assert all(f.how.strip() for f in found.fields)
    assert {rule.rule.sheet for book in library.bound.values() for rule in book} >= {sheet}


NONSENSE = [
    ("air", "humidity", "130 %", "outside what this can be"),
    ("air", "humidity", "0", "outside what this can be"),
    ("air", "humidity", "-5", "outside what this can be"),
    ("air", "air_temperature", "70 C", "outside what this can be"),
    ("air", "surface_temperature", "-300 F", "outside what this can be"),
    ("air", "air_temperature", "45 %", "type it as in 70 F"),
    ("wood", "board", ["900"], "outside what this can be"),
    ("slab", "closed_for", "-48 h", "less than nothing"),
    ("slab", "closed_for", "48", "no unit"),
    ("slab", "ph", ["15"], "outside what this can be"),
    ("slab", "gain", ["-3 g"], "less than nothing"),
    ("wall", "finish_level", "6", "outside what this can be"),
    ("wall", "finish_level", "3.5", "no whole number"),
    ("tile", "offset", "120", "outside what this can be"),
    ("trim", "coat_one_on", "2026-02-30", "no date"),
]


@pytest.mark.parametrize(("sheet", "field", "typed", "says"), NONSENSE)
def test_physical_nonsense_is_refused_at_its_field(
    library: Library, sheet: str, field: str, typed: Any, says: str
) -> None:
    with pytest.raises(ReadingsRefused) as refused:
        judged(library, sheet, {field: typed})
    (error,) = refused.value.errors
    assert error.field == field
    assert says in error.message


def test_a_bare_temperature_is_asked_about(library: Library) -> None:
    with pytest.raises(ReadingsRefused) as refused:
        judged(library, "air", AIR | {"air_temperature": "21"})
    assert refused.value.errors[0].suggestions == ("21 F", "21 C")


@pytest.mark.parametrize(
    ("sheet", "readings", "says"),
    [
        ("cased-opening", {"across": ["0", "8", "16"], "up": ["0", "0", "0"]}, "on one line"),
        ("cased-opening", {"across": ["0", "1", "2", "3"], "up": ["0", "1", "2", "3"]}, "one line"),
        ("tile", {"tile_length": "12", "tile_width": "24"}, "more than the length"),
        ("tile", {"tile_length": "2", "tile_width": "1/2", "joint": ["1"]}, "is no joint"),
        ("slab", {"thickness": "4", "hole_depth": ["6"]}, "6 in goes through a slab of 4 in"),
        ("wall", {"bow": ["12"], "bow_over": "12", "plumb_off": ["0"]}, ""),
        ("trim", {"coat_one_on": "3/3/2026", "coat_two_on": "3/2/2026"}, "before coat one"),
        ("trim", {"primer_on": "2026-03-04", "coat_one_on": "2026-03-03"}, "before the primer"),
    ],
)
def test_what_cannot_be_is_said(
    library: Library, sheet: str, readings: dict[str, Any], says: str
) -> None:
    if not says:
        judged(library, sheet, readings)
        return
    with pytest.raises(ReadingsRefused, match=says):
        judged(library, sheet, readings)


def test_trim_without_the_new_readings_passes_as_before(library: Library) -> None:
    out = judge(library, "trim", ["our-standard", "paint-conditions"], TRIM, "steel-rule")
    assert out["verdict"] == "pass"
    assert out["questions"] == []


def test_a_narrow_leg_across_the_room_is_found(library: Library) -> None:
    out = judged(library, "trim", TRIM | {"casing_other": ["3 1/2", "2 3/8"]})
    assert text(out, "casing_room_spread") == "1 1/8 in"
    assert verdict(out, "trim.casing-room") == "fail"


def test_paint_without_its_primer_fails_and_with_it_passes(library: Library) -> None:
    bare = TRIM | {"coat_one_on": "2026-03-04"}
    books = ["paint-conditions"]
    assert judge(library, "trim", books, bare, "tape")["verdict"] == "fail"
    primed = bare | {"primer_on": "3/3/2026"}
    assert judge(library, "trim", books, primed, "tape")["verdict"] == "pass"


def test_the_dew_points_doubt_comes_from_both_tools(library: Library) -> None:
    out = judged(library, "air", AIR | {"surface_temperature": "57 F"})
    assert text(out, "dew_point") == "about 50.5 F"
    assert verdict(out, "air.paint-dew") == "too_close"
    exact_tools = judged(library, "air", AIR | {"surface_temperature": "57 F"}, tool="exact")
    assert verdict(exact_tools, "air.paint-dew") == "pass"


def test_a_pour_has_other_limits_than_paint(library: Library) -> None:
    out = judged(library, "air", AIR | {"humidity": "90", "work": "pour"})
    assert verdict(out, "air.paint-humidity") == "does_not_apply"
    assert verdict(out, "air.pour-dew") == "fail"
    neither = judged(library, "air", AIR | {"work": "neither"})
    assert {r["verdict"] for r in neither["rules"]} == {"does_not_apply"}


def test_the_arch_departs_where_it_was_moved(library: Library) -> None:
    out = judged(
        library, "cased-opening",
        {"shape": "arched", "across": ["0", "5", "11", "18", "25", "31", "36"],
         "up": ["0", "2 31/32", "5 3/16", "6 3/4", "5 3/16", "2 31/32", "0"]},
        tool="exact",
    )  # fmt: skip
    departures = [Fraction(v["nm"]) for v in out["quantities"]["departure"]["values"]]
    assert max(departures, key=abs) == departures[3] > 0
    assert verdict(out, "opening.departure") == "fail"


def test_three_points_tell_no_departure(library: Library) -> None:
    said = {"shape": "arched", "across": ["0", "18", "36"], "up": ["0", "6", "0"]}
    assert verdict(judged(library, "cased-opening", said), "opening.departure") == "not_measured"
    assert text(judged(library, "cased-opening", said), "radius") == "30 in"


def test_a_threshold_foretells_what_no_floor_shows_yet(library: Library) -> None:
    said = {"step": ["0", "0", "0"], "here_to_come": "0", "there_to_come": "3/4", "beveled": "no"}
    out = judged(library, "threshold", said)
    assert text(out, "step_size") == "3/4 in"
    assert "1 1/2 in here" in out["findings"][0]["fix"]


def to_come(place: str, floor: str) -> dict[str, ToCome]:
    return {place: ToCome(place, place.capitalize(), parse_length(floor, "in"), 0)}


def test_a_threshold_reads_the_layers_of_both_rooms(library: Library) -> None:
    said = {"step": ["1/8", "1/8", "1/8"], "room_there": "Bath", "beveled": "no"}
    blind = judged(library, "threshold", said)
    assert verdict(blind, "threshold.step") == "not_measured"
    assert "How much still comes there?" in blind["questions"]
    rooms = to_come("here", "1/2") | to_come("there", "1 1/4")
    out = judged(library, "threshold", said, finishes=rooms, tool="exact")
    assert (text(out, "step_today"), text(out, "step_size")) == ("1/8 in", "7/8 in")
    assert verdict(out, "threshold.step") == "fail"
    piece = next(f for f in out["findings"] if f["rule"] == "threshold.piece")
    assert "a step of 7/8 in" in piece["head"] + piece["body"]
    assert "1 3/4 in or more" in piece["fix"]
    assert [one["place"] for one in out["layers"]] == ["here", "there"]
    level = judged(
        library, "threshold", said | {"here_to_come": "1 3/8"}, finishes=rooms, tool="exact"
    )
    assert text(level, "step_size") == "0 in"
    assert "Typed as still to come on this side: 1 3/8 in" in level["notes"][0]
    assert verdict(level, "threshold.piece") == "does_not_apply"


def test_a_door_is_undercut_over_the_floor_still_to_come(library: Library) -> None:
    hung = {"gap_bottom": ["7/8", "7/8"]}
    today = judged(library, "door", hung, tool="exact")
    assert verdict(today, "door.undercut-most") == "fail"
    over = judged(library, "door", hung, finishes=to_come("here", "3/4"), tool="exact")
    assert text(over, "undercut") == "1/8 in"
    assert verdict(over, "door.undercut-least") == "fail"
    typed = judged(
        library, "door", hung | {"floor_to_come": "3/8"}, finishes=to_come("here", "3/4"),
        tool="exact",
    )  # fmt: skip
    assert text(typed, "undercut") == "1/2 in"
    assert "The room's layers say 3/4 in, 3/8 in apart" in typed["notes"][0]
    known = {"here": ToCome("here", "Hall", parse_length("1", "in"), 0)}
    said = reopened(over, library.sheet("door"), known, library.words, "us")
    assert said
    assert "1 in" in said[0]


def test_a_hole_waits_until_the_tubes_are_found(library: Library) -> None:
    out = judged(library, "slab", {"tubes": "yes", "tubes_located": "no"})
    assert out["findings"][0]["rule"] == "slab.tubes"
    assert out["findings"][0]["kind"] == "safety"


# --- Earlier looks


def looks(*rows: tuple[str, str, dict[str, list[str]]]) -> list[Look]:
    """Looks by subject and day, each with values of quantities in base units."""
    return [
        Look(subject, day, seq, json.dumps({"quantities": {
            name: {"values": [{"nm": v, "tool": "steel-rule"} if name.startswith("groove")
                              else {"value": v} for v in values]}
            for name, values in had.items()
        }}))
        for seq, (subject, day, had) in enumerate(rows)
    ]  # fmt: skip


def test_wood_is_acclimated_by_its_trend_and_not_by_a_number(library: Library) -> None:
    said = {"board": ["8.2", "8.4"], "board_width": "5", "air_temperature": "70 F",
            "humidity": "45"}  # fmt: skip
    first = judged(library, "wood", said, tool="exact")
    assert verdict(first, "wood.drift") == "not_measured"
    here = looks(
        ("a", "2026-03-02", {"board_mean": ["11"]}), ("a", "2026-03-05", {"board_mean": ["9.5"]})
    )
    moving = judged(library, "wood", said, tool="exact", earlier=Earlier("2026-03-08", here))
    assert verdict(moving, "wood.drift") == "fail"
    assert text(moving, "drift") == "-0.45 %"
    assert "-0.45 % a day over 3 looks" in moving["findings"][0]["head"]
    still = looks(
        ("a", "2026-03-02", {"board_mean": ["8.4"]}), ("a", "2026-03-05", {"board_mean": ["8.3"]})
    )
    settled = judged(library, "wood", said, tool="exact", earlier=Earlier("2026-03-08", still))
    assert verdict(settled, "wood.drift") == "pass"
    assert verdict(settled, "wood.off-target") == "pass"


def test_two_looks_on_one_day_are_no_trend(library: Library) -> None:
    here = looks(("a", "2026-03-08", {"board_mean": ["9"]}))
    out = judged(library, "wood", {"board": ["9"]}, earlier=Earlier("2026-03-08", here))
    assert verdict(out, "wood.drift") == "not_measured"


def test_grooves_are_compared_with_every_other_door_of_the_house(library: Library) -> None:
    quarter, wide = "6350000", "7540625"
    others = looks(("b", "2026-03-02", {"groove_width": [quarter, wide], "groove_depth": []}))
    said = {"groove_width": ["1/4"] * 3, "groove_depth": ["1/2"] * 3}
    alone = judged(library, "pocket-door", said)
    assert verdict(alone, "pocket.groove-width") == "pass"
    among = judged(library, "pocket-door", said, earlier=Earlier("", (), others))
    assert text(among, "groove_width_spread") == "3/64 in"
    assert among["quantities"]["other_groove_width"]["values"][0]["text"] == "1/4 in"
    by_exact = judged(library, "pocket-door", said, tool="exact", earlier=Earlier("", (), others))
    u = next(r["u"] for r in by_exact["rules"] if r["rule"] == "pocket.groove-width")
    assert Fraction(u["nm"]) > 0, "the other door's rule still has its error"


def test_a_tool_whose_error_is_more_than_the_limit_is_said_to_be_too_coarse(
    library: Library,
) -> None:
    """One board 1 % drier after three days: u is 0.136 % a day against a limit of 0.1 %."""
    first = judged(library, "wood", {"board": ["9 %"]})
    here = [Look("a", "2026-03-05", 1, json.dumps(first))]
    later = judged(library, "wood", {"board": ["8 %"]}, earlier=Earlier("2026-03-08", here))
    (drift,) = (f for f in later["findings"] if f["rule"] == "wood.drift")
    assert (drift["mark"], drift["plain"]) == ("too_close", "fail")
    tool = "Pin moisture meter, good to 1 % with its species and temperature set."
    assert drift["settle"].endswith(f"Too coarse for it: {tool}")


def test_a_mean_of_an_earlier_look_brings_its_doubt_and_its_meter(library: Library) -> None:
    said = {"board": ["9 %", "9.4 %"], "board_width": "5", "air_temperature": "70 F",
            "humidity": "45"}  # fmt: skip
    first = judged(library, "wood", said)
    mean = first["quantities"]["board_mean"]["values"][0]
    assert mean["from"] == [{"tool": "pin-meter", "sensitivity": "1/2", "times": 2}]
    here = [Look("a", "2026-03-05", 1, json.dumps(first))]
    later = judged(library, "wood", said, earlier=Earlier("2026-03-08", here))
    drift = next(r for r in later["rules"] if r["rule"] == "wood.drift")
    # JCGM 100 eq. (10): two means of two, each reading 1/2 % rectangular, over three days; the
    # meter's species correction is the same on both days and cancels
    u_squared = (Fraction(1, 4) / 3) * (Fraction(1, 2) + Fraction(1, 2)) / 9
    assert abs(Fraction(drift["u"]["value"]) - Fraction(u_squared**0.5)) < Fraction(1, 10**5)
    of_old = json.loads(here[0].judgement)
    del of_old["quantities"]["board_mean"]["values"][0]["from"]
    kept = [Look("a", "2026-03-05", 1, json.dumps(of_old))]
    as_it_stands = judged(library, "wood", said, earlier=Earlier("2026-03-08", kept))
    assert text(as_it_stands, "mean_then") == "9.2 %"


def test_the_last_look_at_each_other_place_counts() -> None:
    found = earlier_of(
        looks(("b", "2026-03-04", {}), ("a", "2026-03-05", {}), ("b", "2026-03-02", {}),
              ("a", "2026-03-01", {}), ("c", "2026-03-03", {})),
        "a", "2026-03-06",
    )  # fmt: skip
    assert [look.day for look in found.here] == ["2026-03-01", "2026-03-05"]
    assert [(look.subject, look.day) for look in found.house] == [
        ("b", "2026-03-04"), ("c", "2026-03-03"),
    ]  # fmt: skip


class TestFunctions:
    """The named functions by themselves."""

    def test_air_that_is_none_has_no_dew_point(self) -> None:
        from fieldlog.calc.fitted import dew_point, wood_moisture

        for humidity in (exact(0), exact(101), GAP):
            assert dew_point(exact(20), humidity) == GAP
            assert wood_moisture(exact(20), humidity) == GAP
        assert dew_point(AWAY, exact(50)) == AWAY
        assert dew_point(exact(20), exact(100)) == exact(20)

    def test_a_trend_is_a_least_squares_line_with_its_doubt(self) -> None:
        from fieldlog.calc.fitted import daily_change

        values = Many(tuple(Number(Fraction(v), {("v", n, -1): Fraction(1)})
                            for n, v in enumerate((1, 3, 5))))  # fmt: skip
        days = Many(tuple(exact(86_400 * d) for d in (0, 1, 2)))
        found = daily_change(values, days)
        assert isinstance(found, Number)
        assert found.value == 2
        assert found.sens == {("v", 0, -1): Fraction(-1, 2), ("v", 2, -1): Fraction(1, 2)}
        assert daily_change(Many((exact(1), GAP)), Many((exact(0), exact(86_400)))) == GAP
