"""Kilograms of what poisons or causes cancer, outside a store: TRGS 510 as DGUV Information 213-084 prints it."""

import pytest

from stock.cautions.rules import shipped
from tests.cautions.sample_facts import bottle, codes, one, place, product, said

LITRE = 1_000_000
DENSE = {"density_ug_per_ml": 1_250_000}


def drums(litres, **facts):
    """So many litres of 1.25 kg/L in one drum, 40 of which are 50 kg."""
    goods = product(1, **{**DENSE, **facts})
    return goods, bottle(1, size_ul=200 * LITRE, on_hand_ul=round(litres * LITRE), container="drum")


@pytest.mark.parametrize("code", ["H301", "H331", "H310+H330", "H350i", "H360FD", "H372"])
def test_above_fifty_kilograms_and_not_at_them(code):
    over = one(said(*drums(40.1, h_statements=(code,)), rule_sets=("de",)), "toxic-over-limit")
    assert over.severity == "warn"
    assert over.message.startswith("0.12 kg too much: 50.12 kg of what")
    assert "toxic-over-limit" not in codes(said(*drums(40, h_statements=(code,)), rule_sets=("de",)))


def test_what_is_only_harmful_or_suspected_has_no_such_limit():
    for code in ("H302", "H351", "H361", "H371", "H373"):
        assert "toxic-over-limit" not in codes(said(*drums(150, h_statements=(code,)), rule_sets=("de",)))


def test_what_nobody_noted_counts_and_says_so():
    found = [
        each
        for each in said(*drums(41, h_statements=None), rule_sets=("de",))
        if each.code == "toxic-over-limit"
    ]
    assert len(found) == len(shipped()["toxic-over-limit"].limits)
    assert all(
        "51.25 kg of it only because its hazard statements aren't noted" in each.message for each in found
    )


def test_a_store_is_where_it_belongs_and_other_sets_have_no_such_limit():
    stock = drums(41, h_statements=("H331",))
    store = place(1, "Store", kind="store")
    assert "toxic-over-limit" not in codes(said(*stock, store, rule_sets=("de",)))
    assert "toxic-over-limit" not in codes(said(*stock, rule_sets=("uk",)))
    assert "toxic-over-limit" in codes(said(*stock))
