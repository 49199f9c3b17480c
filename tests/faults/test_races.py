"""Many benches at once: no millilitre is spent twice, nothing locks up, and one request is booked once."""

import os
from collections import defaultdict
from datetime import timedelta

import pytest

from stock import clock
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, UllageError
from stock.ledger import book
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries
from stock.shelf.studio import settings
from stock.store import connection
from stock.store.models import Booking, Bottle, Job, Mix, Movement, Request, database
from tests.faults import benches

BENCHES = 8


@pytest.fixture
def errands(request):
    """How many errands each bench tries; the more, the longer the race."""
    return int(os.environ.get("ULLAGE_RACE_ERRANDS") or (300 if request.config.getoption("deep") else 30))


@pytest.mark.deepens
def test_eight_benches_pour_from_the_same_bottles(stocked, address, engine, print_count, errands):
    """Each pour's answer is a link of one chain per bottle: what it left is what the next one found."""
    for _ in range(4):
        deliveries.receive("Harbour Blue", 60_000)
    database.close()
    gate = benches.CONTEXT.Barrier(BENCHES)
    running = [benches.start(benches.pour_often, address, seed, errands, gate) for seed in range(BENCHES)]
    said = [benches.heard(line) for _, line in running]
    for process, _ in running:
        process.join()
        assert process.exitcode == 0
    reports = [report for (report,) in said]
    assert [report["odd"] for report in reports] == [[]] * BENCHES
    connection.open_books(address)
    with connection.connection():
        assert prove().problems == []
        chains = defaultdict(list)
        for bottle, change in (
            Movement.select(Movement.bottle, Movement.change_ul).order_by(Movement.id).tuples()
        ):
            before = chains[bottle][-1][1] if chains[bottle] else 0
            chains[bottle].append((change, before + change))
        booked = sorted(
            (bottle, -change, left) for bottle in chains for change, left in chains[bottle] if change < 0
        )
        answered = sorted(
            (bottle, round(volume * 1000), round(left * 1000))
            for report in reports for bottle, volume, left in report["poured"]
        )  # fmt: skip
        assert booked == answered
        assert all(left >= 0 for _, _, left in booked)
    refused = sum(report["refused"] for report in reports)
    assert refused > 0
    slowest = max(report["slowest"] for report in reports)
    print_count(
        f"{engine}: {BENCHES} benches with {errands} errands each, {len(booked)} pours, "
        f"{refused} refused for want of paint, slowest errand {slowest:.2f} s"
    )


@pytest.mark.deepens
@pytest.mark.parametrize("times", [2, 3, 8])
def test_the_same_request_at_once_is_booked_once(stocked, address, times, request):
    gate, rounds = benches.CONTEXT.Barrier(times), 5 if request.config.getoption("deep") else 2
    for round_ in range(rounds):
        running = [benches.start(benches.mix_once, address, f"key {round_}", gate) for _ in range(times)]
        answers = [benches.heard(line) for _, line in running]
        for process, _ in running:
            process.join()
        assert all(len(said) == 1 for said in answers), answers
        assert answers.count(answers[0]) == times
        assert Mix.select().count() == round_ + 1
        assert Job.select().count() == round_ + 1
    assert Request.select().count() == rounds
    assert prove().problems == []


def test_one_new_job_named_at_two_benches_is_made_once(stocked, address):
    """Different paints, so that no bottle makes one wait for the other; neither is refused."""
    gate = benches.CONTEXT.Barrier(4)
    running = [benches.start(benches.mix_for_job, address, number, gate) for number in range(4)]
    answers = [benches.heard(line) for _, line in running]
    for process, _ in running:
        process.join()
    assert all(len(said) == 1 and said[0]["booked"] for said in answers), answers
    assert (Job.select().count(), Mix.select().count()) == (1, 4)


def test_nothing_slips_into_a_period_beside_its_closing(stocked, address):
    """Two benches book on yesterday until they are refused; the closing has seen all that they booked."""
    today = settings().today()
    yesterday = today - timedelta(days=1)
    for _ in range(2):
        deliveries.receive("Harbour Blue", 60_000, on=clock.now() - timedelta(days=1, hours=3))
    bottles = [number for (number,) in Bottle.select(Bottle.id).order_by(Bottle.id.desc()).limit(2).tuples()]
    database.close()
    gate = benches.CONTEXT.Barrier(3)
    at = clock.now() - timedelta(days=1, hours=1)
    running = [benches.start(benches.count_on, address, at, bottle, gate) for bottle in bottles]
    running.append(benches.start(benches.close_while_booking, address, yesterday, gate))
    said = [benches.heard(line) for _, line in running]
    for process, _ in running:
        process.join()
    assert said[:2] == [["closed-period"]] * 2
    connection.open_books(address)
    with connection.connection():
        assert Booking.select().where(Booking.day <= yesterday).count() == said[2][0]
        assert prove().problems == []


@pytest.mark.only("postgresql")
def test_a_booking_under_way_is_waited_for_and_one_that_comes_later_is_refused(stocked, address):
    """The worst moment: a booking has looked at the period, and the closing begins before it is written."""
    deliveries.receive("Harbour Blue", 60_000, on=clock.now() - timedelta(days=1, hours=3))
    (bottle,) = Bottle.select(Bottle.id).order_by(Bottle.id.desc()).limit(1).tuples().get()
    yesterday = settings().today() - timedelta(days=1)
    at = clock.now() - timedelta(days=1, hours=1)
    gate = benches.CONTEXT.Barrier(2)

    def work(errand):
        gate.wait(300)
        assert not line.poll(0.3)  # the closing is not done while this booking is open
        errand.move(bottle, "discarded", -1_000)
        return {}

    process, line = benches.start(benches.close_while_booking, address, yesterday, gate)
    book("discard", work, at=at)
    said = benches.heard(line)
    process.join()
    with connection.connection():
        assert said == [Booking.select().where(Booking.day <= yesterday).count()]
        with pytest.raises(UllageError, match="the books are closed until"):
            counts.count(str(bottle), 30_000, on=at)


@pytest.mark.parametrize("times", [2, 3])
def test_the_same_request_again_is_booked_once(stocked, times):
    answers = [book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)), key="again") for _ in range(times)]
    assert answers.count(answers[0]) == times
    delivered = [deliveries.receive("Gull White", 30_000, count=2, key="came") for _ in range(times)]
    assert delivered.count(delivered[0]) == times
    undone = [undo("mix", answers[0]["mix"], key="back") for _ in range(times)]
    assert undone.count(undone[0]) == times
    assert (Mix.select().count(), Bottle.select().count()) == (1, 6)
    assert Booking.select().where(Booking.kind == "undo").count() == 1
    with pytest.raises(BadInput, match="used for a mix"):
        deliveries.receive("Gull White", 30_000, key="again")
