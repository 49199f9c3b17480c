"""A solvent's share and its range, as sheets print them."""

from types import SimpleNamespace

import pytest

from stock.cautions import books
from stock.errors import BadInput
from stock.shelf import products, record_texts
from stock.shelf.product_view import as_json, as_lines
from stock.shelf.shares import percent_range, refuse_overfull


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("45%", (None, 45_000)), ("45", (None, 45_000)), ("10-25%", (10_000, 25_000)),
        ("10 - 25 %", (10_000, 25_000)), (">= 10 - < 25 %", (10_000, 25_000)), ("≥10 – <25 %", (10_000, 25_000)),
        (">=10% - <25%", (10_000, 25_000)), ("10..25%", (10_000, 25_000)), ("10 to 25 per cent", (10_000, 25_000)),
        ("2.5-<10%", (2_500, 10_000)), ("<5%", (0, 5_000)), ("≤ 5 %", (0, 5_000)), (">=90%", (90_000, 100_000)),
        ("0.1-1%", (100, 1_000)), ("20-20%", (None, 20_000)), ("0-1%", (0, 1_000)), ("1/2 - 1%", (500, 1_000)),
    ],
)  # fmt: skip
def test_a_range_as_a_sheet_prints_it(text, ends):
    assert percent_range(text) == ends


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("25-10%", "lower end first"), ("<10 - >25%", "lower end first"), ("10-25-30%", ""),
        ("10-101%", "more than 100"),
        ("-5%", ""), ("10-", ""), ("<", ""), ("", "empty"), ("10-25 g", "not a per cent"), ("ten", ""), ("<>5%", ""),
        ("10-25%" * 9, "letters"), ("1e1-25%", "exponent"),
    ],
)  # fmt: skip
def test_what_is_no_range_is_refused_with_what_is_wrong(text, why):
    with pytest.raises(BadInput) as refused:
        percent_range(text)
    assert why in str(refused.value)


def test_a_range_is_kept_shown_and_read_back(stocked):
    given = {"solvent": ["ethanol=>= 10 - < 25 %", "acetone=<5% by volume", "propan-2-ol=20"], "water": "60"}
    products.change("Slow Thinner", given)
    row = products.find("Slow Thinner")
    shown = {
        one["name"]: (one["low_percent"], one["percent"], one["basis"]) for one in as_json(row)["solvents"]
    }
    assert shown == {
        "ethanol": (10.0, 25.0, "weight"), "acetone": (0.0, 5.0, "volume"), "propan-2-ol": (None, 20.0, "weight"),
    }  # fmt: skip
    assert any("ethanol 10-25 % by weight" in line for line in as_lines(as_json(row)))
    text = record_texts.product("Slow Thinner")["solvent"]
    assert "ethanol=10-25% by weight" in text
    from stock.shelf.entry import parted

    products.change("Slow Thinner", {"solvent": parted(text)})
    assert record_texts.product("Slow Thinner")["solvent"] == text
    facts = books.read_products(products.settings().today(), [row.id])[row.id]
    assert {(share.name, share.least_milli, share.percent_milli) for share in facts.solvents} == {
        ("ethanol", 10_000, 25_000), ("acetone", 0, 5_000), ("propan-2-ol", 20_000, 20_000),
    }  # fmt: skip


def test_what_must_make_more_than_the_whole_is_refused_and_nothing_changes(stocked):
    products.change("Slow Thinner", {"solvent": ["ethanol=50-70%"], "water": "30"})
    before = record_texts.product("Slow Thinner")
    with pytest.raises(BadInput, match="at least 110 %"):
        products.change("Slow Thinner", {"solvent": ["ethanol=50-70%", "acetone=60-80%"]})
    with pytest.raises(BadInput, match="with water and solids make at least 110 %"):
        products.change("Slow Thinner", {"water": "60"})
    with pytest.raises(BadInput, match="with water and solids make at least 105 %"):
        products.change("Slow Thinner", {"solids": "25"})
    assert record_texts.product("Slow Thinner") == before
    products.change("Slow Thinner", {"solvent": ["ethanol=50-70%", "acetone=20-40%"]})


def test_only_ranges_make_at_least(stocked):
    """Exact shares make what they make; with one range among them it is a least."""
    with pytest.raises(BadInput, match="solvents make 110 % together"):
        products.change("Slow Thinner", {"solvent": ["ethanol=50%", "acetone=60%"]})
    with pytest.raises(BadInput, match="solvents make at least 110 % together"):
        products.change("Slow Thinner", {"solvent": ["ethanol=50%", "acetone=60-80%"]})


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        ("acetone=40%", "acetone=30%", "acetone is named twice"),
        ("acetone=40%", "67-64-1=30%", "67-64-1 is the same substance as acetone"),
        ("Aceton=10-25%", "2-propanone=3%", "2-propanone is the same substance as aceton"),
        ("zork=4%", "zork=3%", "zork is named twice"),
    ],
)
def test_a_substance_is_named_once_by_one_of_its_names(stocked, first, second, says):
    before = record_texts.product("Slow Thinner")
    with pytest.raises(BadInput, match=says):
        products.change("Slow Thinner", {"solvent": [first, second]})
    assert record_texts.product("Slow Thinner") == before


def test_two_unknown_names_and_two_isomers_are_two_substances(stocked):
    products.change("Slow Thinner", {"solvent": ["zork=4%", "zark=3%", "1-propanol=5%", "2-propanol=5%"]})
    assert len(as_json(products.find("Slow Thinner"))["solvents"]) == 4


def test_a_size_has_one_price(stocked):
    with pytest.raises(BadInput, match="'60ml=4' is a second price"):
        products.change("Slow Thinner", {"price": ["60ml=3", "60ml=4"]})
    products.change("Slow Thinner", {"price": ["60ml=3", "0.06l=3"]})


@pytest.mark.parametrize(
    ("solvents", "water", "solids", "fits"),
    [
        ([(60_000, "weight"), (40_000, "weight")], None, None, True),
        ([(60_000, "weight"), (40_001, "weight")], None, None, False),
        ([(60_000, "volume"), (40_001, "volume")], None, None, False),
        ([(60_000, "weight")], 30_000, 10_000, True),
        ([(60_000, "weight")], 30_000, 10_001, False),
        ([(60_000, "volume")], 30_000, 70_000, True),  # by volume says nothing of the weight
        ([(60_000, "volume")], 30_001, 70_000, False),
    ],
)
def test_shares_with_water_and_solids_are_the_whole_at_most(solvents, water, solids, fits):
    shares = [SimpleNamespace(least_milli=least, low_milli=None, basis=basis) for least, basis in solvents]
    if fits:
        refuse_overfull(shares, water, solids)
    else:
        with pytest.raises(BadInput, match="together"):
            refuse_overfull(shares, water, solids)
