"""`fieldlog floor`: verdict, plans and map of a file of points; bad input in a sentence."""

from __future__ import annotations

import argparse
import io
import json
import math
import sys
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import pytest

from fieldlog import cli, cli_floor

Said = pytest.CaptureFixture[str]
TEN_FEET = ("--edge", "10 ft", "--limit", "3/16 in")
PLANS = ("--plan", "least", "--plan", "pool", "--plan", "mix")
PRICES = ("--bag-price", "38", "--grind-price", "6")
FOOT = 304_800_000
SIXTEENTH = 1_587_500


@pytest.fixture(autouse=True)
def parser(monkeypatch: pytest.MonkeyPatch) -> None:
    """The command by itself, under the refusals of the whole command line."""

    def only_floor() -> argparse.ArgumentParser:
        top = argparse.ArgumentParser(prog="fieldlog")
        cli_floor.add(top.add_subparsers(required=True))
        return top

    monkeypatch.setattr(cli, "parser", only_floor)


def points(*rows: str, spacing: int = 24, flip: bool = False) -> str:
    """A file of points in inches from rows of sixteenths."""
    told = ["x,y,z"]
    for r, row in enumerate(rows):
        for c, sixteenths in enumerate(row.split()):
            z = Fraction(int(sixteenths), 16) * (-1 if flip else 1)
            told.append(f"{c * spacing},{r * spacing},{float(z)}")
    return "\n".join(told) + "\n"


DISH = points("0 0 0 0 0 0", "0 -9 -14 -9 0 0", "0 0 0 0 0 0")
SPIKE = points("0 0 0 0 0", "0 0 6 0 0", "0 0 0 0 0")


def test_a_gap_over_the_limit_by_a_hair_does_not_read_the_same(
    tmp_path: Path, capsys: Said
) -> None:
    """A hump of 0.19 in is over 3/16 in = 0.1875 in."""
    file = tmp_path / "hump.csv"
    file.write_text("x,y,z\n" + "".join(
        f"{12 * c},{12 * r},{0.19 if r == c == 2 else 0}\n" for r in range(5) for c in range(5)
    ))  # fmt: skip
    found = asked(capsys, file, "--edge", "4 ft", "--limit", "3/16 in")
    assert found["verdict"] == "fail"
    assert found["hump"]["gap"]["text"] == "0.190 in"


@pytest.fixture
def dish(tmp_path: Path) -> Path:
    file = tmp_path / "dish.csv"
    file.write_text(DISH)
    return file


def asked(said: Said, *argv: str | Path) -> dict[str, Any]:
    """The JSON answer to a question that is understood."""
    status = cli.run(["floor", *map(str, argv), "--json"])
    out, err = said.readouterr()
    assert (status, err) == (0, "")
    answer: dict[str, Any] = json.loads(out)
    return answer


def is_length(value: Any) -> bool:
    """Whether a value is a length as the answer says them: words, and whole nm or a fraction."""
    return (
        set(value) == {"text", "nm"} and bool(value["text"]) and Fraction(value["nm"]) is not None
    )


def refused(said: Said, *argv: str | Path) -> str:
    """The sentence for one that is not."""
    status = cli.run(["floor", *map(str, argv)])
    out, err = said.readouterr()
    assert (status, out) == (2, "")
    assert err.startswith("fieldlog: ")
    assert len(err.strip().splitlines()) == 1
    return err


class TestJson:
    """What the JSON answer says."""

    def test_it_has_every_key(self, dish: Path, capsys: Said) -> None:
        answer = asked(capsys, dish, *TEN_FEET, *PLANS, *PRICES)
        assert {"range", "slope", "hollow", "hump", "verdict", "ff", "fl", "q"} <= set(answer)
        for kind in ("hollow", "hump"):
            assert {"gap", "from", "to", "at"} <= set(answer[kind])
            ends = [answer[kind][end] for end in ("from", "to", "at")]
            lengths = [answer[kind]["gap"], *(end[axis] for end in ends for axis in "xy")]
            assert all(is_length(one) for one in lengths)
        assert is_length({k: v for k, v in answer["range"].items() if k in ("text", "nm")})
        assert is_length(answer["slope"]["rise"])
        assert all(is_length(q) for line in answer["q"] for q in line)
        assert list(answer["plans"]) == ["least", "pool", "mix"]
        for plan in answer["plans"].values():
            assert {
                "depths", "volume_ft3", "area_ft2", "deepest", "bags", "patches", "cost",
                "above_bound",
            } <= set(plan)  # fmt: skip
            assert all(is_length(one) for one in [*plan["depths"], plan["deepest"]])
            assert all(is_length(patch["deepest"]) for patch in plan["patches"])
            assert isinstance(plan["bags"], int)
            assert plan["above_bound"] >= 0

    def test_worked_by_their_depths_in_input_order_the_readings_pass(
        self, tmp_path: Path, capsys: Said
    ) -> None:
        """Of a floor with both a dip and a ridge, its rows in no order; judged anew."""
        rows = points("0 0 0 6 0 0", "0 -9 -5 6 0 0", "0 -2 0 6 0 0").split()[1:]
        Random(3).shuffle(rows)
        file, worked = tmp_path / "before.csv", tmp_path / "after.csv"
        file.write_text("\n".join(rows))
        dear = ("--bag-yield", "0.05 ft3")
        plans = asked(capsys, file, *TEN_FEET, *PLANS, *PRICES, *dear)["plans"]
        assert any(int(one["nm"]) < 0 for one in plans["mix"]["depths"])
        for plan in plans.values():
            new = [
                f"{x},{y},{float(Fraction(z) + Fraction(int(one['nm']), 25_400_000)):.9f}"
                for (x, y, z), one in zip(
                    (row.split(",") for row in rows), plan["depths"], strict=True
                )
            ]
            worked.write_text("\n".join(new))
            assert asked(capsys, worked, *TEN_FEET)["verdict"] == "pass"

    def test_the_verdict_and_the_worst_hollow(self, dish: Path, capsys: Said) -> None:
        answer = asked(capsys, dish, *TEN_FEET)
        assert answer["verdict"] == "fail"
        assert answer["range"]["nm"] == str(14 * SIXTEENTH)
        assert answer["hollow"]["gap"] == {"text": "7/8 in", "nm": str(14 * SIXTEENTH)}
        assert answer["hollow"]["at"] == {
            "x": {"text": "4 ft", "nm": str(4 * FOOT)},
            "y": {"text": "2 ft", "nm": str(2 * FOOT)},
        }

    def test_depths_are_per_reading_and_make_the_volume(self, dish: Path, capsys: Said) -> None:
        plan = asked(capsys, dish, *TEN_FEET, "--plan", "least")["plans"]["least"]
        depths = [int(one["nm"]) for one in plan["depths"]]
        assert len(depths) == 18
        assert all(depths[n] > 0 for n in (7, 8, 9))
        cubic_feet = Fraction(sum(depths) * 4 * FOOT**2, FOOT**3)
        assert plan["volume_ft3"] == pytest.approx(float(cubic_feet), abs=5e-4)
        assert plan["area_ft2"] == 4 * sum(1 for depth in depths if depth)

    def test_bags_and_cost_by_the_yield_and_the_prices(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "spike.csv"
        file.write_text(SPIKE)
        paid = ("--bag-yield", "0.01 ft3", "--bag-price", "38", "--grind-price", "6")
        answer = asked(capsys, file, *TEN_FEET, "--plan", "mix", "--plan", "least", *paid)
        mix, least = answer["plans"]["mix"], answer["plans"]["least"]
        assert mix["cost"] == 38 * mix["bags"] + 6 * mix["ground_ft2"]
        assert int(mix["depths"][7]["nm"]) == -3 * SIXTEENTH
        assert least["bags"] == math.ceil(least["volume_ft3"] / 0.01)

    def test_without_a_plan_named_a_small_floor_gets_all(self, dish: Path, capsys: Said) -> None:
        assert set(asked(capsys, dish, *TEN_FEET)["plans"]) == {"least", "pool"}
        paid = ("--bag-price", "38", "--grind-price", "6")
        assert set(asked(capsys, dish, *TEN_FEET, *paid)["plans"]) == {"least", "pool", "mix"}

    def test_a_plan_that_can_not_be_says_why(self, dish: Path, capsys: Said) -> None:
        nailed = ("--plan", "pool", "--floor", "wood-nail-down")
        plan = asked(capsys, dish, *TEN_FEET, *nailed)["plans"]["pool"]
        assert plan["offered"] is False
        assert plan["why"].startswith("Never pour under a floor that is nailed down")

    def test_a_floor_that_passes(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "flat.csv"
        file.write_text(points("0 1 0", "0 0 0", "0 1 0"))
        answer = asked(capsys, file, *TEN_FEET)
        assert answer["verdict"] == "pass"
        assert answer["plans"] == {}
        assert asked(capsys, file, *TEN_FEET, "--plan", "least")["plans"]["least"]["bags"] == 0

    def test_a_rod_reads_down(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "rod.csv"
        file.write_text(points("0 0 0 0 0 0", "0 -9 -14 -9 0 0", "0 0 0 0 0 0", flip=True))
        assert asked(capsys, file, *TEN_FEET, "--rod")["hollow"]["gap"]["text"] == "7/8 in"
        assert asked(capsys, file, *TEN_FEET)["hump"]["gap"]["text"] == "7/8 in"

    @pytest.mark.parametrize(
        ("method", "verdict"), [("hollow", "pass"), ("hump", "fail"), ("both", "fail")]
    )
    def test_the_method_says_what_the_limit_holds_for(
        self, method: str, verdict: str, tmp_path: Path, capsys: Said
    ) -> None:
        file = tmp_path / "crown.csv"
        file.write_text(points("0 4 6 4 0", "0 4 6 4 0", "0 4 6 4 0"))
        assert asked(capsys, file, *TEN_FEET, "--method", method)["verdict"] == verdict

    def test_level_is_asked_of_the_whole_floor(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "slope.csv"
        file.write_text(points("0 2 4 6 8", "0 2 4 6 8", "0 2 4 6 8"))
        assert asked(capsys, file, *TEN_FEET)["verdict"] == "pass"
        answer = asked(capsys, file, *TEN_FEET, "--level", "1/4 in", "--plan", "least")
        assert answer["verdict"] == "fail"
        assert answer["plans"]["least"]["range"]["text"] == "1/4 in"

    def test_an_edge_that_the_spacing_can_not_see(self, dish: Path, capsys: Said) -> None:
        answer = asked(capsys, dish, "--edge", "2 ft", "--limit", "1/8 in")
        assert answer["verdict"] == "not_measured"
        assert answer["hollow"] is None
        assert answer["plans"] == {}

    def test_metric_points_give_metric_texts(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "m.txt"
        file.write_text("\n".join(f"{x} {y} 0" for x in range(4) for y in range(4)))
        answer = asked(capsys, file, "--unit", "m", "--edge", "2 m", "--limit", "3 mm")
        assert answer["range"]["text"] == "0 mm"
        assert answer["spacing"]["nm"] == "1000000000"

    def test_f_numbers_and_q_of_a_line(self, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "lines.csv"
        file.write_text(points(*["0 1 0 2 0 1 0 3 0 1 0 2 0"] * 2, spacing=12))
        answer = asked(capsys, file, *TEN_FEET)
        assert answer["ff"] > 0
        assert [q["text"] for q in answer["q"][0][:3]] == ["-1/8 in", "3/16 in", "-1/4 in"]
        assert answer["f_why_not"]

    def test_nothing_else_is_printed(self, dish: Path, capfd: pytest.CaptureFixture[str]) -> None:
        """A solver that greets on standard output would spoil the JSON."""
        cli.run(["floor", str(dish), *TEN_FEET, "--plan", "least", "--json"])
        out, err = capfd.readouterr()
        assert json.loads(out)
        assert err == ""


class TestText:
    """What a person reads."""

    def test_it_says_verdict_place_and_plans(self, dish: Path, capsys: Said) -> None:
        assert cli.run(["floor", str(dish), *TEN_FEET]) == 0
        out = capsys.readouterr().out
        assert out.startswith("Fails 3/16 in under 10 ft, as far as stations 2 ft apart can see.")
        assert "Worst hollow: 7/8 in at x 4 ft, y 2 ft" in out
        assert "least: Trowel the low places." in out
        assert "bags of 50 lb" in out

    def test_it_writes_a_map(self, dish: Path, tmp_path: Path, capsys: Said) -> None:
        out = tmp_path / "map.svg"
        assert cli.run(["floor", str(dish), *TEN_FEET, "--svg", str(out)]) == 0
        capsys.readouterr()
        assert out.read_text().startswith("<svg ")
        assert "10 ft" in out.read_text()

    def test_it_reads_standard_input(self, monkeypatch: pytest.MonkeyPatch, capsys: Said) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(DISH.encode())))
        assert asked(capsys, "-", *TEN_FEET)["verdict"] == "fail"

    def test_help_has_an_example(self, capsys: Said) -> None:
        assert cli.run(["floor", "--help"]) == 0
        assert "Example: fieldlog floor" in capsys.readouterr().out


class TestBadInput:
    """A sentence each, nothing written."""

    def test_a_file_that_is_not_there(self, tmp_path: Path, capsys: Said) -> None:
        assert "none.csv" in refused(capsys, tmp_path / "none.csv", *TEN_FEET)

    @pytest.mark.parametrize(
        "text",
        ["", "x,y,z\n", "0,0,0\n24,0,0\n", "0,0,0\n24,0,0\n48,0,0\n", "0,0,0\n0,0,1\n24,24,0\n",
         "0,0,nan\n24,0,0\n0,24,0\n", "0,0,1e308\n24,0,0\n0,24,0\n", "a,b,c\nd,e,f\n"],
    )  # fmt: skip
    def test_points_that_are_no_floor(self, text: str, tmp_path: Path, capsys: Said) -> None:
        file = tmp_path / "p.csv"
        file.write_text(text)
        refused(capsys, file, *TEN_FEET)

    def test_a_bad_row_is_named_and_skipped_only_by_choice(
        self, tmp_path: Path, capsys: Said
    ) -> None:
        file = tmp_path / "p.csv"
        file.write_text(DISH + "24,oops,3\n")
        assert "20" in refused(capsys, file, *TEN_FEET)
        assert cli.run(["floor", str(file), *TEN_FEET, "--skip-bad-rows"]) == 0
        assert capsys.readouterr().err == "1 row was skipped.\n"

    @pytest.mark.parametrize(
        ("edge", "limit", "says"),
        [
            ("0 ft", "1/8 in", "no length for a straightedge"),
            ("10 ft", "-1/8 in", "below zero"),
            ("10 ft", "11 ft", "swapped"),
            ("ten feet", "1/8 in", "ten feet"),
            ("10 ft", "31/6", "31/6"),
        ],
    )
    def test_an_edge_or_a_limit_that_makes_no_sense(
        self, edge: str, limit: str, says: str, dish: Path, capsys: Said
    ) -> None:
        assert says in refused(capsys, dish, f"--edge={edge}", f"--limit={limit}")

    @pytest.mark.parametrize(
        ("flag", "value"),
        [("--bag-yield", "much"), ("--bag-yield", "0 ft3"), ("--bag-price", "free"),
         ("--grind-price", "-3"), ("--level", "-1 in"),
         ("--most-grind", "-1/8 in"), ("--unit", "cubits")],
    )  # fmt: skip
    def test_amounts_that_are_none(self, flag: str, value: str, dish: Path, capsys: Said) -> None:
        refused(capsys, dish, *TEN_FEET, f"{flag}={value}")

    def test_a_product_whose_least_lift_is_above_its_most(
        self, dish: Path, tmp_path: Path, capsys: Said
    ) -> None:
        from fieldlog.store.product_files import PACKAGE

        own = tmp_path / "house" / "products"
        own.mkdir(parents=True)
        text = (PACKAGE / "products" / "self-leveller.toml").read_text()
        (own / "thick.toml").write_text(
            text.replace('least_lift = "1/8 in"', 'least_lift = "2 in"')
        )
        said = refused(capsys, dish, *TEN_FEET, "--data", tmp_path / "house")
        assert "thick.toml" in said
        assert "the least lift is above the most" in said


def test_the_map_shows_the_plans_patches_as_well(dish: Path, tmp_path: Path, capsys: Said) -> None:
    plain, planned = tmp_path / "plain.svg", tmp_path / "planned.svg"
    for file, more in ((plain, ()), (planned, ("--plan", "least"))):
        limit = "1 in" if file == plain else "3/16 in"
        argv = ["floor", str(dish), "--edge", "10 ft", "--limit", limit, *more]
        assert cli.run([*argv, "--svg", str(file)]) == 0
    assert plain.read_text().count("<svg ") == 1
    assert planned.read_text().count("<svg ") == 3  # the sheet, the map, the plan
    assert "Hatched rising" in planned.read_text()
    capsys.readouterr()
