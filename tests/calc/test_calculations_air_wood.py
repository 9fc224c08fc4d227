"""Air, wood, slope and pours: what is asked about, what is refused, what is said beside."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.calculations import InputsRefused, vapor
from fieldlog.calc.calculations.numbers import Temperature
from fieldlog.calc.calculations.wood import cup, movement
from tests.asked import INCH, answer, ask, exact, sentence


@pytest.mark.parametrize("name", ["room-moisture", "dew-point"])
def test_humidity_above_a_hundred_is_no_air(name: str) -> None:
    field, why = sentence(name, temperature="70 F", humidity="130 %")
    assert field == "humidity"
    assert why == "130 % is not possible: 100 % or less is."


@pytest.mark.parametrize("name", ["room-moisture", "dew-point"])
def test_a_celsius_looking_number_in_fahrenheit_is_asked_about(name: str) -> None:
    with pytest.raises(InputsRefused) as caught:
        ask(name, temperature="21 F", humidity=45)
    (error,) = caught.value.errors
    assert error.message.startswith("21 F is -6.1 C. Is this 21 C?")
    assert error.suggestions == ("21 C",)
    assert answer(name, temperature="21 F", humidity=45, cold="yes")


def test_no_unit_is_asked_about_and_no_house_is_so_hot() -> None:
    field, why = sentence("dew-point", temperature="21", humidity=45)
    assert field == "temperature"
    assert "unit" in why
    assert (
        "158.0 F: no air in a house is"
        in sentence("room-moisture", temperature="70 C", humidity=45)[1]
    )


def test_dew_point_needs_one_of_humidity_and_wet_bulb() -> None:
    assert "one of them" in sentence("dew-point", temperature="70 F")[1]
    both = {"humidity": 50, "wet_bulb": "60 F"}
    assert "one of them" in sentence("dew-point", temperature="70 F", **both)[1]
    assert sentence("dew-point", temperature="70 F", humidity=0)[0] == "humidity"


def test_wet_bulbs_that_no_air_has() -> None:
    warm = sentence("dew-point", temperature="70 F", wet_bulb="71 F")
    assert warm == ("wet-bulb", "A wet bulb is never warmer than the air: 71 F in 70 F.")
    dry = sentence("dew-point", temperature="100 F", wet_bulb="40 F")
    assert dry[0] == "wet-bulb"
    assert "No air is so dry" in dry[1]
    assert exact(answer("dew-point", temperature="70 F", wet_bulb="70 F")["humidity"]) == 100


def test_a_surface_below_the_dew_point_is_wet() -> None:
    told = answer("dew-point", temperature="75 F", humidity=60, surface="58 F")
    assert exact(told["margin"]) < 0
    assert told["surface_says"]["text"].startswith("Water settles")


def test_frost_point_is_said() -> None:
    assert "frost point" in ask("dew-point", temperature="-5 C", humidity=70)["notes"][0]
    assert ask("dew-point", temperature="70 F", humidity=50)["notes"] == []


@given(st.integers(-30, 55), st.integers(1, 99), st.integers(1, 99))
def test_dew_point_rises_with_humidity_and_stays_under_the_air(t: int, a: int, b: int) -> None:
    low, high = (vapor.dew_point(Fraction(t), Fraction(h)) for h in sorted((a, b)))
    assert low <= high < t


def test_saturated_air_is_at_its_dew_point() -> None:
    assert vapor.dew_point(Fraction(20), Fraction(100)) == 20


def test_dry_air_takes_all_water_from_wood_and_the_table_s_ends_are_said() -> None:
    assert vapor.wood_moisture(Temperature(Fraction(20), "C"), Fraction(0)) == 0
    notes = " ".join(ask("room-moisture", temperature="70 F", humidity=98)["notes"])
    assert "a guide only" in notes
    told = answer("room-moisture", temperature="70 F", humidity=45, wood=12)
    assert told["difference"]["text"] == "3.5 points"


@given(st.integers(1, 10**10), st.integers(1, 1000), st.integers(0, 30), st.integers(0, 30))
def test_movement_there_and_back_is_none(width: int, c: int, a: int, b: int) -> None:
    share = Fraction(c, 100_000)
    assert movement(width, share, Fraction(b - a)) == -movement(width, share, Fraction(a - b))


def test_cup_by_the_circle_it_makes() -> None:
    # Independent: a 1 in board, one face 1 % longer, bends to a radius of 100 in about; the
    # hollow under an 11 in chord of it is r - root(r^2 - 5.5^2).
    hollow = cup(11 * INCH, INCH, Fraction(1, 400), Fraction(4))
    assert abs(float(hollow) / INCH - (100 - (100**2 - 5.5**2) ** 0.5)) < 0.001


def test_wood_refusals() -> None:
    board = {"width": "5", "from_": 6, "to": 9}
    assert "one of them" in sentence("wood-movement", **board)[1]
    assert sentence("wood-movement", species="red oak", coefficient="0.003", **board)
    field, why = sentence("wood-movement", species="douglas fir", grain="radial", **board)
    assert field == "grain"
    assert "not in the file" in why
    assert sentence("wood-movement", coefficient="0.2", **board)[0] == "coefficient"
    wet = {"width": "5", "from_": 6, "to": 45, "species": "red oak"}
    assert sentence("wood-movement", **wet) == (
        "to", "45 % is not possible: 30 % or less is."
    )  # fmt: skip


def test_wood_says_what_to_do() -> None:
    grows = answer("wood-movement", width="5", species="white oak", from_=6, to=9)
    assert grows["gap"]["text"] == "1/16 in"
    shrinks = answer("wood-movement", width="5", species="white oak", from_=9, to=6)
    assert exact(shrinks["gap"]) == 0
    assert "joints open" in shrinks["says"]["text"]
    same = answer("wood-movement", width="5", species="white oak", from_=9, to=9)
    assert same["says"]["text"] == "It stays as it is."
    rough = ask("wood-movement", width="13 1/4", coefficient="0.002", from_=19, to=10)
    assert "rough guide" in rough["notes"][0]


def test_room_for_wood_is_never_rounded_down() -> None:
    """dD = D C (Mf - Mi), Wood Handbook (FPL-GTR-190) ch. 13; worked by hand."""
    little = answer("wood-movement", width="2", coefficient="0.00365", from_=6, to=9)
    assert little["change"]["text"] == "about 0.022 in"  # 2 x 0.00365 x 3 = 0.0219
    assert (little["gap"]["text"], little["each_edge"]["text"]) == ("1/32 in", "about 0.011 in")
    says = "It grows by about 0.022 in: leave at least 1/32 in, half of it on each side."
    assert little["says"]["text"] == says
    oak = answer("wood-movement", width="8", species="red oak", from_=6, to=9)
    assert oak["gap"]["text"] == "3/32 in"  # 8 x 0.00369 x 3 = 0.08856
    metric = ask("wood-movement", "metric", width="50 mm", coefficient="0.00365", from_=6, to=9)
    assert metric["answer"]["gap"]["text"] == "1 mm"  # 0.5475 mm
    assert metric["answer"]["change"]["text"] == "about 0.5 mm"


def test_slopes_of_every_form_agree() -> None:
    by_rise = answer("slope", run="24 in", rise="2 in")
    assert exact(by_rise["percent"]) == Fraction(25, 3)
    assert by_rise["says"]["text"].startswith("1 in 12:")
    assert exact(answer("slope", run="24 in", percent=2)["rise"]) == Fraction("0.48")
    assert abs(exact(answer("slope", run="10 in", slope="45 deg")["rise"]) - 10) < 1e-12
    assert answer("slope", run="10 in", rise="0")["says"]["text"] == "Level."
    assert answer("slope", "metric", run="1000", rise="20")["per_foot"]["text"] == "about 6 mm"


@pytest.mark.parametrize("more", [{}, {"rise": "1", "percent": "2"}])
def test_a_slope_needs_one_form(more: dict[str, str]) -> None:
    assert "one of them" in sentence("slope", run="24 in", **more)[1]


def test_bags_round_up_and_thick_pours_are_said() -> None:
    told = ask("self-level", area="200 ft2", depth="1/4", yield_="0.45 ft3")
    assert told["answer"]["bags"]["text"] == "10"
    assert exact(told["answer"]["bags_exact"]) == Fraction(250, 27)
    even = answer("self-level", area="21.6 ft2", depth="1/4", yield_="0.45 ft3")
    assert even["bags"]["text"] == "1"
    thick = ask("self-level", area="200 ft2", depth="1 1/2", yield_="0.45 ft3")
    assert any("One lift" in note for note in thick["notes"])
    metric = answer("self-level", "metric", area="20 m2", depth="6", yield_="13 l")
    assert metric["bags"]["text"] == "10"
    assert sentence("self-level", area=0, depth="1/4", yield_="0.45")[0] == "area"
