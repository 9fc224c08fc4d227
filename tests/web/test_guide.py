"""The guide to getting a tablet ready: for anyone, with nothing of the house on it."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from cryptography import x509
from lan_cast import NAME, LanHouse
from PIL import Image
from web_cast import Person, SmallHouse, as_json

from fieldlog.config import asset_folder
from fieldlog.web.qr import qr_svg

PICTURES = sorted((asset_folder("static") / "guide").glob("*.svg"))


@pytest.fixture
def lan(small_house: SmallHouse) -> LanHouse:
    """The small house at three doors."""
    return LanHouse(small_house)


def test_it_has_every_step_with_its_picture_at_every_door(lan: LanHouse) -> None:
    for front in ("machine", "plain", "tls"):
        page = lan.comes(front).opens("/guide")  # type: ignore[arg-type]
        assert page.status == 200
        assert page.inline == []
        assert [int(n) for n in re.findall(r"<h2>(\d)\.", page.html)] == [1, 2, 3, 4, 5, 6]
        for path in PICTURES:
            assert f"guide/{path.name}" in page.html
        assert "To begin before the certificate is there" in page.text
        if front != "machine":
            assert "Boathouse" not in page.html


def test_the_certificate_is_the_root_alone(lan: LanHouse) -> None:
    page = lan.comes("plain").opens("/guide/root.crt")
    assert page.response.mimetype == "application/x-x509-ca-cert"
    root = x509.load_der_x509_certificate(page.response.data)
    assert root.subject.rfc4514_string() == f"CN={NAME} only"


def test_the_self_test_looks_at_the_houses_own_two_doors_and_nowhere_else(lan: LanHouse) -> None:
    page = lan.comes("plain").opens("/guide/test")
    policy = page.response.headers["Content-Security-Policy"]
    assert f"img-src 'self' https://{NAME}:8443 http://{NAME}:8322 blob: data:" in policy
    assert "unsafe" not in policy
    assert "Step 2 or 3" in page.text
    half = lan.tablet().opens("/guide/test")
    assert 'data-test="paired" data-done="yes"' in half.html
    assert 'data-done="no"' in lan.comes("tls").opens("/guide/test").html


def test_the_dot_may_be_loaded_by_the_other_door_and_is_never_kept(lan: LanHouse) -> None:
    for front in ("tls", "plain"):
        page = lan.comes(front).opens("/guide/here.svg")  # type: ignore[arg-type]
        assert page.response.headers["Cross-Origin-Resource-Policy"] == "cross-origin"
        assert page.response.headers["Cache-Control"] == "no-store"


def test_the_home_screen_gets_a_name_and_its_pictures(lan: LanHouse) -> None:
    page = lan.comes("tls").opens("/manifest.webmanifest")
    told = as_json(page)
    assert (told["display"], told["start_url"], told["scope"]) == ("standalone", "/", "/")
    for icon in told["icons"]:
        name = icon["src"].rpartition("/")[2]
        with Image.open(asset_folder("static") / "icons" / name) as drawn:
            assert f"{drawn.width}x{drawn.height}" == icon["sizes"]
    assert 'rel="apple-touch-icon"' in lan.comes("tls").opens("/").html


def test_served_on_this_machine_only_there_is_no_guide(superintendent: Person) -> None:
    assert "fieldlog serve --lan" in superintendent.opens("/guide").text


@pytest.mark.parametrize("path", PICTURES, ids=lambda p: p.stem)
def test_a_picture_is_small_titled_and_by_attributes_only(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    assert len(text) < 4096
    assert next(iter(root)).text
    for element in root.iter():
        assert not {"style", "class", "id", "href"} & set(element.attrib)


def test_a_qr_is_drawn_by_attributes_with_its_quiet_zone() -> None:
    drawn = str(qr_svg(f"http://{NAME}:8322/in#{'s' * 32}", 'the "list" & more'))
    root = ElementTree.fromstring(drawn)
    assert root.get("aria-label") == 'QR code: the "list" & more'
    assert "style" not in drawn
    # ISO/IEC 18004: four modules all around; 66 bytes at level M need version 5 of 37.
    assert root.get("viewBox") == "0 0 45 45"
    assert re.search(r'd="M4 4\.5h7', drawn)
