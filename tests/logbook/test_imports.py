"""An imported file is one errand: taken back whole, done again whole, refused when something stands on it."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from stock import clock
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.bench.steps import book_step
from stock.errors import BadInput, NotFound
from stock.exchange.incoming import Wishes, book, plan
from stock.logbook import imports
from stock.logbook.history import entries
from stock.logbook.proof import prove
from stock.logbook.undo import turn_import, undo
from stock.logbook.undo_guards import DependsOnIt
from stock.shelf import deliveries, jobs
from stock.shelf.bottles import on_shelf
from stock.shelf.handling import open_bottle
from stock.store.models import Booking, Bottle, Mix, Movement, Undone

MIXES = (
    "Date,Paint,Amount,Reducer,Reduction,Outcome\n"
    "2025-01-05 10:00,Harbour Blue,8 ml,Slow Thinner,20%,good\n"
    "2025-01-06 10:00,Gull White,2 ml,Slow Thinner,20%,\n"
    "2025-01-07 10:00,Harbour Blue,5 ml,,,thin\n"
)
STOCK = (
    "Product,Size,Left,Received,Label\n"
    "Harbour Blue,60 ml,40 ml,2025-02-01,H1\n"
    "Gull White,30 ml,30 ml,2025-02-01,G1\n"
    "Gull White,30 ml,10 ml,2025-03-01,G2\n"
)


@pytest.fixture
def imported(stocked, tmp_path):
    def import_(text, **wishes):
        path = tmp_path / f"{abs(hash(text))}.csv"
        path.write_text(text, encoding="utf-8")
        return book(plan(str(path), Wishes(**wishes)))

    return import_


def seen():
    """What the shelf and the standing bookings say."""
    gone = {number for (number,) in Undone.select(Undone.booking).tuples()}
    shelf = [(view.id, view.label, view.on_hand_ul, view.state, view.opened_on) for view in on_shelf()]
    mixes = [number for (number,) in Mix.select(Mix.id).order_by(Mix.id).tuples() if number not in gone]
    return shelf, mixes


@pytest.mark.parametrize(("text", "bookings"), [(MIXES, 6), (STOCK, 2)], ids=["mixes", "stock"])
def test_taken_back_and_done_again_as_often_as_one_likes(imported, text, bookings):
    before = seen()
    answer = imported(text)
    after = seen()
    assert before != after
    number = undo("import", answer["import"])["undo"]
    for again in (True, False, True, False):
        assert seen() == (after if not again else before)
        assert prove().problems == []
        result = undo("undo", number)
        assert (result["again"], result["bookings"]) == (again, bookings)
        assert result["undid"] == [{"kind": "import", "id": answer["import"]}]
        number = result["undo"]
    assert seen() == before
    assert prove().problems == []
    with pytest.raises(BadInput, match="undone already"):
        undo("import", answer["import"])


def test_files_are_listed_newest_first_with_whether_they_stand(imported):
    first = imported(MIXES)["import"]
    second = imported(STOCK)["import"]
    undo("import", first)
    entries = [(one.number, one.kind, one.rows, one.stands) for one in imports.files()]
    assert entries == [(second, "stock", 3, True), (first, "mixes", 3, False)]


def test_the_same_key_takes_it_back_once(imported):
    number = imported(MIXES)["import"]
    first = undo("import", number, key="back")
    assert undo("import", number, key="back") == first
    assert Booking.select().where(Booking.kind == "undo").count() == 6


def test_a_file_that_was_taken_back_can_come_in_again(imported):
    first = imported(STOCK)
    assert imported(STOCK)["again"]
    undo("import", first["import"])
    second = imported(STOCK)
    assert second["booked"]
    assert "again" not in second
    assert second["import"] != first["import"]
    undo("import", second["import"])
    assert prove().problems == []


@pytest.mark.parametrize(
    ("later", "kind"),
    [
        (lambda: book_mix(MixRequest(parts=(("Gull White", 35_000),))), "mix"),
        (lambda: open_bottle("G1"), "open"),
    ],
)
def test_stock_that_was_used_since_stays_and_the_reason_is_told(imported, later, kind):
    answer = imported(STOCK)
    later()
    before = seen()
    with pytest.raises(DependsOnIt, match=rf"{kind} \d+ depends on import {answer['import']}"):
        undo("import", answer["import"])
    assert seen() == before


@pytest.mark.parametrize("later", ["step", "close"])
def test_past_mixes_that_went_on_stay(imported, later):
    answer = imported(MIXES)
    mix = Mix.select(Mix.id).order_by(Mix.id).offset(1).tuples().first()[0]
    book_step(mix, StepRequest(Fraction(5))) if later == "step" else close(mix, Ending("good"))
    with pytest.raises(DependsOnIt, match=rf"mix {mix} was changed since: {later} \d+ depends on import"):
        undo("import", answer["import"])
    [entry] = entries(limit=1)
    undo(later, entry.id)
    assert undo("import", answer["import"])["bookings"] == 6
    assert prove().problems == []


def test_what_was_undone_by_itself_before_stays_undone(imported):
    answer = imported(MIXES)
    before = seen()
    mix = Mix.select(Mix.id).order_by(Mix.id.desc()).tuples().first()[0]
    undo("mix", mix)
    without = seen()
    number = undo("import", answer["import"])
    assert number["bookings"] == 4
    undo("undo", number["undo"])
    assert seen() == without != before
    assert prove().problems == []


def test_one_mix_of_an_import_that_is_undone_does_not_come_alone(imported):
    answer = imported(MIXES)
    whole = undo("import", answer["import"])["undo"]
    alone = (
        Booking.select(Booking.id)
        .where(Booking.kind == "undo")
        .order_by(Booking.id.desc())
        .tuples()
        .first()[0]
    )
    assert alone != whole
    with pytest.raises(DependsOnIt, match=f"was undone with import {answer['import']}"):
        undo("undo", alone)
    assert prove().problems == []


def test_a_label_that_is_on_another_bottle_by_now_stands_in_the_way(imported):
    answer = imported(STOCK)
    number = undo("import", answer["import"])["undo"]
    deliveries.receive("Gull White", 30_000, label="H1")
    with pytest.raises(DependsOnIt, match="the label H1 is on another bottle"):
        undo("undo", number)
    assert Bottle.select().where(Bottle.label == "G2").count() == 0


def test_no_such_import_and_no_such_time(imported):
    with pytest.raises(NotFound, match="no import 7"):
        undo("import", 7)
    answer = imported(MIXES)
    with pytest.raises(BadInput, match="happened after that"):
        undo("import", answer["import"], on=clock.now() - timedelta(days=9_000))


def test_many_bookings_are_turned_in_a_handful_of_statements(imported):
    rows = "".join(f"2025-01-{1 + at % 28:02} 10:{at % 60:02},Harbour Blue,1 ml,,,\n" for at in range(3_000))
    answer = imported(MIXES + rows)
    result = undo("import", answer["import"])
    assert result["bookings"] == 3_006
    assert prove().problems == []
    assert Movement.select().where(Movement.kind == "reversed").count() == 3_000 + 5 + 3
    assert len(imports.imported()) == 1


def test_jobs_that_a_file_made_go_with_it_unless_something_else_uses_them(imported):
    """They stand on no list, their names are free, and they come back with the file."""
    jobs.add("Old Gate", date(2024, 1, 1))
    heads = "Date,Paint,Amount,Job\n"
    text = "".join(
        f"2025-01-0{day},Harbour Blue,2 ml,{job}\n"
        for day, job in enumerate(("Bow", "Stern", "Old Gate", "Keel"), 5)
    )
    number = imported(heads + text)["import"]
    deliveries.receive("Gull White", 30_000)
    book_mix(MixRequest((("Gull White", 1_000),), job="Stern"))
    jobs.change("Keel", customer="The harbour")
    answer = undo("import", number)
    assert (answer["taken_back"], answer["kept"]) == (["Bow"], ["Stern", "Keel"])
    assert {job.name for job in jobs.everything()} == {"Old Gate", "Stern", "Keel"}
    with pytest.raises(NotFound):
        jobs.find("Bow")
    again = undo("undo", answer["undo"])
    assert again["brought_back"] == ["Bow"]
    assert {job.name for job in jobs.everything()} == {"Old Gate", "Stern", "Keel", "Bow"}
    undo("undo", again["undo"])
    jobs.add("Bow", date(2025, 2, 1))  # the name is free
    assert prove().problems == []


def test_an_import_is_turned_over_as_often_as_it_is_asked(imported):
    """What stands is taken back, and what doesn't is done again, by one and the same request."""
    before = seen()
    number = imported(MIXES)["import"]
    after = seen()
    for state in (before, after, before):
        turn_import(number)
        assert seen() == state
