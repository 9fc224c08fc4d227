"""Sentence templates: a data file of words, so that a translation is a file."""

from __future__ import annotations

import tomllib

from fieldlog.calc.toml_text import DataFileError


def load_words(text: str, file: str) -> dict[str, str]:
    """Sentence templates by name. Raises DataFileError."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as err:
        raise DataFileError(file, 1, str(err)) from err
    for key, value in raw.items():
        if not isinstance(value, str):
            raise DataFileError(file, 1, f'"{key}" is not a sentence')
    return dict(raw)
