"""Amounts, blends and shares as people type them at the bench."""

from fractions import Fraction

import pytest

from stock.bench import amounts
from stock.errors import BadInput, NotFound
from stock.shelf import products


@pytest.mark.parametrize(
    ("text", "weight"),
    [("8.4 g", True), ("8.4g", True), ("10.0..18.4 g", True), ("2 lb", True), ("1 oz av", True), ("8 ml", False),
     ("1 oz", False), ("eg", False), ("3 drops", False)],
)  # fmt: skip
def test_what_is_a_weight(text, weight):
    assert amounts.is_weight(text) is weight


def test_the_readings_of_a_scale_share_a_unit():
    assert amounts.readings("8.4 g") == (0, 8_400)
    assert amounts.readings("10..18.4 g") == (10_000, 18_400)
    assert amounts.readings("500 mg..1 g") == (500, 1_000)
    assert amounts.readings("0..1 g") == (0, 1_000)
    assert amounts.weights([("Blue", "8 ml"), ("White", "2 g")]) == (("White", 0, 2_000),)


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("20%", True),
        ("5:1", True),
        ("20", True),
        ("20 percent", True),
        ("20 per cent", True),
        ("2 ml", False),
        ("3 drops", False),
    ],
)
def test_what_is_a_share(text, share):
    assert amounts.is_share(text) is share


@pytest.mark.parametrize(
    ("text", "blend"),
    [
        (" Thin ", (("Thin", 1),)),
        ("A:B=1:3", (("A", 1), ("B", 3))),
        ("A : B = 1 : 1000", (("A", 1), ("B", 1_000))),
    ],
)
def test_blends(text, blend):
    assert amounts.read_blend(text) == blend


@pytest.mark.parametrize(
    "text", ["A:B=1", "A=1:1", "A:=1:1", "A:B=0:1", "A:B=1001:1", "A:B=x:1", "A:B=-1:1", "A:B=1.5:1"]
)
def test_blends_refused(text):
    with pytest.raises(BadInput):
        amounts.read_blend(text)


def test_amounts_by_a_products_own_figures(stocked: str):
    """Blue of 1.05 g/ml with 40 drops a millilitre; the studio's own drops are 20."""
    products.change("Harbour Blue", {"drops_per_ml": "40"})
    assert amounts.read_volume("20 drops", product="Harbour Blue") == 500
    assert amounts.read_volume("20 drops", product="Gull White") == amounts.read_volume("20 drops") == 1_000
    assert amounts.read_volume("1.05 g", product="Harbour") == 1_000
    assert amounts.read_part("Harbour Blue=8ml") == ("Harbour Blue", 8_000)
    assert amounts.parts(["Harbour Blue=8ml", "Slow Thinner=1ml"]) == (
        ("Harbour Blue", 8_000),
        ("Slow Thinner", 1_000),
    )
    assert amounts.read_count("0 ml") == 0
    assert amounts.read_thinner("20 drops", ["Harbour Blue"]) == 500
    assert amounts.read_thinner("20 drops", ["Harbour Blue", "Slow Thinner"]) == 1_000
    for text in ("=8ml", " =8ml", "Harbour Blue", "Harbour Blue=0 ml"):
        with pytest.raises(BadInput):
            amounts.read_part(text)
    with pytest.raises(NotFound, match="no density"):
        amounts.read_volume("1 g", product="Gull White")
    with pytest.raises(BadInput, match="a blend"):
        amounts.read_thinner("1 g", ["Harbour Blue", "Slow Thinner"])


def test_a_reduction_by_an_amount_is_at_most_two_parts_to_one(stocked: str):
    assert amounts.read_reduction("20%", 0) == 20
    assert amounts.read_reduction("2 ml", 8_000) == 25
    assert amounts.read_reduction("16 ml", 8_000) == 200
    assert amounts.read_reduction("0.001 ml", 3_000) == Fraction(1, 30)
    with pytest.raises(BadInput, match="two parts reducer"):
        amounts.read_reduction("16.001 ml", 8_000)
    with pytest.raises(BadInput, match="no paint"):
        amounts.read_reduction("1 ml", 0)
