"""Product files on disk: the kinds that ship, and a house's own that take their place."""

from __future__ import annotations

from pathlib import Path

from fieldlog.calc.products import Product, load_product
from fieldlog.calc.toml_text import DataFileError

PACKAGE = Path(__file__).resolve().parent.parent


def load_products(folder: Path | None = None) -> dict[str, Product]:
    """A product of each kind; of several of one kind the house's last one, by file name.

    Raises DataFileError, naming file and line.
    """
    found: dict[str, Product] = {}
    for base in (PACKAGE, *((folder,) if folder else ())):
        for path in sorted((base / "products").glob("*.toml")):
            product = load_product(_text(path), path.name)
            found[product.kind] = product
    return found


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as err:
        raise DataFileError(path.name, 1, "is not text in UTF-8") from err
