"""A stored judgement as reports tell it: its tools and its questions."""

from __future__ import annotations

import pytest

from fieldlog.reports.findings import tool_of
from fieldlog.reports.words import words

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
