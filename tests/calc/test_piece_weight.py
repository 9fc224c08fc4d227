"""What a piece weighs, and what is said about lifting it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from fieldlog.calc.calculations import InputsRefused, run
from fieldlog.store.calc_files import load_reference

REFERENCE = load_reference()


def weigh(system: str = "us", **inputs: str) -> dict[str, Any]:
    given = {"length": "54", "width": "54", "thickness": "4 1/4", "species": "red oak"} | inputs
    return run("piece-weight", given, system, REFERENCE)


def test_volume_times_density() -> None:
    out = weigh()["answer"]
    cubic_feet = Fraction(54 * 54 * 17, 4 * 1728)
    pounds = cubic_feet * Fraction("0.63") * Fraction("62.43") * Fraction("1.12")
    assert Fraction(out["weight"]["exact"].split()[0]) == pounds
    assert out["volume"]["text"] == "7.17 cu ft"


def test_people_are_the_weight_over_the_load_constant_rounded_up() -> None:
    out = weigh()
    assert out["answer"]["people"]["text"] == "7"
    assert "use a lift" in out["answer"]["says"]["text"]
    assert "At least 7 people" in out["answer"]["says"]["text"]


def test_it_is_never_a_crew_for_a_stair() -> None:
    for inputs in ({}, {"thickness": "3/4", "width": "6"}):
        assert any(note.startswith("Never a crew for a stair") for note in weigh(**inputs)["notes"])


def test_one_person_for_a_light_piece() -> None:
    out = weigh(width="6", thickness="3/4", species="poplar")["answer"]
    assert out["people"]["text"] == "1"


def test_metric_is_the_same_piece() -> None:
    us = weigh()["answer"]["weight"]["exact"].split()[0]
    out = weigh("metric", length="1371.6", width="1371.6", thickness="107.95")["answer"]
    kilograms = Fraction(out["weight"]["exact"].split()[0])
    assert kilograms == Fraction(us) * Fraction("0.45359237")
    assert out["people"]["text"] == "7"


def test_where_the_density_is_from_is_told() -> None:
    assert any("secondary" in note for note in weigh()["notes"])
    assert any("memory" in note for note in weigh(species="Douglas-fir")["notes"])


@pytest.mark.parametrize(
    ("inputs", "says"),
    [
        ({"length": "0"}, "more than zero"),
        ({"width": "-54"}, "more than zero"),
        ({"species": "unobtainium"}, "No species"),
        ({"species": ""}, "missing"),
        ({"thickness": "71/2"}, "missed"),
    ],
)
def test_what_can_not_be_is_refused(inputs: dict[str, str], says: str) -> None:
    with pytest.raises(InputsRefused, match=says):
        weigh(**inputs)
