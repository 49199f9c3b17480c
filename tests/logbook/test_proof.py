"""What the proof of the books finds."""

import pytest

from stock.ledger import Errand, book
from stock.logbook.proof import prove
from stock.shelf import handling
from stock.store.models import database


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
    assert prove().problems == ["product 2: what was decanted out is not what was decanted in"]


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
    told = prove().as_json()
    assert (told["washed_ml"], told["poured_ml"], told["discarded_ml"]) == (3, 2, 1)
