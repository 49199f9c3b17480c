"""The logbook tells everything that was booked, and finds it by product, bottle, lot, job, kind and days."""

from datetime import timedelta
from fractions import Fraction

import pytest

from stock import clock
from stock.bench import closing, steps, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.errors import BadInput, NotFound
from stock.forecast import orders
from stock.logbook.history import Filter, HistoryLine, _amounts, entries, how_many
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling
from tests.queries import counted

BLUE = MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), job="Ferry hull")


def newest() -> str:
    return entries(limit=1)[0].words()


def test_every_kind_of_entry_says_what_happened(stocked: str) -> None:
    details = {}
    number = int(book_mix(BLUE)["mix"])
    details["mix"] = newest()
    steps.book_step(number, StepRequest(Fraction(5)))
    details["step"] = newest()
    closing.close(number, closing.Ending(outcome="good", left_ul=3_000, keep=True))
    details["close"] = newest()
    washing.wash("Wash Down", 15_000, mix=number)
    details["wash"] = newest()
    handling.open_bottle("2")
    details["open"] = newest()
    handling.move_bottle("4", "Cabinet")
    details["move"] = newest()
    handling.freeze("2")
    details["frozen"] = newest()
    counts.count("2", 59_000)
    details["count"] = newest()
    handling.decant("2", 9_000)
    details["decant"] = newest()
    handling.discard("2")
    details["discard"] = newest()
    order = orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)])["order"]
    details["order"] = newest()
    orders.cancel(order)
    details["cancel"] = newest()
    orders.plan_use("Harbour Blue", 50_000, needed_on=clock.now().date() + timedelta(9), job="Ferry hull")
    details["planned_use"] = newest()
    gone = undo("wash", entries(Filter(kind="wash"))[0].id)["undo"]
    details["undo"] = newest()
    undo("undo", gone)
    details["redo"] = newest()
    wash = entries(Filter(kind="wash"))[0].id
    assert details == {
        "mix": "Harbour Blue 8 ml, Slow Thinner 1.6 ml",
        "step": f"Slow Thinner 0.4 ml to mix {number}",
        "close": details["close"],
        "wash": f"Wash Down 15 ml after mix {number}",
        "open": "Harbour Blue B0002 opened",
        "move": "Wash Down B0004 to Cabinet",
        "frozen": "Harbour Blue B0002 froze",
        "count": "Harbour Blue −1 ml",
        "decant": "Harbour Blue 9 ml",
        "discard": "Harbour Blue 50 ml Harbour Blue B0002 thrown away",
        "order": "2 x 60 ml Harbour Blue",
        "cancel": f"2 x 60 ml Harbour Blue of order {order}",
        "planned_use": f"Harbour Blue 50 ml on {clock.now().date() + timedelta(9)} for Ferry hull",
        "undo": f"undo of wash {wash}: Wash Down +15 ml",
        "redo": f"again wash {wash}: Wash Down −15 ml",
    }
    assert f"mix {number}: good, 3 ml left, kept" in details["close"]


def test_a_job_has_its_mixes_with_all_that_belongs_to_them(stocked: str) -> None:
    number = int(book_mix(BLUE)["mix"])
    steps.book_step(number, StepRequest(Fraction(5)))
    closing.close(number, closing.Ending(outcome="good"))
    washing.wash("Wash Down", 15_000, mix=number)
    orders.plan_use("Harbour Blue", 50_000, needed_on=clock.now().date() + timedelta(9), job="Ferry hull")
    washing.wash("Wash Down", 1_000)
    kinds = [entry.kind for entry in entries(Filter(job="ferry"))]
    assert kinds == ["planned_use", "wash", "close", "step", "mix"]
    with pytest.raises(NotFound, match="no job is called"):
        entries(Filter(job="tram"))


def test_a_bottle_has_what_moved_and_what_was_noted_of_it(stocked: str) -> None:
    handling.open_bottle("2")
    handling.move_bottle("4", "Cabinet")
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), bottles=("2",)))
    assert [entry.kind for entry in entries(Filter(bottle="B0002"))] == ["mix", "open", "delivery"]
    assert [entry.kind for entry in entries(Filter(bottle="4"))] == ["move", "delivery"]


def test_a_product_has_its_orders_and_plans_too(stocked: str) -> None:
    orders.cancel(orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)])["order"])
    orders.plan_use("Harbour Blue", 50_000, needed_on=clock.now().date() + timedelta(9))
    assert [entry.kind for entry in entries(Filter(product="harbour"))] == [
        "planned_use", "cancel", "order", "delivery",
    ]  # fmt: skip


def test_a_lot_is_found_whatever_its_case(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, lot="Ab-7")
    assert [entry.kind for entry in entries(Filter(lot="aB-7"))] == ["delivery"]
    assert entries(Filter(lot="ab")) == []


def test_days_and_kinds_narrow_it_down(stocked: str, mixed: int) -> None:
    today = clock.today("Europe/Lisbon")
    assert how_many(Filter(since=today + timedelta(1))) == 0
    assert how_many(Filter(until=today - timedelta(1))) == 0
    assert how_many(Filter(kind="mix", since=today, until=today)) == 1
    with pytest.raises(BadInput, match="is no kind of entry"):
        entries(Filter(kind="pour\x1b"))


def test_a_past_day_does_not_know_what_was_undone_later(stocked: str) -> None:
    at = clock.now() - timedelta(days=9)
    deliveries.receive("Gull White", 30_000, on=at)
    number = int(book_mix(MixRequest(parts=(("Gull White", 1_000),), at=at), judge=False)["mix"])
    by = undo("mix", number)["undo"]
    then = at.date()
    assert {entry.id: entry.undone_by for entry in entries(Filter(until=then), as_of=then)}[number] is None
    assert {entry.id: entry.undone_by for entry in entries()}[number] == by


def test_the_queries_do_not_grow_with_the_entries(stocked: str) -> None:
    for _ in range(3):
        undo("undo", undo("mix", int(book_mix(BLUE)["mix"]))["undo"])
    with counted() as few:
        entries(limit=5)
    with counted() as more:
        entries(limit=200)
    assert len(more) <= len(few) + 3


def test_what_went_in_or_out_is_signed_and_what_came_to_nothing_is_neither() -> None:
    """Of an undo or a count: the largest first; a decant counts once, as what left its bottle."""

    def line(name: str, change_ul: int, kind: str = "counted") -> HistoryLine:
        return HistoryLine(1, 1, name, kind, change_ul)

    lines = [line("Blue", 2_000), line("White", -3_000), line("Red", 1_000), line("Red", -1_000)]
    assert _amounts(lines, "metric", signed=True) == "White −3 ml, Blue +2 ml, Red ±0 ml"
    assert _amounts(lines[:2], "metric") == "White 3 ml, Blue 2 ml"
    decant = [line("Blue", -5_000, "moved_out"), line("Blue", 5_000, "moved_in")]
    assert _amounts(decant, "metric") == "Blue 5 ml"
