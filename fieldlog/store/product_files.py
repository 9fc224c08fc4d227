"""Product files on disk: the kinds that ship, and a house's own that take their place."""

from __future__ import annotations

from pathlib import Path

from fieldlog.calc.products import Product, load_product
from fieldlog.store.data_text import text_of, toml_files

PACKAGE = Path(__file__).resolve().parent.parent


def load_products(folder: Path | None = None) -> dict[str, Product]:
    """A product of each kind; of several of one kind the house's last one, by file name.

    Raises DataFileError, naming file and line.
    """
    found: dict[str, Product] = {}
    for base in (PACKAGE, *((folder,) if folder else ())):
        for path in toml_files(base / "products"):
            product = load_product(text_of(path), path.name)
            found[product.kind] = product
    return found
