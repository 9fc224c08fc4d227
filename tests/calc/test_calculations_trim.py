"""Casing ripped, rough openings, cut lists, and the file of what crews go by."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.calculations.cutting import cut_list
from fieldlog.calc.calculations.practice import load_practice
from fieldlog.calc.calculations.rip_casing import common_width, noticed
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.files import PACKAGE
from tests.asked import INCH, answer, ask, exact, reference, sentence

SIXTEENTH = INCH // 16


@given(st.lists(st.integers(1, 10**9), min_size=1, max_size=6), st.integers(1, 10**9))
def test_ripped_casing_fits_every_space(spaces: list[int], casing: int) -> None:
    width = common_width(tuple(spaces), casing, 0, SIXTEENTH)
    assert width <= min(*spaces, casing)
    assert width == casing or min(spaces) - width < SIXTEENTH


def test_the_least_space_rules_every_leg() -> None:
    told = answer("rip-casing", spaces="2 3/8, 2 7/16, 3 1/2", casing="3 1/2", gap="1/16")
    assert told["width"]["text"] == "2 5/16 in"
    off_a_mark = answer("rip-casing", spaces="2 3/64", casing="3 1/2")
    assert off_a_mark["width"]["text"] == "2 in"
    assert off_a_mark["where"]["text"].startswith("Rip 1 1/2 in off the wall's edge")
    metric = answer("rip-casing", "metric", spaces="60.4", casing="89")
    assert metric["width"]["text"] == "60 mm"


def test_a_casing_that_fits_is_not_ripped() -> None:
    told = answer("rip-casing", spaces="3 1/2, 4", casing="3 1/2", profile="3/4")
    assert exact(told["rip_off"]) == 0
    assert told["where"]["text"] == "The casing fits as it is: nothing to rip."
    assert told["noticed"]["text"].startswith("It will not be noticed")
    assert "miter_leg" not in told


def test_what_is_noticed_is_a_share_with_its_status() -> None:
    practice = reference().practice
    assert noticed(7 * SIXTEENTH, 8 * SIXTEENTH, practice)  # exactly an eighth
    assert not noticed(7 * SIXTEENTH + 1, 8 * SIXTEENTH, practice)
    told = ask("rip-casing", spaces="3 1/4", casing="3 1/2", neighbors="3 1/2, 4 1/2")
    assert [row["seen"]["text"] for row in told["answer"]["neighbors"]["rows"]] == [
        "does not see it",
        "sees it",
    ]
    assert "common practice" in told["notes"][0]


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"spaces": "1/2", "profile": "3/4"}, "spaces"),
        ({"spaces": "2, 0"}, "spaces"),
        ({"spaces": "2", "profile": "3 1/2"}, "profile"),
        ({"spaces": "2", "neighbors": "-3"}, "neighbors"),
    ],
)
def test_casing_that_no_rip_solves(inputs: dict[str, str], field: str) -> None:
    assert sentence("rip-casing", casing="3 1/2", **inputs)[0] == field


def test_a_framed_opening_is_compared() -> None:
    pocket = {"door": "pocket", "width": "32", "height": "80"}
    told = answer("rough-opening", rough_width="64", rough_height="86", floor="3/4", **pocket)
    assert told["width_says"]["text"] == "Too small by 1 in."
    assert told["height_least"]["text"] == "84 3/4 in"
    assert told["height_says"]["text"].startswith("Larger than usual by 3/4 in")
    fits = answer("rough-opening", width="32", height="80", rough_width="34")
    assert fits["width_says"]["text"] == "Fits."
    assert "memory" in ask("rough-opening", **pocket)["notes"][0]
    assert sentence("rough-opening", door="barn", width="32", height="80")[0] == "door"


# --- cut lists


def cheapest(pieces: tuple[int, ...], stock: tuple[int, ...], kerf: int) -> int:
    """The least length bought, by trying every way to part the pieces. Slow, and obvious."""

    @cache
    def best(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        first, rest = left[0], left[1:]
        found = []
        for size in range(len(rest) + 1):
            for chosen in combinations(range(len(rest)), size):
                used = first + sum(rest[n] + kerf for n in chosen)
                fits = [one for one in stock if one >= used]
                if fits:
                    after = tuple(p for n, p in enumerate(rest) if n not in chosen)
                    found.append(min(fits) + best(after))
        return min(found)

    return best(tuple(sorted(pieces)))


@settings(max_examples=60)
@given(
    st.lists(st.integers(1, 24), min_size=1, max_size=7),
    st.lists(st.integers(24, 48), min_size=1, max_size=3),
    st.integers(0, 2),
)
def test_the_exact_method_buys_the_least(pieces: list[int], stock: list[int], kerf: int) -> None:
    found = cut_list(pieces, stock, kerf)
    assert found.proven
    assert found.bought == found.bound or found.bound <= found.bought
    assert found.bought == cheapest(tuple(pieces), tuple(stock), kerf)
    assert sorted(p for s in found.sticks for p in s.pieces) == sorted(pieces)
    for stick in found.sticks:
        assert stick.stock in stock
        assert sum(stick.pieces) + (len(stick.pieces) - 1) * kerf <= stick.stock


def test_longest_first_is_not_good_enough() -> None:
    # Longest first puts 44 + 25 + 25 and needs a third stick; 44 + 28 + 25 twice does not.
    assert cut_list([44, 44, 28, 28, 24, 24], [96], 0).bought == 192


def test_a_long_list_says_that_it_is_not_proven() -> None:
    told = answer("stock-list", pieces="36,24 1/2,60,84,17,41,33 1/4,72,29,51,19",
                  counts="9,8,7,6,9,8,9,5,7,9,9", stock="96,120,144,192")  # fmt: skip
    assert told["proven"]["text"].startswith(("A good list, not proven", "Proven"))
    assert exact(told["bound"]) <= exact(told["bought"])
    if "not proven" in told["proven"]["text"]:
        assert told["bound"]["text"] in told["proven"]["text"]


def test_kerf_counts_between_pieces_only() -> None:
    assert cut_list([48, 48], [96], 0).bought == 96
    assert cut_list([48, 48], [96], 1).bought == 192
    assert cut_list([96], [96], 1).bought == 96
    told = answer("stock-list", pieces="47 15/16, 47 15/16", stock="96")
    assert told["bought"]["text"] == "8 ft"


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"pieces": "36, 100", "stock": "96"}, "pieces"),
        ({"pieces": "36, 0", "stock": "96"}, "pieces"),
        ({"pieces": "36", "stock": "-96"}, "stock"),
        ({"pieces": "36, 24", "counts": "2", "stock": "96"}, "counts"),
        ({"pieces": "36", "counts": "0", "stock": "96"}, "counts"),
        ({"pieces": "36", "counts": "201", "stock": "96"}, "counts"),
    ],
)
def test_lists_that_can_not_be_cut(inputs: dict[str, str], field: str) -> None:
    assert sentence("stock-list", **inputs)[0] == field


def test_a_piece_longer_than_the_stock_is_said_in_feet() -> None:
    why = sentence("stock-list", pieces="36, 100", stock="96, 60")[1]
    assert why == "8 ft 4 in is longer than the longest stock, 8 ft."


# --- the file of practice

SHIPPED = (PACKAGE / "practice" / "finish.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('id = "saw-kerf"', 'id = "noticeable-share"', "there twice"),
        ('id = "saw-kerf"', 'id = "saw-cut"', "no value saw-kerf"),
        ('value = "1/8 in"', "value = 0.125", "float"),
        ('value = "1/8 in"', 'value = "wide"', "no number"),
        ('value = "1/8 in"', 'value = "0 in"', "not above zero"),
        ('verified = "memory"', 'verified = "surely"', "verified is one of"),
        ("leaves = 1", "leaves = 0", "1 or more"),
        ("leaves = 1", "leafs = 1", "unknown key"),
        ('height = ["2 in", "2 1/2 in"]', 'height = ["3 in", "2 in"]', "least first"),
        ('source = "Common', 'source = ""\nx = "Common', "unknown key"),
    ],
)
def test_a_practice_file_with_a_fault_refuses_to_load(old: str, new: str, why: str) -> None:
    assert old in SHIPPED
    with pytest.raises(DataFileError, match=why):
        load_practice(SHIPPED.replace(old, new, 1), "finish.toml")


def test_every_value_of_practice_says_where_it_was_seen() -> None:
    practice = load_practice(SHIPPED, "finish.toml")
    for one in (*practice.values.values(), *practice.openings.values()):
        assert one.seen.strip()
        assert one.verified
