"""What is ordered together."""

from dataclasses import replace

from stock.forecast.baskets import BasketLine, Terms, basket

DUE = BasketLine("Harbour Blue", 60_000, 2, 1_580, 0)
SOON = BasketLine("Gull White", 60_000, 1, 750, 9)
LATE = BasketLine("Slow Thinner", 120_000, 1, 650, 25)
FAR = BasketLine("Wash Down", 250_000, 1, 950, 90)


def test_what_must_go_now_and_what_rides_along():
    found = basket("Paint Barn", [FAR, SOON, DUE, LATE], Terms(490))
    assert found is not None
    assert found.day == 0
    assert found.must == (DUE,)
    assert found.along == (SOON, LATE)
    assert found.goods_minor == 2_980
    assert found.shipping_minor == 490
    assert 900 < found.saved_minor < 980


def test_without_shipping_nothing_has_to_ride_along():
    for terms in (Terms(), Terms(0)):
        found = basket("Paint Barn", [DUE, SOON], terms)
        assert found is not None
        assert found.along == ()
        assert (found.saved_minor, found.shipping_minor) == (0, 0)


def test_what_rides_along_saves_a_shipment_less_the_capital_that_is_tied_up_earlier():
    """7.50 nine days early at a quarter a year are 4.6 hundredths: 4.90 less 0.05."""
    found = basket("Paint Barn", [DUE, SOON], Terms(490))
    assert found is not None
    assert found.saved_minor == 485
    later = basket("Paint Barn", [replace(DUE, day=5), replace(SOON, day=14)], Terms(490))
    assert later is not None
    assert (later.day, later.saved_minor) == (5, 485)


def test_what_would_take_of_the_saving_again_does_not_ride_along():
    """600.00 twenty days early cost 8.21, and a shipment of its own 4.90."""
    dear = BasketLine("Gold Leaf", 60_000, 1, 60_000, 20)
    found = basket("Paint Barn", [DUE, SOON, dear], Terms(490))
    assert found is not None
    assert (found.along, found.saved_minor) == ((SOON,), 485)


def test_goods_of_just_the_threshold_are_sent_free():
    for free_from, shipping in ((1_580, 0), (1_581, 490)):
        found = basket("Paint Barn", [DUE], Terms(490, free_from))
        assert found is not None
        assert found.shipping_minor == shipping


def test_carrying_what_is_dear_early_may_cost_more_than_a_shipment():
    dear = BasketLine("Gold Leaf", 60_000, 9, 900_000, 28)
    found = basket("Paint Barn", [DUE, dear], Terms(490))
    assert found is not None
    assert (found.along, found.saved_minor) == ((), 0)


def test_lines_of_one_later_day_share_a_shipment():
    """Two dear lines due on the same day save one shipment between them, not two."""
    one = BasketLine("A", 60_000, 1, 20_000, 20)
    both = [one, BasketLine("B", 60_000, 1, 20_000, 20)]
    alone = basket("Paint Barn", [DUE, one], Terms(490))
    found = basket("Paint Barn", [DUE, *both], Terms(490))
    assert alone is not None
    assert found is not None
    assert alone.along == (one,)
    assert found.along == ()


def test_the_threshold_is_worth_reaching():
    """Goods of 15.80 and 7.50: shipping is free from 20.00."""
    found = basket("Paint Barn", [DUE, SOON], Terms(490, 2_000))
    assert found is not None
    assert found.along == (SOON,)
    assert found.shipping_minor == 0
    assert found.missing_minor is None
    assert found.saved_minor == 975  # its own shipment and this one, less 0.05
    short = basket("Paint Barn", [DUE], Terms(490, 2_000))
    assert short is not None
    assert short.missing_minor == 420
    assert short.shipping_minor == 490


def test_a_price_missing_is_counted():
    found = basket("", [BasketLine("X", 60_000, 1, None, 3)], Terms())
    assert found is not None
    assert (found.goods_minor, found.unpriced, found.day) == (0, 1, 3)


def test_nothing_to_order_is_no_basket():
    assert basket("Paint Barn", [], Terms(490)) is None


def test_up_to_four_weeks_ahead_rides_along_and_the_first_best_choice_counts():
    """Due on day 28 rides along, on day 29 not; a free shipment already reached brings nothing more."""
    month, after = (BasketLine(f"{day}", 60_000, 1, 100, day) for day in (28, 29))
    found = basket("Paint Barn", [DUE, month, after], Terms(490))
    assert found is not None
    assert found.along == (month,)
    reached = basket("Paint Barn", [DUE, SOON], Terms(490, 1_580))
    assert reached is not None
    assert (reached.shipping_minor, reached.missing_minor) == (0, None)
    assert reached.saved_minor == 485  # the shipment of its own that it doesn't need
    own = basket("Paint Barn", [DUE], Terms(490, 1_581))
    assert own is not None
    assert (own.shipping_minor, own.missing_minor) == (490, 1)


def test_what_would_be_shipped_free_by_itself_saves_nothing_by_riding_along():
    """6.00 tomorrow: a day earlier costs less than a hundredth, and its own shipment nothing."""
    tomorrow = BasketLine("Gull White", 60_000, 1, 600, 1)
    for free_from, along in ((600, ()), (601, (tomorrow,))):
        found = basket("Paint Barn", [DUE, tomorrow], Terms(490, free_from))
        assert found is not None
        assert found.along == along
