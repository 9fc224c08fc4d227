"""Judgements made by hand for the drawings, and a reader of what they drew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

from hypothesis import Phase, settings

from fieldlog.calc.lengths import format_length

NM = 25_400_000
few = settings(max_examples=40, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
"""Big drawings: few examples, and none shrunk for minutes."""

Inches = Fraction | int | str | None


def nm(size: Inches) -> int | None:
    return None if size is None else int(sum(Fraction(p) for p in str(size).split()) * NM)


def value(size: Inches, feet: bool = False) -> dict[str, Any]:
    length = nm(size)
    if length is None:
        return {"text": "", "nm": None, "typed": "", "tool": "tape", "yes": None}
    return {"text": format_length(length, "us", feet=feet), "nm": str(length), "typed": str(size),
            "tool": "tape", "yes": None}  # fmt: skip


def many(label: str, sizes: Sequence[Inches]) -> dict[str, Any]:
    return {"label": label, "kind": "length", "many": True, "derived": False,
            "values": [value(s) for s in sizes]}  # fmt: skip


def one(label: str, size: Inches, feet: bool = False) -> dict[str, Any]:
    return {"label": label, "kind": "length", "many": False, "derived": False,
            "values": [value(size, feet)]}  # fmt: skip


def answer(label: str, yes: bool | None) -> dict[str, Any]:
    text = {True: "yes", False: "no", None: ""}[yes]
    return {"label": label, "kind": "yes_no", "many": False, "derived": False,
            "values": [{"text": text, "nm": None, "yes": yes}]}  # fmt: skip


def rule(
    rule_id: str, quantity: str, index: int | None, verdict: str, compare: str, limit: Inches,
    measured: Inches = None, name: str = "", plain: str | None = None,
) -> dict[str, Any]:  # fmt: skip
    return {
        "rule": rule_id, "label": rule_id, "book": "irc-2021", "quantity": quantity,
        "index": index, "name": name or quantity, "verdict": verdict, "plain": plain or verdict,
        "compare": compare, "value": value(measured), "limit": value(limit), "margin": None,
        "u": None, "kind": "safety", "trade": "stair",
    }  # fmt: skip


def judgement(
    drawing: str, quantities: Mapping[str, Any], rules: Sequence[Mapping[str, Any]],
    grids: Mapping[str, Any] | None = None, system: str = "us",
) -> dict[str, Any]:  # fmt: skip
    return {
        "v": 1, "verdict": "fail", "system": system,
        "sheet": {"id": "x", "title": "X", "sha256": "", "trade": "", "drawing": drawing},
        "quantities": dict(quantities), "rules": list(rules), "grids": dict(grids or {}),
        "findings": [], "notes": [], "questions": [], "caution": "", "counts": {},
    }  # fmt: skip


def stair(
    risers: Sequence[Inches], treads: Sequence[Inches], *, thickness: Sequence[Inches] = (1,),
    open_riser: bool | None = False, from_height: Inches = 30, headroom: Inches = "81",
    nosings: Sequence[Inches] = (), total: Inches = None,
) -> dict[str, Any]:  # fmt: skip
    """A stair judged by simple limits: riser 7 3/4, tread 10, a 4 in ball above 30 in."""
    rules: list[dict[str, Any]] = []
    for i, r in enumerate(risers):
        rules.append(_limit("stair.riser", "riser", i, nm(r), "<=", "7 3/4", r))
    for i, t in enumerate(treads):
        rules.append(_limit("stair.tread", "tread", i, nm(t), ">=", 10, t))
    for i, n in enumerate(nosings):
        rules.append(_limit("stair.nosing", "nosing", i, nm(n), ">=", "3/4", n))
    gaps: list[Inches] = []
    high = 0
    for i, r in enumerate(risers):
        thick = nm(thickness[min(i, len(thickness) - 1)]) if thickness else None
        size = nm(r)
        gap = None if size is None or thick is None else Fraction(size - thick, NM)
        gaps.append(gap)
        high += size or nm("7 1/2") or 0
        exempt = high - (size or 0) <= (nm(from_height) or 0) or not open_riser
        found = _limit("stair.open-gap", "open_gap", i, nm(gap), "<", 4, gap) | {
            "starts": [{"quantity": "open_gap_height", "compare": ">", **value(from_height)}]
        }
        rules.append(found | {"verdict": "does_not_apply"} if exempt else found)
    shown = [None if s is None else s for s in gaps]
    return judgement(
        "stair-section",
        {
            "riser": many("Riser", risers), "tread": many("Tread depth", treads),
            "nosing": many("Nosing", nosings), "tread_thickness": many("Thickness", thickness),
            "total_rise": one("Total rise", total, True), "headroom": one("Headroom", headroom,
            True), "open_riser": answer("Open risers", open_riser), "open_gap": many("Gap", shown),
        },
        rules,
    )  # fmt: skip


def _limit(
    rule_id: str, quantity: str, index: int, size: int | None, compare: str, limit: str | int,
    measured: Inches,
) -> dict[str, Any]:  # fmt: skip
    bound = nm(limit) or 0
    if size is None:
        verdict = "not_measured"
    else:
        good = {"<=": size <= bound, "<": size < bound, ">=": size >= bound}[compare]
        close = abs(size - bound) <= NM // 64 and size != bound
        verdict = "too_close" if close else "pass" if good else "fail"
    name = f"{quantity.title()} {index + 1}"
    return rule(rule_id, quantity, index, verdict, compare, limit, measured, name)


def texts(svg: str) -> list[ElementTree.Element]:
    """Every text element, in drawing order."""
    return [e for e in ElementTree.fromstring(svg).iter() if e.tag.endswith("}text")]


def words(svg: str) -> list[str]:
    return [e.text or "" for e in texts(svg)]


def boxes(svg: str) -> list[tuple[float, float, float, float, str]]:
    """Each text's box (left, top, right, bottom) and its words; its width is what it is set to."""
    found = []
    for element in texts(svg):
        size, x, y = (float(element.get(k, "0")) for k in ("font-size", "x", "y"))
        said = element.text or ""
        width = float(element.get("textLength", len(said) * 0.6 * size))
        left = x - width * {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        found.append((left, y - 0.74 * size, left + width, y + 0.2 * size, said))
    return found


def fits(svg: str) -> None:
    """No text overlaps another or leaves the sheet."""
    if not svg:
        return
    assert overlaps(svg) == []
    _, _, width, height = (float(n) for n in ElementTree.fromstring(svg).attrib["viewBox"].split())
    for left, top, right, bottom, said in boxes(svg):
        assert left >= 0, said
        assert top >= 0, said
        assert right <= width, said
        assert bottom <= height, said


def overlaps(svg: str) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes overlap by more than a hair."""
    all_boxes = boxes(svg)
    return [
        (a[4], b[4])
        for i, a in enumerate(all_boxes)
        for b in all_boxes[i + 1 :]
        if a[0] < b[2] - 0.5 and b[0] < a[2] - 0.5 and a[1] < b[3] - 0.5 and b[1] < a[3] - 0.5
    ]
