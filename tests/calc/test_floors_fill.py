"""The least fill: against SciPy over every chord, pointwise least, exact, and what it keeps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc import floors_fill, floors_plan_tiles
from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_plan_chords import broken, highest_chord, lines_of, undominated
from fieldlog.calc.floors_plan_programme import CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, Keep
from fieldlog.calc.floors_plan_watch import Progress, Stopped, Watch
from fieldlog.calc.floors_survey import SurveyNotUsable, stations_of
from tests.floors_made import (
    FOOT,
    INCH,
    SIXTEENTH,
    TEN_FEET,
    TEN_FEET_HOLLOW,
    bent,
    breaks,
    chords,
    floor,
    floors,
    least_by_scipy,
    limits,
    stations_in,
)

HUNDREDTH = 10_000  # nm
Rows = list[list[int | None]]
methods = st.sampled_from(["hollow", "hump", "both"])


class TestHollowsAlone:
    """One surface lies under every other that passes."""

    @settings(max_examples=60, deadline=None)
    @given(floors, st.integers(1, 6))
    def test_it_passes_and_takes_what_scipy_takes(self, rows: Rows, sixteenths: int) -> None:
        asked = limits((10 * FOOT, sixteenths * SIXTEENTH), method="hollow")
        task = FloorTask(stations_in(rows), asked)
        found = least_fill(task)
        assert breaks(task, found.depths) == []
        assert found.depths.min() >= 0
        assert found.volume == pytest.approx(least_by_scipy(task), abs=1e-3)

    @settings(max_examples=40, deadline=None)
    @given(floors)
    def test_no_station_could_be_a_nanometer_lower(self, rows: Rows) -> None:
        task = FloorTask(stations_in(rows), TEN_FEET_HOLLOW)
        depths = least_fill(task).depths
        for cell in zip(*np.nonzero(depths), strict=True):
            lower = depths.copy()
            lower[cell] -= 1
            assert breaks(task, lower) != []

    def test_uneven_chords_to_a_nanometer(self) -> None:
        rows: Rows = [[0, 0, 0, None, None], [None, -3, 0, 0, 0], [0, 0, 0, None, None],
                      [None, None, None, 0, 0], [0, 0, None, None, 7]]  # fmt: skip
        task = FloorTask(stations_in(rows), TEN_FEET_HOLLOW)
        depths = least_fill(task).depths
        assert depths.any()
        for cell in zip(*np.nonzero(depths), strict=True):
            lower = depths.copy()
            lower[cell] -= 1
            assert breaks(task, lower) != []

    @settings(max_examples=40, deadline=None)
    @given(floors, st.integers(0, 5))
    def test_it_lies_under_the_fill_of_any_higher_floor(self, rows: Rows, up: int) -> None:
        stations = stations_in(rows)
        task = FloorTask(stations, TEN_FEET_HOLLOW)
        rng = np.random.default_rng(up)
        more = rng.integers(0, up + 1, stations.shape) * SIXTEENTH
        higher = task.on(stations.z + np.where(stations.mask, more, 0))
        under = stations.z + least_fill(task).depths
        over = higher.stations.z + least_fill(higher).depths
        assert np.all(under <= over)

    @settings(max_examples=40, deadline=None)
    @given(floors, st.integers(1, 8), st.integers(0, 8))
    def test_a_wider_limit_wants_nowhere_more(self, rows: Rows, limit: int, wider: int) -> None:
        near, far = (
            FloorTask(stations_in(rows), limits((10 * FOOT, n * SIXTEENTH), method="hollow"))
            for n in (limit, limit + wider)
        )
        assert np.all(least_fill(far).depths <= least_fill(near).depths)

    def test_a_floor_that_passes_wants_nothing(self) -> None:
        task = FloorTask(floor("0 1 2 3 2 1", "0 0 1 2 1 0"), TEN_FEET)
        found = least_fill(task)
        assert not found.depths.any()
        assert found.volume == found.bound == 0

    def test_a_wide_deep_bowl_goes_to_the_programme_and_agrees(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        y, x = np.mgrid[:9, :9]
        bowl = ((x - 4) ** 2 + (y - 4) ** 2) * SIXTEENTH
        task = FloorTask(stations_of(bowl.tolist(), FOOT), limits((4 * FOOT, 0), method="hollow"))
        by_programme = least_fill(task).depths
        monkeypatch.setattr(floors_fill, "MOST_RAISED", -1)
        by_sweeps = least_fill(task).depths
        assert breaks(task, by_programme) == []
        assert np.abs(by_programme - by_sweeps).max() < HUNDREDTH


class TestHumpsToo:
    """There is no least surface: the least volume is a linear programme."""

    @settings(max_examples=50, deadline=None)
    @given(floors, st.integers(1, 6), methods)
    def test_it_passes_and_takes_what_scipy_takes(self, rows: Rows, n: int, method: str) -> None:
        task = FloorTask(stations_in(rows), limits((10 * FOOT, n * SIXTEENTH), method=method))
        found = least_fill(task)
        least = least_by_scipy(task)
        assert breaks(task, found.depths) == []
        assert found.depths.min() >= 0
        assert found.volume == pytest.approx(least, abs=1e-3)
        assert found.bound <= least + 1e-4

    @settings(max_examples=20, deadline=None)
    @given(floors)
    def test_several_limits_at_once(self, rows: Rows) -> None:
        two = limits((10 * FOOT, 3 * SIXTEENTH), (6 * FOOT, 2 * SIXTEENTH))
        task = FloorTask(stations_in(rows), two)
        found = least_fill(task)
        assert breaks(task, found.depths) == []
        assert found.volume == pytest.approx(least_by_scipy(task), abs=1e-3)

    def test_a_crown_is_eased_beside_it_and_never_on_it(self) -> None:
        task = FloorTask(floor("0 0 0 8 0 0 0", "0 0 0 8 0 0 0"), TEN_FEET)
        depths = least_fill(task).depths
        assert breaks(task, depths) == []
        assert not depths[:, 3].any()
        assert depths[:, 2].all() or depths[:, 4].all()

    def test_a_stations_own_area_counts(self) -> None:
        """A small cell beside the wall is filled rather than the whole one across the crown."""
        stations = floor("0 8 0")
        area = np.array([[FOOT**2, 4 * FOOT**2, 4 * FOOT**2]])
        depths = least_fill(FloorTask(stations, TEN_FEET, area=area)).depths
        assert depths[0, 0] > 0
        assert depths[0, 2] == 0


class TestKept:
    """Heights that must stay, and a finish that must be level."""

    def test_a_sill_that_need_not_change_is_kept(self) -> None:
        stations = floor("0 0 0 0 0 0", "0 0 -8 0 0 0", "0 0 0 0 0 0")
        keep = Keep((0, 0), "the door sill")
        task = FloorTask(stations, TEN_FEET, keeps=(keep,))
        depths = least_fill(task).depths
        assert depths[0, 0] == 0
        assert depths[1, 2] > 0
        assert breaks(task, depths) == []

    @pytest.mark.parametrize("asked", [TEN_FEET, TEN_FEET_HOLLOW])
    def test_a_drain_in_the_hollow_can_not_be_kept(self, asked: tuple) -> None:
        task = FloorTask(floor("0 0 -8 0 0"), asked, keeps=(Keep((0, 2), "the drain"),))
        with pytest.raises(CannotPass):
            least_fill(task)

    def test_a_kept_height_may_rise_as_far_as_it_says(self) -> None:
        keep = Keep((0, 2), "the drain", fill=5 * SIXTEENTH)
        task = FloorTask(floor("0 0 -8 0 0"), TEN_FEET, keeps=(keep,))
        assert least_fill(task).depths[0, 2] == pytest.approx(5 * SIXTEENTH, abs=HUNDREDTH)

    def test_humps_are_eased_on_the_side_that_may_rise(self) -> None:
        task = FloorTask(floor("0 8 0"), TEN_FEET, keeps=(Keep((0, 0), "the sill"),))
        depths = least_fill(task).depths
        assert depths[0, 0] == 0
        assert depths[0, 2] == pytest.approx(10 * SIXTEENTH, abs=HUNDREDTH)

    @pytest.mark.parametrize("asked", [TEN_FEET, TEN_FEET_HOLLOW])
    def test_level_lifts_the_low_end(self, asked: tuple) -> None:
        task = FloorTask(floor("0 2 4 6 8 10", "0 2 4 6 8 10"), asked, level=4 * SIXTEENTH)
        depths = least_fill(task).depths
        assert breaks(task, depths) == []
        assert depths.max() == pytest.approx(6 * SIXTEENTH, abs=HUNDREDTH)

    def test_flat_is_enough_where_level_is_not_asked(self) -> None:
        assert not least_fill(FloorTask(floor("0 9 18 27 36 45"), TEN_FEET)).depths.any()


class TestTiles:
    """Floors too bent for one piece."""

    @pytest.fixture(autouse=True)
    def small(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(floors_plan_tiles, "MOST_BENT", 20)
        monkeypatch.setattr(floors_plan_tiles, "TILE", 5)

    def test_tiles_pass_near_the_least_and_never_under_the_bound(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        task = FloorTask(bent(13, 17), TEN_FEET)
        assert floors_plan_tiles.too_large(task)
        tiled = least_fill(task)
        monkeypatch.setattr(floors_plan_tiles, "MOST_BENT", 10_000)
        whole = least_fill(task)
        assert breaks(task, tiled.depths) == []
        assert 0 < tiled.bound <= whole.volume + 1e-6
        assert whole.volume <= tiled.volume + 1e-3 <= whole.volume * 1.2

    def test_progress_is_told_and_the_bound_only_grows(self) -> None:
        seen: list[Progress] = []
        least_fill(FloorTask(bent(10, 10), TEN_FEET), Watch(seen.append))
        assert [p.done for p in seen] == [0, 0, 0, 0, 1, 2, 3, 4]
        bounds = [p.bound for p in seen]
        assert bounds == sorted(bounds)
        assert seen[-1].left == 0
        assert seen[-1].finished is not None
        assert seen[-1].finished.all()

    def test_it_can_be_stopped_and_says_what_is_left(self) -> None:
        seen: list[Progress] = []
        task = FloorTask(bent(15, 15), TEN_FEET)
        watch = Watch(seen.append, lambda: bool(seen) and seen[-1].done == 2)
        with pytest.raises(Stopped) as stopped:
            least_fill(task, watch)
        progress = stopped.value.progress
        assert (progress.done, progress.of) == (2, 9)
        assert 0 < progress.left < progress.bound
        assert progress.change is not None
        assert progress.finished is not None
        part = replace(task.stations, mask=progress.finished)
        assert breaks(replace(task, stations=part), progress.change) == []

    def test_kept_heights_hold_in_tiles(self) -> None:
        keeps = (Keep((0, 0), "the sill"), Keep((9, 9), "the drain", fill=INCH))
        task = FloorTask(bent(10, 10, 3), TEN_FEET, keeps=keeps)
        depths = least_fill(task).depths
        assert depths[0, 0] == 0
        assert depths[9, 9] <= INCH


def test_an_edge_over_too_many_stations_is_said() -> None:
    stations = stations_of([[0] * 2100, [0] * 2100], SIXTEENTH // 2)
    with pytest.raises(SurveyNotUsable, match="Grid the survey in larger cells"):
        least_fill(FloorTask(stations, TEN_FEET))


def test_many_broken_stations_go_by_tiles(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(floors_plan_tiles, "MOST_BENT", 50)
    monkeypatch.setattr(floors_plan_tiles, "MOST_BROKEN", 60)
    rows = [["0 -8 0 0 0 0 0 0"] * 3] * 8
    task = FloorTask(floor(*[" ".join(row) for row in rows]), TEN_FEET_HOLLOW)
    assert not floors_plan_tiles.too_large(task)
    monkeypatch.setattr(floors_plan_tiles, "MOST_BROKEN", 20)
    assert floors_plan_tiles.too_large(task)
    assert not floors_plan_tiles.too_large(replace(task, level=SIXTEENTH))


def test_it_can_be_stopped_between_sweeps() -> None:
    with pytest.raises(Stopped):
        least_fill(FloorTask(floor("0 -8 0 -8 0"), TEN_FEET_HOLLOW), Watch(stop=lambda: True))


def test_only_limits_that_no_other_holds_are_asked() -> None:
    ten, six, loose = limits(
        (10 * FOOT, 3 * SIXTEENTH), (6 * FOOT, 2 * SIXTEENTH), (8 * FOOT, INCH), method="hollow"
    )
    assert undominated([ten, six, loose, ten]) == [ten, six]


@settings(max_examples=40, deadline=None)
@given(floors, methods)
def test_the_broken_chords_are_the_worst_of_all_that_are(rows: Rows, method: str) -> None:
    stations = stations_in(rows)
    edge, most = 10 * FOOT, 2 * SIXTEENTH
    asked = limits((edge, most), method=method)
    lines = lines_of(stations, asked)
    found = broken(lines, lines.flat(stations.z))
    row, column = np.divmod(found.at, lines.width)
    z = lines.flat(stations.z)
    gaps = z[found.start] * found.after + z[found.end] * found.before
    gaps = found.sign * (gaps / (found.before + found.after) - z[found.at])
    mine = zip(row * lines.columns + column, found.sign, gaps, strict=True)
    sign = [1 if one.kind == "hollow" else -1 for one in asked]
    worst: dict[tuple[int, int, int], float] = {}
    flat = stations.z.ravel()
    for start, end, at, before, after in chords(stations, edge):
        gap = (flat[start] * after + flat[end] * before) / (before + after) - flat[at]
        for one in sign:
            key = (at, one, (end - at) // after)
            worst[key] = max(worst.get(key, 0), one * gap)
    over = [(at, one, gap) for (at, one, _), gap in worst.items() if gap > most + 1e-3]
    assert np.array(sorted(mine)) == pytest.approx(np.array(sorted(over)), abs=1e-3)


def test_a_floor_of_nothing_known_but_one_station() -> None:
    task = FloorTask(floor(". . .", ". 3 ."), TEN_FEET, level=SIXTEENTH)
    assert not least_fill(task).depths.any()
    assert np.isnan(highest_chord(task.surface, 1, 2)).all()
