"""A closed period: nothing is dated into it, corrections land after it, and opening it again leaves a trace."""

from datetime import UTC, date, datetime

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, UllageError
from stock.exchange import incoming
from stock.ledger import book
from stock.logbook import stock_value
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, lines, periods, products
from stock.store.connection import writing
from stock.store.models import Booking, PeriodChange
from stock.store.orm import pw
from tests.clock import clock_at

JANUARY = date(2030, 1, 31)


def at(day, hour=9):
    return datetime(2030, *day, hour, tzinfo=UTC)


@pytest.fixture
def closed(stocked):
    with clock_at("2030-01-20 09:00"):
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 6_000),)))["mix"]
    with clock_at("2030-02-03 09:00"):
        periods.close(JANUARY, reason="tax")
        yield mix


def test_nothing_is_dated_into_it(closed, tmp_path):
    before = Booking.select().count()
    for errand in (
        lambda: book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), at=at((1, 31)))),
        lambda: counts.count("1", 40_000, on=at((1, 10))),
        lambda: deliveries.receive("Harbour Blue", 60_000, on=at((1, 1))),
        lambda: undo("mix", closed, on=at((1, 25))),
    ):
        with pytest.raises(UllageError, match="the books are closed until 2030-01-31") as refused:
            errand()
        assert refused.value.code == "closed-period"
    file = tmp_path / "mixes.csv"
    file.write_text("Date,Paint,Amount\n2030-02-01,Harbour Blue,1 ml\n2030-01-31,Harbour Blue,1 ml\n")
    with pytest.raises(UllageError, match="nothing can be dated 2030-01-31"):
        incoming.book(incoming.plan(str(file), incoming.Wishes()))
    assert Booking.select().count() == before
    assert prove().problems == []


def test_the_first_open_day_and_a_correction(closed):
    before = stock_value.read(since=date(2030, 1, 1), until=JANUARY)
    assert book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), at=at((2, 1))))["booked"]
    undo("mix", closed)
    assert stock_value.read(since=date(2030, 1, 1), until=JANUARY) == before


def test_a_day_is_the_studio_s_own(closed):
    """23:30 in Lisbon on 31 January is closed; half past midnight in Lisbon is 1 February."""
    with pytest.raises(UllageError, match="closed"):
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), at=datetime(2030, 1, 31, 23, 30, tzinfo=UTC)))
    assert book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), at=datetime(2030, 2, 1, 0, 30, tzinfo=UTC)))


def test_opening_it_again_is_written_down(closed):
    with pytest.raises(BadInput, match="without a reason"):
        periods.reopen(None, reason=" ")
    with pytest.raises(BadInput, match="closed until 2030-01-31"):
        periods.reopen(JANUARY, reason="late invoice")
    assert periods.reopen(date(2030, 1, 15), reason="late invoice") == date(2030, 1, 15)
    assert counts.count("1", 40_000, on=at((1, 16)))
    with pytest.raises(UllageError, match="closed until 2030-01-15"):
        counts.count("1", 40_000, on=at((1, 15), 23))
    periods.reopen(None, reason="all of it")
    assert periods.closed_until() is None
    assert [(one.closed_until, one.reason) for one in periods.changes()] == [
        (None, "all of it"), (date(2030, 1, 15), "late invoice"), (JANUARY, "tax"),
    ]  # fmt: skip
    with pytest.raises(UllageError, match="no period is closed"):
        periods.reopen(None, reason="again")
    with pytest.raises(pw.IntegrityError, match="append-only"), writing():
        PeriodChange.delete().execute()


def test_a_price_that_changes_later_changes_no_closed_month(closed):
    january = {"since": date(2030, 1, 1), "until": JANUARY}
    with clock_at("2030-02-04 09:00"):
        before = [stock_value.read(**january, method=method) for method in ("fifo", "average")]
        deliveries.receive("Harbour Blue", 60_000)
        products.change("Harbour Blue", {"price": ["60ml=99.00"]})
        products.change("Harbour Blue", {"packs": ["120ml=20"]})
        assert [stock_value.read(**january, method=method) for method in ("fifo", "average")] == before
        lines.change("Quay", {"price": ["60ml=50.00"]})
        assert [stock_value.read(**january, method=method) for method in ("fifo", "average")] == before


def test_what_can_not_be_closed(closed):
    for day, why in ((date(2030, 2, 3), "not over yet"), (JANUARY, "closed until 2030-01-31 already")):
        with pytest.raises(BadInput, match=why):
            periods.close(day)


def test_books_without_a_booking_can_be_closed(books):
    with clock_at("2030-02-03 09:00"):
        periods.close(JANUARY)
        with pytest.raises(UllageError, match="closed"):
            book("open", lambda _: {}, at=at((1, 5)))
