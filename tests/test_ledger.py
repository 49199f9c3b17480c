"""What the one place that changes a volume refuses."""

from datetime import date, datetime, timedelta

import pytest

from stock import clock
from stock.errors import BadInput, NotEnough
from stock.ledger import Errand, book
from stock.logbook.proof import prove
from stock.shelf import deliveries, products
from stock.shelf.bottles import numbered
from stock.store.models import Booking, Bottle, Movement

pytestmark = pytest.mark.only("sqlite")


def noon(day: str) -> datetime:
    return clock.start_of(date.fromisoformat(day), "Europe/Lisbon") + timedelta(hours=12)


@pytest.fixture
def came_in_may(books: str) -> int:
    """A bottle of 60 ml that came on 4 May 2026."""
    products.add({"name": "Harbour Blue", "role": "paint"})
    answer = deliveries.receive("Harbour Blue", 60_000, on=noon("2026-05-04"))
    return int(answer["bottles"][0]["id"])


def taken(bottle: int, on: str, volume_ul: int = 1_000) -> None:
    def work(errand: Errand) -> dict[str, object]:
        errand.move(bottle, "washed", -volume_ul)
        return {}

    book("wash", work, at=noon(on))


def test_nothing_is_taken_from_a_bottle_before_the_day_it_came(came_in_may: int) -> None:
    """
    04 May  received  60 ml
    03 May  washed     1 ml   refused: it wasn't there yet
    04 May  washed     1 ml   on the day itself it was
    """
    with pytest.raises(BadInput, match="came on 2026-05-04, after 2026-05-03"):
        taken(came_in_may, "2026-05-03")
    assert Booking.select().count() == Movement.select().count() == 1
    taken(came_in_may, "2026-05-04")
    assert numbered(str(came_in_may)).on_hand_ul == 59_000


def test_the_last_drop_may_go_and_not_one_more(came_in_may: int) -> None:
    with pytest.raises(NotEnough, match=r"holds 60 ml and 60\.001 ml were asked"):
        taken(came_in_may, "2026-05-05", 60_001)
    taken(came_in_may, "2026-05-05", 60_000)
    assert numbered(str(came_in_may)).on_hand_ul == 0


def test_a_late_booking_fits_into_what_the_bottle_held_then(came_in_may: int) -> None:
    """
    05 May  washed    50 ml
    07 May  counted   60 ml   (somebody filled it up and said nothing)
    06 May  washed    10 ml   just fits; 11 ml would not, though the bottle holds 60
    """

    def refilled(errand: Errand) -> dict[str, object]:
        errand.move(came_in_may, "counted", 50_000)
        return {}

    taken(came_in_may, "2026-05-05", 50_000)
    book("count", refilled, at=noon("2026-05-07"))
    with pytest.raises(NotEnough, match="on 2026-05-06 or after it"):
        taken(came_in_may, "2026-05-06", 10_001)
    taken(came_in_may, "2026-05-06", 10_000)
    assert Bottle.get_by_id(came_in_may).on_hand_ul == 50_000
    assert [each for each in prove().problems if "hand" in each] == []


def test_nothing_is_booked_in_the_future(books: str) -> None:
    with pytest.raises(BadInput, match="lies in the future"):
        book("wash", lambda errand: {}, at=noon("2999-01-01"))
    assert Booking.select().count() == 0
