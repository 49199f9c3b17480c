"""A part-used bottle is entered as it stands: what is left, since when it is open, whose it is, how it came."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from stock.bench import counting, left_in, weighing
from stock.bench.mixing import MixRequest, book_mix
from stock.cautions import books as cautions
from stock.cautions.listing import shelf
from stock.errors import BadInput, NotEnough, NotFound
from stock.exchange import incoming
from stock.forecast import books as forecast
from stock.logbook import costs
from stock.logbook.proof import prove
from stock.shelf import bottle_facts, deliveries, handling, products
from stock.shelf.bottles import on_shelf
from stock.shelf.life import LONG_AGO
from stock.shelf.studio import settings
from stock.store.models import Pack

BLUE = "Harbour Blue"


def view(number):
    return next(one for one in on_shelf() if one.id == number)


def came(**more):
    return deliveries.receive(BLUE, 60_000, **more)["bottles"][0]["id"]


@pytest.mark.parametrize(
    ("text", "left_ul"),
    [
        ("22ml", 22_000), ("half", 30_000), ("0.4", 24_000), ("3/4", 45_000), ("40 %", 24_000), ("½", 30_000),
        ("full", 60_000), ("1", 60_000), ("nearly empty", 3_000), ("empty", 0), ("0ml", 0), ("41.5g", 20_476),
    ],
)  # fmt: skip
def test_what_is_left_is_read_as_people_say_it(stocked, text, left_ul):
    assert left_in.read(text, 60_000, product=BLUE, tare_mg=20_000) == left_ul


@pytest.mark.parametrize("text", ["5", "90ml", "-1ml", "lots", "", "150%", "1.5", "10g"])
def test_what_cant_be_left_is_refused_with_what_is_accepted(stocked, text):
    with pytest.raises(BadInput) as refusal:
        left_in.read(text, 60_000, product=BLUE, tare_mg=20_000)
    assert refusal.value.remedy


def test_a_weight_needs_the_density_and_the_empty_weight(stocked):
    with pytest.raises(NotFound, match="empty weight"):
        left_in.read("41g", 60_000, product=BLUE)
    Pack.update(tare_mg=20_000).where(Pack.size_ul == 60_000).execute()
    assert left_in.read("41g", 60_000, product=BLUE) == 20_000
    products.add({"name": "Bare", "role": "paint"})
    with pytest.raises(NotFound, match="density"):
        left_in.read("41g", 60_000, product="Bare", tare_mg=20_000)


def test_a_part_used_bottle_without_a_day_counts_from_the_worse_side_and_says_so(stocked):
    number = came(left_ul=5_000)
    shown = view(number)
    assert (shown.on_hand_ul, shown.state, shown.opened_on) == (5_000, "open", None)
    assert shown.good_until < settings().today()  # its opened life of 12 months has begun long ago
    codes = {one.code: one.severity for one in cautions.findings() if one.bottle == number}
    assert codes["opened-day-unknown"] == "warn"
    of_bottle = next(
        one for each in shelf().as_json()["products"] for one in each["bottles"] if one["id"] == number
    )
    assert (of_bottle["state"], of_bottle["opened_on"]) == ("open", None)
    assert prove().problems == []


def test_the_day_of_opening_is_noted_later_and_can_be_unknown_again(stocked):
    today = settings().today()
    number = came(opened_unknown=True, made_on=date(2025, 6, 1))
    assert view(number).good_until == date(2026, 6, 1)  # it can't have been opened before it was made
    with pytest.raises(BadInput, match="nobody knows since when"):
        handling.open_bottle(str(number))
    bottle_facts.note_days(str(number), {"opened_on": today - timedelta(days=3)})
    assert view(number).opened_on == today - timedelta(days=3)
    bottle_facts.note_days(str(number), {"opened_on": None})
    assert view(number).opened_on is None
    for day in (today + timedelta(days=1), date(2025, 5, 31)):
        with pytest.raises(BadInput, match="can't have been opened"):
            bottle_facts.note_days(str(number), {"opened_on": day})
    with pytest.raises(BadInput, match="sealed"):
        bottle_facts.note_days("1", {"opened_on": today})


def test_what_cant_be_is_refused_and_nothing_comes(stocked):
    before = len(on_shelf())
    for wrong in (
        {"left_ul": 67_000},
        {"left_ul": -1},
        {"opened_unknown": True, "opened_on": date(2026, 1, 1)},
    ):
        with pytest.raises(BadInput):
            came(**wrong)
    assert len(on_shelf()) == before


def test_a_bottle_of_somebody_elses_is_no_stock_and_only_poured_from_by_name(stocked):
    before = {each.product: each for each in forecast.read().facts.values()}[BLUE]
    number = came(left_ul=50_000, opened_on=settings().today(), owner="A customer")
    after = {each.product: each for each in forecast.read().facts.values()}[BLUE]
    assert (after.on_hand_ul, after.bottles, after.worth_minor) == (
        before.on_hand_ul, before.bottles, before.worth_minor,
    )  # fmt: skip
    assert number not in [pour["bottle"] for pour in book_mix(MixRequest(parts=((BLUE, 8_000),)))["pours"]]
    with pytest.raises(NotEnough):
        book_mix(MixRequest(parts=((BLUE, 150_000),)))
    picked = book_mix(MixRequest(parts=((BLUE, 1_000),), bottles=(str(number),)))
    assert [pour["bottle"] for pour in picked["pours"]] == [number]
    bottle_facts.note_owner(str(number), "")
    assert view(number).owner == ""
    assert book_mix(MixRequest(parts=((BLUE, 100_000),)))["booked"]


def test_opening_stock_is_no_jobs_cost(stocked):
    number = came(left_ul=30_000, opening_stock=True)
    other = came()
    book_mix(MixRequest(parts=((BLUE, 6_000),), job="Tank", bottles=(str(number),)))
    free = costs.read(job="Tank")
    book_mix(MixRequest(parts=((BLUE, 6_000),), job="Tank", bottles=(str(other),)))
    paid = costs.read(job="Tank")
    assert ([job.total() for job in free.costs.jobs], free.unpriced) == ([0], [])
    assert [job.total() for job in paid.costs.jobs] == [79]
    assert number in [one.id for one in on_shelf() if one.opening_stock]


def test_the_first_count_of_a_part_used_bottle_is_no_unlogged_pour(stocked):
    number = came(left_ul=30_000)
    first = counting.count(str(number), weighing.by_volume(20_000))
    assert "estimated" in first["words"]
    assert not first["beyond"]
    assert first["usual_loss"] is None
    second = counting.count(str(number), weighing.by_volume(10_000))
    assert second["beyond"]
    assert "a pour was not logged" in second["words"]
    assert "a pour was not logged" in counting.count("1", weighing.by_volume(40_000))["words"]


def test_a_decanted_bottle_is_as_old_and_as_much_somebody_elses(stocked):
    number = came(left_ul=30_000, owner="A customer", opening_stock=True)
    into = handling.decant(str(number), 10_000)["into"]
    shown = view(into)
    assert (shown.opened_on, shown.owner, shown.opening_stock) == (None, "A customer", True)


def test_an_imported_part_used_bottle_is_not_taken_as_opened_today(stocked, tmp_path):
    file = tmp_path / "stock.csv"
    file.write_text(
        "Product,Size,Left,Received,Opened,Owner,Label\n"
        "Harbour Blue,60 ml,5 ml,,,,A1\nHarbour Blue,60 ml,5 ml,2024-03-01,,,A2\n"
        "Harbour Blue,60 ml,60 ml,,unknown,,A3\nHarbour Blue,60 ml,60 ml,2026-01-05,,A customer,A4\n"
    )
    incoming.book(incoming.plan(str(file), incoming.Wishes()))
    shown = {one.label: one for one in on_shelf()}
    assert [shown[label].state for label in ("A1", "A2", "A3", "A4")] == ["open", "open", "open", "sealed"]
    assert [shown[label].opened_on for label in ("A1", "A2", "A3")] == [None, None, None]
    assert shown["A1"].good_until == date(LONG_AGO.year + 1, 1, 1)
    assert shown["A2"].good_until == date(2025, 3, 1)
    assert [shown[label].opening_stock for label in ("A1", "A2", "A4")] == [True, False, False]
    assert shown["A4"].owner == "A customer"
    assert Fraction(shown["A1"].on_hand_ul) == 5_000
