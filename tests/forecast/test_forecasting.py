"""Whole forecasts from facts, and the answer to every bad input."""

from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest

from stock.forecast import forecasting
from stock.forecast.baskets import Terms
from stock.forecast.facts import NONE, OWN, POOLED, FanDay, UsualReducer, WhatIf
from stock.forecast.forecasting import _late, _usable, _within_life, baskets_of, fan, forecasts
from stock.forecast.ordering import lead_time
from stock.forecast.packs import Need, PackSize
from stock.forecast.priors import learn_priors
from stock.forecast.runout import HORIZON
from stock.forecast.usable import StockBottle
from stock.forecast.use_history import from_arrays, history_of
from tests.forecast.given import DAY, TODAY, ago, at_random, every, facts, studio


def one(product_facts, *others, **what_if):
    return forecasts(studio(product_facts.history, *others), [product_facts], WhatIf(**what_if))[0]


def test_an_ordinary_paint():
    """8 ml every 10 days, 60 ml in one sealed bottle: 7 mixes, about 70 days."""
    found = one(facts(every(10, 40)))
    assert found.basis == OWN
    assert found.usual_ul == 8_000
    assert found.sprays is not None
    assert found.sprays[1] == 7
    first, middle, last = found.runs_out
    assert first is not None
    assert middle is not None
    assert first < middle
    assert 50 < middle < 95
    assert last is None or last > middle
    assert found.order_by is not None
    assert 0 < found.order_by.day < middle
    assert not found.order_by.late
    assert found.order is not None
    assert found.order.pack == PackSize(60_000, 790)


def test_the_reducer_limits_and_is_named():
    """60 ml of paint, 20 % in each mix, 5 ml of reducer left: 25 ml of paint can be thinned, 3 mixes."""
    cut = UsualReducer("Slow Thinner", 0.2, 5_000)
    found = one(facts(every(10, 40), usual_reducer=cut))
    assert found.limited_by == "Slow Thinner"
    assert "The reducer limits it: Slow Thinner runs out first" in found.remarks
    assert found.sprays is not None
    assert found.sprays[1] == 3
    assert one(facts(every(10, 40), usual_reducer=cut._replace(usable_ul=500_000))).limited_by is None


def test_what_if_answers_move_the_right_way():
    product_facts = facts(every(10, 40))
    plain = one(product_facts)
    more = one(product_facts, more_use=1.5)
    later = one(product_facts, later_days=14)
    sure = one(product_facts, risk=0.01)
    bottle = one(product_facts, more_bottles=1)
    assert more.runs_out[1] < plain.runs_out[1] < bottle.runs_out[1]
    assert later.order_by.day <= plain.order_by.day - 10
    assert sure.order_by.day <= plain.order_by.day
    assert bottle.usable_ul == plain.usable_ul + 60_000


def test_a_further_bottle_would_be_sealed_and_of_the_smallest_size_sold_else_as_large_as_the_largest_held():
    """1 ml a day: 60 ml, then twice 30 ml, each opened for its first day and 20 more, so that 9 ml go bad."""
    sizes = (PackSize(0, 1), PackSize(90_000, 900), PackSize(30_000, 600))
    paint = facts(every(10, 40), packs=sizes, opened_days=20)
    held = _usable(paint, 1_000.0, WhatIf(more_bottles=2))
    assert held.now_ul == 120_000
    assert held.losses == ((60 + 21, 9_000), (60 + 21 + 21, 9_000))
    assert _usable(paint._replace(packs=()), 1_000.0, WhatIf(more_bottles=1)).now_ul == 120_000


def test_planned_use_is_counted_beside_the_habit():
    plain = one(facts(every(10, 40)))
    planned = one(facts(every(10, 40), planned=((20, 40_000),)))
    assert planned.runs_out[1] < plain.runs_out[1]
    assert planned.order_by.day < plain.order_by.day


def test_what_is_planned_of_a_product_never_used_is_ordered_for():
    product_facts = facts(history_of([], TODAY, since=ago(30)), planned=((20, 400_000),))
    found = one(product_facts)
    assert found.order_by is not None
    assert found.order is not None
    assert found.order.pack.size_ul * found.order.count >= 400_000 - 60_000


def test_an_order_for_plans_alone_lasts_as_long_as_the_plans_are_spread_over():
    """Nothing was ever mixed: 365 ml planned are half a millilitre a day over the forecast's 730 days."""
    planned_ul = HORIZON * 500
    product_facts = facts(history_of([], TODAY), planned=((20, planned_ul),))
    (found,) = forecasts(learn_priors([], DAY), [product_facts])
    assert found.order is not None
    assert found.order.serves_days == pytest.approx(found.order.pack.size_ul * found.order.count / 500)


def test_never_mixed():
    found = one(facts(history_of([], TODAY, since=ago(30))))
    assert found.basis == POOLED
    assert found.order_by is None
    assert found.sprays is not None
    assert "never mixed" in found.remarks[0]


def test_an_empty_studio_gives_no_numbers():
    product_facts = facts(history_of([], TODAY))
    found = forecasts(learn_priors([], DAY), [product_facts])[0]
    assert found.basis == NONE
    assert (found.sprays, found.usual_ul, found.order_by, found.order) == (None, None, None, None)
    assert found.runs_out == (None, None, None)
    assert found.remarks[0] == "Not enough history: the studio has not mixed anything yet"
    assert forecasts(learn_priors([], DAY), []) == []
    bare = forecasts(learn_priors([], DAY), [product_facts._replace(on_hand_ul=0, bottles=())])[0]
    assert bare.runs_out == (0, 0, 0)


@pytest.mark.parametrize("events", [1, 2])
def test_one_or_two_mixes_lean_on_the_studio_and_say_so(events):
    found = one(facts(every(9, events)))
    assert found.basis == POOLED
    assert "mostly from your other products" in found.remarks[0]
    assert found.sprays is not None


def test_a_busy_product_with_thousands_of_mixes():
    days = np.sort(np.repeat(np.arange(DAY - 999, DAY + 1), 2)).astype(np.int64)
    own = from_arrays(days, np.full(2_000, 4_000.0))
    found = one(facts(own, on_hand_ul=80_000, bottles=(StockBottle(80_000, True, None, None),)))
    assert found.facts.history.events == 1_000
    assert found.sprays is not None
    assert found.sprays[1] == 20
    assert found.runs_out[1] == pytest.approx(13, abs=4)


def test_a_stock_of_zero():
    found = one(facts(every(10, 40), on_hand_ul=0, bottles=()))
    assert found.sprays == (0, 0, 0)
    assert found.runs_out == (0, 0, 0)
    assert found.order_by is not None
    assert found.order_by.late
    assert found.order_by.day == 0
    assert found.order is not None


def test_a_lead_time_of_zero_and_of_400_days():
    quick = one(facts(every(10, 40), lead=lead_time(0)))
    slow = one(facts(every(10, 40), lead=lead_time(400)))
    assert quick.order_by.day > one(facts(every(10, 40))).order_by.day
    assert slow.order_by.late
    assert slow.order.pack.size_ul * slow.order.count > 200_000


def test_a_pack_of_nothing_and_a_price_missing():
    nothing = one(facts(every(10, 40), packs=(PackSize(0, 100),)))
    assert nothing.order_by is not None
    assert nothing.order is None
    assert any("The pack sizes are unknown" in remark for remark in nothing.remarks)
    unpriced = one(facts(every(10, 40), packs=(PackSize(60_000, None),)))
    assert unpriced.order.cost_minor is None
    assert any("price of that size is unknown" in remark for remark in unpriced.remarks)


def test_all_events_on_one_day():
    own = history_of([(ago(5), 8_000)] * 30, TODAY)
    found = one(facts(own))
    assert found.facts.history.events == 1
    assert found.basis == POOLED
    assert found.usual_ul == 8_000


def test_an_event_in_the_future_changes_nothing():
    """Also what a clock that jumped back looks like."""
    known = [(ago(days), 8_000) for days in range(0, 200, 10)]
    ahead = [(TODAY + timedelta(days=days), 90_000) for days in (1, 40)]
    assert (
        one(facts(history_of(known, TODAY))).runs_out == one(facts(history_of(known + ahead, TODAY))).runs_out
    )


def test_no_longer_used():
    found = one(facts(every(7, 30, last=150), worth_minor=790))
    assert found.order_by is None
    assert found.dying is not None
    assert (
        "Dying stock: not used since 3 October 2025, for 150 days; 60 ml worth 7.90 EUR left" in found.remarks
    )
    assert any("no longer used" in remark for remark in found.remarks)


def test_discontinued():
    gone = one(facts(every(10, 40), discontinued_on=ago(3), instead="Quay Blue"))
    assert gone.order_by is None
    assert "Used in its place: Quay Blue" in gone.remarks
    going = one(facts(every(10, 40), discontinued_on=TODAY + timedelta(days=4)))
    assert going.order_by.day == 4
    assert any("last day to order" in remark for remark in going.remarks)


def test_a_bottle_past_its_day_is_on_hand_and_not_usable():
    product_facts = facts(every(10, 40), on_hand_ul=120_000)
    assert one(product_facts).usable_ul == 60_000


def test_never_more_than_is_used_within_the_opened_life():
    """4 ml every 40 days is about 36 ml in a year: not the 480 ml bottle, though it costs less."""
    product_facts = facts(
        every(40, 12, 4_000), packs=(PackSize(30_000, 600), PackSize(480_000, 590)), opened_days=365,
        on_hand_ul=8_000, bottles=(StockBottle(8_000, True, None, 365),),
    )  # fmt: skip
    assert one(product_facts).order.pack.size_ul == 30_000
    assert one(product_facts, any_size=True).order.pack.size_ul == 480_000


def test_a_bottle_that_is_used_up_three_times_over_within_its_opened_life_never_goes_bad():
    """About 0.8 ml a day: in a year four and a half bottles of 60 ml, in 180 days fewer than three."""
    year, half = (one(facts(every(10, 40), opened_days=days)) for days in (365, 180))
    assert year.order.wasted_ul == 0
    assert half.order.wasted_ul > 0


def test_the_same_question_gets_the_same_answer_alone_and_among_others():
    products = [
        facts(at_random(seed, 0.03 * (1 + seed)), number=seed, product=f"P{seed}") for seed in range(12)
    ]
    priors = studio(*(each.history for each in products))
    together = forecasts(priors, products)
    for row, each in enumerate(products):
        alone = forecasts(priors, [each])[0]
        other = together[row]
        assert (alone.sprays, alone.runs_out, alone.order_by_day) == (
            other.sprays,
            other.runs_out,
            other.order_by_day,
        )
        assert (alone.order and (alone.order.pack, alone.order.count)) == (
            other.order and (other.order.pack, other.order.count)
        )


def test_what_is_on_order_moves_the_order_day_and_not_the_run_out_day():
    plain = one(facts(every(10, 40)))
    coming = one(facts(every(10, 40), coming=((5, 60_000),)))
    assert coming.runs_out == plain.runs_out
    assert coming.order_by.day > plain.order_by.day + 30


def test_one_basket_a_supplier():
    priors = studio(every(10, 40))
    due = facts(
        every(10, 40), on_hand_ul=8_000, bottles=(StockBottle(8_000, True, None, None),), terms=Terms(490)
    )
    soon = due._replace(number=2, product="Gull White", bottles=(StockBottle(30_000, True, None, None),))
    other = due._replace(number=3, product="Wash Down", supplier=None, terms=None)
    found = baskets_of(forecasts(priors, [due, soon, other]))
    assert [each.supplier for each in found] == ["", "Paint Barn"]
    assert [line.product for line in found[1].must] == ["Harbour Blue"]
    assert [line.product for line in found[1].along] == ["Gull White"]


def test_the_fan():
    product_facts = facts(every(10, 40), planned=((20, 20_000),))
    picture = fan(studio(product_facts.history), product_facts, 112)
    assert picture[0].middle_ul == 60_000
    assert [each.day for each in picture] == sorted({*range(0, 113, 7), 20})
    for before, after in pairwise(picture):
        assert after.low_ul <= after.middle_ul <= after.high_ul
        assert after.middle_ul <= before.middle_ul + 1
    assert picture[-1].low_ul == 0


def test_an_order_for_what_is_used_up_says_what_its_chance_means():
    slow = facts(every(60, 10), on_hand_ul=0, bottles=(), lead=lead_time(7))
    [remark] = [each for each in one(slow).remarks if each.startswith("Order now")]
    assert remark.startswith("Order now: nothing usable is left, and ")
    assert remark.endswith(" is the chance that it is needed before a delivery")
    full = one(facts(every(10, 40), on_hand_ul=8_000, bottles=(StockBottle(8_000, True, None, None),)))
    assert any("chance of running dry before a delivery" in each for each in full.remarks)


def test_a_change_is_said_as_a_sentence():
    """Every five days for a year, then every day for two months: a capital letter and no more of them."""
    days = np.r_[np.arange(DAY - 400, DAY - 60, 5), np.arange(DAY - 60, DAY + 1)].astype(np.int64)
    found = one(facts(from_arrays(days, np.full(len(days), 2_000.0))))
    assert found.change is not None
    words = found.change.words(found.today)
    assert f"M{words[1:]}" in found.remarks


def test_where_nothing_is_known_the_picture_is_the_stock_less_the_plans():
    """No mix anywhere: a plan takes its share on its day, the last day's too, and what is left is never below none."""
    product_facts = facts(history_of([], TODAY), planned=((10, 50_000), (20, 40_000)))
    picture = fan(learn_priors([], DAY), product_facts, 20)
    levels = {0: 60_000, 7: 60_000, 10: 10_000, 14: 10_000, 20: 0}
    assert picture == [FanDay(day, ul, ul, ul) for day, ul in levels.items()]


@pytest.mark.parametrize(("days", "apart"), [(20, 7), (363, 7), (364, 14), (730, 28), (900, 28)])
def test_a_long_picture_has_its_weeks_further_apart(days, apart):
    own = every(10, 40)
    picture = fan(studio(own), facts(own), days)
    assert [each.day for each in picture] == [*range(0, min(days, HORIZON) + 1, apart)]


def needed(monkeypatch, product_facts, **what_if):
    """What an order of it is for: the question that is put to the choice of packs."""
    asked = []
    monkeypatch.setattr(forecasting.packs, "choose", lambda sizes, need, **_: asked.append(need))
    one(product_facts, **what_if)
    return asked[0]


def test_an_orders_share_of_the_shipping_is_that_of_five_products_at_most(monkeypatch):
    used = facts(every(10, 40), terms=Terms(500))
    for shared_by, share in ((0, 500), (1, 500), (2, 250), (5, 100), (9, 100)):
        assert needed(monkeypatch, used._replace(shared_by=shared_by)).shipping_minor == share
    assert needed(monkeypatch, used._replace(terms=Terms(None))).shipping_minor == 0
    assert needed(monkeypatch, used._replace(terms=None)).shipping_minor == 0


def test_running_dry_costs_another_shipment_or_the_cheapest_pack(monkeypatch):
    sizes = (PackSize(30_000, 600), PackSize(60_000, 790), PackSize(90_000, None))
    used = facts(every(10, 40), packs=sizes)
    assert needed(monkeypatch, used._replace(terms=Terms(500))).dry_minor == 500
    assert needed(monkeypatch, used).dry_minor == 600
    assert needed(monkeypatch, used._replace(packs=sizes[2:])).dry_minor == 0
    late = needed(monkeypatch, used._replace(on_hand_ul=0, bottles=()))
    assert late.dry_risk == 0.05  # the target is what an order keeps to, however late it is


def test_of_what_was_hardly_mixed_one_usual_mix_is_ordered_and_nothing_for_stock(monkeypatch):
    rare = facts(every(9, 2), on_hand_ul=0, bottles=(), terms=Terms(500))
    asked = needed(monkeypatch, rare)
    assert (asked.least_ul, asked.shipping_minor, asked.dry_minor) == (8_000, 0, 0)
    planned = needed(monkeypatch, rare._replace(planned=((3, 90_000),)))
    assert planned.least_ul > 90_000
    assert planned.shipping_minor == planned.dry_minor == 500


def test_an_order_is_for_what_is_missing_until_the_next_delivery_comes(monkeypatch):
    """Another 337 days need another 337 days' use."""
    used = facts(every(10, 40))
    month, year = (needed(monkeypatch, used, cover_days=days) for days in (28, 365))
    assert year.least_ul - month.least_ul == pytest.approx((365 - 28) * month.daily_ul, rel=0.2)


def test_a_bottles_opened_life_matters_until_three_of_the_largest_are_used_up_in_it():
    """500 microlitres a day: in 360 days three bottles of 60 ml exactly, in 361 more."""
    own = every(10, 40)
    outlook = studio(own).outlook([own])
    asked = Need(1.0, 500.0, float)
    product_facts = facts(
        own, packs=(PackSize(30_000, 600), PackSize(60_000, 790)), planned=((5, 900), (400, 9_000))
    )
    within = _within_life(asked, product_facts._replace(opened_days=360), outlook, 0)
    assert within.largest_ul == pytest.approx(900 + outlook.total(0, 360, fine=3).quantiles((0.5,))[0])
    assert within.used_opened(60_000) == outlook.total(0, 360, fine=3).expected_up_to(60_000)
    for unknown in (product_facts._replace(opened_days=361), product_facts._replace(opened_days=None)):
        assert _within_life(asked, unknown, outlook, 0) == asked


def test_what_is_said_of_an_order():
    """Late with nothing left or with a drop; a lead time that is assumed; a bottle too big for its opened life."""
    assert "nothing usable is left" in _late(0, 0.3)
    assert _late(1, 0.3) == "Order now: 30% chance of running dry before a delivery"
    big = facts(every(40, 12, 400), packs=(PackSize(480_000, 590),), opened_days=90, on_hand_ul=400,
                bottles=(StockBottle(400, True, None, 90),), lead=lead_time(None))  # fmt: skip
    too_big = "Even the smallest bottle holds more than is used within its opened life"
    assumed = "The lead time is unknown: 7 days are assumed"
    assert {too_big, assumed} <= set(one(big).remarks)
    for other in (facts(every(10, 40)), facts(history_of([], TODAY, since=ago(1_000)))):
        assert not any("no longer used" in remark for remark in one(other).remarks)
    assert not {too_big, assumed} & set(one(facts(every(10, 40))).remarks)
