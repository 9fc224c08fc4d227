"""Strict reading of a data file (TOML): every fault names the file and the line.

tomllib gives no line numbers for what it has read, so the line is found again in the text by
the table and key that the fault names. A float literal is refused: a limit written `7.75`
would be rounded before anyone judged by it; it is written as text, `"7 3/4 in"`.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from typing import Any, TypeVar

import msgspec

T = TypeVar("T")
_MANY = re.compile(r"[\d_]{4300,}")


class DataFileError(ValueError):
    """A sheet, book, instrument or override file refuses to load; says file, line and why."""

    def __init__(self, file: str, line: int, why: str) -> None:
        self.file, self.line, self.why = file, line, why
        super().__init__(f"{file}, line {line}: {why}")


class _FloatFound(ValueError):
    """Carries a float literal's text out of tomllib."""


def sha256_of(text: str) -> str:
    """SHA-256 (hex) of a data file's text in UTF-8: the name a judgement knows it by."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def load_strict(text: str, file: str, shape: type[T]) -> T:
    """`text` read as `shape` (a strict msgspec structure).

    Raises DataFileError for TOML faults, float literals, unknown or missing keys, wrong types.
    """
    data = read_toml(text, file)
    try:
        return msgspec.convert(data, shape)
    except msgspec.ValidationError as err:
        raise DataFileError(file, _line_of_fault(text, str(err)), _in_words(str(err))) from err


def line_of(text: str, table: str = "", nth: int = 0, key: str = "") -> int:
    """The line (from 1) of `key` in the `nth` (from 0) `[[table]]`, else the table's own line."""
    start, end = _span(text, table, nth)
    for number, line in enumerate(text.splitlines()[start:end], start + 1):
        if key and re.match(rf'\s*"?{re.escape(key)}"?\s*=', line):
            return number
    return max(start, 1)


def read_toml(text: str, file: str) -> dict[str, Any]:
    """`text` read as TOML. Raises DataFileError, for a float literal as well."""
    try:
        return tomllib.loads(text, parse_float=_no_float)
    except _FloatFound as err:
        found = str(err)
        why = f'{found} is a float: write it as text, such as "7 3/4 in"'
        raise DataFileError(file, _line_with(text, found), why) from err
    except tomllib.TOMLDecodeError as err:
        where = re.search(r"line (\d+)", str(err))
        raise DataFileError(file, int(where[1]) if where else 1, str(err)) from err
    except ValueError as err:  # Python reads no whole number of more than 4300 digits
        at = next((n for n, line in enumerate(text.splitlines(), 1) if _MANY.search(line)), 1)
        raise DataFileError(file, at, "a number has thousands of digits") from err
    except RecursionError as err:
        raise DataFileError(file, 1, "nested too deep: brackets in brackets") from err


def _no_float(found: str) -> Any:
    raise _FloatFound(found)


def _line_with(text: str, found: str) -> int:
    pattern = re.compile(rf"=[^\"'#]*(?<![\w.]){re.escape(found)}(?![\w.])")
    lines = text.splitlines()
    return next((n for n, line in enumerate(lines, 1) if pattern.search(line)), 1)


def _span(text: str, table: str, nth: int) -> tuple[int, int]:
    lines = text.splitlines()
    heads = [n for n, line in enumerate(lines) if line.lstrip().startswith("[")]
    if not table:
        return 0, heads[0] if heads else len(lines)
    mine = [n for n in heads if re.match(rf"\s*\[\[?\s*{re.escape(table)}\s*\]", lines[n])]
    if nth >= len(mine):
        return 0, len(lines)
    start = mine[nth]
    # a sub-table such as [rule.gauge] still belongs to this entry
    end = next((n for n in heads if n > start and f"[{table}." not in lines[n]), len(lines))
    return start + 1, end


def _line_of_fault(text: str, fault: str) -> int:
    path = re.search(r"at `\$([^`]*)`", fault)
    where = path[1] if path else ""
    table = re.match(r"\.(\w+)(?:\[(\d+)\])?", where)
    unknown = re.search(r"unknown field `([^`]+)`", fault)
    tail = re.search(r"\.(\w+)(?:\[\d+\])?$", where)
    key = unknown[1] if unknown else (tail[1] if tail else "")
    if table and (table[2] is not None or "." in where[1:]):
        return line_of(text, table[1], int(table[2] or 0), key)
    return line_of(text, key=key)


def _in_words(fault: str) -> str:
    unknown = re.search(r"unknown field `([^`]+)`", fault)
    if unknown:
        return f'unknown key "{unknown[1]}"'
    missing = re.search(r"missing required field `([^`]+)`", fault)
    if missing:
        return f'"{missing[1]}" is missing'
    return fault.replace("`", '"')
