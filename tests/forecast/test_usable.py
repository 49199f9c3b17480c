"""What of the stock counts."""

from stock.forecast.usable import StockBottle, usable


def test_sealed_bottles_count_and_a_bad_one_does_not():
    found = usable([StockBottle(20_000, True, -1, None), StockBottle(60_000, False, None, None)], 1_000)
    assert found.now_ul == 60_000
    assert found.ends is None


def test_a_bottle_past_its_life_before_its_turn_does_not_count():
    """
    60 ml open, used 1 ml a day: its turn lasts 60 days
    60 ml sealed, good for 30 days: bad before its turn
    """
    found = usable([StockBottle(60_000, True, None, None), StockBottle(60_000, False, 30, None)], 1_000)
    assert found.now_ul == 60_000


def test_what_is_left_when_the_life_ends_is_lost():
    """60 ml, 1 ml a day, good for 29 more days and today: 30 ml are used, 30 ml lost from day 30 on."""
    found = usable([StockBottle(60_000, True, 29, None)], 1_000)
    assert found.losses == ((30, 30_000.0),)
    assert found.ends == 30


def test_the_opened_life_of_a_sealed_bottle_starts_with_its_turn():
    found = usable([StockBottle(10_000, True, None, None), StockBottle(60_000, False, None, 20)], 1_000)
    assert found.losses == ((31, 39_000.0),)


def test_what_is_never_used_counts_whole():
    found = usable([StockBottle(60_000, True, 29, None), StockBottle(60_000, False, 400, 365)], 0.0)
    assert found.now_ul == 120_000
    assert found.losses == ()


def test_an_empty_shelf_has_no_end():
    assert usable([], 1_000) == usable([StockBottle(0, True, 5, None)], 1_000)
    assert usable([], 1_000).ends is None


def test_a_bottle_on_its_last_good_day_counts_and_one_after_it_does_not():
    """Used 1 ml a day: the first bottle lasts 30 days, so the second's turn begins on day 30."""
    first = StockBottle(30_000, True, None, None)
    assert usable([first, StockBottle(60_000, False, 30, None)], 1_000).now_ul == 90_000
    assert usable([first, StockBottle(60_000, False, 29, None)], 1_000).now_ul == 30_000
    assert usable([StockBottle(5_000, True, 0, None)], 0.0).now_ul == 5_000
    assert usable([StockBottle(5_000, True, -1, None)], 0.0).now_ul == 0


def test_what_is_never_used_has_no_turn_to_wait_for():
    """Whether the bottle before it has an end or none, one that is good for today alone counts."""
    last_day = StockBottle(5_000, True, 0, None)
    for before in (StockBottle(60_000, True, None, None), StockBottle(60_000, True, 90, None)):
        assert usable([before, last_day], 0.0).now_ul == 65_000


def test_the_stock_ends_with_its_last_bottle_and_each_is_begun_when_the_one_before_ends():
    """
    60 ml open, 1 ml a day, good through day 29: 30 ml lost on day 30
    30 ml sealed, good through day 50, begun on day 30: 21 days, 9 ml lost on day 51
    """
    found = usable([StockBottle(60_000, True, 29, None), StockBottle(30_000, False, 50, 300)], 1_000)
    assert found == (90_000, ((30, 30_000.0), (51, 9_000.0)), 51)
    exact = usable([StockBottle(30_000, True, 29, None)], 1_000)
    assert exact == (30_000, (), 30)


def test_half_a_microlitre_a_day_is_used_too():
    """10 µl, good for 9 more days and today: 5 µl are used, 5 µl lost; the next bottle's turn comes after that."""
    later = StockBottle(20, False, None, 5)
    assert usable([StockBottle(10, True, 9, None), later], 0.5).losses == ((10, 5.0), (16, 17.0))
    assert usable([StockBottle(10, True, None, None), later], 0.5).losses == ((26, 17.0),)


def test_an_empty_bottle_is_none_and_one_of_a_microlitre_is_one():
    empty, crumb = (StockBottle(held, True, None, None) for held in (0, 1))
    good = StockBottle(10_000, True, 5, None)
    assert usable([empty, good], 1_000).ends == 6
    assert usable([crumb, good], 1_000).ends is None
    assert usable([crumb], 1_000).now_ul == 1
    assert usable([StockBottle(10, True, 18, None)], 0.5).losses == ((19, 0.5),)
