"""What a microlitre in a bottle cost once something dearer was poured into it."""

from fractions import Fraction

from stock import clock
from stock.bench import closing
from stock.bench.mixing import MixRequest, book_mix
from stock.logbook.prices import Prices, read
from stock.store.connection import connection
from stock.store.models import Bottle


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


def test_a_price_is_that_of_the_last_change_before_a_movement() -> None:
    prices = Prices()
    prices.by_bottle[1] = [(0, Fraction(1)), (5, Fraction(2)), (9, None)]
    assert [prices.at(1, movement) for movement in (0, 4, 5, 8, 9, 12)] == [1, 1, 2, 2, None, None]
    assert prices.at(2, 5) is None
    prices.by_bottle[3] = [(4, Fraction(3))]
    assert prices.at(3, 3) is None
    assert (prices.newest(1), prices.newest(3), prices.newest(4)) == (None, 3, None)
    assert prices.value(3, 4, 200) == 600


def test_a_microlitre_that_is_left_weighs_as_much_as_any() -> None:
    found = Prices()
    found.by_bottle[1].append((0, Fraction(1)))
    found.pour_in(1, 7, 1, 1, Fraction(5))
    assert found.newest(1) == 3


def test_a_jar_costs_exactly_what_went_into_its_mix_by_volume(stocked: str) -> None:
    """10 ml at 7.90 a 60 ml bottle and 5 ml at 9.50 a 250 ml bottle: what is kept costs their average."""
    mix = int(
        book_mix(MixRequest(parts=(("Harbour Blue", 10_000), ("Wash Down", 5_000))), judge=False)["mix"]
    )
    closing.close(mix, closing.Ending(outcome="good", left_ul=6_000, keep=True))
    jar = Bottle.select().where(Bottle.left_of == mix).get()
    with connection():
        found = read(clock.day_of(clock.now(), "Europe/Lisbon")).newest(jar.id)
    assert found == (Fraction(790, 60) * 10 + Fraction(950, 250) * 5) / 15_000
