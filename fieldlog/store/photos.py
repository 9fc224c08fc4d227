"""Photos by content: the original's bytes untouched, smaller copies beside it.

What kind of file it is is asked of its content, never of its name. A copy carries no EXIF, so
no place and no camera; its pixels are turned as the EXIF orientation says.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.calc.shape import is_digest
from fieldlog.store.db import HouseFolder, NotStored
from fieldlog.store.durable import write_durably as write_durably

if TYPE_CHECKING:
    from PIL import Image

MEGABYTE = 1_000_000  # as a photo's size is said to people
MAX_BYTES = 15 * MEGABYTE
MAX_PIXELS = 40_000_000
SIZES = (320, 900, 1600)
"""Longer sides of the copies, in pixels."""
QUALITY = 82

FORMATS = ("JPEG", "PNG", "WEBP")
# MPO: a JPEG with a second picture behind the first, as some phones write it.
MEDIA = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
SUFFIX = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}


_NO_PHOTO = "This file is not a JPEG, PNG or WebP photo."
_DAMAGED = "The photo is cut short or damaged. Send it again."


class PhotoRefused(ValueError):
    """The file is not a photo that can be kept; the message is a sentence for the page."""


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A photo whose original is on disk. Width and height are as seen, after turning."""

    sha256: str
    size: int
    media: str
    width: int
    height: int


def keep(folder: os.PathLike[str] | str, data: bytes) -> KeptPhoto:
    """Keep a photo's bytes, durably, before an entry names them. Raises PhotoRefused.

    The same bytes again are the same photo. Raises NotStored when the disk is full or failing:
    then nothing is left behind.
    """
    image = _opened(data)
    width, height = _turned_size(image)
    media = MEDIA[str(image.format)]
    # Decoding at an eighth still reads every byte, and finds a file cut short, in less time.
    _draft(image, (max(1, image.width // 8), max(1, image.height // 8)))
    _decode(image)
    sha256 = hashlib.sha256(data).hexdigest()
    path = _original(folder, sha256, media)
    try:
        if not _holds(path, data):
            write_durably(path, data)
    except OSError as err:
        raise NotStored(f'The photo was not stored: the disk says "{err.strerror}".') from err
    return KeptPhoto(sha256, len(data), media, width, height)


def original(folder: os.PathLike[str] | str, sha256: str) -> Path | None:
    """Where a photo's original is, or None when it is not kept, or the name is no digest."""
    if not is_digest(sha256):
        return None
    for media in SUFFIX:
        path = _original(folder, sha256, media)
        if path.is_file():
            return path
    return None


def rendition(folder: os.PathLike[str] | str, sha256: str, size: int) -> Path:
    """A JPEG copy whose longer side is at most `size` pixels (320, 900 or 1600).

    Made at the first call. While the original is still on its tablet it is the stand-in that
    came ahead. Raises FileNotFoundError when neither is kept, ValueError for another size.
    """
    if size not in SIZES:
        raise ValueError(f"a copy is {SIZES} pixels, not {size}")
    if not is_digest(sha256):
        raise FileNotFoundError("a photo is named by its SHA-256")
    path = HouseFolder(folder).renditions / str(size) / sha256[:2] / f"{sha256}.jpg"
    if path.is_file():
        return path
    kept = original(folder, sha256)
    if kept is None:
        if (ahead := standin(folder, sha256)).is_file():
            return ahead
        raise FileNotFoundError(f"photo {sha256} is not kept")
    write_durably(path, smaller(kept.read_bytes(), size))
    return path


def standin(folder: os.PathLike[str] | str, sha256: str) -> Path:
    """Where the small copy lies that a tablet sends ahead of the original."""
    return HouseFolder(folder).path / "standins" / sha256[:2] / f"{sha256}.jpg"


def verify_photos(conn: sqlite3.Connection, folder: os.PathLike[str] | str) -> list[str]:
    """A sentence for each photo of the journal whose file is gone or was changed.

    One that is still on a tablet is no fault.
    """
    from fieldlog.store.arriving import waiting  # it reads photos by this module

    faults, coming = [], waiting(conn, folder)
    for (sha256,) in conn.execute("SELECT DISTINCT sha256 FROM fold_photo ORDER BY sha256"):
        path = original(folder, sha256)
        if path is None and sha256 in coming:
            continue
        if path is None:
            faults.append(f"Photo {sha256}: the file is gone.")
        elif hashlib.sha256(path.read_bytes()).hexdigest() != sha256:
            faults.append(f"Photo {sha256}: the file was changed.")
    return faults


def _original(folder: os.PathLike[str] | str, sha256: str, media: str) -> Path:
    return HouseFolder(folder).photos / sha256[:2] / f"{sha256}.{SUFFIX[media]}"


def _holds(path: Path, data: bytes) -> bool:
    return path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data


def _opened(data: bytes) -> Image.Image:
    """The image with its header read. Raises PhotoRefused."""
    from PIL import Image, UnidentifiedImageError

    if len(data) > MAX_BYTES:
        megabytes = len(data) / 1_000_000
        raise PhotoRefused(f"The photo is {megabytes:.1f} MB; 15 MB is the most.")
    try:
        with warnings.catch_warnings():
            # Our own limit below is an error; Pillow's is a warning at another number.
            warnings.simplefilter("ignore")
            image = Image.open(BytesIO(data), formats=FORMATS)
    except Image.DecompressionBombError as err:
        raise PhotoRefused("The photo has more than 40 million pixels.") from err
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as err:
        raise PhotoRefused(_DAMAGED if _begins_as_photo(data) else _NO_PHOTO) from err
    if image.width * image.height > MAX_PIXELS:
        pixels = image.width * image.height / 1_000_000
        raise PhotoRefused(f"The photo has {pixels:.0f} million pixels; 40 million is the most.")
    return image


def _begins_as_photo(data: bytes) -> bool:
    webp = data[:4] == b"RIFF" and data[8:12] == b"WEBP"
    return webp or data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"))


def _decode(image: Image.Image) -> None:
    """Decode every pixel: only that shows a file cut short. Raises PhotoRefused."""
    from PIL import Image

    try:
        image.load()
    except (OSError, ValueError, SyntaxError, IndexError, EOFError) as err:
        raise PhotoRefused(_DAMAGED) from err
    except Image.DecompressionBombError as err:
        raise PhotoRefused("The photo unpacks to more than it says.") from err


def _turned_size(image: Image.Image) -> tuple[int, int]:
    if _orientation(image) in (5, 6, 7, 8):
        return image.height, image.width
    return image.width, image.height


def _orientation(image: Image.Image) -> int:
    """EXIF orientation 1 to 8; 1 where there is none, or the EXIF block is damaged."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            value = image.getexif().get(0x0112, 1)
    except (SyntaxError, ValueError, OSError, TypeError, KeyError, struct.error):
        return 1
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def smaller(data: bytes, size: int) -> bytes:
    """JPEG bytes of a copy: turned, shrunk, on white, without EXIF. Raises PhotoRefused."""
    from PIL import Image

    image = _opened(data)
    turn = _TURNS.get(_orientation(image))
    target = _fit(image.width, image.height, size)
    _draft(image, target)
    _decode(image)
    # A phone's wide colours need their profile; other modes are converted away from theirs.
    profile = image.info.get("icc_profile") if image.mode == "RGB" else None
    flat = _flattened(image).resize(target, Image.Resampling.HAMMING)
    if turn is not None:
        flat = flat.transpose(Image.Transpose[turn])
    # What the file said besides its pixels (comment, EXIF, XMP) would be written again.
    flat.info = {}
    out = BytesIO()
    flat.save(out, "JPEG", quality=QUALITY, optimize=True, icc_profile=profile)
    return out.getvalue()


def _draft(image: Image.Image, target: tuple[int, int]) -> None:
    """Let a JPEG decoder shrink by 2, 4 or 8 while it decodes.

    `target` has the picture's own proportions: asked for a square it would shrink nothing.
    """
    if image.format in ("JPEG", "MPO"):
        image.draft(None, target)


_TURNS = {
    2: "FLIP_LEFT_RIGHT", 3: "ROTATE_180", 4: "FLIP_TOP_BOTTOM", 5: "TRANSPOSE",
    6: "ROTATE_270", 7: "TRANSVERSE", 8: "ROTATE_90",
}  # fmt: skip
"""EXIF 2.32, tag 0x0112: what turns the stored picture upright."""


def _fit(width: int, height: int, size: int) -> tuple[int, int]:
    longer = max(width, height)
    if longer <= size:
        return width, height
    return max(1, width * size // longer), max(1, height * size // longer)


def _flattened(image: Image.Image) -> Image.Image:
    """RGB, transparent parts on white."""
    from PIL import Image

    if "A" not in image.getbands() and "transparency" not in image.info:
        return image.convert("RGB")
    white = Image.new("RGBA", image.size, "white")
    return Image.alpha_composite(white, image.convert("RGBA")).convert("RGB")
