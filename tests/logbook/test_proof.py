"""What the proof of the books finds."""

from datetime import date

import pytest

from stock.ledger import Errand, book
from stock.logbook import valuation
from stock.logbook.proof import prove
from stock.shelf import handling
from stock.store.models import Bottle, PastOwner, database


@pytest.mark.only("sqlite")
def test_half_a_decant_is_found_though_each_bottle_adds_up(stocked: str) -> None:
    """
    5 ml of bottle 1 are decanted into a fresh container, bottle 5
    then 2 ml come into bottle 5 that left no bottle
    """
    assert handling.decant("1", 5_000, size_ul=30_000)["into"] == 5
    assert prove().problems == []

    def half(errand: Errand) -> dict[str, object]:
        errand.move(5, "moved_in", 2_000)
        return {}

    book("decant", half)
    assert prove().problems == [
        "product 2: what was decanted out is not what was decanted in",
        "Harbour Blue: 120 ml are valued, and 122 ml stand in the studio's bottles",
    ]


@pytest.mark.only("sqlite")
def test_an_errand_that_says_it_was_booked_along_with_one_that_is_no_undo_is_found(stocked: str) -> None:
    book("count", lambda errand: {"undo": errand.take_along(1).booking})
    assert "booking 5: booked along with what is no undo" in prove().problems


@pytest.mark.only("sqlite")
def test_a_volume_that_nothing_moved_is_found_on_its_side(stocked: str) -> None:
    database.execute_sql("UPDATE bottle SET on_hand_ul = on_hand_ul + 1000 WHERE id = 1")
    database.execute_sql("UPDATE bottle SET on_hand_ul = on_hand_ul - 2000 WHERE id = 2")
    assert {"bottle 1: 1 ml too much on hand", "bottle 2: 2 ml too little on hand"} <= set(prove().problems)


@pytest.mark.only("sqlite")
def test_what_went_out_is_told_as_volumes_above_nothing(stocked: str) -> None:
    def work(errand: Errand) -> dict[str, object]:
        errand.move(1, "washed", -3_000)
        errand.move(1, "poured", -2_000)
        errand.move(1, "discarded", -1_000)
        return {}

    book("wash", work)
    answer = prove().as_json()
    assert (answer["washed_ml"], answer["poured_ml"], answer["discarded_ml"]) == (3, 2, 1)


@pytest.mark.parametrize(("price", "shown"), [(-500, "-5.00"), (2 * 10**12, "20000000000.00")])
def test_a_price_that_can_be_none_is_named(stocked, price, shown):
    Bottle.update(price_minor=price).where(Bottle.id == 1).execute()
    proof = prove()
    assert proof.problems == [f"bottle 1: {shown} EUR can't be its price"]
    assert proof.money is None


def test_the_money_adds_up_and_is_told(stocked):
    Bottle.update(price_minor=790).where(Bottle.id == 1).execute()
    money = prove().money
    assert money["currency"] == "EUR"
    assert (
        money["opening"] + money["purchased"] == money["used"] + money["written_off"] + money["closing"] > 0
    )


def test_money_that_is_lost_on_its_way_is_named(stocked, monkeypatch):
    """A pool that gives a cent away: the figures of its product don't meet any more."""
    held = valuation.FifoPool.held

    def short(pool):
        found = held(pool)
        return valuation.ValuedVolume(found.volume_ul, found.value - 1, found.unpriced_ul)

    monkeypatch.setattr(valuation.FifoPool, "held", short)
    assert any("is 0.01 EUR off the closing stock (fifo)" in problem for problem in prove().problems)


def test_a_volume_that_is_valued_but_stands_nowhere_is_named(stocked):
    Bottle.update(owner="Ann Reed").where(Bottle.id == 1).execute()
    PastOwner.create(bottle=1, until=date(2199, 1, 1), owner="")
    assert any("ml are valued, and" in problem for problem in prove().problems)
