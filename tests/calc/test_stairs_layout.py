"""A stair laid out: counts that the books allow, what is cut, and why nothing fits."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.calculations import InputsRefused, run
from fieldlog.calc.calculations.stairs_counts import Layout, Wanted, tried
from fieldlog.calc.calculations.stairs_flight import Court
from fieldlog.store.calc_files import load_reference

IN = 25_400_000
REFERENCE = load_reference()
COURT = Court(REFERENCE.library, ("irc-2021",), "exact", "us")


def laid_out(system: str = "us", **inputs: str) -> dict[str, Any]:
    raw = {key.replace("_", "-"): value for key, value in inputs.items()}
    return run("stair-layout", raw, system, REFERENCE)


def inches(value: dict[str, Any]) -> Fraction:
    return Fraction(value["exact"].removesuffix(" in"))


def counts(out: dict[str, Any]) -> list[int]:
    return [int(row["count"]["text"]) for row in out["answer"]["layouts"]["rows"]]


class TestCounts:
    @settings(max_examples=4, deadline=None)
    @given(st.integers(2 * 16 * 12, 9 * 16 * 12))
    def test_the_first_count_is_the_least_that_the_riser_limit_allows(
        self, sixteenths: int
    ) -> None:
        """Published limit 7 3/4 in (IRC R311.7.5.1): the least count is the rise over it, up."""
        rise = sixteenths * IN // 16
        fitting = [one.count for one in tried(Wanted(rise, IN // 16), COURT) if one.layout]
        assert fitting[0] == max(2, math.ceil(Fraction(sixteenths, 16) / Fraction(31, 4)))
        assert fitting == list(range(fitting[0], fitting[-1] + 1))

    def test_a_rise_that_divides_to_exactly_the_limit_passes(self) -> None:
        assert counts(laid_out(rise="93"))[0] == 12  # 12 x 7 3/4 in
        assert counts(laid_out(rise="93 1/64"))[0] == 13

    def test_an_excess_of_a_nanometer_is_not_rounded_away(self) -> None:
        exactly = 12 * 31 * IN // 4
        for rise, first in ((exactly, 12), (exactly + 1, 13)):
            fitting = [one.count for one in tried(Wanted(rise, IN // 16), COURT) if one.layout]
            assert fitting[0] == first

    def test_the_suggestion_is_nearest_to_the_rules_of_thumb(self) -> None:
        answer = laid_out(rise="9' 1 1/2\"")["answer"]
        assert answer["count"]["text"] == "15"
        rows = laid_out(rise="9' 1 1/2\"")["answer"]["layouts"]["rows"]
        off = {
            int(r["count"]["text"]): abs(inches(r["two_r_plus_g"]) - 25)
            + abs(inches(r["riser"]) + inches(r["going"]) - Fraction(35, 2))
            for r in rows
        }
        assert min(off, key=lambda n: off[n]) == 15

    def test_a_wished_going_is_kept(self) -> None:
        rows = laid_out(rise="94", going="10 1/2")["answer"]["layouts"]["rows"]
        assert {row["going"]["text"] for row in rows} == {"10 1/2 in"}

    def test_the_space_holds_the_run(self) -> None:
        out = laid_out(rise="94", space="10 ft")
        rows = out["answer"]["layouts"]["rows"]
        assert [row["count"]["text"] for row in rows] == ["13"]
        assert rows[0]["total_run"]["text"] == "10 ft"
        assert any("13 treads" in row["why"]["text"] for row in out["answer"]["rejected"]["rows"])


class TestNumbers:
    def test_of_one_step(self) -> None:
        answer = laid_out(rise="94", going="10 1/2")["answer"]
        riser = Fraction(94, 13)
        assert inches(answer["riser"]) == riser
        assert inches(answer["two_r_plus_g"]) == 2 * riser + Fraction(21, 2)
        assert float(answer["pitch"]["exact"].split()[0]) == pytest.approx(
            math.degrees(math.atan2(94 / 13, 10.5)), abs=1e-9
        )
        length = float(answer["stringer_length"]["exact"].split()[0])
        assert length == pytest.approx(math.hypot(94, 126), abs=1e-9)

    @pytest.mark.parametrize(
        ("lower", "upper", "tread"), [("3/4", "3/4", "1 1/8"), ("1 1/4", "", "3"), ("", "2", "1")]
    )
    def test_the_cuts_stand_between_the_rough_floors(
        self, lower: str, upper: str, tread: str
    ) -> None:
        """First cut, the even ones and the last one add up to the rise between rough floors."""
        out = laid_out(
            rise="94", going="10 1/2", lower_finish=lower, upper_finish=upper,
            tread_thickness=tread,
        )["answer"]  # fmt: skip
        riser, first, last = (inches(out[k]) for k in ("riser", "first_cut", "last_cut"))
        assert first + 11 * riser + last == inches(out["rough_rise"])
        assert first == riser - inches(out["drop"])
        # the finished first riser is the unit rise again
        below, above = (sum(map(Fraction, text.split()), Fraction(0)) for text in (lower, tread))
        assert first + above - below == riser

    def test_story_pole_marks_are_a_sixteenth_true(self) -> None:
        marks = laid_out(rise="94", going="10 1/2")["answer"]["story_pole"]["values"]
        for n, mark in enumerate(marks, 1):
            assert abs(Fraction(int(mark["nm"]), IN) - Fraction(94 * n, 13)) <= Fraction(1, 32)
        assert marks[-1]["text"] == "94 in"

    def test_metric(self) -> None:
        answer = laid_out("metric", rise="2600", going="260")["answer"]
        assert answer["count"]["text"] == "14"
        assert answer["riser"]["text"] == "about 186 mm"
        assert answer["riser"]["exact"] == "1300/7 mm"
        assert all(int(mark["nm"]) % 10**6 == 0 for mark in answer["story_pole"]["values"])

    def test_an_end_riser_that_would_be_gone_is_refused(self) -> None:
        with pytest.raises(InputsRefused, match="gone"):
            laid_out(rise="94", going="10 1/2", upper_finish="9", tread_thickness="1")


class TestHeadroom:
    def test_at_the_edge_of_the_opening(self) -> None:
        """Opening 135 in, 94 in over 13 at 10 1/2 in: 135 R / G less the floor."""
        answer = laid_out(rise="94", going="10 1/2", opening="135", floor="12")["answer"]
        riser = inches(answer["riser"])
        assert inches(answer["under_edge"]) == 135 * riser / Fraction(21, 2)
        assert inches(answer["headroom"]) == inches(answer["under_edge"]) - 12

    def test_nosings_take_from_it(self) -> None:
        plain = laid_out(rise="94", going="10 1/2", opening="135", floor="12")["answer"]
        nosed = laid_out(rise="94", going="10 1/2", opening="135", floor="12", nosing="1")
        riser = inches(plain["riser"])
        less = inches(plain["headroom"]) - inches(nosed["answer"]["headroom"])
        assert less == riser / Fraction(21, 2)

    def test_past_the_foot_of_the_flight_it_is_the_ceiling(self) -> None:
        one = Layout(Wanted(94 * IN, IN // 16, opening=300 * IN, floor=12 * IN), 13, 10 * IN)
        assert one.headroom == 82 * IN

    def test_one_that_is_exactly_the_limit_passes_and_a_hair_less_fails(self) -> None:
        """6 ft 8 in (IRC R311.7.2): R 7 1/2 in over G 10 in, floor 10 in, opening 120 in."""
        for opening, fits in (("120", True), ("119.999", False)):
            out = laid_out(rise="90", going="10", opening=opening, floor="10")
            rows = out["answer"].get("layouts", {"rows": []})["rows"]
            assert any(row["count"]["text"] == "12" for row in rows) == fits

    def test_without_the_floors_thickness_it_is_asked_for(self) -> None:
        out = laid_out(rise="94", opening="12 ft")
        assert any("thickness" in note for note in out["notes"])
        with pytest.raises(InputsRefused, match="opening"):
            laid_out(rise="94", floor="12")


class TestNothingFits:
    def test_no_space(self) -> None:
        out = laid_out(rise="94", space="9 ft")
        assert "No count" in out["answer"]["says"]["text"]
        assert "The least run is 120 in, with 13 risers." in out["steps"]
        assert any("13 risers" in step and "needs 10 in or more" in step for step in out["steps"])

    def test_the_least_run_under_a_limit_of_pitch(self) -> None:
        """42 degrees (Approved Document K): 12 risers of 216.7 mm need a going of 241 mm, 13 of
        200 mm one of 223 mm; 14 and more need the 220 mm that is the least.
        """
        out = laid_out("metric", rise="2600", space="2400", books="adk-2013")
        assert "The least run is 2651 mm, with 12 risers." in out["steps"]

    def test_a_shorter_tread_where_the_headroom_wants_it(self) -> None:
        """By the rule of thumb 13 risers have treads of 10 9/16 in, which leave too little."""
        out = laid_out(rise="94", opening="129", floor="12")
        row = next(r for r in out["answer"]["layouts"]["rows"] if r["count"]["text"] == "13")
        assert row["going"]["text"] == "10 in"

    def test_no_space_for_the_going_wished(self) -> None:
        out = laid_out(rise="94", space="9 ft", going="10")
        assert any("12 treads of 10 in take 10 ft; the space is 9 ft." in s for s in out["steps"])

    def test_no_headroom(self) -> None:
        out = laid_out(rise="94", opening="8 ft", floor="12")
        assert any("Headroom" in step for step in out["steps"])
        (needs,) = (step for step in out["steps"] if "the opening has to be" in step)
        opening = needs.split(" has to be ")[1].split(" in or")[0]
        assert counts(laid_out(rise="94", opening=opening, floor="12"))

    def test_no_flight_so_high(self) -> None:
        out = laid_out(rise="13 ft")
        assert out["steps"]
        assert all("Rise of the flight" in step for step in out["steps"])

    def test_the_counts_next_to_a_comfortable_riser_are_told(self) -> None:
        rejected = laid_out(rise="94")["answer"]["rejected"]["rows"]
        assert rejected[-1]["count"]["text"] == "12"
        assert "needs 7 3/4 in or less" in rejected[-1]["why"]["text"]


@pytest.mark.parametrize(
    ("inputs", "says"),
    [
        ({"rise": "0"}, "more than zero"),
        ({"rise": "-94"}, "more than zero"),
        ({"rise": "1000 ft"}, "outside what this can be"),
        ({"rise": "9-4-2"}, "9-4-2"),
        ({}, "Total rise is missing"),
        ({"rise": "94", "going": "71/2"}, "missed"),
        ({"rise": "94", "step": "0"}, "more than zero"),
    ],
)
def test_what_can_not_be_is_refused(inputs: dict[str, str], says: str) -> None:
    with pytest.raises(InputsRefused, match=says):
        laid_out(**inputs)


def test_an_unknown_book_is_a_sentence() -> None:
    with pytest.raises(ValueError, match="There is no book"):
        laid_out(rise="94", books="irc-1999")
