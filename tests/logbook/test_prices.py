"""What a microlitre in a bottle cost once something dearer was poured into it."""

from fractions import Fraction

from stock.logbook.prices import Prices


def test_each_part_of_a_decant_weighs_as_much_as_there_is_of_it() -> None:
    """30 ml at 1 cent a microlitre and 10 ml at 5: 80 cents on 40 ml, so 2 cents."""
    prices = Prices()
    prices.by_bottle[1].append((0, Fraction(1)))
    prices.pour_in(1, 7, 30_000, 10_000, Fraction(5))
    assert prices.at(1, 6) == 1
    assert prices.at(1, 7) == 2
    assert prices.value(1, 8, 20_000) == 40_000


def test_an_empty_bottle_takes_the_price_of_what_is_poured_into_it() -> None:
    prices = Prices()
    prices.by_bottle[1].append((0, Fraction(9)))
    prices.pour_in(1, 7, 0, 10_000, Fraction(5))
    assert prices.at(1, 7) == 5


def test_a_part_without_a_price_leaves_the_bottle_without_one() -> None:
    prices = Prices()
    prices.pour_in(1, 7, 30_000, 10_000, Fraction(5))
    assert prices.value(1, 8, 1) is None
