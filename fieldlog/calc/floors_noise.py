"""What a survey's own noise would show, and what may be said of the worst of many gaps.

The worst of many noisy gaps is biased: a perfectly flat floor of 100 000 stations, each read to
1 mm, shows a gap of about 6.4 mm. So the two sides of a limit are not judged alike.

*Over the limit.* Say that no true gap is over it. A gap measured over three stations errs by
e = w1 e1 + w2 e2 + w3 e3 (weights sum to 0, so an error that all readings share cancels). Of N
gaps, by the union bound, one errs by more than t with a chance of at most N P(e > t), whatever
they have in common. The allowance t(N) makes that the one-sided chance of a k of 2, 2.275 %:
the smaller of
- k(N) u, k(N) the normal quantile of 2.275 % / N: k(1) = 2, k(10^7) = 5.9 (JCGM 100 takes such
  a sum as normal; one of bounded errors has lighter tails than that);
- min over s of (ln E exp(s e) + ln(N / 2.275 %)) / s (Chernoff, 1952), which knows how far a
  bounded error can go: a rod read to the nearest sixteenth is never more than 1/32 in off, and
  three of them never make more than 1/16 in, however many gaps are looked at.
A measured worst gap that is over the limit by the allowance or more *fails*.

*Within the limit.* The truly worst gap is one of those measured, and it is not the noise that
chose it: it errs like any single gap, so it is at most the measured worst plus 2 u, for the
largest u of any gap. Where that is within the limit the floor *passes*.

Between the two it is *too close*. Chances and exponentials are float64; what leaves is rounded
up to whole nanometers before anything is judged by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb, exp, isqrt, log, log1p
from statistics import NormalDist

import numpy as np

from fieldlog.calc.floors import Worst
from fieldlog.calc.floors_passes import DIRECTIONS, far, field_of, walls_ahead
from fieldlog.calc.floors_survey import Stations
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.uncertainty import ErrorPart

_NORMAL = NormalDist()
_CHANCE = _NORMAL.cdf(-2)  # one-sided, of k = 2
_MIDDLE = (Fraction(1, 2), Fraction(1, 2), Fraction(-1))
_MEDIAN_NORMAL = Fraction(11, 7)  # pi/2 and a little: variance of a median of many, times count
_MEDIAN_ANY = 3  # the most it is for any error with one peak (a flat-topped one)


@dataclass(frozen=True, slots=True)
class Noise:
    """How each station's height errs on its own: error parts of scope "each".

    `readings` is the fewest readings whose median a height is (a scan's cells), else 1.
    """

    parts: tuple[ErrorPart, ...]
    readings: int = 1

    @property
    def variance(self) -> Fraction:
        """Of one station's height, nm2."""
        return sum((part.variance for part in self.of_a_height()), Fraction(0))

    def of_a_height(self) -> tuple[ErrorPart, ...]:
        """The parts of one height: the tool's own, or one normal part for a median of many."""
        whole = sum((part.variance for part in self.parts), Fraction(0))
        normal = all(part.distribution == "normal" for part in self.parts)
        shrunk = (_MEDIAN_NORMAL if normal else _MEDIAN_ANY) * whole / self.readings
        if self.readings < 3 or shrunk >= whole:
            return self.parts
        return (normal_part("median of a cell's readings", root_up(4 * shrunk)),)


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool that might settle it: levels all stations, or (`direct`) reads the gap itself."""

    id: str
    effort: int
    parts: tuple[ErrorPart, ...]
    direct: bool


@dataclass(frozen=True, slots=True)
class EdgeVerdict:
    """One limit of one edge, one way up.

    `verdict` fail, too_close, pass or not_measured; `plain` the side the measured gap is on,
    None where nothing was measured. `allowance` is what noise may have added to the worst gap,
    `guard` what it may hide of it, nm. `settled_by` is the least bothersome tool that would
    give a clear answer; `per_cell`, of use for a scan only, how many readings the median of a
    cell would have to be of (0: no number would do).
    """

    verdict: str
    plain: str | None
    gap: Fraction | None
    limit: int
    allowance: int = 0
    guard: int = 0
    settled_by: str | None = None
    per_cell: int = 0

    @property
    def margin(self) -> Fraction | None:
        """How far inside the limit (above zero) or over it, nm."""
        return None if self.gap is None else self.limit - self.gap


def noise_of(parts: Iterable[ErrorPart], readings: int = 1) -> Noise:
    """The noise of an instrument's readings: what it shares between readings cancels in a gap."""
    return Noise(tuple(p for p in parts if p.scope == "each"), readings)


def normal_noise(deviation: int, readings: int = 1) -> Noise:
    """Noise known by its standard deviation alone, nm (a scanner's)."""
    return Noise((normal_part("noise of a reading", 2 * deviation),), readings)


def normal_part(name: str, half_width: int) -> ErrorPart:
    """A normal error part; the half width is two standard deviations, nm."""
    return ErrorPart(name, Fraction(half_width), "normal", "each", "")


def tool_of(instrument: Instrument, direct: bool) -> Tool:
    """An instrument as a tool that might settle it."""
    return Tool(instrument.id, instrument.effort, instrument.parts, direct)


def gaps_looked_at(stations: Stations, edge: int, directions: int = 4) -> int:
    """How many gaps (start, station, end) of known stations there are under an edge of `edge`.

    One through a wall is none.
    """
    whole = bool(stations.mask.all())
    total = 0
    for direction in DIRECTIONS[:directions]:
        reach = far(stations, edge, direction)
        if reach >= 2:
            count = _of_whole_lines if whole else _of_known_stations
            total += count(stations, edge, direction, reach)
    return total


def _of_whole_lines(stations: Stations, _edge: int, direction: str, reach: int) -> int:
    rows, columns = stations.shape
    if direction in ("row", "column"):
        lines, length = (rows, columns) if direction == "row" else (columns, rows)
        return lines * _of_line(length, reach)
    short, long = sorted((rows, columns))
    ends = sum(_of_line(length, reach) for length in range(3, short))
    return 2 * ends + (long - short + 1) * _of_line(short, reach)


def _of_line(length: int, reach: int) -> int:
    """From each start, two of the stations within reach: the nearer one and the end."""
    return comb(min(reach, length), 3) + max(0, length - reach) * comb(reach, 2)


def _of_known_stations(stations: Stations, edge: int, direction: str, reach: int) -> int:
    field = field_of(stations, edge)
    step, known = field.step(direction), ~np.isnan(field.z)
    between = np.zeros(len(known), dtype=np.int64)
    walls = walls_ahead(field, step, reach)
    total = 0
    for d in range(2, reach + 1):
        count = len(known) - d * step
        if count <= 0:
            break
        between[:count] += known[(d - 1) * step :][:count]
        there = known[:count] & known[d * step :]
        if walls is not None:
            there &= walls[:count] >= d
        total += int(between[:count][there].sum())
    return total


def allowance(noise: Noise, weights: Sequence[Fraction], gaps: int) -> int:
    """What noise may have added to the worst of so many gaps, nm, rounded up: t(N) above."""
    parts = noise.of_a_height()
    if not parts:
        return 0
    squares = sum((w * w for w in weights), Fraction(0))
    factor = chance_factor(gaps)
    by_quantile = root_up(factor * factor * squares * noise.variance)
    return min(by_quantile, _chernoff(parts, weights, gaps))


def chance_factor(gaps: int) -> Fraction:
    """k(N): how many standard deviations one of so many gaps may be off, rounded up."""
    k = 2 if gaps <= 1 else -_NORMAL.inv_cdf(_CHANCE / gaps)
    return Fraction(-int(-1000 * k // 1), 1000)


def guard(noise: Noise, reach: int) -> int:
    """What noise may hide of the truly worst gap, nm, rounded up: 2 u, u that of the gap with
    the least even weights (next to a contact) under an edge of `reach` spacings."""
    reach = max(reach, 2)
    squares = 1 + Fraction((reach - 1) ** 2 + 1, reach**2)
    return root_up(4 * squares * noise.variance)


def _chernoff(parts: Sequence[ErrorPart], weights: Sequence[Fraction], gaps: int) -> int:
    sizes = [
        (part.distribution, int(abs(w) * part.half_width)) for part in parts for w in weights if w
    ]
    wanted = log(max(gaps, 1) / _CHANCE)

    def bound(at: float) -> float:
        s = exp(at)
        return (sum(_log_mean_exp(kind, s * a) for kind, a in sizes) + wanted) / s

    low = -log(sum(a for _, a in sizes)) - 5
    high = low + 40
    for _ in range(120):  # the bound has one low; a third is cut off each time
        left, right = low + (high - low) / 3, high - (high - low) / 3
        if bound(left) < bound(right):
            high = right
        else:
            low = left
    return int(bound(low) // 10 + 1) * 10


def _log_mean_exp(distribution: str, x: float) -> float:
    """ln E exp(s e) of an error of half width a, x = s a."""
    if distribution == "normal":  # half width 2 sigma
        return x * x / 8
    if distribution == "triangular":
        return 2 * _log_sinh_over(x / 2)
    return _log_sinh_over(x)


def _log_sinh_over(x: float) -> float:
    """ln(sinh(x) / x), x above zero."""
    if x * 1000 < 1:
        return x * x / 6
    return x - log(2 * x) + log1p(-exp(-2 * x))


def root_up(square: Fraction) -> int:
    """The square root, rounded up to a whole nm."""
    whole = -(-square.numerator // square.denominator)
    root = isqrt(whole)
    return root if root * root == whole else root + 1


def judge_edge(
    found: Worst | None, limit: int, noise: Noise, gaps: int, reach: int,
    tools: Sequence[Tool] = (),
) -> EdgeVerdict:  # fmt: skip
    """The worst gap of an edge against its limit (nm; at the limit is within it).

    `gaps` is `gaps_looked_at`, `reach` how many spacings the edge spans (`floors_passes.reach`).
    """
    if found is None:
        return EdgeVerdict("not_measured", None, None, limit)
    weights = [weight for _, weight in found.weights]
    may_add, may_hide = allowance(noise, weights, gaps), guard(noise, reach)
    over = found.gap - limit
    plain = "fail" if over > 0 else "pass"
    if over > 0 and over >= may_add:
        return EdgeVerdict("fail", plain, found.gap, limit, may_add, may_hide)
    if -over >= may_hide:
        return EdgeVerdict("pass", plain, found.gap, limit, may_add, may_hide)
    fit = [t for t in tools if _would_do(t, over, limit, gaps, reach)]
    best = min(fit, key=lambda t: (t.effort, t.id), default=None)
    return EdgeVerdict(
        "too_close", plain, found.gap, limit, may_add, may_hide, best.id if best else None,
        _readings_wanted(noise, limit, gaps, reach),
    )  # fmt: skip


def _would_do(tool: Tool, over: Fraction, limit: int, gaps: int, reach: int) -> bool:
    """Whether the tool shows a flat floor as flat, and is clear of the limit by this margin."""
    may_add, may_hide = _band(tool, gaps, reach)
    clear = over >= may_add if over > 0 else -over >= may_hide
    return clear and may_add + may_hide <= limit


def _band(tool: Tool, gaps: int, reach: int) -> tuple[int, int]:
    if tool.direct:  # one reading, all of its error in it
        twice = root_up(4 * sum((p.variance for p in tool.parts), Fraction(0)))
        return twice, twice
    noise = noise_of(tool.parts)
    return allowance(noise, _MIDDLE, gaps), guard(noise, reach)


def _readings_wanted(noise: Noise, limit: int, gaps: int, reach: int) -> int:
    """How many readings a cell needs so that a flat floor is shown as flat; 0 for too many."""
    need = noise.readings
    while need < 1_000_000:
        need += max(need // 20, 1)
        more = Noise(noise.parts, need)
        if allowance(more, _MIDDLE, gaps) + guard(more, reach) <= limit:
            return need
    return 0
