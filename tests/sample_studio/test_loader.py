"""The sample studio loads on any day, on both engines, through the functions of the commands, and adds up."""

from collections import Counter
from datetime import date, timedelta

import pytest

from sample_studio import loader
from sample_studio.story import read
from stock.errors import BadInput, UllageError
from stock.logbook.proof import prove
from stock.shelf import jobs
from stock.shelf.bottles import on_shelf
from stock.shelf.studio import settings
from stock.store.connection import connection
from stock.store.models import Booking, Movement, OrderEvent, PlannedUse, Product
from tests.clock import clock_at

AWKWARD = {
    "a leap day": ("2024-02-29 12:00", None),
    "the clocks went forward that night": ("2026-03-29 00:30", None),
    "the year's last minute": ("2025-12-31 23:59", None),
    "a day long past is given": ("2026-11-27 12:00", date(2025, 6, 16)),
}
KIND_OF = {
    "receive": "delivery", "arrive": "delivery", "open": "open", "move": "move", "count": "count",
    "discard": "discard", "decant": "decant", "mix": "mix", "wash": "wash", "order": "order",
    "cancel": "cancel", "plan": "planned_use", "undo": "undo",
}  # fmt: skip


def test_it_is_of_the_size_that_was_meant_and_adds_up(studio):
    proof = prove()
    assert proof.as_json()["ok"], proof
    assert 40 <= Product.select().where(Product.role != "mixed").count() <= 70
    assert 100 <= len(on_shelf()) <= 140
    assert proof.as_json()["mixes"] >= 300


def test_the_work_spans_eighteen_months_and_ends_yesterday(studio):
    today = settings().today()
    mixed = [
        day
        for (day,) in Booking.select(Booking.day).where(Booking.kind == "mix").order_by(Booking.at).tuples()
    ]
    assert today - mixed[0] >= timedelta(days=530)
    assert mixed[-1] == today - timedelta(days=1)
    assert not Booking.select().where(Booking.day >= today).exists()


def test_every_line_of_the_story_is_in_the_books(studio):
    records = list(loader.story_lines())
    booked = Counter(kind for (kind,) in Booking.select(Booking.kind).tuples())
    wanted = Counter(KIND_OF[line.verb] for line in records if line.verb in KIND_OF)
    for kind, count in wanted.items():
        assert booked[kind] == count, kind
    assert booked["step"] == sum(len(line.words.get("step", ())) for line in records)
    assert booked["close"] == sum("outcome" in line.words for line in records)
    assert booked["frozen"] >= 1


def test_an_order_came_in_part_one_was_cancelled_and_uses_are_planned(studio):
    came = {cancelled for (cancelled,) in OrderEvent.select(OrderEvent.cancelled).tuples()}
    assert came == {False, True}
    today = settings().today()
    assert PlannedUse.select().where(PlannedUse.needed_on > today).count() >= 3


@pytest.mark.sampled(1)
@pytest.mark.parametrize(("now", "day"), AWKWARD.values(), ids=AWKWARD.keys())
def test_it_loads_on_an_awkward_day_and_for_one_that_is_given(address, now, day):
    with clock_at(now):
        loader.load(address, today=day)
        with connection():
            assert prove().as_json()["ok"]
            today = day or settings().today()
            newest = Booking.select().order_by(Booking.day.desc()).first()
            assert newest.day == today - timedelta(days=1)


def test_jobs_have_customers_and_all_but_the_last_are_finished(studio):
    records = jobs.everything()
    assert len(records) >= 5
    assert all(job.customer and job.due_on for job in records)
    assert [job.name for job in records if job.closed_on is None] == ["Carousel horses"]


def test_it_refuses_to_touch_what_is_there(tmp_path):
    path = tmp_path / "mine.ullage"
    path.write_text("my own notes")
    with pytest.raises(UllageError):
        loader.load(str(path))
    assert path.read_text() == "my own notes"


@pytest.mark.sampled(2)
@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('-3 09:00 count "Gannet White #99" 3ml', "was not received yet"),
        ('-3 09:00 wash "Sluice Cleaner=900l"', "wanted"),
        ('-3 09:00 mix "Nobody\'s Blue=3ml"', "Nobody's Blue"),
        ('-3 09:00 arrive "An order never made"', "no order"),
        ('-3 09:00 receive "Sluice Cleaner" 960ml count many', "is not a count"),
        ('-3 09:00 order "Sluice Cleaner=960ml" as "A"', "is not a count"),
    ],
)
def test_a_line_that_the_books_refuse_names_its_place_and_nothing_is_loaded(
    tmp_path, monkeypatch, line, says
):
    monkeypatch.setattr(loader, "story_lines", lambda: read("9-odd.txt", [FIRST, line]))
    with pytest.raises(UllageError) as refused:
        loader.load(str(tmp_path / "sample.ullage"))
    assert refused.value.message.startswith("9-odd.txt line 2: ")
    assert says in refused.value.message
    with connection():
        assert not Movement.select().exists()
        assert not Product.select().exists()


FIRST = '-4 09:00 receive "Sluice Cleaner" 960ml'


def test_an_undo_of_what_never_was_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(loader, "story_lines", lambda: read("9-odd.txt", [FIRST, "-3 09:00 undo mix"]))
    with pytest.raises(BadInput, match="no mix to undo"):
        loader.load(str(tmp_path / "sample.ullage"))


def test_a_line_says_its_facts_and_a_product_what_is_its_own():
    tide = {"role": "paint", "water": "50%", "price": ["30ml=5"], "products": {"One": {"color": "#010203"}}}
    two = {"line": "Tide", "role": "clear", "water": "", "density": "", "price": ["60ml=8"]}
    goods = {"line": {"Tide": tide}, "product": {"Two": two, "Three": {"role": "cleaner"}}}
    assert list(loader.line_tables(goods)) == [
        {"role": "paint", "water": "50%", "price": ["30ml=5"], "name": "Tide"}
    ]
    assert list(loader.product_tables(goods)) == [
        {"color": "#010203", "name": "One", "line": "Tide"},
        {"line": "Tide", "role": "clear", "water": "unknown", "packs": ["60ml=8"], "name": "Two"},
        {"role": "cleaner", "name": "Three"},
    ]
