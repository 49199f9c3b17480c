"""Past valuations keep whose a bottle was, what a size cost, and what a substance was known to be."""

from datetime import date

import pytest

from stock.cautions.books import read_products
from stock.errors import BadInput, UllageError
from stock.logbook import costs, emissions, purchases, stock_value
from stock.logbook.months import month_of
from stock.shelf import bottle_facts, deliveries, lines, own_substances, past_shelf, periods, products
from stock.shelf.bottles import on_shelf
from tests.clock import clock_at
from tests.shelf.test_dated_facts import FEBRUARY, JANUARY, MARCH, emitted, mixed

SIZE = 60_000
STEPS = ("opening", "purchased", "used", "written_off", "closing")


def worth(day, since=None):
    """The closing stock, and the four figures that lead to it, in cents."""
    value = stock_value.read(since=since, until=day)
    return [sum(getattr(one, step) for _, one in value.products) for step in STEPS]


def adds_up(figures):
    opening, bought, used, lost, closing = figures
    return opening + bought - used - lost == closing


@pytest.fixture
def owned(books):
    """Two bottles at 6.00, come in January."""
    with clock_at("2030-01-10 09:00"):
        products.add({"name": "Harbour Blue", "role": "paint"})
        deliveries.receive("Harbour Blue", SIZE, count=2, price_minor=600)
    return books


def test_an_owner_who_changes_rewrites_no_past_valuation(owned):
    with clock_at("2030-03-20 09:00"):
        before = {day: worth(day) for day in (JANUARY, FEBRUARY)}
        assert before[JANUARY][-1] == 1_200
        bottle_facts.note_owner("1", "Ann Reed")
        assert {day: worth(day) for day in (JANUARY, FEBRUARY)} == before
        assert worth(MARCH)[-1] == 1_200
        now = worth(date(2030, 3, 20), date(2030, 3, 1))
        assert now[-1] == 600
        assert adds_up(now)
        assert [view.owner for view in on_shelf(FEBRUARY)] == ["", ""]
        assert [view.owner for view in on_shelf(date(2030, 3, 20))] == ["Ann Reed", ""]
        assert len(purchases.read(until=FEBRUARY).deliveries) == 1
    with clock_at("2030-04-20 09:00"):
        bottle_facts.note_owner("1", "")
        assert [worth(day)[-1] for day in (FEBRUARY, date(2030, 4, 1), date(2030, 4, 20))] == [
            1_200,
            600,
            1_200,
        ]


def test_an_owner_may_have_had_it_since_a_day_that_is_not_closed(owned):
    with clock_at("2030-03-20 09:00"):
        periods.close(date(2030, 1, 31))
        with pytest.raises(UllageError, match="closed until 2030-01-31"):
            bottle_facts.note_owner("1", "Ann Reed", since=date(2030, 1, 20))
        with pytest.raises(BadInput, match="still to come"):
            bottle_facts.note_owner("1", "Ann Reed", since=date(2030, 3, 21))
        bottle_facts.note_owner("1", "Ann Reed", since=date(2030, 2, 1))
        assert [worth(day)[-1] for day in (date(2030, 1, 31), date(2030, 2, 1))] == [1_200, 600]
        assert past_shelf.owners(date(2030, 1, 31)) == {1: ""}


def test_an_owner_corrected_on_the_day_it_came_counts_from_the_start(owned):
    with clock_at("2030-01-10 15:00"):
        bottle_facts.note_owner("1", "Ann Reed")
        assert worth(date(2030, 1, 10))[-1] == 600


def test_a_first_price_prices_no_closed_month_and_lands_in_the_next(books):
    with clock_at("2030-01-10 09:00"):
        products.add({"name": "Harbour Blue", "role": "paint"})
        deliveries.receive("Harbour Blue", SIZE, count=2)
    mixed(JANUARY)
    mixed(FEBRUARY)
    with clock_at("2030-03-20 09:00"):
        periods.close(date(2030, 1, 31))
        closed = date(2030, 1, 31)
        products.change("Harbour Blue", {"packs": ["60ml=6.00"]})
        assert worth(closed)[-1] == 0
        assert costs.read(month=month_of(JANUARY)).costs.total("material") == 0
        assert costs.read(month=month_of(FEBRUARY)).costs.total("material") == 10
        assert purchases.read(since=date(2030, 1, 1), until=closed).deliveries[0].unpriced == 2
        assert purchases.read(until=date(2030, 3, 20)).deliveries[0].unpriced == 2
        after = worth(date(2030, 3, 20), date(2030, 2, 1))
        assert (after[0], after[-1]) == (0, 1_180)
        assert adds_up(after)


def test_a_first_price_counts_for_all_days_where_nothing_is_closed(books):
    with clock_at("2030-01-10 09:00"):
        products.add({"name": "Harbour Blue", "role": "paint"})
        deliveries.receive("Harbour Blue", SIZE)
    with clock_at("2030-03-20 09:00"):
        products.change("Harbour Blue", {"packs": ["60ml=6.00", "120ml=9.00"]})
        assert worth(JANUARY)[-1] == 600
        products.change("Harbour Blue", {"packs": ["60ml=7.00"]})
        assert [worth(day)[-1] for day in (JANUARY, date(2030, 3, 20))] == [600, 700]


def test_what_a_product_may_not_meet_is_dated(stocked):
    with clock_at("2030-03-20 09:00"):
        numbers = (
            {one.name: one.id for one in products.everything()} if hasattr(products, "everything") else {}
        )
        del numbers
        blue = products.find("Harbour Blue").id
        other = products.find("Gull White").id
        products.change("Harbour Blue", {"not_with": ["Gull White"]})
        assert read_products(JANUARY)[blue].not_with == (other,)  # filled in: it was so before
    with clock_at("2030-03-25 09:00"):
        products.change("Harbour Blue", {"not_with": []})
        assert read_products(date(2030, 3, 24))[blue].not_with == (other,)
        assert read_products(date(2030, 3, 24))[other].not_with == (blue,)
        assert read_products(date(2030, 3, 25))[blue].not_with == ()


def test_a_line_s_change_may_count_since_a_day(stocked):
    lines.add({"name": "Skerry", "role": "paint", "solvent": ["butyl glycol=10%"], "water": "90"})
    products.add({"name": "Skerry Red", "line": "Skerry"})
    with clock_at("2030-03-20 09:00"):
        lines.change("Skerry", {"water": "80"}, since=date(2030, 2, 1))
        red = products.find("Skerry Red").id
        water_by_day = [read_products(day)[red].water_milli for day in (date(2030, 1, 31), date(2030, 2, 1))]
        assert water_by_day == [90_000, 80_000]
        with pytest.raises(BadInput, match="still to come"):
            lines.change("Skerry", {"water": "70"}, since=date(2030, 4, 1))
        assert lines.find("Skerry").water_milli == 80_000


def test_a_substance_of_the_studio_s_own_is_dated(stocked):
    own_substances.add({"name": "Quay solvent", "source": "its sheet", "us_voc": "exempt", "density": "1"})
    products.change("Harbour Blue", {"solvent": ["Quay solvent=10%"], "water": "90"})
    for day in (JANUARY, FEBRUARY, MARCH):
        mixed(day)
    with clock_at("2030-03-20 09:00"):
        before = [emitted(day) for day in (JANUARY, FEBRUARY, MARCH)]
        own_substances.change("Quay solvent", {"us_voc": "voc"})
        assert [emitted(day) for day in (JANUARY, FEBRUARY, MARCH)] == before
    mixed(date(2030, 3, 21))
    with clock_at("2030-03-25 09:00"):
        march = [one.held.us_g for one in emissions.read(month_of(MARCH)).mixes]
        assert march[0] == pytest.approx(before[2]) and march[1] > march[0]
        assert emitted(JANUARY) == before[0]
        own_substances.delete("Quay solvent")
        assert emitted(JANUARY) == before[0]


def test_a_new_substance_rewrites_no_closed_month(stocked):
    products.change("Harbour Blue", {"solvent": ["Quay solvent=10%"], "water": "90"})
    for day in (JANUARY, FEBRUARY):
        mixed(day)
    with clock_at("2030-03-20 09:00"):
        worst = emitted(JANUARY)
        periods.close(date(2030, 1, 31))
        own_substances.add(
            {"name": "Quay solvent", "source": "its sheet", "us_voc": "exempt", "density": "1"}
        )
        assert emitted(JANUARY) == worst
        assert emitted(FEBRUARY) < worst
