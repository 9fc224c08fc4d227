"""A stored judgement as reports tell it: its tools and its questions."""

from __future__ import annotations

import pytest

from fieldlog.reports.findings import Finding, side_of, tool_of
from fieldlog.reports.words import words

TEXTS = ("head", "body", "measured", "needs", "where", "source", "kind", "fix", "settle")
TOOLS = (
    {"id": "tape", "name": "Steel tape", "says": ""},
    {"id": "dial", "name": "Dial", "says": ""},
)


@pytest.mark.parametrize(
    ("used", "grids", "told"),
    [
        ((), {}, "Steel tape; Dial"),
        (("tape", "dial"), {}, "Steel tape; Dial"),
        (("dial",), {}, "Dial"),
        (("dial",), {"levels": {}}, "Steel tape; Dial"),
    ],
)
def test_a_tool_that_took_no_reading_is_not_told(used, grids, told):
    values = [{"text": "1", "tool": tool} for tool in used] + [{"text": "", "tool": ""}]
    judged = {"instruments": TOOLS, "grids": grids, "quantities": {"one": {"values": values}}}
    assert tool_of(judged, "tape", words()) == told


def test_a_check_too_close_to_call_is_over_where_one_of_its_limits_is():
    def found(mark, plain):
        return Finding(mark=mark, plain=plain, **dict.fromkeys(TEXTS, ""))

    close = found("too_close", "pass")
    assert side_of([close, found("too_close", "fail")]) == "fail"
    assert side_of([found("not_measured", ""), close]) == "pass"
    assert side_of([]) == ""
