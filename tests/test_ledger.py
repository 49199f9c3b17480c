"""What the one place that changes a volume refuses."""

import re
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest

from stock import clock
from stock.errors import BadInput, NotEnough, UllageError
from stock.ledger import Batch, Errand, book, first_answer
from stock.logbook.proof import prove
from stock.shelf import deliveries, periods, products
from stock.shelf.bottles import numbered
from stock.store.models import Booking, Bottle, Mix, Movement, Pour
from stock.store.newest_booking import SET_BACK
from tests.clock import clock_at

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


@pytest.mark.only("sqlite", "postgresql")
def test_several_bottles_are_taken_from_at_once_or_none(came_in_may: int) -> None:
    """
    bottle 1  40 ml and 20 ml   its last drop, in two movements
    bottle 2  10 ml
    """
    second = int(deliveries.receive("Harbour Blue", 60_000, on=noon("2026-05-04"))["bottles"][0]["id"])

    def pour(*drawn: tuple[int, int], at: datetime | None = None) -> None:
        def work(errand: Errand) -> dict[str, object]:
            Mix.insert(id=errand.booking).execute()
            parts = ("paint", "reducer", "additive")
            errand.pour(errand.booking, [(*each, part) for each, part in zip(drawn, parts, strict=False)])
            return {}

        book("mix", work, at=at)

    with pytest.raises(NotEnough, match=rf"bottle {came_in_may} holds .* ml were asked of it"):
        pour((came_in_may, 40_000), (came_in_may, 20_001), (second, 1))
    with pytest.raises(NotEnough, match=rf"bottle {second} holds 60 ml and 60\.001 ml were asked"):
        pour((came_in_may, 1), (second, 60_001))
    with pytest.raises(BadInput, match="came on 2026-05-04, after 2026-05-03"):
        pour((came_in_may, 1), at=noon("2026-05-03"))
    assert Movement.select().count() == Booking.select().count() == 2
    assert not Mix.select().exists()
    pour((came_in_may, 40_000), (came_in_may, 20_000), (second, 10_000))
    rows = Pour.select(
        Movement.bottle,
        Movement.change_ul,
        Movement.kind,
        Movement.proof_kind,
        Pour.part,
        Movement.booking == Pour.mix,
    ).join(Movement)
    assert list(rows.order_by(Movement.id).tuples()) == [
        (came_in_may, -40_000, "poured", "poured", "paint", True),
        (came_in_may, -20_000, "poured", "poured", "reducer", True),
        (second, -10_000, "poured", "poured", "additive", True),
    ]
    assert [numbered(str(one)).on_hand_ul for one in (came_in_may, second)] == [0, 50_000]
    assert not any("on hand" in problem for problem in prove().problems)


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


def test_what_is_booked_while_the_clock_is_set_far_back_fits_into_what_the_bottle_held_then(
    came_in_may: int,
) -> None:
    """
    05 May  washed    50 ml
    07 May  counted   60 ml
    the clock says 06 May 12:00, days behind what is booked
            washed    10 ml   just fits; 11 ml would not, whether the moment is the clock's or is given
    """

    def refilled(errand: Errand) -> dict[str, object]:
        errand.move(came_in_may, "counted", 50_000)
        return {}

    def washed(volume_ul: int, at: datetime | None = None) -> None:
        book("wash", lambda errand: {"n": errand.move(came_in_may, "washed", -volume_ul)}, at=at)

    taken(came_in_may, "2026-05-05", 50_000)
    book("count", refilled, at=noon("2026-05-07"))
    then = noon("2026-05-06")
    with clock_at(then):
        with pytest.raises(NotEnough, match="on 2026-05-06 or after it"):
            washed(10_001)
        washed(9_000)
    with clock_at(then + timedelta(hours=2)):
        with pytest.raises(NotEnough, match="on 2026-05-06 or after it"):
            washed(1_001, then + timedelta(hours=1))
        washed(1_000, then + timedelta(hours=1))
    assert Bottle.get_by_id(came_in_may).on_hand_ul == 50_000


@pytest.mark.only("sqlite", "postgresql")
def test_what_is_booked_after_another_while_the_clock_is_far_back_fits_into_what_the_bottles_held_then(
    came_in_may: int,
) -> None:
    """
    05 May  washed    50 ml
    07 May  counted   60 ml   (somebody filled it up and said nothing)
    the clock is set back to 06 May
            washed     1 ml   from another bottle; it has the highest number from here on
            washed    10 ml   just fits; 11 ml would not, nor would they with a mix, and a count finds 10 ml
    """

    def refilled(errand: Errand) -> dict[str, object]:
        errand.move(came_in_may, "counted", 50_000)
        return {}

    def washed(bottle: int, volume_ul: int) -> None:
        book("wash", lambda errand: {"n": errand.move(bottle, "washed", -volume_ul)})

    def poured(*volumes_ul: int) -> None:
        def work(errand: Errand) -> dict[str, object]:
            Mix.insert(id=errand.booking).execute()
            errand.pour(errand.booking, [(came_in_may, volume_ul, "paint") for volume_ul in volumes_ul])
            return {}

        book("mix", work)

    other = int(deliveries.receive("Harbour Blue", 60_000, on=noon("2026-05-04"))["bottles"][0]["id"])
    taken(came_in_may, "2026-05-05", 50_000)
    book("count", refilled, at=noon("2026-05-07"))
    with clock_at(noon("2026-05-06")) as clock_now:
        for minute in range(3):
            washed(other, 1_000)
            clock_now.tick(60)
            for refused in (
                partial(washed, came_in_may, 10_001),
                partial(poured, 10_001),
                partial(poured, 9_000, 1_001),
            ):
                with pytest.raises(NotEnough, match="on 2026-05-06 or after it"):
                    refused()
            assert book("count", lambda errand: {"held": errand.held(came_in_may)})["held"] == 10_000, minute
        washed(came_in_may, 4_000)
        poured(4_000, 2_000)
        with pytest.raises(NotEnough, match="on 2026-05-06 or after it"):
            washed(came_in_may, 1)
    assert Bottle.get_by_id(came_in_may).on_hand_ul == 50_000
    assert [each for each in prove().problems if "hand" in each or "held" in each] == []


def test_nothing_is_booked_in_the_future(books: str) -> None:
    with pytest.raises(BadInput, match="lies in the future"):
        book("wash", lambda errand: {}, at=noon("2999-01-01"))
    assert Booking.select().count() == 0


def test_an_errand_happens_now_or_with_the_newest_where_the_clock_was_set_back(books: str) -> None:
    """
    clock           newest booking   the new one's moment
    12:00           -                12:00
    13:00           12:00            13:00
    12:00 (+1 day back)   13:00      13:00   the order is kept
    a second more back    13:00      the clock's: nobody knows which is wrong
    """

    def moment(at: datetime) -> datetime:
        with clock_at(at):
            booked = book("wash", lambda errand: {"at": clock.stamp(errand.at)})
        return clock.read_stamp(str(booked["at"]))

    first = noon("2026-05-04")
    later = first + timedelta(hours=1)
    assert moment(first) == first
    assert moment(later) == later
    assert moment(later - SET_BACK) == later
    assert moment(later) == later
    behind = later - SET_BACK - timedelta(seconds=1)
    assert moment(behind) == behind
    with clock_at(later):
        book("wash", lambda errand: {}, at=first)  # the newest by the moment it was written
    assert moment(later - timedelta(minutes=1)) == later


def test_a_repeat_is_answered_before_the_errand_is_put_together(books: str) -> None:
    book("wash", lambda errand: {"wash": errand.booking}, key="k1")
    assert first_answer("wash", "k1") == {"wash": 1}
    assert first_answer("wash", "k2") is first_answer("wash", None) is None
    with pytest.raises(BadInput, match="was used for a wash before"):
        first_answer("mix", "k1")


FLAGS = ("opened_unknown", "opening_stock", "owner")
AS_WRITTEN = {"at": "2026-05-06T11:00:00.000000Z", "day": "2026-05-06"}
BEFORE = {"at": "2026-05-03T11:00:00.000000Z", "day": "2026-05-03"}


def in_a_batch(fill):  # type: ignore[no-untyped-def]
    """Errands of one batch, in a transaction that ends with it."""

    def work(errand: Errand) -> dict[str, object]:
        columns = ("id", "received_on", "product_id", "delivery_id", "size_ul", "lot", *FLAGS)
        batch = Batch(columns)
        fill(batch, errand.booking)
        batch.end()
        return {}

    book("wash", work, at=noon("2026-05-08"))


@pytest.mark.only("sqlite", "postgresql")
@pytest.mark.parametrize(
    ("moves", "refusal", "message"),
    [
        ([(-60_001, AS_WRITTEN)], NotEnough, r"holds 60 ml and 60\.001 ml were asked"),
        ([(-50_000, AS_WRITTEN), (-10_001, AS_WRITTEN)], NotEnough, r"holds 60 ml and 60\.001 ml were asked"),
        ([(-60_001, AS_WRITTEN), (1, AS_WRITTEN)], NotEnough, "holds 60 ml"),
        ([(-1, BEFORE)], BadInput, "came on 2026-05-04, after 2026-05-03"),
        ([(-1, AS_WRITTEN), (-1, BEFORE)], BadInput, "came on 2026-05-04, after 2026-05-03"),
    ],
)
def test_a_batch_refuses_what_one_movement_would(came_in_may: int, moves, refusal, message) -> None:  # type: ignore[no-untyped-def]
    def fill(batch: Batch, booking: int) -> None:
        for change_ul, when in moves:
            batch.move(came_in_may, booking, "washed", change_ul, **when)

    with pytest.raises(refusal, match=message):
        in_a_batch(fill)
    assert Movement.select().count() == Booking.select().count() == 1
    assert numbered(str(came_in_may)).on_hand_ul == 60_000
    in_a_batch(lambda batch, booking: batch.move(came_in_may, booking, "washed", -60_000, **AS_WRITTEN))
    assert numbered(str(came_in_may)).on_hand_ul == 0


def test_a_new_bottle_of_a_batch_holds_what_its_movements_put_into_it(came_in_may: int) -> None:
    def filled(*changes: int, came: str = "2026-05-04") -> None:
        def fill(batch: Batch, booking: int) -> None:
            batch.bottle((77, came, 1, booking, 60_000, "", False, False, ""))
            for change_ul in changes:
                kind = "received" if change_ul > 0 else "washed"
                batch.move(77, booking, kind, change_ul, **AS_WRITTEN)
                batch.write()

        in_a_batch(fill)

    with pytest.raises(BadInput, match="bottle 77 came on 2026-05-07, after 2026-05-06"):
        filled(60_000, came="2026-05-07")
    with pytest.raises(NotEnough, match=r"bottle 77 holds 60 ml and 60\.001 ml"):
        filled(60_000, -60_001)
    with pytest.raises(NotEnough, match="bottle 77 holds 0 ml and 1 ml"):
        filled(-1_000, 60_000)
    filled(60_000, -20_000, -15_000, came="2026-05-06")
    assert Bottle.get_by_id(77).on_hand_ul == 25_000


def test_new_bottles_of_one_day_are_each_written_and_their_movements_keep_their_numbers(
    came_in_may: int,
) -> None:
    def fill(batch: Batch, booking: int) -> None:
        for bottle, holds_ul in ((77, 60_000), (78, 30_000)):
            batch.bottle((bottle, "2026-05-04", 1, booking, 60_000, "", False, False, ""))
            batch.move(bottle, booking, "received", holds_ul, **AS_WRITTEN, number=bottle + 100)
        batch.bottle((79, "2026-05-04", 1, booking, 60_000, "", False, False, ""))

    in_a_batch(fill)
    assert [Bottle.get_by_id(bottle).on_hand_ul for bottle in (77, 78, 79)] == [60_000, 30_000, 0]
    numbers = Movement.select(Movement.id).where(Movement.bottle.in_((77, 78))).order_by(Movement.id)
    assert [each.id for each in numbers] == [177, 178]


def test_nothing_is_booked_in_a_closed_period(came_in_may: int) -> None:
    """
    closed until 05 May
    05 May  washed  1 ml   refused: the last closed day, alone and in a batch
    06 May  washed  1 ml   the first open day, each way
    """
    periods.close(date(2026, 5, 5))
    before = 60_000

    def washed(day: str) -> None:
        when = {"at": f"{day}T11:00:00.000000Z", "day": day}
        in_a_batch(lambda batch, booking: batch.move(came_in_may, booking, "washed", -1_000, **when))

    for errand in (washed, partial(taken, came_in_may)):
        with pytest.raises(UllageError, match="closed until 2026-05-05, so nothing can be dated 2026-05-05"):
            errand("2026-05-05")
        assert numbered(str(came_in_may)).on_hand_ul == before
        errand("2026-05-06")
        before -= 1_000
        assert numbered(str(came_in_may)).on_hand_ul == before


def test_a_batch_of_older_movements_fits_into_what_each_bottle_held_then(came_in_may: int) -> None:
    """
    05 May  washed    50 ml
    07 May  counted   60 ml
    06 May  washed    10 ml   just fits, as for one movement alone
    """
    taken(came_in_may, "2026-05-05", 50_000)
    book("count", lambda errand: {"n": errand.move(came_in_may, "counted", 50_000)}, at=noon("2026-05-07"))

    def washed(volume_ul: int) -> None:
        in_a_batch(
            lambda batch, booking: batch.move(came_in_may, booking, "washed", -volume_ul, **AS_WRITTEN)
        )

    with pytest.raises(
        NotEnough, match=r"on 2026-05-06 bottle 1 would have held 0\.001 ml less than nothing"
    ):
        washed(10_001)
    washed(10_000)
    assert Bottle.get_by_id(came_in_may).on_hand_ul == 50_000


def test_only_the_ledger_writes_movements_and_volumes() -> None:
    """Copies of whole books, which are proven equal row by row, write every table; nothing else writes these two."""
    stock = Path(__file__).parents[1] / "stock"
    writes = re.compile(
        r"""INSERT\s+INTO\s+"?movement|UPDATE\s+"?movement|on_hand_ul\s*=\s*on_hand_ul|SET\s+on_hand_ul
        |Movement\.(insert|create|bulk_create|update|replace)|insert\(\s*"(movement|bottle)"
        |Bottle\.(create|bulk_create|replace)|Bottle\.(insert|update)\([^)]*on_hand_ul(?!=0)""",
        re.VERBOSE | re.IGNORECASE,
    )
    found = {
        str(path.relative_to(stock)): sorted(
            {hit.group(0) for hit in writes.finditer(path.read_text("utf-8"))}
        )
        for path in stock.rglob("*.py")
    }
    statements = "store/booking_statements.py"
    assert {path for path, hits in found.items() if hits} == {"ledger.py", statements}
    texts = {path: (stock / path).read_text("utf-8") for path in found}
    assert {path for path, text in texts.items() if "booking_statements" in text} == {
        "ledger.py", "logbook/imports.py",
    }  # fmt: skip
    assert "booking_statements import WRITE_BOOKING\n" in texts["logbook/imports.py"]
    assert {path for path, text in texts.items() if "INSERT INTO" in text} == {
        "exchange/copying.py", "exchange/replacing.py", statements, "store/migrations.py", "store/statements.py",
    }  # fmt: skip
