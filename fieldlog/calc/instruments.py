"""Tools: what each reads and how far it may be off, from a data file with sources."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import msgspec

from fieldlog.calc.lengths import LengthNotUnderstood
from fieldlog.calc.shape import Strict
from fieldlog.calc.tested import HOWS
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of
from fieldlog.calc.uncertainty import DISTRIBUTIONS, SCOPES, ErrorPart
from fieldlog.calc.units import MEASURES, parse_measure


@dataclass(frozen=True, slots=True)
class TestAllowed:
    """A test of a level that a tool is fit for (`tested.HOWS`), and the tilt it is allowed:
    rise over run."""

    __test__ = False  # no test of ours

    how: str
    allowed: Fraction
    source: str


@dataclass(frozen=True, slots=True)
class Instrument:
    """A tool. `kind` is the measure it reads ("length", "angle", ...; `units.py`) or "yes_no"
    (a gauge, or the eye); `parts`, in that measure, may be empty.

    `size` is a gauge's size in nm (a 4 in ball), 0 for other tools. `effort` orders tools by
    how much bother they are, for naming the least one that would settle a reading. `tests` are
    those of a level. `stands_for`: a tool that sheets name, and that this one can be used for
    wherever they do (a tape in millimeters for a tape).
    """

    id: str
    name: str
    says: str
    kind: str
    effort: int
    parts: tuple[ErrorPart, ...]
    size: int
    source: str
    sha256: str
    text: str
    tests: tuple[TestAllowed, ...] = ()
    stands_for: str = ""


class _Longer(Strict, frozen=True):
    """A wider error of a longer reading: from a length on (`from_`), or of more than it."""

    half_width: str
    from_: str = msgspec.field(default="", name="from")
    above: str = ""


class _Part(Strict, frozen=True):
    name: str
    half_width: str
    distribution: str
    scope: str
    source: str
    longer: tuple[_Longer, ...] = ()


class _Test(Strict, frozen=True):
    how: str
    allowed: str
    over: str
    source: str


class _File(Strict, frozen=True):
    id: str
    name: str
    says: str
    kind: str
    effort: int
    source: str
    size: str = ""
    stands_for: str = ""
    error: tuple[_Part, ...] = msgspec.field(default=())
    test: tuple[_Test, ...] = msgspec.field(default=())


def load_instrument(text: str, file: str) -> Instrument:
    """An instrument file. Raises DataFileError, naming file and line."""
    raw = load_strict(text, file, _File)
    if raw.kind != "yes_no" and raw.kind not in MEASURES:
        why = f'kind is "yes_no" or one of {", ".join(MEASURES)}, not "{raw.kind}"'
        raise DataFileError(file, line_of(text, key="kind"), why)
    parts = tuple(_part(p, raw.kind, n, text, file) for n, p in enumerate(raw.error))
    if any(p.longer for p in parts) and sum(p.scope == "shared" for p in parts) > 1:
        why = "a tool whose error grows with the length has one shared error"
        raise DataFileError(file, line_of(text, "error", 0, "scope"), why)
    size = length_in(raw.size, text, file, "", 0, "size") if raw.size else 0
    return Instrument(
        id=raw.id, name=raw.name, says=raw.says, kind=raw.kind, effort=raw.effort, parts=parts,
        size=size, source=raw.source, sha256=sha256_of(text), text=text,
        tests=tuple(_test(t, n, text, file) for n, t in enumerate(raw.test)),
        stands_for=raw.stands_for,
    )  # fmt: skip


def length_in(value: str, text: str, file: str, table: str, nth: int, key: str) -> int:
    """A length (nm) out of a data file; it must carry its unit. Raises DataFileError."""
    return int(measure_in("length", value, text, file, table, nth, key))


def measure_in(
    measure: str, value: str, text: str, file: str, table: str, nth: int, key: str
) -> Fraction:  # fmt: skip
    """A number out of a data file, in the base unit of its measure; it must carry its unit.

    A count or a plain number has none. Raises DataFileError.
    """
    try:
        if measure not in ("count", "number", "slope") and not _has_unit(value):
            example = MEASURES[measure].example if measure != "length" else f"{value} in"
            raise LengthNotUnderstood(f'"{value}" has no unit: write "{example}"')
        return parse_measure(measure, value)
    except LengthNotUnderstood as err:
        raise DataFileError(file, line_of(text, table, nth, key), f"{key}: {err}") from err


def _test(raw: _Test, nth: int, text: str, file: str) -> TestAllowed:
    if raw.how not in HOWS:
        why = f'how is one of {", ".join(HOWS)}, not "{raw.how}"'
        raise DataFileError(file, line_of(text, "test", nth, "how"), why)
    rise = length_in(raw.allowed, text, file, "test", nth, "allowed")
    run = length_in(raw.over, text, file, "test", nth, "over")
    if not 0 < rise < run or not raw.source.strip():
        why = "a test allows a little over a length, and has a source"
        raise DataFileError(file, line_of(text, "test", nth, "allowed"), why)
    return TestAllowed(raw.how, Fraction(rise, run), raw.source)


def _has_unit(value: str) -> bool:
    return any(c.isalpha() or c in "'\"%°" for c in value)


def _part(raw: _Part, kind: str, nth: int, text: str, file: str) -> ErrorPart:
    for key, value, known in (
        ("distribution", raw.distribution, DISTRIBUTIONS),
        ("scope", raw.scope, SCOPES),
    ):
        if value not in known:
            why = f'{key} is one of {", ".join(known)}, not "{value}"'
            raise DataFileError(file, line_of(text, "error", nth, key), why)
    # a thermometer is off by so many degrees, not by a temperature
    measure = {"temperature": "degrees", "yes_no": "length"}.get(kind, kind)
    half_width = measure_in(measure, raw.half_width, text, file, "error", nth, "half_width")
    if half_width <= 0:
        why = "half_width is more than zero"
        raise DataFileError(file, line_of(text, "error", nth, "half_width"), why)
    longer = tuple(_longer(one, text, file, nth) for one in raw.longer)
    steps = [(0, half_width), *longer]
    rising = all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(steps))
    if longer and not (kind == "length" and raw.scope == "shared" and rising):
        why = "longer is for a shared error of a length, and widens from step to step"
        raise DataFileError(file, line_of(text, "error", nth, "longer"), why)
    return ErrorPart(raw.name, half_width, raw.distribution, raw.scope, raw.source, longer)


def _longer(raw: _Longer, text: str, file: str, nth: int) -> tuple[int, Fraction]:
    """The length (nm) above which it holds, and the half width. Raises DataFileError."""
    if bool(raw.from_) == bool(raw.above):
        why = "longer says from which length on, or above which one"
        raise DataFileError(file, line_of(text, "error", nth, "longer"), why)
    key = "from" if raw.from_ else "above"
    over = length_in(raw.from_ or raw.above, text, file, "error", nth, key)
    half_width = length_in(raw.half_width, text, file, "error", nth, "half_width")
    return over - (key == "from"), Fraction(half_width)  # readings are whole nanometers
