"""Even spaces under a limit that must not be reached: the least count, level and on the rake."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.calculations import InputsRefused, run
from fieldlog.calc.calculations.numbers import Pitch
from fieldlog.calc.calculations.spacing import NoCount, Run, gap_of, least_count
from fieldlog.store.calc_files import load_reference

IN = 25_400_000
REFERENCE = load_reference()


def answer(name: str, **inputs: str) -> dict[str, Any]:
    raw = {key.replace("_", "-"): value for key, value in inputs.items()}
    return run(name, raw, "us", REFERENCE)


def count(name: str, **inputs: str) -> int:
    return int(answer(name, **inputs)["answer"]["count"]["text"])


def refusal(name: str, **inputs: str) -> str:
    with pytest.raises(InputsRefused) as refused:
        answer(name, **inputs)
    return str(refused.value)


class TestLeastCount:
    @given(
        length=st.integers(1, 1500), width=st.integers(1, 100), limit=st.integers(1, 200),
        touch=st.booleans(),
    )  # fmt: skip
    def test_it_is_the_least_whose_gap_is_under_the_limit(
        self, length: int, width: int, limit: int, touch: bool
    ) -> None:
        """By counting up from none, in sixteenths of an inch."""

        def fits(n: int) -> bool:
            gap = Fraction(length - n * width, n + 1)
            return gap <= limit if touch else gap < limit

        by_counting = next(n for n in range(5000) if fits(n))
        if by_counting and Fraction(length - by_counting * width, by_counting + 1) <= 0:
            with pytest.raises(NoCount):
                least_count(Run(length), width, limit, touch)
        else:
            assert least_count(Run(length), width, limit, touch) == by_counting

    @given(
        length=st.integers(IN, 400 * IN), width=st.integers(IN // 2, 4 * IN),
        limit=st.integers(IN, 8 * IN), rise=st.integers(4 * IN, 8 * IN),
        run_=st.integers(8 * IN, 14 * IN),
    )  # fmt: skip
    def test_on_the_rake_neither_it_nor_one_fewer_is_wrong(
        self, length: int, width: int, limit: int, rise: int, run_: int
    ) -> None:
        """Exactly: the gap times (n + 1) against the limit, squares with squares."""
        run = Run(length, Pitch(None, rise, run_))
        try:
            found = least_count(run, width, limit)
        except NoCount:
            return
        square, slant = (length * run_) ** 2, rise**2 + run_**2
        assert square < (found * width + (found + 1) * limit) ** 2 * slant
        if found:
            fewer = found - 1
            assert square >= (fewer * width + (fewer + 1) * limit) ** 2 * slant

    def test_three_four_five_is_exact(self) -> None:
        """A pitch of 3 over 4 has the cosine 4/5: a gap of exactly the limit fails."""
        rake = Run(50 * IN, Pitch(None, 3 * IN, 4 * IN))  # 40 in level
        assert least_count(rake, 2 * IN, 4 * IN) == 7
        assert least_count(Run(40 * IN), 2 * IN, 4 * IN) == 7
        # 8 in level: one of 0 width would leave exactly 4
        exact = Run(10 * IN, Pitch(None, 3 * IN, 4 * IN))
        assert least_count(exact, IN, 7 * IN // 2) == 2
        assert least_count(exact, IN, 7 * IN // 2, may_touch=True) == 1

    def test_sixty_degrees_is_exact(self) -> None:
        steep = Run(16 * IN, Pitch(Fraction(60)))  # 8 in level
        assert least_count(steep, IN, 7 * IN // 2) == 2
        assert gap_of(steep, IN, 1) == pytest.approx(3.5 * IN)

    def test_too_many_is_refused(self) -> None:
        with pytest.raises(NoCount, match="1000"):
            least_count(Run(10**12), IN // 16, IN // 16)


class TestEvenSpaces:
    def test_an_exact_fit_at_the_limit_fails(self) -> None:
        assert count("even-spaces", length="37", width="1.5", gap="4") == 7
        assert count("even-spaces", length="37", width="1.5", gap="4", at_limit="passes") == 6

    def test_none_are_needed_in_a_small_place(self) -> None:
        out = answer("even-spaces", length="3 1/2", width="1", gap="4")["answer"]
        assert out["count"]["text"] == "0"
        assert out["gap"]["text"] == "3 1/2 in"

    def test_marks_run_from_one_end_and_do_not_add_up_their_rounding(self) -> None:
        out = answer("even-spaces", length="156", width="1.5", gap="4")["answer"]
        exact = [Fraction(114, 29) * (n + 1) + Fraction(3, 2) * n for n in range(28)]
        for mark, true in zip(out["marks"]["values"], exact, strict=True):
            assert abs(Fraction(int(mark["nm"]), IN) - true) <= Fraction(1, 32)

    def test_rounded_marks_that_would_reach_the_limit_are_told(self) -> None:
        """One of 1 in in 8.995 in leaves 3.9975 in, which is 4 in on the tape."""
        out = answer("even-spaces", length="8.995", width="1", gap="4")
        assert out["answer"]["gap"]["exact"] == "3.9975 in"
        assert any("Mark finer" in note for note in out["notes"])
        assert not answer("even-spaces", length="37", width="1.5", gap="4")["notes"]

    @pytest.mark.parametrize(
        ("inputs", "says"),
        [
            ({"length": "0", "width": "1", "gap": "4"}, "more than zero"),
            ({"length": "37", "width": "-1", "gap": "4"}, "more than zero"),
            ({"length": "37", "width": "40", "gap": "4"}, "does not fit"),
            ({"length": "18", "width": "10", "gap": "4"}, "do not fit"),
            ({"length": "37", "width": "1"}, "missing"),
            ({"length": "1000 ft", "width": "1/4", "gap": "1/4"}, "1000"),
        ],
    )
    def test_what_can_not_be_is_refused(self, inputs: dict[str, str], says: str) -> None:
        assert says in refusal("even-spaces", **inputs)


class TestBalusters:
    def test_the_limit_comes_from_the_book(self) -> None:
        level = answer("balusters", length="72", width="1.5")["answer"]
        stair = answer("balusters", length="72", width="1.5", pitch="37 deg")["answer"]
        assert (level["limit"]["text"], stair["limit"]["text"]) == ("4 in", "4 3/8 in")

    def test_a_gap_wider_than_the_book_allows_is_told(self) -> None:
        out = answer("balusters", length="72", width="1.5", gap="5")
        assert any("more than this book allows" in note for note in out["notes"])

    def test_no_limit_and_none_typed_is_asked(self) -> None:
        says = refusal("balusters", length="72", width="1.5", books="plank-floor")
        assert "Type the gap" in says

    def test_on_the_rake_the_gap_is_the_space_along_it_times_the_cosine(self) -> None:
        out = answer("balusters", length="100", width="1 1/4", pitch="36 deg")["answer"]
        n = int(out["count"]["text"])
        cosine = math.cos(math.radians(36))
        along = (100 - n * 1.25 / cosine) / (n + 1)
        assert float(out["gap"]["exact"].split()[0]) == pytest.approx(along * cosine)
        assert float(out["gap_along_rake"]["exact"].split()[0]) == pytest.approx(along)
        assert float(out["cosine"]["exact"]) == pytest.approx(cosine)

    def test_degrees_and_rise_over_run_agree(self) -> None:
        pitch = math.degrees(math.atan2(7.5, 10))
        in_degrees = answer("balusters", length="133", width="1.5", pitch=f"{pitch:.6f}")["answer"]
        as_slope = answer("balusters", length="133", width="1.5", pitch="7 1/2 over 10")["answer"]
        assert in_degrees["count"] == as_slope["count"]

    def test_so_many_a_tread(self) -> None:
        out = answer("balusters", length="100", width="1.5", pitch="7 1/2 over 10")["answer"]
        assert out["per_tread"]["text"] == "2"
        assert out["gap_per_tread"]["text"] == "3 1/2 in"
        one = answer(
            "balusters", length="100", width="1.5", pitch="7 1/2 over 10", per_tread="1"
        )["answer"]  # fmt: skip
        assert one["gap_per_tread"]["text"] == "8 1/2 in"
        assert one["per_tread_says"]["text"].endswith("fail.")

    def test_a_gap_of_exactly_the_limit_on_a_tread_fails(self) -> None:
        """Going 11 3/4 in, two of 1 1/2 in: exactly 4 3/8 in."""
        out = answer("balusters", length="100", width="1.5", pitch="35", going="11 3/4")["answer"]
        assert out["per_tread"]["text"] == "3"

    def test_so_many_a_tread_needs_the_going(self) -> None:
        assert "going" in refusal("balusters", length="99", width="1", pitch="35", per_tread="2")
        says = refusal("balusters", length="99", width="3", going="10", per_tread="4")
        assert "do not fit" in says

    def test_a_turned_baluster_is_judged_at_its_thinnest(self) -> None:
        block = answer("balusters", length="72", width="1 3/4")["answer"]
        out = answer("balusters", length="72", width="1 3/4", thinnest="3/4")
        assert int(out["answer"]["count"]["text"]) > int(block["count"]["text"])
        assert any("thinnest" in note for note in out["notes"])
        assert "thicker" in refusal("balusters", length="72", width="1", thinnest="2")

    def test_an_unknown_book_is_refused(self) -> None:
        with pytest.raises(ValueError, match="irc-2021"):
            answer("balusters", length="72", width="1", books="irc-1999")
