"""The forecast from the books: what counts as use, as of which day, and the orders."""

from datetime import date, datetime, timedelta
from fractions import Fraction
from types import SimpleNamespace

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.errors import BadInput, NotFound
from stock.forecast import books, looking_back, orders
from stock.forecast.books import _add_sharers, _distance, read, reread
from stock.forecast.facts import ENOUGH_EVENTS, WhatIf
from stock.forecast.looking_back import _on_hand, look_back
from stock.forecast.packs import PackSize
from stock.forecast.planned import AFTER
from stock.forecast.plans import _over
from stock.forecast.plans import listed as planned_uses
from stock.forecast.review import review
from stock.forecast.usual_reducers import ASSUMED_SHARE
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products, suppliers
from stock.shelf.bottles import numbered
from stock.store.connection import connection
from stock.units import instant
from tests.clock import clock_at
from tests.conftest import make_stocked
from tests.forecast.given import ago, every, facts

TODAY = date(2026, 3, 2)


@pytest.fixture(autouse=True)
def _the_day():
    with clock_at("2026-03-02 12:00:00", ticking=True):
        yield


def on(days_ago: int) -> datetime:
    from stock import clock

    return instant(str(TODAY - timedelta(days=days_ago)) + " 10:00", "Europe/Lisbon", clock.now())


def received_earlier() -> None:
    """The stocked shelf of the fixture, but come two hundred days ago."""
    deliveries.receive("Harbour Blue", 60_000, count=3, on=on(200))
    deliveries.receive("Slow Thinner", 120_000, count=2, on=on(200))
    deliveries.receive("Wash Down", 250_000, on=on(200))


@pytest.fixture
def used(stocked):
    """Twelve mixes of 8 ml with 20 %, one every ten days, the last yesterday, with a wash each."""
    return stocked


@pytest.fixture
def template(template, request):
    """Books that were used are made once, too."""
    return ("used", make_used) if "used" in request.fixturenames else template


def make_used(address):
    make_stocked(address)
    with connection():
        received_earlier()
        for number in range(12):
            when = on(1 + 10 * number)
            book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), at=when))
            wash("Wash Down", 15_000, on=when)


def of(reading, name):
    (found,) = [each for each in reading.forecasts() if each.facts.product == name]
    return found


def test_what_was_used_is_known(used):
    reading = read()
    blue, thinner, cleaner = (of(reading, name) for name in ("Harbour Blue", "Slow Thinner", "Wash Down"))
    assert (blue.facts.history.events, blue.usual_ul) == (12, 8_000)
    assert (thinner.facts.history.events, thinner.usual_ul) == (12, 1_600)
    assert (cleaner.facts.history.events, cleaner.usual_ul) == (12, 15_000)
    assert blue.facts.on_hand_ul == 5 * 60_000 - 12 * 8_000
    assert blue.basis == "own"
    assert blue.sprays is not None
    assert blue.sprays[1] == 25
    assert blue.limited_by is None


def test_discards_counts_decants_and_undone_mixes_are_no_use(used):
    before = of(read(), "Harbour Blue").facts.history
    handling.decant("3", 20_000)
    counts.count("1", 50_000)
    handling.discard("5")
    counts.count("2", 40_000, reason="spilled")
    assert of(read(), "Harbour Blue").facts.history.totals_ul.tolist() == before.totals_ul.tolist()
    extra = book_mix(MixRequest(parts=(("Harbour Blue", 20_000),), reduce=Fraction(0)))
    assert of(read(), "Harbour Blue").facts.history.events == 13
    undo("mix", extra["mix"])
    after = of(read(), "Harbour Blue").facts.history
    assert after.totals_ul.tolist() == before.totals_ul.tolist()


def test_as_of_knows_nothing_of_what_came_after(used):
    past = TODAY - timedelta(days=45)
    then = of(read(past), "Harbour Blue")
    assert then.today == past
    assert then.facts.history.events == 7
    assert then.facts.on_hand_ul == 3 * 60_000 - 7 * 8_000
    book_mix(MixRequest(parts=(("Harbour Blue", 30_000),), reduce=Fraction(0)))
    again_then = of(read(past), "Harbour Blue")
    assert (again_then.sprays, again_then.runs_out) == (then.sprays, then.runs_out)


def test_a_mix_just_after_midnight_counts_for_the_studios_day(stocked):
    """23:30 UTC of 30 June is half past midnight of 1 July in Lisbon."""
    with clock_at("2026-07-01 08:00:00"):
        received_earlier()
        from datetime import UTC

        book_mix(
            MixRequest(
                parts=(("Harbour Blue", 8_000),),
                reduce=Fraction(0),
                at=datetime(2026, 6, 30, 23, 30, tzinfo=UTC),
            )
        )
        known = of(read(), "Harbour Blue").facts.history
        assert date.fromordinal(int(known.days[-1])) == date(2026, 7, 1)


def test_a_clock_that_jumped_back_leaves_the_future_out(used):
    with clock_at("2026-02-01 12:00:00"):
        found = of(read(), "Harbour Blue")
        assert found.today == date(2026, 2, 1)
        assert found.facts.history.events == 9
        assert found.runs_out[1] is None or found.runs_out[1] >= 0


def test_a_short_reducer_limits_its_paint(used):
    """10 ml of reducer left, 20 % in each mix: 50 ml of paint, 6 mixes of 8 ml, whatever paint there is."""
    for bottle in ("3", "9"):
        handling.discard(bottle)
    counts.count("8", 10_000)
    blue = of(read(), "Harbour Blue")
    assert blue.facts.usual_reducer is not None
    assert blue.facts.usual_reducer.share == pytest.approx(0.2)
    assert blue.facts.usual_reducer.usable_ul == 10_000
    assert blue.limited_by == "Slow Thinner"
    assert blue.sprays is not None
    assert blue.sprays[1] == 6


def test_the_usual_reducer_on_record_counts_only_until_the_paint_was_mixed(stocked):
    """The blue is mixed without any, the white was never mixed; both name the thinner on record."""
    received_earlier()
    for days in (3, 2, 1):
        book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(0), at=on(days)))
    reading = read()
    assert of(reading, "Harbour Blue").facts.usual_reducer is None
    white = of(reading, "Gull White").facts.usual_reducer
    assert (white.reducer, white.share) == ("Slow Thinner", ASSUMED_SHARE)


def test_one_product_read_again_equals_the_whole_read_anew(used):
    first = read()
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    number = of(first, "Harbour Blue").facts.number
    quick = reread(first, number).forecasts([number])[0]
    whole = of(read(), "Harbour Blue")
    assert quick.facts.history.days.tolist() == whole.facts.history.days.tolist()
    assert quick.facts.bottles == whole.facts.bottles
    assert quick.facts.usual_reducer == whole.facts.usual_reducer
    assert quick.sprays == whole.sprays


def test_an_empty_studio_is_forecast_too(books):
    assert read().forecasts() == []
    products.add({"name": "Harbour Blue", "role": "paint"})
    (found,) = read().forecasts()
    assert (found.basis, found.sprays, found.order_by) == ("none", None, None)


def test_leftover_jars_are_not_forecast(books):
    products.add({"name": "Left of 3", "role": "mixed"})
    assert read().forecasts() == []


def test_planned_use_is_counted_until_it_is_mixed(used):
    """
    planned   100 ml for in ten days, job Boat
    mixed     60 ml for the Boat: 40 ml still planned, the habit is as before
    """
    plain = of(read(), "Harbour Blue")
    orders.plan_use("harbour", 100_000, TODAY + timedelta(days=10), job="Boat")
    planned = of(read(), "Harbour Blue")
    assert planned.facts.planned == ((10, 100_000),)
    assert planned.runs_out[1] < plain.runs_out[1]
    book_mix(MixRequest(parts=(("Harbour Blue", 60_000),), reduce=Fraction(0), job="Boat"))
    mixed = of(read(), "Harbour Blue")
    assert mixed.facts.planned == ((10, 40_000),)
    assert mixed.facts.history.events == plain.facts.history.events
    assert mixed.usual_ul == 8_000
    assert mixed.runs_out[1] == pytest.approx(planned.runs_out[1], abs=4)


def test_a_plan_of_a_job_is_over_with_the_job_and_another_a_while_after_its_day():
    day, needed = TODAY, TODAY + timedelta(days=10)
    for closed_on, over in [(None, False), (day + timedelta(days=1), False), (day, True)]:
        assert _over(needed, "Boat", closed_on, day) is over
    assert not _over(day - timedelta(days=400), "Boat", None, day)
    assert not _over(day - AFTER, None, None, day)
    assert _over(day - AFTER - timedelta(days=1), None, None, day)


def test_a_plan_of_an_open_job_is_listed_as_no_longer_over_than_its_job(used):
    """Long after its day: the job's plan still stands, the plan without a job is over and comes last."""
    orders.plan_use("harbour", 100_000, TODAY + timedelta(days=1))
    orders.plan_use("harbour", 50_000, TODAY + timedelta(days=2), job="Boat")
    later = TODAY + timedelta(days=2) + AFTER + timedelta(days=1)
    assert [(each.job, each.over) for each in planned_uses(later)] == [("Boat", False), (None, True)]


def test_an_undone_plan_is_no_plan(used):
    planned = orders.plan_use("harbour", 100_000, TODAY + timedelta(days=10))
    undo("planned_use", planned["planned_use"])
    assert of(read(), "Harbour Blue").facts.planned == ()


def test_plans_that_make_no_sense_are_refused(used):
    with pytest.raises(BadInput):
        orders.plan_use("harbour", 100_000, TODAY - timedelta(days=1))
    with pytest.raises(BadInput):
        orders.plan_use("harbour", 0, TODAY)
    with pytest.raises(NotFound):
        orders.plan_use("no such thing", 1_000, TODAY)


@pytest.fixture
def ordered(used):
    """Three bottles of blue and one of white, ordered twelve days ago from the Barn."""
    products.change("Harbour Blue", {"supplier": "Paint Barn"})
    products.change("Gull White", {"supplier": "Paint Barn"})
    lines = [
        orders.NewOrderLine("Harbour Blue", 60_000, 3),
        orders.NewOrderLine("Gull White", 60_000, 1, 750),
    ]
    return orders.make(lines, on=on(12), expected_on=TODAY + timedelta(days=2))["order"]


def test_what_is_on_order_is_coming(ordered):
    assert of(read(), "Harbour Blue").facts.coming == ((2, 180_000),)
    assert of(read(TODAY - timedelta(days=20)), "Harbour Blue").facts.coming == ()


def test_a_part_delivery_leaves_the_rest_open_and_teaches_the_lead_time(ordered):
    came = orders.receive(ordered, {"harbour": 2}, lot="A7", place="Cabinet", on=on(3))
    assert len(came["bottles"]) == 2
    assert came["open"] == 2
    blue = of(read(), "Harbour Blue")
    assert blue.facts.coming == ((2, 60_000),)
    assert blue.facts.lead.seen == 1
    assert blue.facts.lead.chances[0] == (9, pytest.approx(0.7))  # 9 days, nothing else was ever said
    white = of(read(), "Gull White")
    assert white.facts.lead.seen == 1
    assert orders.receive(ordered, {"Harbour Blue": 1})["open"] == 1
    ((first, second),) = orders.listed(everything=True)
    assert [(line.packs, line.received, line.cancelled, line.open) for line in (first, second)] == [
        (3, 3, 0, 0), (1, 0, 0, 1),
    ]  # fmt: skip
    rest = orders.receive(ordered)
    assert rest["open"] == 0
    with pytest.raises(BadInput):
        orders.receive(ordered)
    assert orders.listed() == []
    assert len(orders.listed(everything=True)) == 1


def test_what_came_has_the_orders_price(ordered):
    from stock.shelf.bottles import on_shelf

    bottles = orders.receive(ordered)["bottles"]
    prices = {view.id: view.price_minor for view in on_shelf()}
    assert [prices[bottle["id"]] for bottle in bottles] == [790, 790, 790, 750]


def test_each_line_of_an_order_has_what_is_printed_on_its_own_bottles(ordered):
    from stock.shelf.bottles import on_shelf

    first, second = (line.line for lines in orders.listed() for line in lines)
    printed = {first: orders.CameAs("L-1", date(2028, 1, 1)), second: orders.CameAs("L-2")}
    bottles = orders.receive(ordered, {first: 1, second: 1}, printed=printed)["bottles"]
    shown = {view.id: (view.lot, view.best_before) for view in on_shelf()}
    assert [shown[bottle["id"]] for bottle in bottles] == [("L-1", date(2028, 1, 1)), ("L-2", None)]


def test_what_came_can_not_come_once_more_on_an_earlier_day(ordered):
    """It is written down late that all of it came five days ago, when the books have it of three days ago."""
    orders.receive(ordered, on=on(3))
    with pytest.raises(BadInput, match="nothing of order"):
        orders.receive(ordered, on=on(5))
    with pytest.raises(BadInput, match="was made on"):
        orders.cancel(ordered, on=on(13))


def test_cancelled_lines_are_not_waited_for(ordered):
    gone = orders.cancel(ordered, {"Harbour Blue": 3})
    assert gone == {"order": ordered, "cancelled": 3, "open": 1}
    assert of(read(), "Harbour Blue").facts.coming == ()
    with pytest.raises(BadInput):
        orders.receive(ordered, {"Harbour Blue": 1})


def test_an_undone_delivery_is_waited_for_again(ordered):
    came = orders.receive(ordered, {"Harbour Blue": 3})
    assert of(read(), "Harbour Blue").facts.coming == ()
    undo("delivery", came["delivery"])
    assert of(read(), "Harbour Blue").facts.coming == ((2, 180_000),)


def test_an_undone_order_is_none(ordered):
    undo("order", ordered)
    assert of(read(), "Harbour Blue").facts.coming == ()
    with pytest.raises(NotFound):
        orders.receive(ordered)


def test_a_repeat_with_the_same_key_books_once(ordered):
    first = orders.receive(ordered, {"Harbour Blue": 1}, key="k1")
    assert orders.receive(ordered, {"Harbour Blue": 1}, key="k1") == first
    lines = [orders.NewOrderLine("Harbour Blue", 60_000, 1)]
    assert orders.make(lines, key="k2") == orders.make(lines, key="k2")
    assert len(orders.listed()) == 2


@pytest.mark.parametrize(
    "lines",
    [
        [],
        [orders.NewOrderLine("Harbour Blue", 60_000, 0)],
        [orders.NewOrderLine("Harbour Blue", 0, 1)],
        [orders.NewOrderLine("Harbour Blue", 60_000, 1_001)],
        [orders.NewOrderLine("Harbour Blue", 60_000, 1), orders.NewOrderLine("Wash Down", 250_000, 1)],
    ],
)
def test_orders_that_make_no_sense_are_refused(ordered, lines):
    with pytest.raises(BadInput):
        orders.make(lines)
    assert len(orders.listed()) == 1


def test_what_is_no_longer_made_is_not_ordered_and_its_substitute_is_named(used):
    products.change("Harbour Blue", {"discontinued": "2026-02-20"})
    products.add({"name": "Quay Blue", "role": "paint", "line": "Quay", "color": "#2a6f99"})
    deliveries.receive("Quay Blue", 60_000, on=on(0))
    book_mix(MixRequest(parts=(("Quay Blue", 8_000),), reduce=Fraction(0)))
    with pytest.raises(BadInput):
        orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 1)])
    blue = of(read(), "Harbour Blue")
    assert blue.order_by is None
    assert blue.facts.instead == "Quay Blue"


def test_a_suppliers_terms_reach_the_forecast(used):
    products.change("Harbour Blue", {"supplier": "Paint Barn"})
    suppliers.change("Paint Barn", lead_time="21d", order_days="tue", shipping_minor=490)
    blue = of(read(), "Harbour Blue")
    assert blue.facts.order_days == (1,)
    assert blue.facts.terms.shipping_minor == 490
    assert blue.facts.lead.mean > 21
    assert blue.order_by_day is None or blue.order_by_day.weekday() == 1


def test_looking_back_on_the_studio(used):
    found = look_back()
    assert found.review.cases
    assert all(case.day < TODAY - timedelta(days=27) for case in found.review.cases)
    assert {case.product for case in found.review.cases} <= {"Harbour Blue", "Slow Thinner", "Wash Down"}
    assert found.review.inside >= 0.7
    assert found.lines()[0].startswith("Looked back on ")
    assert sum(month.as_json()["products"] for month in found.months) == len(found.review.cases)


def test_what_is_due_is_forecast_as_among_all(used):
    reading = read()
    each = [one._replace(facts=None) for one in reading.forecasts()]
    days = sorted(one.order_by.day for one in each if one.order_by is not None)
    assert days[0] < days[-1]
    for within in (days[0], days[-1] - 1):
        due = [one._replace(facts=None) for one in reading.due(within)]
        assert due == [one for one in each if one.order_by is not None and one.order_by.day <= within]
        assert due


def test_the_past_is_judged_by_the_studios_own_risk_of_running_dry(used, monkeypatch):
    """5 % where nothing else was noted: the same that a forecast of today is made for."""
    targets = []

    def judged(*given, target, **more):
        targets.append(target)
        return review(*given, target=target, **more)

    monkeypatch.setattr(looking_back, "review", judged)
    look_back()
    assert targets == [WhatIf().risk] == [0.05]


def test_what_stood_on_the_shelf_at_the_end_of_a_day_holds_nothing_that_came_on_the_next(stocked):
    came = deliveries.receive("Gull White", 60_000, on=on(9))["bottles"][0]
    white = numbered(str(came["id"])).product_id
    with connection():
        held = [_on_hand(TODAY - timedelta(days=days), None).get(white, 0) for days in (10, 9, 8)]
    assert held == [0, 60_000, 60_000]


def test_looking_back_on_nothing(books):
    assert look_back().lines() == [
        "Nothing to look back on yet: it takes two mixes of a product and 28 days after them."
    ]


def test_looking_back_tells_how_far_it_is_and_can_be_ended(used):
    shares = []
    look_back(progress=shares.append)
    assert shares == sorted(shares)
    assert (shares[0] > 0, shares[-1]) == (True, 1.0)

    class Enough(Exception):
        pass

    def stop(share):
        shares.append(share)
        raise Enough

    shares.clear()
    with pytest.raises(Enough):
        look_back(progress=stop)
    assert len(shares) == 1


def test_a_suppliers_shipping_is_shared_by_its_products_in_use():
    """Two of the barn's are in use; a third is no longer made and a fourth was hardly ever mixed."""
    used, just, rare = every(10, 40), every(10, ENOUGH_EVENTS), every(10, ENOUGH_EVENTS - 1)
    barn = [facts(used), facts(just), facts(used, discontinued_on=TODAY), facts(rare)]
    studio = dict(enumerate([*barn, facts(used, supplier="Quay Shop"), facts(rare, supplier="Harbour Shop")]))
    _add_sharers(studio)
    assert [each.shared_by for each in studio.values()] == [2, 2, 2, 2, 1, 1]


def test_the_sizes_of_a_product_are_those_noted_else_those_that_came_with_their_last_whole_price(stocked):
    """
    the noted size      60 ml for 7.90, whatever came since
    nothing noted       day  9   60 ml for 8.10
                        day  8   60 ml without a price, and 30 ml without
                        day  7   60 ml for 3.00, of which half was left: the price of a part
                        day  6  120 ml, undone
                        day  5  250 ml for 29.00, which is not known two days before
    """
    deliveries.receive("Harbour Blue", 120_000, price_minor=1_400, on=on(9))
    deliveries.receive("Gull White", 60_000, price_minor=810, on=on(9))
    deliveries.receive("Gull White", 60_000, on=on(8))
    deliveries.receive("Gull White", 30_000, on=on(8))
    deliveries.receive("Gull White", 60_000, price_minor=300, left_ul=30_000, on=on(7))
    undone = deliveries.receive("Gull White", 120_000, price_minor=1_500, on=on(6))
    undo("delivery", undone["delivery"])
    deliveries.receive("Gull White", 250_000, price_minor=2_900, on=on(5))
    came = [PackSize(30_000, None), PackSize(60_000, 810)]
    now, before = read(), read(TODAY - timedelta(days=7))
    assert list(of(now, "Harbour Blue").facts.packs) == [PackSize(60_000, 790)]
    assert list(of(before, "Gull White").facts.packs) == came
    assert list(of(now, "Gull White").facts.packs) == [*came, PackSize(250_000, 2_900)]


def test_what_only_came_was_never_used(stocked):
    deliveries.receive("Gull White", 60_000, on=on(9))
    assert of(read(), "Gull White").facts.history.events == 0


def test_the_distance_of_two_colours():
    """Black and white are sqrt(3) x 255 apart; a colour that one of them lacks stands for a far one."""
    assert _distance("#000000", "#ffffff") == pytest.approx(3**0.5 * 255)
    assert _distance("#2a6f97", "#2a6f9b") == _distance("#2a6b97", "#2a6f97") == 4
    assert _distance("#3a6f97", "#4a6f97") == 16
    assert _distance(None, None) == 0
    assert _distance("#2a6f97", None) == _distance(None, "#2a6f97") == 120


def test_what_a_count_says_was_used_and_not_logged_is_use(used):
    counts.count("1", 41_000, reason="not_logged")
    known = of(read(), "Harbour Blue").facts.history
    assert (known.events, date.fromordinal(int(known.days[-1]))) == (13, TODAY)


def test_what_is_on_order_comes_on_its_expected_day_and_today_where_that_is_past_or_unknown(monkeypatch):
    lines = [
        SimpleNamespace(product_id=1, size_ul=60_000, open=packs, expected_on=expected_on)
        for packs, expected_on in ((2, ago(-5)), (1, ago(0)), (3, ago(4)), (1, None), (0, ago(-9)))
    ]
    monkeypatch.setattr(books.orderbook, "order_lines", lambda *_: lines)
    assert books._coming(TODAY, None) == {1: [(5, 120_000), (0, 60_000), (0, 180_000), (0, 60_000)]}
