"""A flight evened out: against every plan there is, and against the judge.

The reference tries every move and every change of every tread within a range, in sixteenths,
by limits and a tape's band that are written out here from the published values: riser 7 3/4
in or less, 3/8 in between the largest and the smallest, an open gap above 30 in less than
4 in. With a tape (1/32 in each, 1/32 in shared, rectangular) four u squared is two thirds of a
sixteenth squared for each of the three, so a value is clear of its limit from 1/16 in on.
"""

from __future__ import annotations

import random
import time
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from fieldlog.calc.calculations import InputsRefused, run
from fieldlog.calc.calculations.stairs_even import even_out
from fieldlog.calc.calculations.stairs_flight import Court, Flight, Plan, even_split, off
from fieldlog.calc.calculations.stairs_local import Local
from fieldlog.calc.calculations.stairs_open import gaps_to_close
from fieldlog.calc.calculations.stairs_search import STAGES, plans
from fieldlog.calc.calculations.stairs_tables import Options
from fieldlog.calc.judging import judge
from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.calc.tape import format_plain
from fieldlog.store.calc_files import load_reference

REFERENCE = load_reference()
SIXTEENTH = 25_400_000 // 16
TAPE = Court(REFERENCE.library, ("irc-2021",), "tape", "us")
EXACT = Court(REFERENCE.library, ("irc-2021",), "exact", "us")
MOVES = 24  # sixteenths that the reference moves a flight by, up and down


def flight(*risers: int, thickness: int | None = None, **more: Any) -> Flight:
    """A flight in sixteenths; open where a thickness is given."""
    count = len(risers)
    thick = (thickness * SIXTEENTH,) * count if thickness is not None else ()
    return Flight(
        tuple(r * SIXTEENTH for r in risers), thick, open_riser=thickness is not None, **more
    )


@dataclass(frozen=True)
class Limits:
    """In sixteenths: what is still clear of the limit."""

    riser: int
    spread: int
    gap: int


WITH_TAPE, IF_EXACT = Limits(123, 5, 63), Limits(124, 6, 63)
COUNTS_ABOVE = 30 * 16


def reference(
    risers: tuple[int, ...], thickness: int | None, most: int, limits: Limits,
    locked: frozenset[int] = frozenset(), locked_ends: bool = False,
) -> tuple[str, tuple[int, int, int, int]] | None:  # fmt: skip
    """Stage and cost (in sixteenths) of the best plan, by trying every one."""
    treads = len(risers) - 1
    for stage in STAGES:
        choices = [
            range(-most if stage.plane else 0, (most if stage.shim else 0) + 1)
            if t not in locked and not (locked_ends and t in (0, treads - 1)) else range(1)
            for t in range(treads)
        ]  # fmt: skip
        moves = range(-MOVES, MOVES + 1) if stage.move and not locked_ends else range(1)
        axes = np.meshgrid(np.array(moves), *(np.array(c) for c in choices), indexing="ij")
        table = np.stack([axis.ravel() for axis in axes], axis=1)
        move, change = table[:, 0], table[:, 1:]
        good = _good(risers, thickness, move, change, limits)
        if good.any():
            best = _costs(move[good], change[good])
            return stage.name, min(map(tuple, best.tolist()))
    return None


def _good(
    risers: tuple[int, ...], thickness: int | None, move: Any, change: Any, limits: Limits
) -> Any:
    zero = np.zeros((len(move), 1), dtype=int)
    tops = np.concatenate([zero, move[:, None] + change, zero], axis=1)
    after = np.array(risers)[None, :] + np.diff(tops, axis=1)
    good = (after >= 8) & (after <= limits.riser)
    ok = good.all(axis=1) & (after.max(axis=1) - after.min(axis=1) <= limits.spread)
    if thickness is None:
        return ok
    thick = thickness + np.minimum(np.concatenate([change, zero], axis=1), 0)
    gap = after - thick
    top = np.cumsum(after, axis=1) - after + gap
    return ok & ((top <= COUNTS_ABOVE) | (gap <= limits.gap)).all(axis=1)


def _costs(move: Any, change: Any) -> Any:
    return np.stack(
        [
            (change != 0).sum(axis=1), np.abs(change).sum(axis=1), (change < 0).sum(axis=1),
            np.abs(move),
        ],
        axis=1,
    )  # fmt: skip


def found(flight_: Flight, most: int, court: Court = TAPE, **more: Any) -> Any:
    """Stage and cost (in sixteenths) of the plan that the search finds, which must be judged
    right when it is typed as a person would type it.
    """
    plan = even_out(flight_, court, Options(SIXTEENTH, most, **more))
    if plan is None:
        return None
    assert flight_.after(plan.plan) == plan.flight
    _passes_as_typed(plan.flight, court)
    pieces, total, planed, move = plan.plan.cost
    return plan.stage, (pieces, total // SIXTEENTH, planed, move // SIXTEENTH)


def _passes_as_typed(after: Flight, court: Court) -> None:
    readings: dict[str, Any] = {"riser": [format_plain(r) for r in after.risers]}
    if after.thickness:
        readings["tread_thickness"] = [format_plain(t) for t in after.thickness if t is not None]
        readings["open_riser"] = True
    judged = judge(court.library, "stair", court.books, readings, court.tool)
    assert off(judged) == []


def seeded(seed: int) -> tuple[tuple[int, ...], int | None]:
    """A flight of 2 to 7 risers and perhaps a tread thickness, in sixteenths."""
    rnd = random.Random(seed)
    count, noise = rnd.randint(2, 7), rnd.choice((2, 4, 7))
    middle = rnd.choice((116, 120, 121, 122))
    risers = tuple(middle + rnd.randint(-noise, noise) for _ in range(count))
    return risers, rnd.choice((None, 54, 56, 57, 58, 60))


class TestAgainstEveryPlan:
    @pytest.mark.parametrize("seed", range(80))
    def test_with_a_tape(self, seed: int) -> None:
        risers, thickness = seeded(seed)
        most = 2 if len(risers) > 5 else 3
        assert found(flight(*risers, thickness=thickness), most) == reference(
            risers, thickness, most, WITH_TAPE
        )

    @pytest.mark.parametrize("seed", range(80, 110))
    def test_with_the_exact_instrument(self, seed: int) -> None:
        risers, thickness = seeded(seed)
        most = 2 if len(risers) > 5 else 3
        assert found(flight(*risers, thickness=thickness), most, EXACT) == reference(
            risers, thickness, most, IF_EXACT
        )

    @pytest.mark.parametrize("seed", range(110, 150))
    def test_with_locks(self, seed: int) -> None:
        risers, thickness = seeded(seed)
        most, rnd = 2 if len(risers) > 5 else 3, random.Random(-seed)
        locked = frozenset(t for t in range(len(risers) - 1) if rnd.random() < 0.3)
        ends = rnd.random() < 0.5
        assert found(
            flight(*risers, thickness=thickness), most, locked=locked, locked_ends=ends
        ) == reference(risers, thickness, most, WITH_TAPE, locked, ends)

    def test_the_reference_meets_each_kind_of_answer(self) -> None:
        """Or the comparisons above would compare little."""
        answers = [
            reference(*seeded(seed), 2, WITH_TAPE) for seed in range(80) if len(seeded(seed)[0]) < 7
        ]
        stages = {a[0] if a else None for a in answers}
        assert stages == {None, "nothing", "move", "shim", "plane"}

    def test_plans_come_in_order_and_each_once(self) -> None:
        one = flight(121, 117, 125, 118, 126)
        options = Options(SIXTEENTH, 3)
        seen = list(plans(one, Local(TAPE, one), options, STAGES[-1]))
        assert len(seen) == len(set(seen)) > 100
        costs = [plan.cost for plan in seen]
        assert costs == sorted(costs)


class TestStages:
    def test_nothing_where_all_is_right(self) -> None:
        assert found(flight(120, 120, 120), 3) == ("nothing", (0, 0, 0, 0))

    def test_a_move_where_only_the_ends_are_off(self) -> None:
        """The first riser lost 3/4 in to a floor, the last one gained it."""
        plan = even_out(flight(112, 120, 120, 128), TAPE, Options(SIXTEENTH, 8))
        assert plan is not None
        assert plan.plan == Plan(6 * SIXTEENTH, (0, 0, 0))
        assert [r // SIXTEENTH for r in plan.flight.risers] == [118, 120, 120, 122]

    def test_shims_before_planing(self) -> None:
        """Planing tread 4 alone would do; the order is shims first."""
        stage, (pieces, _, planed, _) = found(flight(120, 120, 120, 126, 114, 120, 120), 8)
        assert (stage, planed) == ("shim", 0)
        assert pieces > 1

    def test_planing_a_tread_opens_the_gap_above_it(self) -> None:
        """Riser 6 is too high, and tread 6 the only one that may be touched: planed by 1/16 in
        it is right, and riser 7 with it. Where the gap at riser 7 has no sixteenth to spare, the
        flight has to be moved up as well.
        """
        solid = flight(120, 120, 120, 120, 120, 124, 118)
        spare = tuple(t * SIXTEENTH for t in (60, 60, 60, 60, 60, 62, 56))
        none = (*spare[:-1], 55 * SIXTEENTH)
        options = Options(SIXTEENTH, 4, frozenset(range(5)))
        for one, move in (
            (solid, 0),
            (replace(solid, thickness=spare, open_riser=True), 0),
            (replace(solid, thickness=none, open_riser=True), SIXTEENTH),
        ):
            plan = even_out(one, TAPE, options)
            assert plan is not None
            assert plan.plan == Plan(move, (0, 0, 0, 0, 0, -SIXTEENTH))

    def test_locked_ends_keep_the_first_and_the_last_riser(self) -> None:
        one = flight(118, 124, 117, 121, 119)
        plan = even_out(one, TAPE, Options(SIXTEENTH, 8, locked_ends=True))
        assert plan is not None
        assert plan.plan.move == 0
        assert plan.flight.risers[0] == one.risers[0]
        assert plan.flight.risers[-1] == one.risers[-1]

    def test_thickness_only_shrinks_where_a_tread_is_planed(self) -> None:
        one = flight(120, 120, 120, thickness=60)
        after = one.after(Plan(0, (2 * SIXTEENTH, -3 * SIXTEENTH)))
        assert [t // SIXTEENTH for t in after.thickness if t] == [60, 57, 60]
        assert [r // SIXTEENTH for r in after.risers] == [122, 115, 123]

    def test_a_lifted_tread_takes_the_headroom(self) -> None:
        """The flight has to go up by 6/16 in, and a tape needs 1/16 in more to be sure."""
        for spare, stage in ((7, "move"), (6, None)):
            low = flight(112, 120, 120, 128, headroom=(80 * 16 + spare) * SIXTEENTH)
            plan = even_out(low, TAPE, Options(SIXTEENTH, 3))
            assert (plan and plan.stage) == stage

    def test_a_shim_takes_the_headroom_as_well(self) -> None:
        """Tread 1 shimmed by 1/16 in would do. With no headroom to spare the flight goes down by
        that before, so that nothing is higher than it was.
        """
        for spare, move in ((2, 0), (1, -SIXTEENTH)):
            low = flight(119, 124, 118, 120, headroom=(80 * 16 + spare) * SIXTEENTH)
            plan = even_out(low, TAPE, Options(SIXTEENTH, 8))
            assert plan is not None
            assert plan.plan == Plan(move, (SIXTEENTH, 0, 0))


class TestOtherLimits:
    """Limits of other books, and of a shape that only the judge can ask about."""

    def test_a_least_riser_is_kept(self) -> None:
        library = _with_rule('quantity = "riser"\ncompare = ">="\nlimit = "7 7/16 in"')
        court = replace(EXACT, library=library, books=("irc-2021", "more"))
        plan = even_out(flight(117, 120, 120, 123), court, Options(SIXTEENTH, 8))
        assert plan is not None
        assert min(plan.flight.risers) >= 119 * SIXTEENTH

    def test_a_condition_on_all_risers_is_left_to_the_judge(self) -> None:
        """Where any riser is over 7 1/2 in none may be under 7 1/4 in."""
        library = _with_rule(
            'quantity = "riser"\ncompare = ">="\nlimit = "7 1/4 in"\n'
            "when = 'max(riser) > \"7 1/2 in\"'"
        )
        court = replace(EXACT, library=library, books=("irc-2021", "more"))
        one = flight(115, 120, 121)
        assert even_out(one, EXACT, Options(SIXTEENTH, 4)) is not None
        plan = even_out(one, court, Options(SIXTEENTH, 4))
        assert plan is not None
        assert plan.plan == Plan(SIXTEENTH, (0, 0))

    def test_a_book_without_a_spread_is_searched_as_well(self) -> None:
        library = _with_rule('quantity = "riser"\ncompare = "<="\nlimit = "7 3/4 in"')
        court = replace(EXACT, library=library, books=("more",))
        plan = even_out(flight(100, 126, 120, 124), court, Options(SIXTEENTH, 8))
        assert plan is not None
        assert (plan.stage, plan.plan.pieces, plan.plan.total) == ("shim", 1, 2 * SIXTEENTH)

    def test_two_limits_on_openings_each_where_it_applies(self) -> None:
        """4 in above 30 in by the code, 5 in everywhere by a book of the house's own."""
        library = _with_rule(
            'quantity = "open_gap"\ncompare = "<"\nlimit = "5 in"\nwhen = "open_riser"'
        )
        court = replace(EXACT, library=library, books=("irc-2021", "more"))
        plan = even_out(flight(120, 121, 120, thickness=42), court, Options(SIXTEENTH, 4))
        assert plan is not None
        assert plan.plan.pieces == 0
        assert even_out(flight(122, 123, 122, thickness=40), EXACT, Options(SIXTEENTH, 4))
        assert even_out(flight(122, 123, 122, thickness=40), court, Options(SIXTEENTH, 4)) is None

    def test_an_override_of_the_house_holds(self) -> None:
        own = SourceText(
            "overrides", "overrides.toml",
            '[[override]]\nrule = "stair.riser-height"\nlimit = "8 1/4 in"\nreason = "local"\n'
            'by = "inspector"\n',
        )  # fmt: skip
        library = build_library([*REFERENCE.library.sources.values(), own])
        court = replace(EXACT, library=library)
        assert even_out(flight(132, 132), court, Options(SIXTEENTH, 2)) is not None
        assert even_out(flight(132, 132), EXACT, Options(SIXTEENTH, 2)) is None


def _with_rule(rule: str) -> Library:
    text = (
        'id = "more"\ntitle = "More"\ndocument = "More"\nedition = ""\ndated = "2026"\n'
        'source = "made up"\n[[rule]]\nid = "stair.made-up"\nsheet = "stair"\nlabel = "Made up"\n'
        'kind = "ours"\nclause = "1"\nverified = "common practice"\nseen = "made up"\n' + rule
    )
    sources = [*REFERENCE.library.sources.values(), SourceText("book", "more.toml", text)]
    return build_library(sources)


class TestSpeed:
    @pytest.mark.parametrize("seed", range(3))
    def test_twenty_risers(self, seed: int) -> None:
        """Some tenths of a second; the bound only catches a search that tries every plan."""
        rnd = random.Random(seed)
        risers = [120 + rnd.randint(-5, 5) for _ in range(20)]
        started = time.process_time()
        even_out(flight(*risers, thickness=58), TAPE, Options(SIXTEENTH, 16))
        assert time.process_time() - started < 10

    def test_twenty_risers_without_a_limit_on_their_spread(self) -> None:
        library = _with_rule('quantity = "riser"\ncompare = "<="\nlimit = "7 3/4 in"')
        court = replace(EXACT, library=library, books=("more",))
        rnd = random.Random(7)
        started = time.process_time()
        assert even_out(
            flight(*(120 + rnd.randint(-9, 9) for _ in range(20))), court, Options(SIXTEENTH, 16)
        )
        assert time.process_time() - started < 10


def asked(name: str, system: str = "us", **inputs: str) -> dict[str, Any]:
    raw = {key.replace("_", "-"): value for key, value in inputs.items()}
    return run(name, raw, system, REFERENCE)


def refusal(**inputs: str) -> str:
    with pytest.raises(InputsRefused) as refused:
        asked("even-risers", **inputs)
    return str(refused.value)


class TestCalculation:
    def test_the_plan_is_told_in_orders(self) -> None:
        out = asked("even-risers", risers="7 1/2, 7 3/4, 7 5/8")
        assert out["answer"]["plan"]["text"] == "Shim tread 1 by 1/16 in."
        assert out["answer"]["pieces"]["text"] == "1"
        assert out["answer"]["treads"]["rows"][0]["act"]["text"] == "shim"
        assert [r["text"] for r in out["answer"]["risers_after"]["values"]] == [
            "7 9/16 in", "7 11/16 in", "7 5/8 in",
        ]  # fmt: skip
        assert out["answer"]["judged"]["text"].startswith("4 limits on risers")
        assert out["steps"][0].startswith("Riser 2 is 7 3/4 in")

    def test_a_move_says_which_way(self) -> None:
        out = asked("even-risers", risers="7,7 1/2,7 1/2,8", open="no")
        assert out["answer"]["plan"]["text"] == "Move the whole flight up by 3/8 in."
        assert any("headroom" in note for note in out["notes"])

    def test_fewer_pieces_with_planing_are_told_beside_it(self) -> None:
        out = asked("even-risers", risers="7 1/2,7 1/2,7 1/2,7 7/8,7 1/8,7 1/2,7 1/2", open="no")
        assert out["answer"]["stage"]["text"] == "shim"
        planed = out["answer"]["with_planing_pieces"]["text"]
        assert int(planed) < int(out["answer"]["pieces"]["text"])
        assert "Plane tread 4" in out["answer"]["with_planing"]["text"]

    def test_why_there_is_none(self) -> None:
        eight = asked("even-risers", risers="8,8,8")
        assert "No plan" in eight["answer"]["plan"]["text"]
        assert any("another count of risers" in step for step in eight["steps"])
        locked = asked("even-risers", risers="7,7 1/2,7 1/2,8", locked_ends="yes")
        assert any("locked" in step for step in locked["steps"])
        thin = asked("even-risers", risers=",".join(["7 1/2"] * 7 + ["7 7/8"]), open="yes",
                     tread_thickness="3")  # fmt: skip
        assert any("too thin" in step for step in thin["steps"])
        far = asked("even-risers", risers="6,8 1/4,6 1/2,8 1/4", most="1/16")
        assert any("set anew" in step for step in far["steps"])

    def test_a_headroom_that_is_too_low_blocks_only_what_takes_of_it(self) -> None:
        """98 1/4 in over 13 risers is about 7 9/16 in: no other count is needed."""
        short = ",".join(["7 9/16"] * 11 + ["7 1/16", "8"])
        blocked = asked("even-risers", risers=short, headroom="6 ft 5 in", open="no")
        assert "No plan" in blocked["answer"]["plan"]["text"]
        said = " ".join(blocked["steps"])
        assert "another count" not in said
        assert "Headroom is 6 ft 5 in. Needs 6 ft 8 in or more." in said
        assert "stands in its way, because this lifts a tread under it: Shim tread 12 by" in said
        high = short.replace("7 1/16,8", "8,7 1/16")
        lower = asked("even-risers", risers=high, headroom="6 ft 5 in", open="no")
        assert lower["answer"]["plan"]["text"].startswith("Move the whole flight down by")
        assert any("does not change this: Headroom" in note for note in lower["notes"])

    def test_what_evening_out_does_not_change_is_told(self) -> None:
        out = asked("even-risers", risers="7 1/2,7 1/2", treads="9")
        assert any("Tread" in note and "does not change" in note for note in out["notes"])

    def test_metric_steps_are_a_millimeter(self) -> None:
        out = asked("even-risers", "metric", risers="190,195,185,199", open="no")
        changes = [r["by"]["nm"] for r in out["answer"]["treads"]["rows"]]
        assert all(int(nm) % 1_000_000 == 0 for nm in changes)
        assert out["answer"]["spread_after"]["text"].endswith("mm")

    def test_a_total_rise_that_agrees_is_taken(self) -> None:
        out = asked("even-risers", risers="7 1/2,7 3/4,7 5/8", total_rise="22 7/8")
        assert out["answer"]["pieces"]["text"] == "1"

    @pytest.mark.parametrize(
        ("inputs", "says"),
        [
            ({"risers": "7 1/2,0"}, "risers 2: 0 in"),
            ({"risers": "7 1/2,-7"}, "risers 2: -7 in"),
            ({"risers": "7 1/2,75"}, "risers 2: 75 in is outside"),
            ({"risers": ",".join(["7 1/2"] * 40)}, "40 of them; 30 at most"),
            ({"risers": "7 1/2,190 mm"}, "risers 2: this is in millimeters"),
            ({"risers": "7 1/2"}, "no flight"),
            ({"risers": "7 1/2,7 1/2", "tread-thickness": "8"}, "thinner than its riser"),
            ({"risers": "7 1/2,7 1/2,7", "tread-thickness": "3,8"}, "tread-thickness 2"),
            ({"risers": "7 1/2,7 1/2", "tread-thickness": "3,3,3"}, "3 thicknesses for 2"),
            ({"risers": "7 1/2,7 1/2", "total-rise": "15 1/2"}, "a difference of 1/2 in"),
            ({"risers": "7 1/2,7 1/2", "open": "yes"}, "thickness is missing"),
            ({"risers": "7 1/2,7 1/2", "locked": "2"}, "no 2"),
            ({"risers": "7 1/2,7 1/2", "treads": "10,10,10"}, "3 treads for 2"),
            ({"risers": "7 1/2,7 1/2", "step": "1/128"}, "1/128"),
            ({"risers": "7 1/2,7 1/2", "most": "12"}, "64 steps"),
            ({"risers": "7 1/2,7 1/2", "tool": "ball-4in"}, "no lengths"),
        ],
    )
    def test_what_can_not_be_is_refused(self, inputs: dict[str, str], says: str) -> None:
        assert says in refusal(**inputs)

    def test_an_unknown_book_or_tool_is_a_sentence(self) -> None:
        for inputs in ({"books": "irc-1999"}, {"tool": "eyeball"}):
            with pytest.raises(ValueError, match="There is no"):
                asked("even-risers", risers="7 1/2,7 1/2", **inputs)


class TestOpenRisers:
    RISERS = ",".join(["7 1/2"] * 8)

    def test_the_thickness_that_closes_each_opening_that_counts(self) -> None:
        """Tops of the openings from riser 5 on lie over 30 in; 4 1/2 in is too wide."""
        one = flight(*[120] * 8, thickness=48)
        gaps = gaps_to_close(one, TAPE, SIXTEENTH)
        assert [gap.riser for gap in gaps] == [5, 6, 7, 8]
        assert {gap.needs // SIXTEENTH for gap in gaps} == {57}
        assert {gap.needs // SIXTEENTH for gap in gaps_to_close(one, EXACT, SIXTEENTH)} == {57}

    def test_below_leaves_the_risers_alone_and_above_does_not(self) -> None:
        out = asked("open-risers", risers=self.RISERS, tread_thickness="3", edge="11 1/4")
        answer = out["answer"]
        assert answer["added"]["text"] == "9/16 in"
        assert answer["below"]["text"].startswith("Passes; no riser changes")
        assert answer["above"]["text"].startswith("Does not pass")
        assert "below" in answer["says"]["text"]
        assert len(answer["gaps"]["rows"]) == 3

    def test_above_where_the_flight_has_room_for_it(self) -> None:
        """A first riser that is low and a last one that is high by the layer to come."""
        risers = "7,7 1/2,7 1/2,7 1/2,7 1/2,7 1/2,7 1/2,7 5/8"
        out = asked("open-risers", risers=risers, tread_thickness="3 3/8", edge="11")["answer"]
        assert out["added"]["text"] == "3/16 in"
        assert out["above"]["text"].startswith("Passes")

    def test_a_strip_or_a_rod(self) -> None:
        out = asked("open-risers", risers=self.RISERS, tread_thickness="3", rod="1/2")
        row = out["answer"]["gaps"]["rows"][0]
        assert (row["strip"]["text"], row["strip_leaves"]["text"]) == ("9/16 in", "3 15/16 in")
        assert (row["rod_leaves"]["text"], row["rod"]["text"]) == ("2 in", "passes")
        assert out["answer"]["edge_strip"]["text"] == "9/16 in"

    def test_closed_enough(self) -> None:
        out = asked("open-risers", risers=self.RISERS, tread_thickness="4")
        assert "closed enough" in out["answer"]["says"]["text"]

    def test_no_limit_for_it(self) -> None:
        with pytest.raises(InputsRefused, match="limit for open risers"):
            asked("open-risers", risers=self.RISERS, tread_thickness="3", books="plank-floor")


def test_an_even_split_adds_up_and_never_hides_an_excess() -> None:
    for total, parts in ((94 * 25_400_000, 13), (100, 7), (7, 7), (1, 3)):
        split = even_split(total, parts)
        assert sum(split) == total
        assert max(split) - min(split) <= 1
        assert max(split) == -(-total // parts)
