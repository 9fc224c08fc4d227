"""Sentence templates: a data file of words, so that a translation is a file."""

from __future__ import annotations

from fieldlog.calc.toml_text import DataFileError, read_toml


def load_words(text: str, file: str) -> dict[str, str]:
    """Sentence templates by name. Raises DataFileError."""
    raw = read_toml(text, file)
    for key, value in raw.items():
        if not isinstance(value, str):
            raise DataFileError(file, 1, f'"{key}" is not a sentence')
    return raw
