"""A product's facts are dated: what is changed counts from a day on, and a closed month is never rewritten."""

from datetime import UTC, date, datetime

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cautions.books import read_products
from stock.errors import BadInput, UllageError
from stock.logbook import emissions
from stock.logbook.months import month_of
from stock.shelf import deliveries, lines, periods, products
from stock.store.models import PastFacts
from tests.clock import clock_at

JANUARY, FEBRUARY, MARCH = (date(2030, number, 15) for number in (1, 2, 3))


def mixed(day):
    with clock_at(f"{day} 10:00"):
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), at=None), judge=False)


def emitted(day):
    return round(emissions.read(month_of(day)).everything.us_g, 4)


@pytest.fixture
def sprayed(stocked):
    """A millilitre in each of three months of a paint with 90 % of water in 1.05 g/ml, the rest butyl glycol."""
    products.change("Harbour Blue", {"solvent": ["butyl glycol=10%"], "water": "90"})
    for day in (JANUARY, FEBRUARY, MARCH):
        mixed(day)
    return stocked


def test_a_change_counts_from_its_day_on_and_past_months_stay(sprayed):
    with clock_at("2030-03-20 09:00"):
        before = [emitted(day) for day in (JANUARY, FEBRUARY, MARCH)]
        assert before == [pytest.approx(0.105)] * 3
        products.change("Harbour Blue", {"water": "80"})
        assert [emitted(day) for day in (JANUARY, FEBRUARY, MARCH)] == before
    mixed(date(2030, 3, 20))
    with clock_at("2030-03-25 09:00"):
        assert emitted(MARCH) == pytest.approx(0.105 + 0.21)
        (line,) = emissions.read(month_of(MARCH)).lines
        assert line.held.us_g == pytest.approx(0.315)
        assert [round(one.held.us_g, 4) for one in emissions.read(month_of(MARCH)).mixes] == [0.105, 0.21]
        products.change("Harbour Blue", {"density": "2"})
        products.change("Harbour Blue", {"density": "1.5", "color": "#123456"})
        assert PastFacts.select().count() == 2
        by_day = {day: read_products(day, [2])[2] for day in (JANUARY, date(2030, 3, 20), date(2030, 3, 25))}
        assert [one.density_ug_per_ml for one in by_day.values()] == [1_050_000, 1_050_000, 1_500_000]
        assert [one.water_milli for one in by_day.values()] == [90_000, 80_000, 80_000]


def test_the_day_of_a_change_may_be_named_but_is_never_closed(sprayed):
    with clock_at("2030-03-20 09:00"):
        periods.close(date(2030, 1, 31))
        before = emitted(JANUARY)
        for day in (date(2030, 1, 31), date(2030, 1, 1)):
            with pytest.raises(UllageError, match="the books are closed until 2030-01-31"):
                products.change("Harbour Blue", {"water": "80"}, since=day)
        with pytest.raises(BadInput, match="still to come"):
            products.change("Harbour Blue", {"density": "2"}, since=date(2030, 3, 21))
        products.change("Harbour Blue", {"water": "60"})
        products.change("Harbour Blue", {"water": "80"}, since=date(2030, 2, 1))
        assert (emitted(JANUARY), emitted(FEBRUARY), emitted(MARCH)) == (before, 0.21, 0.21)
        assert [row.until for row in PastFacts.select()] == [date(2030, 1, 31)]


def test_what_is_filled_in_counts_for_every_day_that_is_not_closed(stocked):
    for day in (JANUARY, FEBRUARY):
        mixed(day)
    with clock_at("2030-03-01 09:00"):
        worst = emitted(JANUARY)
        periods.close(date(2030, 1, 31))
        products.change("Harbour Blue", {"solvent": ["butyl glycol=10%"], "water": "90"})
        assert (emitted(JANUARY), emitted(FEBRUARY)) == (worst, 0.105)
        products.change("Harbour Blue", {"density": "2"})
        products.change("Harbour Blue", {"boiling_point": "171C"})
        assert (emitted(JANUARY), emitted(FEBRUARY)) == (worst, 0.105)
        assert read_products(FEBRUARY, [2])[2].boiling_point_mc == 171_000
        assert read_products(JANUARY, [2])[2].boiling_point_mc is None


def test_a_line_s_change_is_dated_for_each_of_its_products(sprayed):
    with clock_at("2030-03-20 09:00"):
        lines.change("Quay", {"density": "1.2"})
        products.change("Harbour Blue", {"density": ""})
        assert read_products(date(2030, 3, 20), [2])[2].density_ug_per_ml == 1_200_000
        assert read_products(date(2030, 3, 19), [2])[2].density_ug_per_ml == 1_050_000
        assert emitted(JANUARY) == pytest.approx(0.105)


def test_a_mistake_put_right_on_the_day_of_entry_counts_for_mixes_that_were_written_down_late(stocked):
    with clock_at("2030-03-20 09:00"):
        products.add(
            {"name": "Skerry", "role": "paint", "water": "60", "density": "1", "flash_point": "none"}
        )
        january = datetime(2030, 1, 15, 10, tzinfo=UTC)
        deliveries.receive("Skerry", 60_000, on=january)
        book_mix(MixRequest(parts=(("Skerry", 1_000),), at=january), judge=False)
        before = emitted(JANUARY)
        products.change("Skerry", {"water": "80"})
        assert emitted(JANUARY) < before
        assert not PastFacts.select().exists()
    with clock_at("2030-03-21 09:00"):
        now = emitted(JANUARY)
        products.change("Skerry", {"water": "90"})
        assert emitted(JANUARY) == now
