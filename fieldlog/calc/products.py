"""What is put on a floor or taken off it: figures of a kind of product, from a data file.

A file says what a bag yields and how thick it may lie, with the source of each figure. It is
read strictly: an unknown key, a missing source, or a least lift above the most refuses to load.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from fieldlog.calc.amounts import AmountNotUnderstood, parse_area, parse_volume
from fieldlog.calc.books import VERIFIED
from fieldlog.calc.instruments import length_in
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of

FLOORS = ("slab", "wood-nail-down", "wood-glue-down")
"""What is there: a slab; wood that the finish is nailed to; wood that it is glued to."""

NEEDS = {
    "trowel": ("unit", "yield", "most_lift"),
    "pour": ("unit", "yield", "least_lift", "most_lift"),
    "primer": ("unit", "covers_least", "covers_most"),
    "grind": ("most_lift",),
    "plane": ("most_lift",),
    "sheet": ("layer",),
}
"""The kinds of product, and what a file of each must say."""


@dataclass(frozen=True, slots=True)
class Product:
    """A kind of product; what its kind does not have is 0 or "".

    `yields` is the nm3 that one `unit` (a bag) makes; `least_lift` and `most_lift` how thin and
    thick it may lie in one go, nm (for grinding and planing: how much may come off); `layer`
    a sheet's thickness; `covers` the nm2 that one unit primes, least and most; `spare` the part
    of the whole bags that is bought beyond them.
    """

    id: str
    name: str
    kind: str
    floors: tuple[str, ...]
    unit: str
    yields: Fraction
    least_lift: int
    most_lift: int
    layer: int
    covers: tuple[Fraction, Fraction]
    spare: Fraction
    cautions: tuple[str, ...]
    verified: str
    source: str
    sha256: str
    text: str = field(repr=False)

    def may_lie_on(self, floor: str) -> bool:
        """Whether it is used on such a floor (one of FLOORS) at all."""
        return floor in self.floors


class _File(Strict, frozen=True, rename={"yields": "yield"}):
    id: str
    name: str
    kind: str
    floors: tuple[str, ...]
    verified: str
    source: str
    unit: str = ""
    yields: str = ""
    least_lift: str = ""
    most_lift: str = ""
    layer: str = ""
    covers_least: str = ""
    covers_most: str = ""
    spare_percent: int = 0
    cautions: tuple[str, ...] = ()


def load_product(text: str, file: str) -> Product:
    """A product file. Raises DataFileError, naming file and line."""
    raw = load_strict(text, file, _File)
    _check_words(raw, text, file)
    _check_keys(raw, text, file)
    lengths = {
        key: length_in(getattr(raw, key), text, file, "", 0, key) if getattr(raw, key) else 0
        for key in ("least_lift", "most_lift", "layer")
    }
    _check_lifts(lengths, text, file)
    amounts = _amounts(raw, text, file)
    return Product(
        id=raw.id, name=raw.name, kind=raw.kind, floors=raw.floors, unit=raw.unit,
        yields=amounts["yield"], covers=(amounts["covers_least"], amounts["covers_most"]),
        spare=Fraction(raw.spare_percent, 100), cautions=raw.cautions, verified=raw.verified,
        source=raw.source, sha256=sha256_of(text), text=text, **lengths,
    )  # fmt: skip


def with_yield(product: Product, yields: Fraction) -> Product:
    """The same product out of a bag that yields so many nm3."""
    return replace(product, yields=yields)


def _refusal(text: str, file: str, key: str, why: str) -> DataFileError:
    return DataFileError(file, line_of(text, key=key), why)


def _check_words(raw: _File, text: str, file: str) -> None:
    for key, value, known in (
        ("kind", raw.kind, tuple(NEEDS)),
        ("verified", raw.verified, VERIFIED),
        *(("floors", floor, FLOORS) for floor in raw.floors),
    ):
        if value not in known:
            why = f'{key} is one of {", ".join(known)}, not "{value}"'
            raise _refusal(text, file, key, why)
    if not raw.floors:
        raise _refusal(text, file, "floors", "floors is empty: where may it be used?")
    if not 0 <= raw.spare_percent <= 100:
        raise _refusal(text, file, "spare_percent", "spare_percent is 0 to 100")


def _check_keys(raw: _File, text: str, file: str) -> None:
    needed = NEEDS[raw.kind]
    for key in ("id", "name", "source", *needed):
        if not _said(raw, key).strip():
            raise _refusal(text, file, key, f'a product of kind "{raw.kind}" must say its {key}')
    for key in {key for keys in NEEDS.values() for key in keys} - set(needed):
        if _said(raw, key) and (raw.kind, key) != ("trowel", "least_lift"):
            raise _refusal(text, file, key, f'a product of kind "{raw.kind}" has no {key}')


def _check_lifts(lengths: dict[str, int], text: str, file: str) -> None:
    for key, nm in lengths.items():
        if nm < 0:
            raise _refusal(text, file, key, f"{key} is below zero")
    if lengths["least_lift"] > lengths["most_lift"]:
        why = "the least lift is above the most: nothing could be laid that thick"
        raise _refusal(text, file, "least_lift", why)


def _amounts(raw: _File, text: str, file: str) -> dict[str, Fraction]:
    """Yield and coverage; 0 where the file has none."""
    found = {}
    for key, read in (
        ("yield", parse_volume), ("covers_least", parse_area), ("covers_most", parse_area)
    ):  # fmt: skip
        try:
            found[key] = read(_said(raw, key)) if _said(raw, key) else Fraction(0)
        except AmountNotUnderstood as err:
            raise _refusal(text, file, key, f"{key}: {err}") from err
    if found["covers_least"] > found["covers_most"]:
        raise _refusal(text, file, "covers_least", "covers_least is above covers_most")
    return found


def _said(raw: _File, key: str) -> str:
    value: str = getattr(raw, "yields" if key == "yield" else key)
    return value
