"""Reports as files: their names say what and when, photos lie beside them, twice is the same."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from fieldlog.reports.files import keep_issued, write_files
from tests.reports.site import TUESDAY, Site


def test_every_report_of_a_day_is_written_as_page_and_text(site: Site, tmp_path: Path) -> None:
    site.opens("study", "paint", "Door scratched", photos=(site.photographs("study"),))
    site.photographs("kitchen", "Counter")
    out = tmp_path / "out"
    written = write_files(out, site.conn, site.house, site.folder, day=TUESDAY)
    assert [p.name for p in written] == [
        "daily-2026-03-03.html",
        "daily-2026-03-03.txt",
        "punch-stair-2026-03-03.html",
        "punch-stair-2026-03-03.txt",
        "punch-paint-2026-03-03.html",
        "punch-paint-2026-03-03.txt",
        "letter-2026-03-06.html",
        "letter-2026-03-06.txt",
    ]
    for path in written:
        linked = re.findall(r'src="([^"]+)"', path.read_text(encoding="utf-8"))
        assert all((out / link).is_file() for link in linked)
    assert len(list((out / "photos").glob("*.jpg"))) == 2


def test_writing_again_takes_the_place_of_what_was_there(site: Site, tmp_path: Path) -> None:
    site.opens("study", "paint", "Door scratched")
    first = write_files(tmp_path, site.conn, site.house, site.folder, day=TUESDAY)
    before = {p: p.read_bytes() for p in first}
    again = write_files(tmp_path, site.conn, site.house, site.folder, day=TUESDAY)
    assert {p: p.read_bytes() for p in again} == before
    site.opens("study", "paint", "Another")
    write_files(tmp_path, site.conn, site.house, site.folder, day=TUESDAY)
    assert "Another" in (tmp_path / "punch-paint-2026-03-03.txt").read_text(encoding="utf-8")
    assert not list(tmp_path.glob("*.tmp"))


def test_a_photo_whose_file_is_gone_stops_no_report(site: Site, tmp_path: Path) -> None:
    sha256 = site.photographs("kitchen", "Counter")
    (site.folder / "photos" / sha256[:2] / f"{sha256}.png").unlink()
    write_files(tmp_path, site.conn, site.house, site.folder, day=TUESDAY)
    assert "Counter" in (tmp_path / "daily-2026-03-03.html").read_text(encoding="utf-8")


def test_the_text_of_an_issue_is_kept_under_its_hash(site: Site) -> None:
    site.walks()
    assert keep_issued(site.conn, site.house, site.folder, TUESDAY) is None
    body = site.issues()
    site.opens("study", "paint", "After issue")
    path = keep_issued(site.conn, site.house, site.folder, TUESDAY)
    assert path is not None
    assert path.name == f"daily-2026-03-03-{body.text_sha256[:16]}.txt"
    assert hashlib.sha256(path.read_bytes()).hexdigest() == body.text_sha256
