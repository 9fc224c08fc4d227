"""Every route as every role and as nobody: who gets a page, and who a page that says nothing."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from lan_cast import LanHouse, Visitor
from web_cast import Page, SmallHouse
from werkzeug.routing import Rule

from fieldlog.calc.bodies import Letter, PhotoEntry
from fieldlog.store import photos
from fieldlog.web import gate

# Written out here once more, not taken from the table: what each role besides the superintendent
# can reach, as "method path" with the parts that are theirs.
PUBLIC = {
    "GET /guide", "GET /guide/test", "GET /guide/here.svg", "GET /manifest.webmanifest",
    "GET /sw.js", "GET /static/css/<name>", "GET /in", "POST /in",
}  # fmt: skip
OWN_LIST = {"GET /crews/<trade>", "POST /crews/<trade>/items/<item_id>"}
SMALL_PHOTO = "GET /photos/<sha256>/<int:size>"
REACH: dict[str, set[str]] = {
    "nobody at the tablets' door": PUBLIC | {"GET /pair", "POST /pair"},
    "nobody at the crews' door": PUBLIC | {"GET /guide/root.crt"},
    "crew": PUBLIC | OWN_LIST | {"GET /guide/root.crt", SMALL_PHOTO},
    "passed tablet": PUBLIC
    | OWN_LIST
    | {"GET /pair", "POST /pair", SMALL_PHOTO, "POST /take-back"},
    "owner": PUBLIC
    | {"GET /pair", "POST /pair", "GET /letters", "GET /letters/<week>"}
    | {"GET /letters/<week>/letter.html"},
}
LEAD = ("GET /",)
"""The first page leads a crew and the owner to their own."""
MACHINE_ONLY = {"POST /tablets/code", "POST /tablets/<device>/end", "POST /tablets/<device>/back"}


@pytest.fixture
def lan(small_house: SmallHouse) -> LanHouse:
    """The small house at three doors, with an item for two crews and a fixed letter."""
    return LanHouse(small_house)


def photo_of(house: SmallHouse, colour: str, of: str = "") -> str:
    """A kept photo of one colour; its digest."""
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    kept = photos.keep(house.folder, out.getvalue())
    house.enters("photo/1", PhotoEntry(kept.sha256, kept.size, "image/jpeg", 40, 30, "closet", of))
    return kept.sha256


def filled(rule: Rule, parts: dict[str, str]) -> str:
    """The rule's path with every part filled in."""
    values = {name: parts.get(name, "x") for name in rule.arguments}
    adapter = rule.map
    assert adapter is not None
    return adapter.bind("x").build(
        rule.endpoint, values | {"size": 320} if "size" in values else values
    )


def routes(lan: LanHouse) -> list[tuple[str, str, Rule]]:
    """Method, rule's text, rule: of every route but the static files'."""
    found = [
        (method, str(rule.rule), rule)
        for rule in lan.apps["machine"].url_map.iter_rules()
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"})
        if rule.endpoint != "static"
    ]
    assert {"GET", "POST", "PUT"} <= {method for method, _, _ in found}
    return found


def is_closed(page: Page) -> bool:
    return page.status == 403 and b"Nothing is shown here" in page.response.data


ROLES: dict[str, Callable[[LanHouse], Visitor]] = {
    "nobody at the tablets' door": lambda lan: lan.comes("tls"),
    "nobody at the crews' door": lambda lan: lan.comes("plain"),
    "crew": lambda lan: lan.crew("paint"),
    "passed tablet": lambda lan: lan.passed("paint"),
    "owner": lambda lan: lan.owner(),
}


@pytest.mark.parametrize("role", ROLES)
def test_every_route_as(role: str, lan: LanHouse) -> None:
    item = lan.small.opens_item("closet", "paint", "Scratch by the hinge")
    photo = photo_of(lan.small, "red", f"item:{item}")
    parts = {
        "trade": "paint", "item_id": item, "room": "closet", "day": "2026-03-03",
        "week": "2026-03-06", "sheet": "visual", "sha256": photo, "device": "tablet-0",
        "name": "base.css",
    }  # fmt: skip
    lan.small.enters("letter/1", Letter("2026-03-06", "Dear", "a", "b", "c", "I.", (), True))
    visitor = ROLES[role](lan)
    wrong = []
    for method, text, rule in routes(lan):
        path = filled(rule, parts)
        page = visitor.asks(method, path)
        allowed = f"{method} {text}" in REACH[role]
        leads = f"{method} {text}" in LEAD and role in ("crew", "passed tablet", "owner")
        if is_closed(page) == (allowed or leads) or (
            method == "GET" and allowed and page.status != 200
        ):
            wrong.append((method, text, page.status))
        told = page.response.data
        if "nobody" in role and (b"Boathouse" in told or b"Ines" in told):
            wrong.append(("tells of the house", text, page.status))
    assert not wrong


def test_the_superintendent_gets_every_page_and_a_tablet_all_but_the_machines(
    lan: LanHouse,
) -> None:
    tablet = lan.tablet()
    for who, closed_to in ((lan.at_machine(), set()), (tablet, MACHINE_ONLY)):
        here = "machine" if who.address == "127.0.0.1" else "tls"
        for method, text, rule in routes(lan):
            if f"{method} {text}" in ("POST /sign-out", "POST /take-back"):
                continue
            if here not in gate.FRONTS.get(rule.endpoint, (here,)):
                continue
            mine = (
                "device" in gate.ALLOWED[rule.endpoint]
                and "machine" not in gate.ALLOWED[rule.endpoint]
            )
            path = filled(rule, {"trade": "paint", "room": "closet", "device": "x"})
            page = who.asks(method, path)
            expected = f"{method} {text}" in closed_to or (mine and here == "machine")
            assert is_closed(page) == expected, (here, method, text, page.status)


def test_every_endpoint_has_a_row_and_every_row_an_endpoint(lan: LanHouse) -> None:
    known = {rule.endpoint for rule in lan.apps["machine"].url_map.iter_rules()}
    assert known == set(gate.ALLOWED)
    assert set(gate.FRONTS) <= known
    assert {endpoint for endpoint, _ in gate.NARROWED} <= known


def test_an_endpoint_without_a_row_is_for_nobody() -> None:
    from fieldlog.web.access import Role

    for kind in ("machine", "device", "crew", "letter", "nobody"):
        assert not gate.may(Role(kind), "machine", "new.page", {})  # type: ignore[arg-type]


def test_a_crew_reaches_nothing_of_another_crew(lan: LanHouse) -> None:
    own = lan.small.opens_item("closet", "paint", "Scratch by the hinge")
    other = lan.small.opens_item("closet", "trim", "Gap at the miter")
    mine, theirs = (
        photo_of(lan.small, colour, f"item:{item}")
        for colour, item in (("red", own), ("blue", other))
    )
    room = photo_of(lan.small, "green")
    for crew in (lan.crew("paint"), lan.passed("paint")):
        page = crew.opens("/crews/paint")
        assert "Scratch by the hinge" in page.text
        assert "Gap at the miter" not in page.text
        assert is_closed(crew.opens("/crews/trim"))
        assert is_closed(crew.sends(f"/crews/trim/items/{other}", {}))
        assert crew.opens(f"/photos/{mine}/320").status == 200
        for sha256 in (theirs, room, "0" * 64, "x"):
            assert is_closed(crew.opens(f"/photos/{sha256}/320"))
        assert is_closed(crew.opens(f"/photos/{mine}"))  # the original says where it was taken
        fields = page.fields
        token = {"csrf_token": fields["csrf_token"], "entry_id": fields["entry_id"]}
        page = crew.sends(f"/crews/paint/items/{other}", token | {"act": "corrected"})
        assert page.status == 404
        assert "Gap at the miter" not in page.text
    assert lan.small.entries() > 0


def test_what_the_crew_before_added_stays_with_it(lan: LanHouse) -> None:
    from fieldlog.calc.bodies import Act

    item = lan.small.opens_item("closet", "trim", "Gap at the miter")
    sha256 = photo_of(lan.small, "blue")
    subject = f"item:{item}"
    lan.small.enters(
        "act/1", Act("note", reason="our saw was off"), subject=subject, by="crew/trim"
    )
    lan.small.enters("act/1", Act("passed_on", reason="theirs", trade="paint"), subject=subject)
    page = lan.crew("paint").opens("/crews/paint")
    assert "Gap at the miter" in page.text
    assert "our saw was off" not in page.text
    assert sha256 not in page.html


@pytest.mark.parametrize(
    ("front", "host", "status"),
    [
        ("machine", "fieldlog-7k2m.local", 400), ("machine", "127.0.0.1:8321", 200),
        ("tls", "127.0.0.1:8443", 400), ("tls", "10.0.0.2:8443", 400), ("tls", "evil.test", 400),
        ("tls", "fieldlog-7k2m.local:8443", 403), ("tls", "FIELDLOG-7K2M.LOCAL", 403),
        ("plain", "10.0.0.2:8322", 403), ("plain", "[fe80::1]:8322", 403),
        ("plain", "localhost:8322", 400), ("plain", "evil.test", 400),
        ("plain", "10.0.0.2.evil.test", 400),
    ],
)  # fmt: skip
def test_a_door_answers_to_its_own_names(lan: LanHouse, front: str, host: str, status: int) -> None:
    page = lan.comes(front).opens("/", headers={"Host": host})  # type: ignore[arg-type]
    assert page.status == status
    if front != "machine":
        assert "Boathouse" not in page.html


def test_a_loopback_name_from_elsewhere_is_nobody(lan: LanHouse) -> None:
    stranger = Visitor(lan.apps["machine"].test_client(), address="10.0.0.9")
    assert is_closed(stranger.opens("/"))
    assert is_closed(stranger.opens("/rooms", headers={"X-Forwarded-For": "127.0.0.1"}))


def test_a_cookie_of_one_door_is_none_at_another(lan: LanHouse) -> None:
    crew, tablet = lan.crew("paint"), lan.tablet()
    for cookies, front in ((tablet, "plain"), (crew, "tls")):
        other = lan.comes(front)  # type: ignore[arg-type]
        assert cookies.client._cookies
        for cookie in cookies.client._cookies.values():
            other.client.set_cookie(cookie.key, cookie.value, domain=lan_name())
        assert is_closed(other.opens("/rooms"))
        assert is_closed(other.opens("/crews/paint"))


def lan_name() -> str:
    from lan_cast import NAME

    return NAME
