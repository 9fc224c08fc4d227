"""A tape in millimeters is as good as its class, and serves wherever a sheet names a tape.

Errors: UK SI 2016/1153, Schedule 1I (material measures of length, after directive 2014/32/EU,
MI-008): class I 0.1 + 0.1 L mm, class II 0.3 + 0.2 L mm and 0.2 mm where it begins at a hook, L
in meters rounded up.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from fieldlog.calc.judging import judge
from fieldlog.calc.lengths import parse_length
from fieldlog.store.files import load_library

MM = 1_000_000


@pytest.mark.parametrize(
    ("tool", "scale"),
    [("tape-mm", Fraction(3, 10) + 2 * Fraction(2, 10) + Fraction(2, 10)),
     ("steel-rule-mm", Fraction(1, 10) + Fraction(1, 10))],
)  # fmt: skip
def test_the_scale_is_off_by_no_more_than_its_class(tool: str, scale: Fraction) -> None:
    [shared] = [p for p in load_library(None).instruments[tool].parts if p.scope == "shared"]
    assert shared.half_width == scale * MM


@pytest.mark.parametrize(
    ("tool", "stands_for"), [("tape-mm", "tape"), ("steel-rule-mm", "steel-rule")]
)
def test_it_serves_wherever_a_sheet_names_the_other(tool: str, stands_for: str) -> None:
    fields = [f for sheet in load_library(None).sheets.values() for f in sheet.fields]
    named = [f for f in fields if stands_for in f.tools]
    assert len(named) > 20
    assert all(tool in f.tools for f in named)


@pytest.mark.parametrize(
    ("rise", "verdict"), [("215 mm", "pass"), ("219 mm", "too_close"), ("225 mm", "fail")]
)
def test_a_riser_of_a_private_stair_by_a_tape(rise: str, verdict: str) -> None:
    # Approved Document K (2013), table 1.1: a private stair rises 150 to 220 mm.
    judged = judge(
        load_library(None), "stair", ["adk-2013"], {"riser": [rise] * 3}, "tape-mm", "metric"
    )
    of_rise = {r["verdict"] for r in judged["rules"] if r["quantity"] == "riser"}
    assert verdict in of_rise
    assert of_rise <= {verdict, "pass", "does_not_apply", "not_measured"}


TAPE_OFF = [
    # NIST Handbook 44 s.5.52: 1/32 in up to 6 ft, 1/16 in from 7 to 30 ft, and so on
    ("tape", "6 ft", "1/32"), ("tape", "7 ft", "1/16"), ("tape", "30 ft", "1/16"),
    ("tape", "31 ft", "1/8"), ("tape", "55 ft", "1/8"), ("tape", "80 ft", "3/16"),
    ("tape", "100 ft", "1/4"),
    # UK SI 2016/1153, Schedule 1I, class II with a hook: 0.3 + 0.2 L + 0.2 mm, L rounded up
    ("tape-mm", "2 m", "0.9 mm"), ("tape-mm", "2.001 m", "1.1 mm"), ("tape-mm", "3.84 m", "1.3 mm"),
    ("tape-mm", "10 m", "2.5 mm"), ("tape-mm", "30 m", "6.5 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("tool", "length", "half_width"), TAPE_OFF)
def test_a_tape_is_off_by_more_on_a_longer_reading(tool: str, length: str, half_width: str) -> None:
    [shared] = [p for p in load_library(None).instruments[tool].parts if p.scope == "shared"]
    error = load_library(None).errors[tool]
    off = shared.half_width * error.times(Fraction(parse_length(length)))
    assert off == parse_length(half_width)


@pytest.mark.parametrize(
    ("sheet", "field", "rule", "read", "verdict"),
    [
        # 2 sqrt((1/32**2 + 1/16**2) / 3) in = 0.081 in, by the same table
        ("stair", "total_rise", "stair.flight-rise", "12 ft 7 1/16 in", "too_close"),
        ("stair", "total_rise", "stair.flight-rise", "12 ft 7 3/32 in", "fail"),
        ("stair", "headroom", "stair.headroom", "6 ft 8 1/16 in", "pass"),
        ("sunken-floor", "ceiling_low", "sunken.ceiling-low", "7 ft 1/16 in", "too_close"),
        ("sunken-floor", "ceiling_low", "sunken.ceiling-low", "6 ft 11 15/16 in", "fail"),
    ],
)
def test_a_limit_on_a_long_reading(
    sheet: str, field: str, rule: str, read: str, verdict: str
) -> None:
    given = {field: read}
    judged = judge(load_library(None), sheet, ["irc-2021"], given, "tape")
    assert [r["verdict"] for r in judged["rules"] if r["rule"] == rule] == [verdict]
