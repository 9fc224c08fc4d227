"""Photos: the original untouched, no place in a copy, and a sentence for what is no photo."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from keeping import Kept
from PIL import Image, ImageDraw

from fieldlog.calc.entries import PhotoEntry
from fieldlog.store import durable, photos, reading
from fieldlog.store.db import NotStored
from fieldlog.store.photos import PhotoRefused, keep, rendition

GPS = 0x8825
ORIENTATION = 0x0112
SECRET = b"Nikon of Pat"


def picture(width: int = 64, height: int = 48, mode: str = "RGB") -> Image.Image:
    """Left half red, top left corner white: it shows how it was turned."""
    image = Image.new("RGB", (width, height), "blue")
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 0, width // 2, height), fill="red")
    draw.rectangle((0, 0, width // 4, height // 4), fill="white")
    return image.convert(mode)


def encoded(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    """The bytes of an image file."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def located(orientation: int = 1, width: int = 64, height: int = 48) -> bytes:
    """A JPEG as a phone writes it: a place, a camera, and perhaps lying on its side."""
    exif = Image.Exif()
    exif[0x010F] = SECRET.decode()
    exif[ORIENTATION] = orientation
    exif.get_ifd(GPS).update({1: "N", 2: (41.0, 52.0, 41.25), 3: "W", 4: (87.0, 37.0, 12.5)})
    return encoded(picture(width, height), exif=exif, comment=SECRET)


def png_that_claims(width: int, height: int, data: bytes = b"") -> bytes:
    """A PNG whose header says its size, with as little behind it as told."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"".join([
        b"\x89PNG\r\n\x1a\n", chunk(b"IHDR", header), chunk(b"IDAT", zlib.compress(data)),
        chunk(b"IEND", b""),
    ])  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "media", "suffix"),
    [("JPEG", "image/jpeg", "jpg"), ("PNG", "image/png", "png"), ("WEBP", "image/webp", "webp")],
)
def test_the_original_is_kept_byte_for_byte(
    tmp_path: Path, kind: str, media: str, suffix: str
) -> None:
    data = encoded(picture(), kind)
    kept = keep(tmp_path, data)
    sha256 = hashlib.sha256(data).hexdigest()
    assert (kept.sha256, kept.size, kept.media) == (sha256, len(data), media)
    assert (kept.width, kept.height) == (64, 48)
    path = tmp_path / "photos" / sha256[:2] / f"{sha256}.{suffix}"
    assert photos.original(tmp_path, sha256) == path
    for size in photos.SIZES:
        rendition(tmp_path, sha256, size)
    assert path.read_bytes() == data


def test_the_same_photo_twice_is_one_file(tmp_path: Path) -> None:
    data = encoded(picture())
    first = keep(tmp_path, data)
    path = photos.original(tmp_path, first.sha256)
    assert path is not None
    before = path.stat().st_mtime_ns
    assert keep(tmp_path, data) == first
    assert path.stat().st_mtime_ns == before
    assert [p.name for p in (tmp_path / "photos").rglob("*.*")] == [path.name]


def test_a_damaged_original_is_put_right_when_the_photo_comes_again(tmp_path: Path) -> None:
    data = encoded(picture())
    path = photos.original(tmp_path, keep(tmp_path, data).sha256)
    assert path is not None
    path.write_bytes(data[:-1])
    keep(tmp_path, data)
    assert path.read_bytes() == data


def test_no_place_and_no_camera_in_a_copy(tmp_path: Path) -> None:
    data = located(orientation=6, width=2000, height=1500)
    kept = keep(tmp_path, data)
    assert SECRET in data
    for size in photos.SIZES:
        copied = rendition(tmp_path, kept.sha256, size).read_bytes()
        with Image.open(io.BytesIO(copied)) as image:
            assert dict(image.getexif()) == {}
            assert not image.getexif().get_ifd(GPS)
            assert "comment" not in image.info
        assert SECRET not in copied
        assert b"Exif" not in copied


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_copy_stands_upright(tmp_path: Path, orientation: int) -> None:
    """Pillow's own `exif_transpose` is the reference."""
    from PIL import ImageOps

    data = located(orientation, 400, 240)
    kept = keep(tmp_path, data)
    with Image.open(io.BytesIO(data)) as image:
        expected = ImageOps.exif_transpose(image)
    with Image.open(rendition(tmp_path, kept.sha256, 320)) as copy:
        assert (kept.width, kept.height) == expected.size
        assert copy.size == ((320, 192) if kept.width > kept.height else (192, 320))
        for x, y in ((0.1, 0.1), (0.9, 0.1), (0.1, 0.9), (0.9, 0.9)):
            seen = copy.getpixel((int(x * copy.width), int(y * copy.height)))
            meant = expected.getpixel((int(x * expected.width), int(y * expected.height)))
            assert all(abs(a - b) < 40 for a, b in zip(seen, meant, strict=True))  # type: ignore[arg-type]


def test_a_small_photo_is_not_blown_up(tmp_path: Path) -> None:
    kept = keep(tmp_path, encoded(picture(100, 80)))
    with Image.open(rendition(tmp_path, kept.sha256, 1600)) as copy:
        assert copy.size == (100, 80)


@pytest.mark.parametrize(("width", "height"), [(3000, 1), (1, 3000), (1, 1), (15, 14), (1601, 900)])
def test_odd_shapes_have_copies(tmp_path: Path, width: int, height: int) -> None:
    for kind in ("JPEG", "PNG"):
        kept = keep(tmp_path, encoded(Image.new("RGB", (width, height)), kind))
        for size in photos.SIZES:
            with Image.open(rendition(tmp_path, kept.sha256, size)) as copy:
                assert max(copy.size) == min(size, max(width, height))


@pytest.mark.parametrize("mode", ["L", "P", "1", "LA", "RGBA", "I;16", "CMYK", "YCbCr"])
def test_every_kind_of_pixel_has_a_copy(tmp_path: Path, mode: str) -> None:
    kind = "JPEG" if mode in ("CMYK", "YCbCr") else "PNG"
    image = picture().convert("I").convert("I;16") if mode == "I;16" else picture(mode=mode)
    kept = keep(tmp_path, encoded(image, kind))
    with Image.open(rendition(tmp_path, kept.sha256, 320)) as copy:
        assert (copy.mode, copy.size) == ("RGB", (64, 48))


def test_a_transparent_part_is_white(tmp_path: Path) -> None:
    kept = keep(tmp_path, encoded(Image.new("RGBA", (40, 40), (0, 0, 0, 0)), "PNG"))
    with Image.open(rendition(tmp_path, kept.sha256, 320)) as copy:
        assert copy.getpixel((20, 20)) == (255, 255, 255)


def test_a_phone_s_double_jpeg_is_a_jpeg(tmp_path: Path) -> None:
    data = encoded(picture(), "MPO", save_all=True, append_images=[picture()])
    kept = keep(tmp_path, data)
    assert kept.media == "image/jpeg"
    with Image.open(rendition(tmp_path, kept.sha256, 320)) as copy:
        assert (copy.format, copy.size) == ("JPEG", (64, 48))


def test_damaged_exif_does_not_spoil_a_photo(tmp_path: Path) -> None:
    for exif in (
        b"Exif\x00\x00",
        b"Exif\x00\x00MM\x00*\xff\xff\xff\xff",
        b"Exif\x00\x00II" + b"x" * 40,
    ):
        kept = keep(tmp_path, encoded(picture(), exif=exif))
        assert rendition(tmp_path, kept.sha256, 320).is_file()


def zipped() -> bytes:
    """A zip with a JPEG in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as whole:
        whole.writestr("photo.jpg", encoded(picture()))
    return out.getvalue()


JPEG = encoded(picture(300, 200))
PNG = encoded(picture(300, 200), "PNG")
WEBP = encoded(picture(300, 200), "WEBP")
LOCATED = located(orientation=6)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "not a JPEG, PNG or WebP"),
        (b"\xff\xd8\xff", "cut short"),
        (zipped(), "not a JPEG, PNG or WebP"),
        (encoded(picture(), "GIF"), "not a JPEG, PNG or WebP"),
        (encoded(picture(), "TIFF"), "not a JPEG, PNG or WebP"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a JPEG, PNG or WebP"),
        (b"%PDF-1.7\n", "not a JPEG, PNG or WebP"),
        (JPEG[: len(JPEG) // 2], "cut short"),
        (JPEG[:-40], "cut short"),
        (PNG[: len(PNG) // 2], "cut short"),
        (WEBP[: len(WEBP) // 2], "cut short"),
        (JPEG + b"\0" * 16_000_000, "16.0 MB; 15 MB is the most"),
        (png_that_claims(8200, 5000), "41 million pixels; 40 million is the most"),
        (png_that_claims(30_000, 30_000), "40 million"),
        (png_that_claims(2**31 - 1, 2**31 - 1), "40 million"),
        (png_that_claims(0, 0), ""),
        (png_that_claims(5000, 5000, b"x"), "cut short"),
    ],
)
def test_what_is_no_photo_is_refused_with_a_sentence(
    tmp_path: Path, data: bytes, says: str
) -> None:
    with pytest.raises(PhotoRefused) as caught:
        keep(tmp_path, data)
    assert says in str(caught.value)
    assert str(caught.value).endswith(".")
    assert list(tmp_path.rglob("*")) == []


def test_a_photo_of_41_million_real_pixels_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PhotoRefused, match="40 million is the most"):
        keep(tmp_path, encoded(Image.new("L", (8200, 5000)), "PNG"))


def test_a_png_that_unpacks_to_far_more_is_refused_or_bounded(tmp_path: Path) -> None:
    """100 MB of zeros in 100 KB: no more is decoded than the header's few pixels."""
    bomb = png_that_claims(50, 50, bytes(100_000_000))
    assert len(bomb) < 200_000
    try:
        kept = keep(tmp_path, bomb)
    except PhotoRefused:
        return
    assert (kept.width, kept.height) == (50, 50)


def test_a_text_chunk_bomb_is_refused(tmp_path: Path) -> None:
    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    packed = chunk(b"zTXt", b"k\0\0" + zlib.compress(bytes(80_000_000)))
    bomb = PNG[:33] + packed + PNG[33:]
    with pytest.raises(PhotoRefused):
        keep(tmp_path, bomb)


@settings(max_examples=150)
@given(st.sampled_from([JPEG, PNG, WEBP, LOCATED]), st.data())
def test_a_damaged_photo_is_kept_or_refused_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, draw: st.DataObject
) -> None:
    """No decoder finds every damage; none may raise what nobody expects."""
    folder = tmp_path_factory.getbasetemp() / "damaged"
    at = draw.draw(st.integers(0, len(data) - 1))
    junk = draw.draw(st.binary(max_size=40))
    damaged = data[:at] + junk + data[at + len(junk) :]
    try:
        kept = keep(folder, damaged)
    except PhotoRefused:
        return
    assert rendition(folder, kept.sha256, 320).is_file()


@pytest.mark.parametrize("size", [0, 321, 100_000])
def test_a_copy_has_one_of_three_sizes(tmp_path: Path, size: int) -> None:
    kept = keep(tmp_path, encoded(picture()))
    with pytest.raises(ValueError, match="320"):
        rendition(tmp_path, kept.sha256, size)


def test_a_copy_of_a_photo_that_is_not_kept(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        rendition(tmp_path, "0" * 64, 320)


@pytest.mark.parametrize("name", ["../../x", "", "A" * 64, "0" * 63 + "/"])
def test_a_name_that_is_no_digest_leads_nowhere(tmp_path: Path, name: str) -> None:
    (tmp_path / "x.jpg").write_bytes(b"")
    assert photos.original(tmp_path, name) is None
    with pytest.raises(FileNotFoundError):
        rendition(tmp_path, name, 320)


def test_a_copy_that_was_thrown_away_is_made_again(tmp_path: Path) -> None:
    kept = keep(tmp_path, encoded(picture()))
    path = rendition(tmp_path, kept.sha256, 320)
    made = path.read_bytes()
    path.unlink()
    assert rendition(tmp_path, kept.sha256, 320).read_bytes() == made


def test_a_copy_is_shrunk_while_decoding() -> None:
    """Asked for 4000 x 3000 at 900, the decoder gives a half or less, not the whole."""
    image = Image.open(io.BytesIO(encoded(picture(4000, 3000))))
    photos._draft(image, photos._fit(4000, 3000, 900))
    assert image.size == (1000, 750)


@pytest.mark.skipif(os.name == "nt" or sys.platform == "darwin", reason="needs /dev/full")
def test_a_disk_that_is_full_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The temporary file is written to /dev/full: every write says "no space left"."""
    monkeypatch.setattr(
        durable.tempfile,
        "mkstemp",
        lambda **_: (os.open("/dev/full", os.O_WRONLY), str(tmp_path / "t")),
    )
    with pytest.raises(NotStored, match="No space left"):
        keep(tmp_path, encoded(picture()))
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


def test_verify_finds_a_photo_gone_or_changed(kept: Kept) -> None:
    shas = []
    for shade in ("red", "green", "blue"):
        one = keep(kept.folder, encoded(Image.new("RGB", (8, 8), shade)))
        body = PhotoEntry(one.sha256, one.size, "image/jpeg", one.width, one.height, "hall")
        kept.record("photo/1", body)
        shas.append(one.sha256)
    assert photos.verify_photos(kept.conn, kept.folder) == []
    gone, changed, _ = (photos.original(kept.folder, sha) for sha in shas)
    assert gone
    assert changed
    gone.unlink()
    changed.write_bytes(changed.read_bytes() + b"x")
    assert sorted(photos.verify_photos(kept.conn, kept.folder)) == sorted([
        f"Photo {shas[0]}: the file is gone.", f"Photo {shas[1]}: the file was changed.",
    ])  # fmt: skip


def test_photos_are_read_by_room_subject_and_day(kept: Kept) -> None:
    item = kept.item()
    one = keep(kept.folder, encoded(picture()))
    body = PhotoEntry(one.sha256, one.size, "image/jpeg", 64, 48, "hall", f"item:{item}", "Here")
    first = kept.record("photo/1", body).id
    assert [p.sha256 for p in reading.photos(kept.conn, room="hall")] == [one.sha256]
    assert [p.caption for p in reading.photos(kept.conn, of=f"item:{item}")] == ["Here"]
    assert len(reading.photos(kept.conn, day="2026-03-03", room="hall", of=f"item:{item}")) == 1
    assert reading.photos(kept.conn, day="2026-03-04") == []
    assert reading.photos(kept.conn, of="") == []
    found = reading.item(kept.conn, item)
    assert found is not None
    assert found.photos == (one.sha256,)
    kept.strike(first, "wrong photo")
    assert reading.photos(kept.conn) == []
    assert reading.photo(kept.conn, one.sha256) is None
    found = reading.item(kept.conn, item)
    assert found is not None
    assert found.photos == ()
