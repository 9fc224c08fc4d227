"""A backup is read back before it counts, a restored house is walked before it stands there."""

from __future__ import annotations

import hashlib
import json
import sqlite3
import stat
import zipfile
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from keeping import START
from twin import Site, Tablet, as_saved, jpeg

from fieldlog import tls
from fieldlog.app import create_app
from fieldlog.calc.bodies import ItemEntry, PhotoEntry
from fieldlog.cli import run
from fieldlog.config import Config
from fieldlog.lan import Doors, prepared
from fieldlog.store import access_db, access_devices, backed_up, journal
from fieldlog.store.access_devices import CodeRefused
from fieldlog.store.backup import OWN_FILES, BackupFailed, backup
from fieldlog.store.db import open_reader, open_writer
from fieldlog.store.export import export
from fieldlog.store.restore import newest, restore
from fieldlog.web.access import DEVICE_COOKIE
from fieldlog.web.request import KEY

NAME, TOKEN = "fieldlog-7k2m.local", "t" * 32
CLOSED = 403


def fills(tablet: Tablet, number: int = 1) -> str:
    """An item and a photo of it, handed over; the photo's digest."""
    data = jpeg(number)
    sha256 = tablet.keeps_photo(data)
    tablet.enters("item/1", ItemEntry("", "hall", "stairs", "Scratch"))
    tablet.enters("photo/1", PhotoEntry(sha256, len(data), "image/jpeg", 24, 16, room="hall"))
    tablet.sends()
    tablet.sends_photos()
    return sha256


def test_a_house_is_backed_up_while_it_is_served_and_the_tablet_lets_go(
    site: Site, tablet: Tablet
) -> None:
    sha256 = fills(tablet)
    (site.folder / "overrides.toml").write_text("# ours\n")
    (site.folder / "secret.key").write_bytes(b"secret")
    assert tablet.entries
    assert tablet.photos
    site.backs_up()
    tablet.sends_photos()
    tablet.sends()
    assert (tablet.entries, tablet.photos) == ({}, {})
    one = newest(site.place)
    assert {p.name for p in one.rglob("*") if p.is_file()} == {
        "fieldlog.sqlite", "backup.json", "overrides.toml",
    }  # fmt: skip
    assert (site.place / "photos" / sha256[:2] / f"{sha256}.jpg").read_bytes() == jpeg(1)
    fills(tablet, 2)
    tablet.sends()
    assert tablet.entries, "what came after the backup stays on the tablet"


def test_a_restored_house_is_the_same_and_knows_what_it_holds(
    site: Site, tablet: Tablet, tmp_path: Path
) -> None:
    fills(tablet)
    site.backs_up()
    to = tmp_path / "new" / "house"
    done = restore(newest(site.place), to)
    manifest = done.manifest
    assert (done.faults, done.name) == ([], "")
    with closing(open_writer(to)) as conn:
        assert journal.head(conn).seq == manifest.seq
        assert journal.verify(conn) == []
        assert backed_up.last(conn, to).seq == manifest.seq
    with pytest.raises(BackupFailed, match="not empty"):
        restore(newest(site.place), to)


def test_a_backup_that_was_changed_is_not_restored(
    site: Site, tablet: Tablet, tmp_path: Path
) -> None:
    fills(tablet)
    site.backs_up()
    one, to = newest(site.place), tmp_path / "to"
    with sqlite3.connect(one / "fieldlog.sqlite") as conn:
        conn.execute("DROP TRIGGER journal_no_update")
        conn.execute("UPDATE journal SET author = 'superintendent/Mallory' WHERE seq = 2")
    conn.close()
    with pytest.raises(BackupFailed, match="Entry 2"):
        restore(one, to)
    (one / "fieldlog.sqlite").write_bytes(b"junk" * 2000)
    with pytest.raises((BackupFailed, sqlite3.DatabaseError)):
        restore(one, to)
    assert not to.exists()
    assert not [p for p in tmp_path.iterdir() if "restoring" in p.name]


def test_a_backup_that_lost_its_last_entries_is_not_restored(
    site: Site, tablet: Tablet, tmp_path: Path
) -> None:
    """The one thing that a chain does not show by itself."""
    fills(tablet)
    site.backs_up()
    one = newest(site.place)
    with sqlite3.connect(one / "fieldlog.sqlite") as conn:
        conn.execute("DROP TRIGGER journal_no_delete")
        conn.execute("DELETE FROM journal WHERE seq = (SELECT max(seq) FROM journal)")
    conn.close()
    with pytest.raises(BackupFailed, match="its journal at"):
        restore(one, tmp_path / "to")


def test_a_photo_changed_on_disk_is_said_and_not_kept_over_a_good_one(
    site: Site, tablet: Tablet
) -> None:
    sha256 = fills(tablet)
    path = site.folder / "photos" / sha256[:2] / f"{sha256}.jpg"
    path.write_bytes(b"spoiled")
    made = backup(site.folder, site.place, START)
    assert any(sha256 in fault for fault in made.faults)
    assert made.manifest.photos == ()


def test_an_older_copy_is_not_backed_up_over_the_latest(site: Site, tablet: Tablet) -> None:
    site.copies()
    fills(tablet)
    site.backs_up()
    site.swaps()
    with pytest.raises(BackupFailed, match="Restore that"):
        site.backs_up()
    assert len(list(site.place.glob("*/backup.json"))) == 1


def test_a_record_copied_with_another_journal_says_nothing(site: Site, tablet: Tablet) -> None:
    fills(tablet)
    site.backs_up()
    record = json.loads((site.folder / "backup.json").read_text())
    for spoiled in (record | {"chain": "0" * 64}, record | {"seq": 999}, {"seq": 1}):
        (site.folder / "backup.json").write_text(json.dumps(spoiled))
        with closing(open_reader(site.folder)) as conn:
            assert backed_up.last(conn, site.folder).seq == 0


def test_no_secret_is_named_among_what_goes_along() -> None:
    assert not [n for n in OWN_FILES if "secret" in n or "access" in n or "tls" in n]


def let_in(folder: Path) -> bytes:
    """A house that is served beyond its machine, with a tablet and a code; its certificate."""
    with closing(access_db.open_access(folder)) as conn:
        access_db.keep_lan_name(conn, NAME)
        access_devices.make_code(conn, "271828", START)
        access_devices.add_device(conn, "tablet-1", "Kitchen", TOKEN, START)
    return tls.renew(folder, NAME, START).leaf.read_bytes()


def test_a_restored_house_is_the_tablets_own_again(
    site: Site, tablet: Tablet, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same name with the same certificate, and the paired tablet's token is known."""
    fills(tablet)
    leaf = let_in(site.folder)
    assert run(["backup", str(site.place), "--data", str(site.folder)]) == 0
    assert "keep this disk like a key" in capsys.readouterr().out
    private = newest(site.place) / "private"
    for path in (p for p in private.rglob("*") if p.is_file()):
        assert (path.name, stat.S_IMODE(path.stat().st_mode)) == (path.name, 0o600)
    to = tmp_path / "new"
    assert run(["restore", str(site.place), "--to", str(to)]) == 0
    assert f"served as {NAME} again" in capsys.readouterr().out
    for name in ("access.sqlite", "tls/leaf.pem", "tls/root.crt"):
        assert stat.S_IMODE((to / name).stat().st_mode) == 0o600
    doors = Doors("127.0.0.1", 1, 2, announce=False)
    config = prepared(Config(to, clock=lambda: START + timedelta(days=3)), doors)
    kept = tls.kept(to)
    assert (config.lan and config.lan.name, kept and kept.leaf.read_bytes()) == (NAME, leaf)
    app = create_app(replace(config, front="tls", allowed_hosts=(NAME,)))
    asked = {"base_url": f"https://{NAME}", "headers": {"X-Fieldlog": "outbox/1"}}
    client = app.test_client()
    assert client.get("/sync/hello", **asked).status_code == CLOSED
    client.set_cookie(DEVICE_COOKIE, TOKEN, domain=NAME, secure=True)
    assert client.get("/sync/hello", **asked).get_json()["device"] == "tablet-1"
    app.extensions[KEY].close()
    with closing(access_db.open_access(to)) as conn, pytest.raises(CodeRefused):
        access_devices.use_code(conn, "271828", "tablet-2", START)


def test_who_may_come_in_is_never_exported(site: Site, tablet: Tablet, tmp_path: Path) -> None:
    fills(tablet)
    key = let_in(site.folder).partition(b"-----BEGIN PRIVATE")[2][:40]
    site.backs_up()
    out = tmp_path / "house.zip"
    with closing(open_reader(site.folder)) as conn:
        export(conn, site.folder, out)
    with zipfile.ZipFile(out) as whole:
        held = {name: whole.read(name) for name in whole.namelist()}
    assert not [n for n in held if "access" in n or "tls" in n or "private" in n]
    secrets = (key, hashlib.sha256(TOKEN.encode()).hexdigest().encode(), NAME.encode())
    assert not [n for n, data in held.items() for secret in secrets if secret in data]


def test_the_commands(
    site: Site, tablet: Tablet, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fills(tablet)
    data = ["--data", str(site.folder)]
    assert run(["backup", str(site.place), *data]) == 0
    assert "checked" in capsys.readouterr().out
    assert run(["backup", str(site.folder / "in"), *data]) == 2
    assert run(["restore", str(tmp_path / "nowhere"), "--to", str(tmp_path / "r")]) == 2
    assert run(["restore", str(site.place), "--to", str(tmp_path / "r")]) == 0
    assert run(["verify", "--data", str(tmp_path / "r")]) == 0
    assert "sound" in capsys.readouterr().out


def test_a_saved_outbox_is_taken_in_once(
    site: Site, tablet: Tablet, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    photo = jpeg(9)
    sha256 = tablet.keeps_photo(photo)
    for word in "ab":
        tablet.enters("item/1", ItemEntry("", "hall", "stairs", word))
    tablet.enters("photo/1", PhotoEntry(sha256, len(photo), "image/jpeg", 24, 16, room="hall"))
    saved = as_saved(tablet)
    file, folder = tmp_path / "outbox.fieldlog", ["--data", str(site.folder)]
    file.write_bytes(saved)
    site.held.close()
    assert run(["take", str(file), *folder]) == 0
    assert "3 stored. Photos kept: 1" in capsys.readouterr().out
    assert run(["take", str(file), *folder]) == 0
    assert "3 already stored" in capsys.readouterr().out
    tablet.sends()
    assert len(site.tablets_entries()) == 3
    site.held.close()
    for cut in (len(saved) - 5, len(saved) // 2, 150):
        file.write_bytes(saved[:cut])
        assert run(["take", str(file), *folder]) == 1
    file.write_bytes(saved.replace(b"fieldlog-outbox/1", b"fieldlog-outbox/2"))
    assert run(["take", str(file), *folder]) == 2
    assert "outbox/2" in capsys.readouterr().err
    file.write_bytes(b"\x00" * 100)
    assert run(["take", str(file), *folder]) == 2
    other = saved.replace(hashlib.sha256(photo).hexdigest().encode(), b"c" * 64)
    file.write_bytes(other)
    assert run(["take", str(file), *folder]) == 1
    assert len(site.tablets_entries()) == 3


def test_a_number_from_before_a_restore_lets_nothing_go(site: Site, tablet: Tablet) -> None:
    """Numbers begin again after a restore; only the witness tells one history from the other."""
    other = Tablet(site.wire())
    other.greet()
    site.backs_up()
    lost = tablet.enters("item/1", ItemEntry("", "hall", "stairs", "Scratch"))
    tablet.sends()
    site.restores()
    for word in "abc":
        other.enters("item/1", ItemEntry("", "hall", "stairs", word))
    other.sends()
    site.backs_up()
    told = tablet._batch([])
    assert (told["witness"], told["backed_up_to"] >= tablet.entries[lost].seq) == ("unknown", True)
    tablet.sends()
    assert lost in {entry_id for entry_id, _ in site.tablets_entries()}
    assert lost in tablet.entries
