"""Data files as a person's editor leaves them: which files count, and their text."""

from __future__ import annotations

from pathlib import Path

from fieldlog.calc.toml_text import DataFileError


def toml_files(folder: Path) -> list[Path]:
    """The TOML files of a folder by name, none where there is no folder.

    Names that begin with a dot are not a person's: an editor's lock (`.#stair.toml`), or what a
    Mac leaves beside a file on a stick (`._stair.toml`).
    """
    found = sorted(folder.glob("*.toml"))
    return [path for path in found if not path.name.startswith(".") and not path.is_dir()]


def text_of(path: Path) -> str:
    """A data file's text, without the mark that some editors put before UTF-8.

    Raises DataFileError for a file that is no text in UTF-8 or can't be read.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as err:
        raise DataFileError(path.name, 1, "is not text in UTF-8") from err
    except OSError as err:
        raise DataFileError(path.name, 1, f"can't be read: {err.strerror}") from err
