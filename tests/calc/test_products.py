"""Product files: what ships, and what refuses to load, in a sentence that names file and line."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from fieldlog.calc.amounts import AmountNotUnderstood, parse_area, parse_price, parse_volume
from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM
from fieldlog.calc.products import FLOORS, NEEDS, load_product, with_yield
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.product_files import PACKAGE, load_products

FILES = sorted((PACKAGE / "products").glob("*.toml"))
LEVELLER = (PACKAGE / "products" / "self-leveller.toml").read_text()
CUBIC_FOOT = NM_PER_FOOT**3


def refused(text: str) -> str:
    with pytest.raises(DataFileError) as err:
        load_product(text, "x.toml")
    return str(err.value)


class TestThatShip:
    """Generic kinds, no one's product."""

    def test_there_is_one_of_each_kind(self) -> None:
        assert set(load_products()) == set(NEEDS)

    @pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
    def test_each_says_where_its_figures_are_from(self, path: Path) -> None:
        product = load_product(path.read_text(), path.name)
        assert product.id == path.stem
        assert len(product.source) > 20
        assert product.cautions
        assert set(product.floors) <= set(FLOORS)

    def test_nothing_is_poured_or_ground_under_a_floor_that_is_nailed(self) -> None:
        products = load_products()
        assert [k for k, p in products.items() if p.may_lie_on("wood-nail-down")] == [
            kind for kind in products if kind in ("plane", "sheet")
        ]

    def test_the_self_leveller_is_as_its_file_says(self) -> None:
        product = load_product(LEVELLER, "self-leveller.toml")
        assert product.yields == Fraction(45, 100) * CUBIC_FOOT
        assert (product.least_lift, product.most_lift) == (NM_PER_INCH // 8, NM_PER_INCH)
        assert product.spare == Fraction(1, 10)

    def test_a_house_has_its_own(self, tmp_path: Path) -> None:
        own = tmp_path / "products"
        own.mkdir()
        (own / "ours.toml").write_text(LEVELLER.replace("0.45 cu ft", "0.5 ft3"))
        assert load_products(tmp_path)["pour"].yields == Fraction(1, 2) * CUBIC_FOOT
        (own / "ours.toml").write_bytes(b"\xff\xfe")
        with pytest.raises(DataFileError, match=r"ours\.toml, line 1"):
            load_products(tmp_path)

    def test_another_yield(self) -> None:
        product = load_product(LEVELLER, "x.toml")
        assert with_yield(product, Fraction(7)).yields == 7


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('least_lift = "1/8 in"', 'least_lift = "2 in"', "the least lift is above the most"),
        ('least_lift = "1/8 in"', 'least_lift = "-1/8 in"', "least_lift is below zero"),
        ('least_lift = "1/8 in"', 'least_lift = "1/8"', "has no unit"),
        ('least_lift = "1/8 in"\n', "", "must say its least_lift"),
        ('"0.45 cu ft"', '"0 ft3"', "is nothing"),
        ('"0.45 cu ft"', "0.45", "is a float"),
        ('"0.45 cu ft"', '"0.45 gallons"', "is not a volume"),
        ("yield =", "yields =", 'unknown key "yields"'),
        ('kind = "pour"', 'kind = "spread"', "kind is one of"),
        ('kind = "pour"', 'kind = "grind"', 'a product of kind "grind" has no'),
        ('floors = ["slab", "wood-glue-down"]', "floors = []", "floors is empty"),
        ('"slab"', '"roof"', "floors is one of"),
        ("spare_percent = 10", "spare_percent = 101", "spare_percent is 0 to 100"),
        ('verified = "secondary"', 'verified = "surely"', "verified is one of"),
        ('name = "Self-leveler"', 'name = " "', "must say its name"),
    ],
)
def test_a_bad_file_is_refused(old: str, new: str, says: str) -> None:
    assert old in LEVELLER
    told = refused(LEVELLER.replace(old, new))
    assert told.startswith("x.toml, line ")
    assert says in told


def test_coverage_the_wrong_way_round_is_refused() -> None:
    primer = (PACKAGE / "products" / "primer.toml").read_text()
    turned = primer.replace('covers_least = "200 sq ft"', 'covers_least = "500 sq ft"')
    assert "covers_least is above covers_most" in refused(turned)


class TestAmounts:
    """Volumes, areas and prices as people write them."""

    @pytest.mark.parametrize(
        ("text", "nm3"),
        [
            ("0.45 ft3", Fraction(45, 100) * CUBIC_FOOT),
            (".5 cu ft", Fraction(1, 2) * CUBIC_FOOT),
            ("0.45ft³", Fraction(45, 100) * CUBIC_FOOT),
            ("12.5 l", Fraction(25, 2) * (100 * NM_PER_MM) ** 3),
            ("13 liters", 13 * (100 * NM_PER_MM) ** 3),
            ("777.6 in3", Fraction(45, 100) * CUBIC_FOOT),
            ("1 m3", (1000 * NM_PER_MM) ** 3),
        ],
    )
    def test_a_volume(self, text: str, nm3: Fraction) -> None:
        assert parse_volume(text) == nm3

    def test_an_area(self) -> None:
        assert parse_area("200 sq ft") == parse_area("200 ft2") == 200 * NM_PER_FOOT**2
        assert parse_area("20 m2") == 20 * (1000 * NM_PER_MM) ** 2

    @pytest.mark.parametrize(("text", "price"), [("38", "38"), ("$38.50", "38.5"), (".5", "0.5")])
    def test_a_price(self, text: str, price: str) -> None:
        assert parse_price(text) == Fraction(price)

    @pytest.mark.parametrize(
        "text", ["", "ft3", "0.45", "-1 ft3", "0 ft3", "1e9 ft3", "1 ft2", "nan ft3", "9" * 80]
    )
    def test_no_volume(self, text: str) -> None:
        with pytest.raises(AmountNotUnderstood) as err:
            parse_volume(text)
        assert len(str(err.value)) < 200

    @pytest.mark.parametrize("text", ["", "-3", "free", "1e3", "inf", "1,50", "9" * 50])
    def test_no_price(self, text: str) -> None:
        with pytest.raises(AmountNotUnderstood, match="is no price"):
            parse_price(text)
