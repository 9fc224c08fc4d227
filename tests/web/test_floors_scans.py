"""Scans through the page: gridded, judged by the scanner's own noise; bad files in a sentence."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from web_cast import Page, Person, SmallHouse

SURVEY = "/rooms/boat-room/floor/survey"


def sent(who: Person, data: bytes, name: str = "scan.csv", **more: str) -> Page:
    who.fills("/rooms/boat-room/outline", width="14 ft", depth="18 ft")
    fields: dict[str, Any] = who.opens(SURVEY).fields.to_dict()
    fields |= {"do": "file", "points": (io.BytesIO(data), name), "file_unit": "mm", **more}
    return who.sends(SURVEY, fields, content_type="multipart/form-data")


def flat(noise_mm: float, count: int = 20_000) -> bytes:
    """A flat floor of 14 x 18 ft as a scanner sees it."""
    random = np.random.default_rng(5)
    x, y = random.uniform(0, 4200, count), random.uniform(0, 5400, count)
    z = random.normal(0, noise_mm, count)
    rows = zip(x.tolist(), y.tolist(), z.tolist(), strict=True)
    return "\n".join(f"{a:.1f},{b:.1f},{c:.2f}" for a, b, c in rows).encode()


@pytest.mark.parametrize(
    ("tool", "noise", "verdicts"),
    [("scanner-1mm", 1, {"pass"}), ("scanner-10mm", 10, {"too_close"})],
)
def test_a_flat_floor_is_not_failed_by_its_scanner(
    superintendent: Person, small_house: SmallHouse, tool: str, noise: int, verdicts: set[str]
) -> None:
    page = sent(superintendent, flat(noise), point_tool=tool)
    assert f"Laser scanner, {noise} mm" in page.text
    saved = superintendent.sends(SURVEY, page.fields)
    check = small_house.check(saved.response.request.path.rpartition("/")[2])
    assert check.instrument == tool
    assert {r["verdict"] for r in check.judgement["rules"]} == verdicts
    if "too_close" in verdicts:
        assert {r["settled_by"] for r in check.judgement["rules"]} == {"straightedge"}
        assert "would settle it" in saved.text


AXES = b"property float x\nproperty float y\nproperty float z\n"
PLY = b"ply\nformat ascii 1.0\nelement vertex 9\n" + AXES + b"end_header\n0 0 0\n"
BAD: list[tuple[bytes, str, str]] = [
    (b"0,0,0\n600,0,0", "two.csv", "three readings"),
    (b"0,0,0\n600,0,0\n1200,0,0\n1800,0,0", "line.csv", "line"),
    (
        b"0,0,0\n0,0,3\n600,0,0\n0,600,0\n600,600,0\n",
        "twice.csv",
        "Readings 1 and 2 are at the same place",
    ),
    (b"0,0,nan\n600,0,0\n0,600,0\n", "nan.csv", "1 row is no point"),
    (b"0,0,1e308\n600,0,0\n0,600,0\n", "far.csv", "no point"),
    (b"PK\x03\x04and more", "scan.ply", "a zip archive"),
    (PLY, "short.ply", "9"),
    (
        b"\n".join(b"here, there, everywhere" for _ in range(1000)),
        "words.csv",
        "999 rows are no points",
    ),
    (b"", "nothing.xyz", "no points"),
    (b"PK\x03\x04" + bytes(300_000), "larger than a form may be.ply", "a zip archive"),
]


def test_what_makes_no_survey_is_said_in_a_sentence_and_nothing_is_stored(
    superintendent: Person, small_house: SmallHouse
) -> None:
    sent(superintendent, b"0,0,0")
    small_house.app.config["MAX_CONTENT_LENGTH"] = 200_000  # of any other form
    before = small_house.entries()
    for data, name, says in BAD:
        fields: dict[str, Any] = superintendent.opens(SURVEY).fields.to_dict()
        fields |= {"do": "file", "points": (io.BytesIO(data), name), "file_unit": "mm"}
        page = superintendent.sends(SURVEY, fields, content_type="multipart/form-data")
        said = page.html.partition('id="points-error">')[2].partition("</p>")[0]
        assert page.status == 422, name
        assert says in said, f"{name}: {said}"
        assert said.count(". ") < 20
    assert small_house.entries() == before
