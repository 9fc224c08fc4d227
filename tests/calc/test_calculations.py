"""The registry of calculations: inputs parsed exactly, refused in a sentence, answers as JSON."""

from __future__ import annotations

import contextlib
import json
import math
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.calculations import (
    REGISTRY,
    Answer,
    Calculation,
    Given,
    Input,
    InputsRefused,
    Length,
    Number,
    Result,
    Rows,
    Series,
    Words,
    calculation,
    decimals,
    parse_inputs,
    run,
)
from fieldlog.calc.calculations.kinds import KINDS
from fieldlog.calc.calculations.registry import by_name
from fieldlog.calc.calculations.running import length_text, number_text, run_one
from fieldlog.calc.calculations.species import load_lifting, load_wood
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.calc_files import load_reference

IN = 25_400_000
REFERENCE = load_reference()


def made(*inputs: Input, results: tuple[Result, ...] = ()) -> Calculation:
    """A calculation that answers with fixed results."""

    def compute(_given: Given) -> Answer:
        return Answer(results)

    return Calculation("made", "Made up", "Says.", inputs, "formula", "source", "", compute)


def read(kind: str, text: str, system: str = "us", **more: Any) -> Any:
    """One value of a kind, by way of a calculation's inputs."""
    spec = Input("x", "X", kind, **more)
    return parse_inputs(made(spec), {"x": text}, system)["x"]


def why(kind: str, text: str, system: str = "us", **more: Any) -> InputsRefused:
    """The refusal of a value."""
    with pytest.raises(InputsRefused) as refused:
        read(kind, text, system, **more)
    return refused.value


class TestRegistry:
    @pytest.mark.parametrize("name", REGISTRY)
    def test_each_says_what_it_takes_and_where_it_is_from(self, name: str) -> None:
        one = REGISTRY[name]
        assert one.name == name
        assert one.title
        assert one.says.endswith(".")
        assert one.formula
        assert one.source
        assert one.inputs
        assert all(i.kind in KINDS for i in one.inputs)
        assert len({i.name for i in one.inputs}) == len(one.inputs)

    @pytest.mark.parametrize("name", REGISTRY)
    def test_defaults_can_be_read(self, name: str) -> None:
        for spec in REGISTRY[name].inputs:
            if spec.default:
                KINDS[spec.kind].read(spec.default, spec, "us")

    @pytest.mark.parametrize("name", REGISTRY)
    def test_nothing_typed_is_refused_at_each_required_input(self, name: str) -> None:
        needed = {i.name for i in REGISTRY[name].inputs if i.required}
        if needed:
            with pytest.raises(InputsRefused) as refused:
                run(name, {}, "us", REFERENCE)
            assert {e.field for e in refused.value.errors} == needed

    def test_an_unknown_name_is_a_sentence(self) -> None:
        with pytest.raises(UnknownSource, match="even-spaces"):
            calculation("even-space")

    def test_two_of_one_name_are_refused(self) -> None:
        with pytest.raises(ValueError, match="made"):
            by_name((made(), made()))

    def test_an_unknown_system_is_refused(self) -> None:
        with pytest.raises(UnknownSource):
            run("even-spaces", {}, "imperial", REFERENCE)


class TestKinds:
    @pytest.mark.parametrize(
        ("kind", "text", "value"),
        [
            ("length", "9' 1 1/2\"", 109 * IN + IN // 2),
            ("length", "7 1/2", 7 * IN + IN // 2),
            ("lengths", "7 1/2, 7 3/4;8,", (7 * IN + IN // 2, 7 * IN + 3 * IN // 4, 8 * IN)),
            ("number", "0.45", Fraction(45, 100)),
            ("number", "1/3", Fraction(1, 3)),
            ("percent", "45 %", Fraction(45)),
            ("percent", "45", Fraction(45)),
            ("count", "12", 12),
            ("counts", "1, 4", (1, 4)),
            ("angle", "37.5 deg", Fraction(75, 2)),
            ("area", "120 sq ft", 120 * (12 * IN) ** 2),
            ("area", "1 m2", 10**18),
            ("volume", "0.45 ft3", Fraction(45, 100) * (12 * IN) ** 3),
            ("yes_no", "Yes", True),
            ("yes_no", "n", False),
            ("text", "  red oak ", "red oak"),
            ("names", "irc-2021, our-standard", ("irc-2021", "our-standard")),
        ],
    )
    def test_typed(self, kind: str, text: str, value: object) -> None:
        assert read(kind, text) == value

    def test_a_bare_length_is_in_the_systems_unit(self) -> None:
        assert read("length", "190", "metric") == 190_000_000
        assert read("length", "9", unit="ft") == 108 * IN

    def test_a_default_means_the_same_in_both_systems(self) -> None:
        calc = made(Input("x", "X", "length", default="2"))
        assert parse_inputs(calc, {}, "metric") == parse_inputs(calc, {}, "us") == {"x": 2 * IN}

    def test_a_pitch_is_degrees_or_rise_over_run(self) -> None:
        assert read("pitch", "36.87 deg").degrees == Fraction(3687, 100)
        assert read("pitch", "36.87").degrees == Fraction(3687, 100)
        for text in ("7 1/2 over 10", "7 1/2 : 10"):
            assert (read("pitch", text).rise, read("pitch", text).run) == (15 * IN // 2, 10 * IN)
        assert read("pitch", "190:250", "metric").run == 250_000_000

    def test_a_temperature_carries_its_unit(self) -> None:
        assert read("temperature", "70 F").celsius == Fraction(190, 9)
        assert read("temperature", "21 C").fahrenheit == Fraction(698, 10)
        assert set(why("temperature", "70").errors[0].suggestions) == {"70 F", "70 C"}

    @pytest.mark.parametrize(
        ("kind", "text"),
        [
            ("length", "71/2"),
            ("length", "tall"),
            ("number", "1e9"),
            ("number", "1/0"),
            ("percent", "half"),
            ("count", "3.5"),
            ("count", "-1"),
            ("angle", "90 grad"),
            ("pitch", "95"),
            ("pitch", "steep"),
            ("pitch", "0 over 10"),
            ("pitch", "7 over 0"),
            ("area", "12 acres"),
            ("volume", "ft3"),
            ("yes_no", "maybe"),
            ("text", "a\nb"),
            ("text", "a" * 100),
            ("lengths", "7 1/2,,8"),
            ("lengths", "7 1/2 " * 1000),
            ("counts", "1,x"),
        ],
    )
    def test_refused_in_a_sentence_at_its_input(self, kind: str, text: str) -> None:
        (error, *_) = why(kind, text).errors
        assert error.field == "x"
        assert error.message.rstrip().endswith((".", "?"))

    def test_one_unit_in_a_list(self) -> None:
        (error,) = why("lengths", "7 1/2, 8, 190 mm").errors
        assert error.index == 2
        assert "millimeters" in error.message
        assert read("lengths", "7 1/2 in, 8, 1 ft") == (15 * IN // 2, 8 * IN, 12 * IN)
        assert read("lengths", "19 cm, 190 mm, 195", "metric")[2] == 195_000_000

    def test_a_list_has_a_most(self) -> None:
        assert "3 of them; 2 at most" in str(why("lengths", "7,7,7", most=2))

    def test_zero_and_less_are_refused_where_a_thing_has_size(self) -> None:
        assert "more than zero" in str(why("length", "0", positive=True))
        assert why("lengths", "7, -7", positive=True).errors[0].index == 1
        assert "60 or less" in str(why("number", "61", high=60))
        assert "2 or more" in str(why("count", "1", low=2))

    def test_a_choice_is_one_of_its_choices(self) -> None:
        assert read("choice", "Radial", choices=("radial", "tangential")) == "radial"
        assert why("choice", "x", choices=("a", "b")).errors[0].suggestions == ("a", "b")

    def test_every_error_is_told_not_just_the_first(self) -> None:
        calc = made(Input("a", "A", "length"), Input("b", "B", "count"))
        with pytest.raises(InputsRefused) as refused:
            parse_inputs(calc, {"a": "x", "b": "y", "c": "z"})
        assert [e.field for e in refused.value.errors] == ["c", "a", "b"]

    @given(st.text(max_size=60), st.sampled_from(sorted(KINDS)))
    def test_no_text_makes_a_reader_stumble(self, text: str, kind: str) -> None:
        with contextlib.suppress(InputsRefused):
            value = read(kind, text, choices=("a",))
            if value is not None:
                assert isinstance(KINDS[kind].say(value, "us"), str)


class TestAnswer:
    @pytest.mark.parametrize(
        ("nm", "system", "text"),
        [
            (7 * IN + IN // 2, "us", "7 1/2 in"),
            (7 * IN + IN // 64, "us", "7 1/64 in"),
            (Fraction(94 * IN, 13), "us", "about 7 1/4 in"),
            (Fraction(94 * IN, 13), "metric", "about 184 mm"),
            (190_500_000, "metric", "190.5 mm"),
            (Decimal(2).sqrt() * IN, "us", "about 1 7/16 in"),
            (-3 * IN // 8, "us", "-3/8 in"),
        ],
    )
    def test_a_length_is_rounded_only_where_no_tape_has_it(
        self, nm: Any, system: str, text: str
    ) -> None:
        assert length_text(nm, system) == text

    def test_numbers_are_rounded_half_to_even(self) -> None:
        assert number_text(Fraction(5, 2), 0) == "2"
        assert number_text(Fraction(-1, 8), 2) == "-0.12"
        assert number_text(Fraction(1, 3), 4) == "0.3333"

    def test_json_keeps_what_was_typed_and_the_exact_answer(self) -> None:
        results = (
            Result("gap", "Gap", Length(Fraction(114 * IN, 29))),
            Result("pitch", "Pitch", Number(Fraction(1, 3), "deg", 2)),
            Result("says", "Says", Words("Yes.")),
            Result("all", "All", Series((Length(IN), Length(2 * IN)))),
            Result("rows", "Rows", Rows(((Result("n", "N", Number(1)),),))),
        )
        calc = made(Input("x", "X", "length"), Input("y", "Y", "count"), results=results)
        out = run_one(calc, {"x": " 7½ "}, "us", REFERENCE)
        assert json.loads(json.dumps(out)) == out
        assert out["inputs"] == {
            "x": {"label": "X", "typed": "7½", "text": "7 1/2 in", "nm": "190500000"}
        }
        assert out["answer"]["gap"] == {
            "label": "Gap", "text": "about 3 15/16 in", "nm": "99848276", "exact": "114/29 in",
        }  # fmt: skip
        assert out["answer"]["pitch"]["text"] == "0.33 deg"
        assert out["answer"]["pitch"]["exact"] == "1/3 deg"
        assert [v["text"] for v in out["answer"]["all"]["values"]] == ["1 in", "2 in"]
        assert out["answer"]["rows"]["rows"] == [
            {"n": {"label": "N", "text": "1", "nm": None, "exact": "1"}}
        ]
        assert (out["formula"], out["source"], out["title"]) == ("formula", "source", "Made up")


class TestDecimals:
    """Against the floats of the platform, which are good to 15 figures."""

    @given(st.fractions(min_value=-20, max_value=20, max_denominator=1000))
    def test_functions_of_an_angle(self, x: Fraction) -> None:
        for mine, theirs in ((decimals.sin, math.sin), (decimals.cos, math.cos)):
            assert float(mine(x)) == pytest.approx(theirs(x), abs=1e-14)
        assert float(decimals.atan(x)) == pytest.approx(math.atan(x), abs=1e-14)

    @given(st.fractions(min_value=-1, max_value=1, max_denominator=1000))
    def test_arc_sine(self, x: Fraction) -> None:
        assert float(decimals.asin(x)) == pytest.approx(math.asin(x), abs=1e-13)

    def test_pi_to_forty_figures(self) -> None:
        """Pi as it stands in any table."""
        assert str(decimals.pi())[:41] == "3.141592653589793238462643383279502884197"

    @given(st.fractions(min_value=0, max_value=90, max_denominator=1000))
    def test_the_bounds_of_a_cosine_hold_it(self, angle: Fraction) -> None:
        low, high = decimals.cos_bounds(angle)
        assert high - low == Fraction(2, 10**40)
        # cos 2a = 2 cos^2 a - 1, which does not come out of one series
        double = Fraction(decimals.cos(decimals.radians(2 * angle)))
        near = (low + high) / 2
        assert abs(2 * near**2 - 1 - double) < Fraction(1, 10**39)

    def test_sixty_degrees_is_a_half(self) -> None:
        low, high = decimals.cos_bounds(Fraction(60))
        assert low < Fraction(1, 2) < high


WOOD = """
source = "a book"
water_lb_ft3 = { value = "62.43", verified = "secondary", seen = "a page" }
[[species]]
id = "oak"
name = "Oak"
gravity = { value = "0.63", verified = "secondary", seen = "a page" }
"""


class TestSpecies:
    def test_the_file_that_ships_has_a_source_for_every_value(self) -> None:
        wood = REFERENCE.wood
        assert len(wood.species) >= 12
        looked = [v for s in wood.species.values() for v in (s.gravity, s.radial, s.tangential)]
        assert all(v.seen for v in looked if v)
        assert wood.species["red-oak"].radial is not None
        from_memory = {s.id for s in wood.species.values() if s.radial and
                       s.radial.verified == "memory"}  # fmt: skip
        assert from_memory == {"yellow-poplar"}

    @pytest.mark.parametrize(
        ("typed", "found"),
        [("red oak", "red-oak"), ("Red Oak", "red-oak"), ("oak", "red-oak"),
         ("white_oak", "white-oak"), ("hard maple", "sugar-maple")],
    )  # fmt: skip
    def test_names_as_people_type_them(self, typed: str, found: str) -> None:
        assert REFERENCE.wood.find(typed).id == found

    def test_an_unknown_one_is_a_sentence_with_the_known(self) -> None:
        with pytest.raises(InputsRefused, match="black-walnut") as refused:
            REFERENCE.wood.find("ebony")
        assert refused.value.errors[0].field == "species"
        with pytest.raises(InputsRefused):
            REFERENCE.wood.find("")

    @pytest.mark.parametrize(
        ("change", "says"),
        [
            (('value = "0.63"', "value = 0.63"), "float"),
            (('value = "0.63"', 'value = "0"'), "above zero"),
            (('value = "0.63"', 'value = "-1"'), "above zero"),
            (('name = "Oak"', 'name = "Oak"\nweight = "44"'), "unknown key"),
            (('seen = "a page" }\n[[', 'seen = "" }\n[['), "seen is empty"),
            (('verified = "secondary", seen = "a page" }\n[[',
              'verified = "rumor", seen = "a page" }\n[['), "verified is one of"),
            (('id = "oak"', 'id = "Oak 1"'), "small letters"),
            (('source = "a book"', 'source = " "'), "source is empty"),
            (("gravity = {", "# gravity = {"), "has no value"),
            (('name = "Oak"', 'name = "Oak"\nalso = ["oak"]'), "there twice"),
        ],
    )  # fmt: skip
    def test_a_faulty_file_refuses_to_load(self, change: tuple[str, str], says: str) -> None:
        assert load_wood(WOOD, "wood.toml").find("oak").gravity
        assert change[0] in WOOD
        with pytest.raises(DataFileError, match=says):
            load_wood(WOOD.replace(*change), "wood.toml")

    def test_the_lifting_constant_has_its_source(self) -> None:
        assert REFERENCE.lifting.most_lb.value == 51
        assert "NIOSH" in REFERENCE.lifting.source
        with pytest.raises(DataFileError, match="missing"):
            load_lifting('source = "x"', "lifting.toml")

    def test_a_house_may_have_species_of_its_own(self, tmp_path: Any) -> None:
        (tmp_path / "species").mkdir()
        own = WOOD.replace('"oak"', '"red-oak"').replace("0.63", "0.70")
        (tmp_path / "species" / "wood.toml").write_text(own)
        wood = load_reference(tmp_path).wood
        gravity = wood.species["red-oak"].gravity
        assert gravity is not None
        assert gravity.value == Fraction(7, 10)
        assert "white-oak" in wood.species
