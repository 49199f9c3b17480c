"""The worth of the stock, read from the books: by day, by place, and what a later correction does to it."""

from collections import defaultdict
from datetime import date, datetime, timedelta

import pytest

from stock import clock
from stock.bench import closing, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput
from stock.logbook import purchases, stock_value, value_tables
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import bottle_facts, counts, deliveries, handling, products
from stock.store.models import Bottle, Count, Product
from tests.clock import clock_at


def figures(value):
    return {
        name: (one.opening, one.purchased, one.used, one.written_off, one.closing)
        for name, one in value.products
    }


def test_what_was_bought_used_thrown_away_and_is_left(stocked):
    """
    Harbour Blue: two of 60 ml at 7.90; 8 ml of a mix (1.05), 6 ml missing (0.79), one bottle thrown away (7.90).
    Wash Down: 250 ml at 9.50, 15 ml used (0.57). The reducer and its other paint have no price.
    """
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))
    counts.count("1", 46_000)
    handling.discard("2", reason="skinned over")
    washing.wash("Wash Down", 15_000)
    for method in ("fifo", "average"):
        value = stock_value.read(method=method)
        assert figures(value)["Harbour Blue"] == (0, 1_580, 105, 869, 606)
        assert figures(value)["Wash Down"] == (0, 950, 57, 0, 893)
        assert figures(value)["Slow Thinner"] == (0, 0, 0, 0, 0)
        assert sorted(one[1:] for one in value.write_offs) == [
            ("Harbour Blue", "B0001", "", 6_000, 79), ("Harbour Blue", "B0002", "skinned over", 60_000, 790),
        ]  # fmt: skip
        assert value.unpriced == [("Slow Thinner B0003", 120_000)]
        assert {one.name: one.closing for one in value.places} == {"Cabinet": 606, "no place": 893}
        assert sum(one.closing_ul for one in value.places) == sum(
            volume for (volume,) in Bottle.select(Bottle.on_hand_ul).tuples()
        )


def test_oldest_price_first_and_the_average_of_both(stocked):
    deliveries.receive("Harbour Blue", 60_000, price_minor=1_390, place="Cabinet")
    counts.count("1", 0)
    counts.count("2", 0)
    book_mix(MixRequest(parts=(("Harbour Blue", 30_000),)))
    fifo, average = (figures(stock_value.read(method=one))["Harbour Blue"] for one in ("fifo", "average"))
    assert fifo == (0, 2_970, 695, 1_580, 695)
    assert average == (0, 2_970, 495, 1_980, 495)


def test_a_month_as_it_stood_and_its_correction_in_the_next(stocked):
    with clock_at("2030-01-10 09:00"):
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 60_000),)))["mix"]
    january = {"since": date(2030, 1, 1), "until": date(2030, 1, 31)}
    with clock_at("2030-01-31 12:00"):
        before = figures(stock_value.read(**january))
        assert before["Harbour Blue"] == (1_580, 0, 790, 0, 790)
    with clock_at("2030-02-03 09:00"):
        undo("mix", mix)
        assert figures(stock_value.read(**january)) == before
        february = figures(stock_value.read(since=date(2030, 2, 1)))
        assert february["Harbour Blue"] == (790, 0, -790, 0, 1_580)


def test_the_first_day_of_a_period_and_the_day_before_are_on_either_side(stocked):
    """9 Jan: 60 ml used; 10 Jan: 30 ml used. The period from 10 Jan opens with what the 9th left."""
    for day, volume_ul in (("2030-01-09", 60_000), ("2030-01-10", 30_000)):
        with clock_at(f"{day} 09:00"):
            book_mix(MixRequest(parts=(("Harbour Blue", volume_ul),)))
    with clock_at("2030-01-12 09:00"):
        for day, opening, used in ((9, 1_580, 1_185), (10, 790, 395), (11, 395, 0)):
            found = figures(stock_value.read(since=date(2030, 1, day)))["Harbour Blue"]
            assert found == (opening, 0, used, 0, 395)


def test_what_a_count_found_missing_says_why(stocked):
    for held_ul, reason in ((50_000, "spilled"), (44_000, "not_logged")):
        Count.update(reason=reason).where(Count.id == counts.count("1", held_ul)["count"]).execute()
    value = stock_value.read()
    assert figures(value)["Harbour Blue"] == (0, 1_580, 79, 132, 1_369)
    assert [one[2:] for one in value.write_offs] == [("B0001", "spilled", 10_000, 132)]


def test_a_write_off_that_is_undone_later_is_taken_back_then(stocked):
    with clock_at("2030-01-10 09:00"):
        thrown = handling.discard("2")["discard"]
    with clock_at("2030-02-03 09:00"):
        undo("discard", thrown)
        assert [one.value for one in stock_value.read(until=date(2030, 1, 31)).write_offs] == [790]
        assert [one.value for one in stock_value.read(since=date(2030, 2, 1)).write_offs] == [-790]
        assert stock_value.read().write_offs == []


def test_opening_stock_is_no_purchase_and_a_customer_s_bottle_is_no_stock(stocked):
    with clock_at("2030-01-10 09:00"):
        deliveries.receive("Harbour Blue", 60_000, price_minor=600, opening_stock=True)
        deliveries.receive("Harbour Blue", 60_000, price_minor=600, owner="Ada")
        january = stock_value.read(since=date(2030, 1, 1))
        assert figures(january)["Harbour Blue"] == (2_180, 0, 0, 0, 2_180)
        assert purchases.read(since=date(2030, 1, 1)).deliveries == []
        assert sum(one.closing for one in january.places) == 2_180 + 950


def test_a_part_used_purchase_is_worth_what_was_paid_for_it(stocked):
    """And one without a price of its own what its record says, for what was in it; both reports agree."""
    day = clock.today("UTC")
    products.change("Harbour Blue", {"price": "60ml=8"})
    before = figures(stock_value.read())["Harbour Blue"]
    for price_minor, left_ul in ((500, 30_000), (None, 15_000), (900, None), (100, 0)):
        deliveries.receive("Harbour Blue", 60_000, left_ul=left_ul, price_minor=price_minor)
    deliveries.receive("Harbour Blue", 60_000, left_ul=30_000, price_minor=500, opening_stock=True)
    after = figures(stock_value.read())["Harbour Blue"]
    assert after[1] - before[1] == 500 + 200 + 900 + 0
    assert after[0] - before[0] == 250  # opening stock is no purchase: its price is its size's
    opening, bought, used, lost, closing = after
    assert opening + bought - used - lost == closing
    listed = purchases.read(since=day).deliveries[-4:]
    assert [one.worth for one in listed] == [500, 200, 900, 0]


def test_a_jar_is_worth_what_went_into_it(stocked):
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 6_000),)))["mix"]
    closing.close(mix, closing.Ending("good", left_ul=3_000, keep=True))
    found = figures(stock_value.read())
    jar = next(name for name in found if name.startswith("Left of"))
    assert found[jar] == (0, 0, -40, 0, 40)
    assert found["Harbour Blue"] == (0, 1_580, 79, 0, 1_501)
    handling.decant("1", 5_000, size_ul=30_000)
    assert figures(stock_value.read())["Harbour Blue"] == (0, 1_580, 79, 0, 1_501)
    assert not any("Harbour Blue" in name for name, _ in stock_value.read().unpriced)


def test_the_report_adds_up_as_it_is_shown(stocked):
    book_mix(MixRequest(parts=(("Harbour Blue", 7_777), ("Slow Thinner", 333))))
    report = value_tables.value_report(stock_value.read())
    money = report.tables[0]
    for row in (*money.rows, money.totals):
        opening, bought, used, lost, left = (round(float(cell) * 100) for cell in row[1:])
        assert opening + bought - used - lost == left
    assert [round(sum(float(row[at]) for row in money.rows), 2) for at in range(1, 6)] == [
        float(cell) for cell in money.totals[1:]
    ]
    assert report.tables[2].totals[-1] == money.totals[-1]
    assert "Slow Thinner B0003 (119.667 ml)" in report.notes[1]
    answer = value_tables.value_json(stock_value.read())
    assert answer["total"]["closing"] == float(money.totals[-1])
    assert {each["product"] for each in answer["products"]} == {
        name for (name,) in Product.select(Product.name).join(Bottle).tuples()
    }


def test_what_is_decanted_between_two_owners_leaves_one_and_comes_to_the_other(stocked):
    """What came in bottle 1 is its owner's, and what somebody else gave costs the studio nothing."""
    fresh = handling.decant("1", 15_000)["into"]
    own = handling.decant("1", 5_000)["into"]
    bottle_facts.note_owner("1", "Ann")
    bottle_facts.note_owner(str(own), "Ann")
    for method in ("fifo", "average"):
        value = stock_value.read(method=method)
        assert figures(value)["Harbour Blue"] == (0, 790, 0, 0, 790)
        stands = defaultdict(int)
        for bottle in Bottle.select():
            stands[bottle.owner] += bottle.on_hand_ul
        assert {one[0]: one[1] for one in value.owners} == stands
        assert sum(one[1] for one in value.places) == stands[""]
    assert prove().problems == []
    handling.decant(str(fresh), 2_000, into="1")
    assert figures(stock_value.read())["Harbour Blue"] == (0, 790, 26, 0, 764)  # the oldest first
    assert prove().problems == []


def test_what_another_bench_poured_in_the_moment_of_a_receipt_comes_after_it():
    """On a server an errand that began first may pour from a bottle that another bench received since."""
    begun, received = datetime(2026, 3, 1, 12, 0, 0), datetime(2026, 3, 1, 12, 0, 1)
    late = datetime(2026, 2, 1)
    moves = [
        stock_value.BookedMove(number, bottle, 1, "poured", -5, None, None, None, False, "", at)
        for number, bottle, at in [
            (9, 1, late),
            (6, 2, begun),
            (1, 1, begun),
            (5, 2, received),
            (7, 2, received),
        ]
    ]
    assert [move.number for move in stock_value.after_receipts(moves)] == [1, 9, 5, 6, 7]


def test_what_can_not_be_valued(stocked):
    with pytest.raises(BadInput, match="Write fifo or average"):
        stock_value.read(method="lifo")
    today = clock.now().date()
    with pytest.raises(BadInput, match="has no day"):
        stock_value.read(since=today, until=today - timedelta(days=1))
    empty = stock_value.read(until=date(2001, 1, 1))
    assert (empty.products, empty.places) == ([], [])
    assert value_tables.value_report(empty).notes == [value_tables.RULE]


def test_each_month_opens_with_what_the_day_before_left(stocked):
    """31 Jan: 60 ml used; 1 Feb: 30 ml used; a period by months that begins with February."""
    for day, volume_ul in (("2030-01-31", 60_000), ("2030-02-01", 30_000)):
        with clock_at(f"{day} 09:00"):
            book_mix(MixRequest(parts=(("Harbour Blue", volume_ul),)))
    with clock_at("2030-03-12 09:00"):
        found = stock_value.monthly(since=date(2030, 2, 1))
        assert [figures(each)["Harbour Blue"] for each in found] == [
            (790, 0, 395, 0, 395),
            (395, 0, 0, 0, 395),
        ]
        assert [(each.since, each.until) for each in found] == [
            (date(2030, 2, 1), date(2030, 2, 28)), (date(2030, 3, 1), date(2030, 3, 12)),
        ]  # fmt: skip
