"""What a month emitted, read from the books."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from stock import clock
from stock.bench import closing, steps, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.cautions.regulated import compare
from stock.cautions.voc import Content
from stock.logbook import costs, emissions, tables
from stock.logbook.emissions import Applied
from stock.logbook.months import month_of
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products
from stock.store.models import Bottle
from stock.voc_categories import categories


@pytest.fixture
def noted(stocked: str) -> str:
    """The stocked books with contents: blue 3 % glycol, 56 % water, 41 % solids, 1.05 g/ml.

    The thinner is half acetone, half ethanol.
    """
    products.change("Harbour Blue", {"solvent": ["propylene glycol=3"], "water": "56", "solids": "41"})
    products.change(
        "Slow Thinner", {"solvent": ["acetone=50", "ethanol=50"], "density": "0.79", "water": "0"}
    )
    products.change("Wash Down", {"solvent": ["2-propanol=10"], "water": "90"})
    return stocked


def blue(**more: object) -> int:
    return int(
        book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20), **more), judge=False)[
            "mix"
        ]
    )  # type: ignore[arg-type]


def test_a_mix_and_its_step_and_a_wash_by_both_definitions(noted: str) -> None:
    """
    10 ml blue at 31.5 g/L: 0.315 g. 2.5 ml thinner: 0.988 g of acetone and 0.988 g of ethanol.
    20 ml of wash at about 97 g/L.
    """
    number = blue()
    steps.book_step(number, StepRequest(Fraction(5)))
    washing.wash("Wash Down", 20_000, mix=number)
    report = emissions.read()
    assert report.coatings.volume_ml == pytest.approx(12.5)
    assert report.coatings.us_g == pytest.approx(0.315 + 0.9875)
    assert report.coatings.eu_g == pytest.approx(0.315 + 1.975)
    assert report.coatings.less_water == pytest.approx(
        1_302.5 / (12.5 - 5.88 / 0.9982 - 0.9875 / 0.7903), rel=0.001
    )
    wash = report.cleaning
    assert wash.actual == pytest.approx(97, abs=1.5)
    assert report.everything.us_g == pytest.approx(report.coatings.us_g + wash.us_g)
    assert [one.mix for one in report.mixes] == [number]
    assert report.mixes[0].held.ready_to_use == pytest.approx(2_290 / 12.5)


def test_what_was_undone_emitted_nothing(noted: str) -> None:
    undo("mix", blue())
    report = emissions.read()
    assert (report.everything.us_g, report.mixes, report.lines) == (0, (), ())
    assert report.everything.actual is None


def test_a_jar_is_counted_with_its_mix_and_not_again(noted: str) -> None:
    number = blue()
    closing.close(number, closing.Ending(outcome="good", left_ul=6_000, keep=True))
    before = emissions.read().everything.us_g
    jar = Bottle.select().where(Bottle.left_of == number).get()
    book_mix(MixRequest(parts=((jar.product.name, 3_000),), bottles=(str(jar.id),)), judge=False)
    assert emissions.read().everything.us_g == pytest.approx(before)


def test_a_bottle_thrown_away_is_waste_and_no_emission(noted: str) -> None:
    handling.discard("3")
    assert emissions.read().everything.us_g == 0


def test_each_month_by_itself_and_as_it_was_known(noted: str) -> None:
    then = clock.now() - timedelta(days=62)
    deliveries.receive("Harbour Blue", 60_000, on=then)
    deliveries.receive("Slow Thinner", 120_000, on=then)
    old, new = blue(at=then), blue()
    month = month_of(clock.day_of(then, "Europe/Lisbon"))
    assert [one.mix for one in emissions.read(month).mixes] == [old]
    assert [one.mix for one in emissions.read().mixes] == [new]
    assert emissions.read(month, as_of=month.first - timedelta(days=1)).mixes == ()


def test_what_is_not_noted_is_said_beside_the_figure(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000)
    book_mix(MixRequest(parts=(("Gull White", 5_000),)), judge=False)
    totals = emissions.read()
    assert totals.coatings.us_g == pytest.approx(5 * 1.623)
    answer = tables.emissions_json(totals)
    assert answer["assumed"] == ["density not noted: it counts as solvent throughout (Gull White)."]
    assert answer["us"]["emitted_g"] == pytest.approx(8.115, abs=0.0051)
    assert any("40 CFR 59.104" in rule for rule in answer["rules"])
    report = tables.emission_report(totals)
    assert "Gull White" in report.notes[0]
    assert all(len(row) == len(table.heads) for table in report.tables for row in table.rows)


def test_what_was_lost_has_a_row_of_its_own_only_where_something_was(noted: str) -> None:
    """4 ml of blue at 31.5 g/L dried out."""

    def rows() -> dict[str, tuple[object, ...]]:
        emitted = tables.emission_report(emissions.read()).tables[0].rows
        return {str(row[0]): tuple(row[1:3]) for row in emitted}

    assert list(rows()) == ["mixes", "washes", "together"]
    counts.count("1", 56_000, reason="dried_out")
    assert rows()["spilled, leaked, dried out"] == (4, pytest.approx(0.126, abs=0.005))
    assert rows()["together"] == rows()["spilled, leaked, dried out"]


def test_prices_that_are_not_known_are_told_under_the_costs(stocked: str) -> None:
    blue()
    notes = tables.cost_report(costs.read()).notes
    assert any("Slow Thinner B0003 (2 ml)" in note and "real costs are higher" in note for note in notes)


@pytest.mark.parametrize(("as_of", "until"), [(20, 19), (31, 30)])
def test_facts_that_ended_on_the_day_before_the_last_are_a_part_of_the_month_of_their_own(
    monkeypatch, as_of: int, until: int
) -> None:
    """The last day has its own facts; what changed at the end of an earlier day parts the month there."""
    asked = []

    def last_days(products: object, first: date, last: date) -> set[date]:
        asked.append((first, last))
        return {date(2026, 3, 10), last}

    monkeypatch.setattr(emissions.dated_facts, "last_days", last_days)
    monkeypatch.setattr(emissions.dated_substances, "last_days", lambda first, last: set())
    monkeypatch.setattr(emissions, "read_products", lambda end, products: dict.fromkeys(products, end))
    used = [emissions.Use(1, "poured", 7, date(2026, 3, day), 1) for day in (1, 10, 11, until, as_of)]
    facts = emissions._facts(used, month_of(date(2026, 3, 1)), date(2026, 3, as_of))
    assert asked == [(date(2026, 3, 1), date(2026, 3, until))]
    assert [facts(one).day for one in used] == [10, 10, until, until, as_of]


def test_the_unit_of_a_category_s_limit_is_its_own(noted: str) -> None:
    """40 CFR 59 subpart C limits cleaners by weight, subpart B and 2004/42/EC coatings in grams a litre."""
    mix = Applied(1, date(2026, 3, 1), "x", Content(1.0, 0.1, 0.1, 0.5, 0.0, (), 1.0))
    both = tuple(compare(mix.held, categories()[word]) for word in ("us:glass_cleaner", "eu:topcoat"))
    answer = tables.emissions_json(replace(emissions.read(), mixes=(replace(mix, compared=both),)))
    assert [(each["category"], each["unit"], each["figure"]) for each in answer["limits"]] == [
        ("us:glass_cleaner", "percent", 10),
        ("eu:topcoat", "g_per_l", 200),
    ]
