"""A past day is shown as it was at its end, whatever was undone and done again since."""

import random
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta

import pytest

from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.errors import UllageError
from stock.logbook.history import entries
from stock.logbook.undo import undo
from stock.shelf import deliveries, places
from stock.shelf.bottles import on_shelf
from stock.shelf.counts import count
from stock.shelf.handling import decant, discard, freeze, move_bottle, open_bottle
from stock.shelf.past_shelf import undone_then
from stock.store.models import Booking, Undone
from tests.clock import clock_at

FIRST = datetime(2026, 3, 2, 9, tzinfo=UTC)


def looks(as_of=None):
    return [
        (one.id, one.on_hand_ul, one.state, one.opened_on, one.frozen_on, one.place)
        for one in on_shelf(as_of)
    ]


def undone(as_of=None):
    return {one.id: one.undone_by for one in entries(limit=1_000, as_of=as_of) if one.undone_by is not None}


def at_random(chance):
    """One errand of some kind; what can't be done is refused."""
    bottle = str(chance.randrange(1, 9))
    errands = [
        lambda: book_mix(MixRequest(parts=(("Harbour Blue", chance.randrange(500, 9_000)),))),
        lambda: wash("Wash Down", 4_000),
        lambda: deliveries.receive("Gull White", 30_000, place=chance.choice(["Cabinet", "Bench"])),
        lambda: open_bottle(bottle),
        lambda: move_bottle(bottle, chance.choice(["Cabinet", "Bench"])),
        lambda: freeze(bottle),
        lambda: discard(bottle),
        lambda: count(bottle, chance.randrange(1_000, 30_000)),
        lambda: decant(bottle, 1_000, size_ul=5_000),
        lambda: close(
            chance.choice([n for (n,) in Booking.select(Booking.id).where(Booking.kind == "mix").tuples()]),
            Ending("good", left_ul=200, keep=True),
        ),
    ]
    found = Booking.select(Booking.kind, Booking.id).order_by(Booking.id).tuples()
    errands += [lambda: undo(*chance.choice(list(found)))] * 12
    try:
        chance.choice(errands)()
    except UllageError:
        return False
    return True


@pytest.mark.sampled(3)
@pytest.mark.parametrize("seed", range(12))
def test_each_past_day_looks_as_it_did_at_its_end(stocked_then, seed):
    chance, kept, done = random.Random(seed), {}, 0
    for day in range(8):
        with clock_at(FIRST + timedelta(day)) as clock:
            for _ in range(12):
                clock.tick(60)
                done += at_random(chance)
            kept[FIRST.date() + timedelta(day)] = looks(), undone()
    assert done > 20
    with clock_at(FIRST + timedelta(20)):
        for day, (shelf, gone) in kept.items():
            assert looks(day) == shelf, day
            assert {
                number: by for number, by in undone(day).items() if number <= max(gone, default=0)
            } == gone
        assert looks(FIRST.date() + timedelta(20)) == looks()


@pytest.fixture
def before():
    """The clock two days before the first, until it is closed."""
    with ExitStack() as standing:
        standing.enter_context(clock_at(FIRST - timedelta(2)))
        yield standing


@pytest.fixture
def stocked_then(before, stocked):
    """The stocked books, made before the first day."""
    places.add("Bench", kind="shelf")
    book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
    before.close()
    return stocked


def test_a_day_between_an_undo_and_its_redo(stocked_then):
    days = [FIRST.date() + timedelta(at) for at in range(6)]
    with clock_at(FIRST):
        number = discard("2")["discard"]
    with clock_at(FIRST + timedelta(2)):
        back = undo("discard", number)["undo"]
    with clock_at(FIRST + timedelta(4)):
        again = undo("undo", back)["undo"]
    states = [{view.id: view.state for view in on_shelf(day)}[2] for day in days]
    assert states == ["discarded", "discarded", "sealed", "sealed", "discarded", "discarded"]
    assert [undone_then([number, back], day) for day in days] == [
        {}, {}, {number: back}, {number: back}, {back: again}, {back: again},
    ]  # fmt: skip
    assert [row.booking_id for row in Undone.select()] == [back]


def test_where_a_bottle_stood(stocked_then):
    with clock_at(FIRST):
        move_bottle("2", "Bench")
    assert {view.id: view.place for view in on_shelf(FIRST.date() - timedelta(1))}[2] == "Cabinet"
    assert {view.id: view.place for view in on_shelf(FIRST.date())}[2] == "Bench"
