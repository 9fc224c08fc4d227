"""How much better than its limits a floor has to become, so that a survey of it can say so.

A plan that aims at the limit itself leaves a floor that the same tool finds too close to call:
it has to be better by what the tool may hide of the worst gap (`floors_noise.guard`, 2u).
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM, format_length
from fieldlog.store.views import CheckView
from fieldlog.web import request as at

GRID = "levels"
UNPROVEN = (
    "{limit} under {edge}: {tool} may hide {guard} there, so no survey by it can prove this "
    "limit, however flat the floor is. Lay a straightedge there and read the gap."
)


def hidden(check: CheckView, limit: EdgeLimit) -> int:
    """What the tool that read the stations may hide of the worst gap under an edge, nm."""
    from fieldlog.calc.floors_noise import guard, noise_of
    from fieldlog.calc.floors_passes import reach

    raw = check.readings.get(GRID) or {}
    tool = at.library().instruments.get(raw.get("instrument") or check.instrument)
    noise = noise_of(tool.parts if tool else (), int(raw.get("readings") or 1))
    spacing = int(check.judgement["grids"][GRID]["spacing_nm"])
    found = (r for r in check.judgement["rules"] if r["rule"] == limit.rule)
    seen = (2 * int(r["u"]["nm"]) for r in found if r["u"] and r["plain"] == "pass")
    return max(guard(noise, reach(spacing, limit.edge, "row")), *seen, 0)


def provable(check: CheckView, limit: EdgeLimit) -> bool:
    """Whether a floor can be so flat that this tool's survey of it passes the limit."""
    return hidden(check, limit) <= limit.limit


def spare_text(check: CheckView, limits: Iterable[EdgeLimit]) -> str:
    """What to begin with: what the tool may hide under any edge whose limit it can prove, up to
    the next 1/64 in or millimeter."""
    metric = check.judgement["system"] == "metric"
    step = NM_PER_MM if metric else NM_PER_INCH // 64
    most = max((hidden(check, one) for one in limits if provable(check, one)), default=0)
    return format_length(max(-(-most // step), 1) * step, "metric" if metric else "us")


def aimed(check: CheckView, limit: EdgeLimit, spare: int) -> int:
    """The gap a plan aims at, nm; one that no survey can prove is not made finer for one."""
    if spare >= limit.limit and not provable(check, limit):
        return limit.limit
    return max(limit.limit - spare, 0)


def unproven(check: CheckView, limits: Iterable[EdgeLimit]) -> list[str]:
    """A sentence for each limit that was read and is smaller than what the tool may hide."""
    read = {r["rule"] for r in check.judgement["rules"] if r["verdict"] != "not_measured"}
    system = check.judgement["system"]
    tool = at.library().instruments.get(
        (check.readings.get(GRID) or {}).get("instrument") or check.instrument
    )
    return list(dict.fromkeys(
        UNPROVEN.format(
            limit=format_length(one.limit, system), edge=format_length(one.edge, system, feet=True),
            tool=f"the {tool.name.lower()}" if tool else "the tool",
            guard=format_length(Fraction(hidden(check, one)), system),
        )
        for one in limits if one.rule in read and not provable(check, one)
    ))  # fmt: skip
