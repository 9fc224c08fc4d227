"""Many edges of one book on a check's page: the one that governs, the others folded behind it."""

from __future__ import annotations

from typing import Any

from web_cast import Person, SmallHouse

from fieldlog.web.edge_findings import folded


def rule(rule_id: str, margin: int, book: str = "by-distance", quantity: str = "hollow") -> Any:
    return {
        "rule": rule_id, "book": book, "quantity": quantity, "limit": {"nm": "100"},
        "margin": {"nm": str(margin)},
    }  # fmt: skip


def finding(rule_id: str, mark: str) -> Any:
    return {"rule": rule_id, "mark": mark, "head": rule_id}


def test_of_many_edges_the_one_that_governs_stands_where_the_first_did() -> None:
    rules = [rule("a", 40), rule("b", -7), rule("c", 30), rule("d", 20), rule("e", -90)]
    rules += [rule("f", 10, book="another"), rule("g", 10, quantity="hump"), rule("x", 1, "", "ff")]
    marks = {"b": "fail", "e": "fail"}
    found = [finding(r["rule"], marks.get(r["rule"], "pass")) for r in rules]
    shown = folded(found, rules)
    # two that fail are both shown; of three that pass, the nearest to its limit
    assert [f["rule"] for f in shown] == ["d", "b", "e", "f", "g", "x"]
    assert shown[0]["more_says"] == "and 2 more edges pass"
    assert [f["rule"] for f in shown[0]["more"]] == ["a", "c"]
    assert not any("more" in f for f in shown[1:])


def test_the_furthest_over_governs_and_an_unread_one_has_no_margin() -> None:
    rules = [rule("a", -3), rule("b", -50), rule("c", -20)]
    (shown,) = folded([finding(r["rule"], "fail") for r in rules], rules)
    assert (shown["rule"], shown["more_says"]) == ("b", "and 2 more edges fail")
    unread = [{**r, "margin": None} for r in rules]
    (shown,) = folded([finding(r["rule"], "not_measured") for r in unread], unread)
    assert (shown["rule"], shown["more_says"]) == ("a", "and 2 more edges are not measured")


def test_where_only_f_numbers_are_judged_the_lines_are_still_shown(
    superintendent: Person, small_house: SmallHouse
) -> None:
    """The table stood with the straightedges', and a book of F-numbers has none."""
    rows = [[str((r * c) % 3) for c in range(20)] for r in range(20)]
    levels = {"spacing": "1 ft", "unit": "16ths", "rows": rows}
    check = small_house.checks(
        "boat-room", "floor", {"levels": levels}, instrument="laser-rod", books=("f-numbers-flat",)
    )
    page = superintendent.opens(f"/checks/{check}")
    assert "q along the line, in" in page.text
    assert "Row 1, 1 to 20" in page.text
    assert "from memory of E1155" in page.text
