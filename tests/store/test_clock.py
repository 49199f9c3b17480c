"""A clock that was set back and a time zone that is gone: both are said, and the studio goes on."""

from datetime import UTC, date, datetime

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main
from stock.errors import BadInput
from stock.forecast import orders
from stock.logbook.proof import prove
from stock.shelf import deliveries
from stock.store import connection, remarks
from stock.store.models import Booking, Studio
from tests.clock import clock_at

ONE_ML = MixRequest(parts=(("Harbour Blue", 1_000),))


def opened(address):
    connection.open_books(address)
    return " ".join(remarks.noted())


@pytest.fixture
def moved(stocked, address):
    """A studio whose newest booking is of noon, the tenth of March 2030."""
    with clock_at("2030-03-10 12:00:00"):
        deliveries.receive("Harbour Blue", 30_000)
    return address


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ("2030-03-10 12:00:30", ""),
        ("2030-03-10 11:59:00", ""),
        (
            "2030-03-10 11:00:00",
            "bookings of 2030-03-10 12:00, and this machine's clock says 2030-03-10 11:00",
        ),
        ("2029-01-01 00:00:00", "this machine's clock says 2029-01-01 00:00 UTC: it was set back"),
        ("2031-01-01 00:00:00", ""),
    ],
)
def test_bookings_of_a_time_to_come_are_said(moved, now, said):
    with clock_at(now):
        remarks = opened(moved)
    assert said in remarks
    assert bool(remarks) == bool(said)


def test_a_clock_set_back_by_hours_keeps_the_order(moved):
    """A pour right after a delivery is not dated before it."""
    with clock_at("2030-03-10 09:00:00"):
        opened(moved)
        with connection.connection():
            number = book_mix(ONE_ML)["mix"]
            mix = Booking.get_by_id(number)
            assert (f"{mix.at:%H:%M}", f"{mix.booked_at:%H:%M}") == ("12:00", "09:00")
            assert prove().problems == []


def test_a_clock_set_back_by_days_is_taken_and_a_later_day_may_be_named(moved):
    with clock_at("2030-02-10 12:00:00"):
        assert "look at it before you book" in opened(moved)
        with connection.connection():
            by_clock = deliveries.receive("Harbour Blue", 30_000)["delivery"]
            assert Booking.get_by_id(by_clock).day == date(2030, 2, 10)
            with pytest.raises(BadInput, match="in the future"):
                deliveries.receive("Harbour Blue", 30_000, on=datetime(2030, 2, 11, tzinfo=UTC))


def test_a_bottle_that_came_by_the_right_clock_can_be_poured_from_by_the_wrong_one(moved):
    with clock_at("2030-02-10 12:00:00"):
        opened(moved)
        with connection.connection():
            with pytest.raises(BadInput, match="bottle 5"):
                book_mix(ONE_ML._replace(bottles=("5",)))
            later = datetime(2030, 3, 10, 12, tzinfo=UTC)
            assert book_mix(ONE_ML._replace(bottles=("5",), at=later))["booked"]
            assert prove().problems == []


def test_commands_of_a_clock_set_far_back_take_no_more_than_a_bottle_held_on_that_day(moved, capsys):
    """
    10 Mar 2030  received  30 ml (bottle 5)
    12 Mar       spilled   25 ml, counted 30 ml
    the clock is set back to 11 Mar:
                 mixed      1 ml of bottle 1, three times
                 mixed     10 ml of bottle 5   refused: with them it would have held less than nothing on 12 Mar
                 mixed      5 ml of it
    """

    def ran(*line):
        with connection.connection():
            remarks.forget()
        status = main(["--studio", moved, *line])
        return status, capsys.readouterr().err

    with clock_at("2030-03-12 12:00:00"):
        assert ran("spill", "5", "25ml")[0] == 0
        assert ran("bottle", "count", "5", "30ml")[0] == 0
    for minute in range(3):
        with clock_at(f"2030-03-11 10:{minute:02}:00"):
            assert ran("mix", "Harbour Blue=1ml", "--from", "1")[0] == 0
            status, err = ran("mix", "Harbour Blue=10ml", "--from", "5")
            assert (status, "on 2030-03-11 or after it bottle 5 held 5 ml" in err) == (2, True), err
    with clock_at("2030-03-11 11:00:00"):
        assert ran("mix", "Harbour Blue=5ml", "--from", "5")[0] == 0
    assert main(["--studio", moved, "check"]) == 0


def test_a_time_zone_that_is_gone_is_said_and_days_are_those_of_utc(stocked, address, capsys):
    with connection.writing():
        Studio.update(time_zone="Atlantis/Old_Harbour").execute()
    for line in (
        ["today"],
        ["shelf"],
        ["logbook"],
        ["forecast"],
        ["check"],
        ["receive", "Harbour Blue", "60ml"],
    ):
        status = main(["--studio", address, *line])
        out, err = capsys.readouterr()
        assert status == 0, err
        assert (
            "no time zone 'Atlantis/Old_Harbour', which is the studio's: days are reckoned in UTC" in err
        ), line
        assert out
    connection.open_books(address)
    with connection.connection():
        assert Studio.get_by_id(1).time_zone == "Atlantis/Old_Harbour"


def test_packs_that_came_on_a_later_day_by_a_wrong_clock_do_not_come_again(stocked, address):
    """The order was made before, its packs came while the clock was two days ahead."""
    with connection.connection():
        with clock_at("2030-03-08 12:00:00"):
            number = orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 3)])["order"]
        with clock_at("2030-03-12 12:00:00"):
            orders.receive(number, None)
        with clock_at("2030-03-10 12:00:00"):
            with pytest.raises(BadInput, match=f"nothing of order {number} is open"):
                orders.receive(number, None)
            with pytest.raises(BadInput, match=f"nothing of order {number} is open"):
                orders.cancel(number)
