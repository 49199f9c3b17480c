"""A delivery of several products: one booking, whole or not at all."""

from datetime import date

import pytest

from stock.errors import BadInput, NotFound
from stock.shelf import deliveries, products
from stock.shelf.bottles import on_shelf
from stock.shelf.deliveries import Came
from stock.store.models import Booking


def names() -> list[str]:
    return [row.name for row in products.everything()][:2]


def test_several_products_and_sizes_are_one_delivery(stocked: str) -> None:
    first, second = names()
    before = len(on_shelf())
    answer = deliveries.take_in(
        [Came(first, 60_000, count=2, lot="L1"), Came(first, 240_000), Came(second, 30_000)]
    )
    assert [bottle["size_ml"] for bottle in answer["bottles"]] == [60, 60, 240, 30]
    assert len(on_shelf()) == before + 4
    assert Booking.get_by_id(answer["delivery"]).kind == "delivery"


def test_one_line_that_cannot_be_leaves_nothing_booked(stocked: str) -> None:
    first, _ = names()
    before = len(on_shelf()), Booking.select().count()
    with pytest.raises(NotFound):
        deliveries.take_in([Came(first, 60_000), Came("no such paint", 60_000)])
    with pytest.raises(BadInput):
        deliveries.take_in([Came(first, 60_000), Came(first, 60_000, opened_on=date(2199, 1, 1))])
    with pytest.raises(BadInput):
        deliveries.take_in([Came(first, 60_000, label="Mine-1"), Came(first, 60_000, label="Mine-1")])
    assert (len(on_shelf()), Booking.select().count()) == before


def test_nothing_and_too_much_are_refused(stocked: str) -> None:
    first, _ = names()
    with pytest.raises(BadInput):
        deliveries.take_in([])
    with pytest.raises(BadInput):
        deliveries.take_in([Came(first, 60_000, count=600), Came(first, 60_000, count=600)])


def test_the_same_key_books_once(stocked: str) -> None:
    first, second = names()
    lines = [Came(first, 60_000), Came(second, 60_000)]
    assert deliveries.take_in(lines, key="k1") == deliveries.take_in(lines, key="k1")
