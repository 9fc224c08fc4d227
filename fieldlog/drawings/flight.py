"""The shape of a flight of stairs from its readings, in inches, ready to be drawn to scale."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from statistics import median

from fieldlog.drawings.judged import Judged, Reading

# Sizes to draw where nothing was measured; drawn dashed, and the drawing says so.
_RISER, _TREAD, _NOSING, _THICKNESS = 7.5, 10.0, 1.0, 1.0

# A reading far off its neighbours (a slip of the pen) is drawn no smaller or larger than this
# times their median, so that the rest stays legible; the drawing says so.
_LEAST, _MOST = 0.5, 2.0


@dataclass(frozen=True)
class Step:
    """One riser and the tread above it; lengths in inches as drawn."""

    number: int
    riser: Reading
    tread: Reading
    rise: float
    run: float
    nosing: float
    thickness: float
    thickness_known: bool
    to_scale: bool

    @property
    def measured(self) -> bool:
        """Whether its riser and its tread were measured (dashed otherwise)."""
        return self.riser.known and self.tread.known


@dataclass(frozen=True)
class Flight:
    """`heights[i]` is the top of tread i (0: the floor below), `fronts[i]` the nosing of step
    i + 1, so that `fronts[len(steps)]` is where the last tread ends. `top_tread`: the last
    tread was given, else the floor above is there."""

    steps: tuple[Step, ...]
    heights: tuple[float, ...]
    fronts: tuple[float, ...]
    top_tread: bool
    open: bool | None

    def back(self, index: int) -> float:
        """Where the board of step `index` (from 0) ends: under the next nosing."""
        after = self.steps[min(index + 1, len(self.steps) - 1)]
        return self.fronts[index + 1] + after.nosing


def flight_of(judged: Judged) -> Flight | None:
    """The flight, or None where there is neither a riser nor a tread."""
    risers, treads = judged.values("riser"), judged.values("tread")
    winders = judged.values("winder_walkline")
    treads = [tread_of(judged, i) for i in range(max(len(treads), len(winders)))]
    count = max(len(risers), len(treads))
    if not count:
        return None
    usual_rise = _usual(risers, _RISER)
    usual_run = _usual(treads, _TREAD)
    steps = tuple(_step(judged, i, usual_rise, usual_run) for i in range(count))
    heights = (0.0, *accumulate(s.rise for s in steps))
    fronts = (0.0, *accumulate(s.run for s in steps))
    open_riser = judged.value("open_riser").yes
    return Flight(steps, heights, fronts, len(treads) >= count, open_riser)


def tread_of(judged: Judged, index: int) -> Reading:
    """A tread's depth, a winder's at the walkline."""
    tread = judged.value("tread", index)
    return tread if tread.known else judged.value("winder_walkline", index)


def _step(judged: Judged, index: int, usual_rise: float, usual_run: float) -> Step:
    riser, tread = judged.value("riser", index), tread_of(judged, index)
    rise, run = _drawn(riser, usual_rise), _drawn(tread, usual_run)
    nosing, thickness = (_of_step(judged, n, index).size for n in ("nosing", "tread_thickness"))
    to_scale = riser.size in (rise, None) and tread.size in (run, None)
    return Step(
        number=index + 1,
        riser=riser,
        tread=tread,
        rise=rise,
        run=run,
        nosing=min(max(_NOSING if nosing is None else nosing, 0.0), run * 0.4),
        thickness=min(max(thickness or _THICKNESS, rise * 0.06), rise * 0.8),
        thickness_known=thickness is not None,
        to_scale=to_scale,
    )


def _of_step(judged: Judged, name: str, index: int) -> Reading:
    """A step's own reading; one is enough where all are alike."""
    return judged.value(name, 0 if len(judged.values(name)) == 1 else index)


def _usual(readings: list[Reading], otherwise: float) -> float:
    """The middle of the sizes that can be sizes at all."""
    sizes = [r.size for r in readings if r.size is not None and r.size > 0]
    return median(sizes) if sizes else otherwise


def _drawn(reading: Reading, usual: float) -> float:
    if reading.size is None:
        return usual
    return min(max(reading.size, usual * _LEAST), usual * _MOST)
