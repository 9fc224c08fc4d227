"""Several set-ups in one survey: joined, closed, spread; and a tested level, judged."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.floors_closing import closing_of
from fieldlog.calc.floors_setups import join
from fieldlog.calc.judging import judge
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.uncertainty import ErrorPart, ToolError, variance
from fieldlog.store.files import load_library

LIBRARY = load_library()
ROWS, COLUMNS = 6, 5
OF = [[1] * COLUMNS] * 3 + [[2] * COLUMNS] * 3
BOTH = [{"set_up": 2, "at": [1, 1], "reads": "52"}, {"set_up": 2, "at": [3, 5], "reads": "52"}]


TEST = {"entry": "e", "day": "2026-11-02", "how": "two pegs", "tilt": "1/38400",
        "allowed": "1/19200"}  # fmt: skip


def rod(second: str = "52") -> list[list[str | None]]:
    """A flat floor read from two heights of the laser."""
    return [["48"] * COLUMNS] * 3 + [[second] * COLUMNS for _ in range(3)]


def judged(rows: list[list[str | None]], tool: str = "laser-rod", **levels: Any) -> Any:
    entered = {"spacing": "2 ft", "unit": "in", "kind": "rod", "rows": rows} | levels
    return judge(LIBRARY, "floor", ["plank-floor"], {"levels": entered}, tool)


def joined(again: list[dict[str, Any]] = BOTH, **more: Any) -> Any:
    return judged(rod(), set_ups={"of": OF, "again": again} | more)


def refused(**levels: Any) -> str:
    with pytest.raises(ReadingsRefused) as err:
        judged(**({"rows": rod()} | levels))
    return str(err.value)


def test_a_flat_floor_read_from_two_places_is_flat() -> None:
    grid = joined()["grids"]["levels"]
    assert {cell for row in grid["rows"] for cell in row} == {"0"}
    assert grid["set_ups"]["loops"] == 1
    assert grid["set_ups"]["misclosure"]["nm"] == "0"
    assert grid["says"] == ["The laser stood in 2 places, joined by row 1, 1 and row 3, 5. "
                            "They agree to the last digit."]  # fmt: skip


def test_heights_off_two_marks_are_joined_too() -> None:
    """Four above the first mark is where the second one is."""
    rows = [["1"] * COLUMNS] * 3 + [["-3"] * COLUMNS] * 3
    again = [one | {"reads": "-3"} for one in BOTH]
    grid = judged(rows, kind="heights", set_ups={"of": OF, "again": again})["grids"]["levels"]
    assert {cell for row in grid["rows"] for cell in row} == {"25400000"}


def test_a_mark_off_the_floor_joins_as_well_as_a_station() -> None:
    """A foresight of 60 before the laser moved, a backsight of 64 after it."""
    marks = [{"set_up": 1, "mark": "A", "reads": "60"}, {"set_up": 2, "mark": "A", "reads": "64"}]
    grid = joined(marks)["grids"]["levels"]
    assert {cell for row in grid["rows"] for cell in row} == {"0"}
    assert "Nothing shows whether that was misread" in grid["says"][0]


def off(by: str) -> list[dict[str, Any]]:
    return [BOTH[0], {"set_up": 2, "at": [3, 5], "reads": by}]


def test_a_loop_that_misses_is_spread_only_when_that_is_accepted() -> None:
    again = off("52 1/16")
    assert "Accept that it is spread" in refused(set_ups={"of": OF, "again": again})
    told = joined(again, accepted=True, allowed="0.02 ft")
    found = told["grids"]["levels"]["set_ups"]
    assert found["misclosure"]["text"] == "1/16 in"
    assert found["explained"]
    assert "They disagree by 1/16 in at row 3, 5, of " in told["notes"][0]
    # least squares takes the mean of both shared points: half of it on each side
    grid = told["grids"]["levels"]["rows"]
    assert int(grid[5][0]) - int(grid[0][1]) == 25_400_000 // 32


def test_more_than_reading_explains_is_said_and_more_than_allowed_refused() -> None:
    told = joined(off("52 1/8"), accepted=True, allowed="0.02 ft")
    assert "more than reading the rod 4 times explains" in told["notes"][1]
    entered = {"of": OF, "again": off("52 1/2"), "accepted": True, "allowed": "0.02 ft"}
    assert "more than is allowed" in refused(set_ups=entered)


@pytest.mark.parametrize(
    ("levels", "says"),
    [
        ({"set_ups": {"of": OF, "again": []}}, "Set-up 2 shares no point"),
        ({"set_ups": {"of": [[1]], "again": []}}, "for every station"),
        ({"set_ups": {"of": [[0] * COLUMNS] * ROWS}}, "counted 1, 2"),
        ({"set_ups": {"of": OF, "again": [{"set_up": 2, "at": [9, 1], "reads": "1"}]}}, "its row"),
        ({"set_ups": {"of": OF, "again": [{"set_up": 2, "at": [1, 1], "reads": "1/7"}]}}, "1/7"),
        ({"set_ups": {"of": OF, "again": [{"set_up": 1, "at": [1, 1], "reads": "48"}]}}, "anyway"),
        ({"set_ups": {"of": OF, "again": [{"set_up": 3, "mark": "A", "reads": "4"}]}}, "set-up 3"),
        ({"set_ups": {"of": OF, "why": 1}}, "Set-ups are"),
        ({"set_ups": {"of": OF, "again": [{"set_up": 2, "mark": " ", "reads": "4"}]}}, "a name"),
        ({"tested": [{"tilt": "0"}]}, "A test is"),
        ({"tested": [TEST | {"day": "x"}]}, "has a day"),
        ({"tested": [TEST | {"tilt": "1"}]}, "ratio"),
        ({"tested": [TEST, TEST]}, "last test of a kind"),
        ({"tested": TEST}, "a list"),
    ],
)  # fmt: skip
def test_what_can_not_be_joined_is_refused_in_a_sentence(levels: dict[str, Any], says: str) -> None:
    assert says in refused(**levels)


def u(out: Any, rule: str = "floor.hump-10ft") -> int:
    return int(next(r for r in out["rules"] if r["rule"] == rule)["u"]["nm"])


def test_joining_makes_a_gap_less_certain_and_every_point_shared_makes_it_better() -> None:
    one = [["48"] * COLUMNS for _ in range(ROWS)]
    more = [*BOTH, *({"set_up": 2, "at": [2, n], "reads": "52"} for n in range(1, 6))]
    assert u(judged(one)) < u(joined(more)) < u(joined()) < u(joined(BOTH[:1]))
    assert u(judged(rod(), "exact", set_ups={"of": OF, "again": BOTH})) == 0


def test_a_tested_line_of_sight_counts_and_a_leaning_plane_does_not() -> None:
    one: list[list[str | None]] = [["48"] * COLUMNS for _ in range(ROWS)]
    seen = judged(one, tested=[TEST])
    assert u(seen) > u(judged(one))
    assert seen["notes"] == [
        "The level was tested by two pegs on 2026-11-02: off by 1/32 in over 100 ft."
    ]
    worse = judged(one, tested=[TEST | {"tilt": "1/4800"}])
    assert u(worse) > u(seen)
    assert "more than it is allowed, 1/16 in over 100 ft" in worse["notes"][0]
    leans = judged(one, tested=[TEST | {"how": "turned"}])
    assert u(leans) == u(judged(one))
    assert "nothing to a gap" in leans["notes"][0]


floor = st.lists(st.integers(-9, 9), min_size=8, max_size=8)


@settings(max_examples=40, deadline=None)
@given(floor, st.lists(st.integers(-3, 3), min_size=6, max_size=6))
def test_heights_hang_on_readings_as_least_squares_says(z: list[int], errors: list[int]) -> None:
    """The weights of each plane give it back from the readings, and its variance: `spread`."""
    read = [{(0, n): 100 - z[n] for n in range(4)}, {(0, n): 300 - z[n] for n in range(2, 8)}]
    read[1] = {spot: r + e for (spot, r), e in zip(read[1].items(), errors, strict=True)}
    found = join(read)
    weights = found.hangs[1]
    assert found.planes[1] == sum(read[i][spot] * w for (i, spot), w in weights.items())
    keys = {("levels", i, spot[1]): w for (i, spot), w in weights.items()}
    unit = ToolError(Fraction(1), Fraction(0))
    assert variance(keys, lambda _key: "rod", {"rod": unit}, {}) == found.spread == 1


def test_a_loop_of_three_places_closes_by_all_of_its_readings() -> None:
    corner = {"A": 10, "B": 20}, {"B": 120, "C": 130}, {"C": 230, "A": 211}
    found = closing_of(corner)
    assert (found.loops, found.misclosure, found.readings) == (1, 1, 6)
    assert closing_of(corner[:2]).loops == 0
    assert not found.explained(())
    rod = ErrorPart("rod", Fraction(1), "rectangular", "each", "test")
    assert found.explained((rod,))
