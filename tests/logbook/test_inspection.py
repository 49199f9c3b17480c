"""What an inspector is handed: the shelf by place, limits, sheets on file, the cautions, and a year of emissions."""

import re
from datetime import date
from types import SimpleNamespace

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cautions.facts import Finding
from stock.exchange.report_files import as_csv
from stock.logbook import (
    costs,
    emission_year,
    emissions,
    inspection,
    job_price,
    purchases,
    stock_value,
    tables,
    value_tables,
)
from stock.logbook.emission_year import rolling
from stock.logbook.months import month_of
from stock.shelf import deliveries, places, products, sheets, studio
from tests.clock import clock_at


def cells(report, title):
    (table,) = [one for one in report.tables if one.title.startswith(title)]
    return [list(row) for row in table.rows], table.totals


def test_each_bottle_stands_at_its_place_with_classes_limits_and_sheets(stocked):
    products.add(
        {
            "name": "Gale Lacquer",
            "role": "paint",
            "flash_point": "12C",
            "boiling_point": "78C",
            "h_statements": "H225 H336",
        }
    )
    places.change("Cabinet", flammable_limit_ul=100_000)
    deliveries.receive("Gale Lacquer", 120_000, place="Cabinet")
    sheets.add("Gale Lacquer", title="Safety sheet", revised_on=date(2025, 4, 7))
    report = inspection.shelf_report()
    rows, totals = cells(report, "Cabinet (cabinet, workshop)")
    by_product = {row[1]: row for row in rows}
    assert by_product["Gale Lacquer"][2:5] == ["category 2", "IB", "H225 H336"]
    assert by_product["Slow Thinner"][2:5] == ["category 3", "II", "not noted"]
    assert totals[-1] == 360
    assert cells(report, "no place noted")[1][-1] == 250
    assert cells(report, "Everything")[0] == [["bottles", 5], ["left ml", 610]]
    limits = {row[1]: row for row in cells(report, "Quantities")[0] if row[0] == "Cabinet"}
    own = limits["the studio's own limit"]
    assert (own[2], own[3], own[4], own[5]) == ("0.24 L", "0.1 L", 240.0, "over")
    assert any(row[5] == "within" and row[6] for row in limits.values())
    on_file = {row[0]: row[1:] for row in cells(report, "Data sheets")[0]}
    assert on_file["Gale Lacquer"] == ["Safety sheet", "2025-04-07", "in force"]
    assert on_file["Wash Down"] == ["none on file", None, None]
    flat = report.flat()
    assert sum(row[12] for row in flat.rows) == 610
    assert "category 2" in as_csv(flat)


def test_what_is_not_known_is_marked_as_the_worse_case(stocked):
    deliveries.receive("Gull White", 30_000, place="Cabinet")
    rows, _ = cells(inspection.shelf_report(), "Cabinet")
    (white,) = [row for row in rows if row[1] == "Gull White"]
    assert white[2].startswith("as if category")
    assert white[3].startswith("as if I")


def test_every_finding_is_on_the_page_with_its_remedy_and_source(stocked):
    report = inspection.caution_report()
    rows, totals = cells(report, "Findings")
    assert totals[0] == f"together {len(rows)}"
    assert rows
    assert all(row[2] and re.search(r"\([a-z0-9-]+\)$", row[4]) for row in rows), rows
    assert len(report.flat().rows) == len(rows)


def test_sums_of_twelve_months_by_hand():
    emitted = [(f"m{at}", 1.0 * at, 10.0) for at in range(1, 24)]
    months = rolling(emitted)
    assert [one.month for one in months] == [f"m{at}" for at in range(12, 24)]
    assert (months[0].us_sum_g, months[0].eu_sum_g) == (78, 120)
    assert months[-1].us_sum_g == sum(range(12, 24))


@pytest.mark.parametrize(("limit_mg", "said"), [(None, "no limit noted"), (839, "over"), (841, "within")])
def test_a_year_beside_its_limit(stocked, limit_mg, said):
    """Four millilitres in January and four in March, 0.105 g each; what is older than twelve months falls out."""
    products.change("Harbour Blue", {"solvent": ["butyl glycol=10%"], "water": "90"})
    studio.change(voc_limit_mg=limit_mg)
    for day in ("2030-01-15", "2030-03-15"):
        with clock_at(f"{day} 10:00"):
            book_mix(MixRequest(parts=(("Harbour Blue", 4_000),)), judge=False)
    with clock_at("2030-12-20 09:00"):
        year = emission_year.read()
        assert [round(one.us_g, 3) for one in year.months if one.us_g] == [0.42, 0.42]
        assert round(year.months[-1].us_sum_g, 3) == 0.84
        report = emission_year.report(year)
        (table,) = report.tables
        assert (table.rows[-1][0], table.rows[-1][-1]) == ("2030-12", said)
        assert table.totals is None
    with clock_at("2031-01-20 09:00"):
        assert round(emission_year.read().months[-1].us_sum_g, 3) == 0.42
        past = emission_year.read(month_of(date(2030, 2, 1)), date(2030, 2, 10))
        assert round(past.months[-1].us_sum_g, 3) == 0.42


def test_every_row_and_every_sum_of_a_report_has_a_cell_for_each_head(stocked):
    with clock_at("2030-01-10 10:00"):
        book_mix(MixRequest(parts=(("Harbour Blue", 4_000), ("Slow Thinner", 1_000)), job="Ferry"))
        reports = [
            inspection.shelf_report(),
            inspection.caution_report(),
            emission_year.report(emission_year.read()),
            tables.cost_report(costs.read(job="Ferry")),
            tables.emission_report(emissions.read()),
            value_tables.value_report(stock_value.read()),
            purchases.report(purchases.read()),
            job_price.customer_sheet(job_price.read("Ferry")),
        ]
    for report in reports:
        for table in report.tables:
            lengths = {len(row) for row in (*table.rows, *([table.totals] if table.totals else []))}
            assert lengths <= {len(table.heads)}, (report.title, table.title)
        flat = report.flat() if report.flat is not None else None
        assert flat is None or {len(row) for row in flat.rows} <= {len(flat.columns)}, report.title


def test_classes_are_as_grave_as_they_burn_and_the_worst_of_several_is_told():
    """NFPA 30: IA boils below 100 °F and flashes below 73 °F, IIIB flashes at 200 °F and above."""
    rising = (None, "IIIB", "IIIA", "II", "IC", "IB", "IA")
    assert sorted(rising, key=inspection._gravity) == list(rising)
    assert inspection._gravity(None) < inspection._gravity("IIIB")


def test_a_finding_names_all_its_bottles_or_the_only_one():
    found = Finding("flammable", "warn", None, None, None, None, "burns", "keep cool", "a source", "store")
    assert inspection._of_what(found) == ("", "", "")
    assert inspection._of_what(found._replace(bottle=7, product="Blue")) == ("Blue", "7", "")
    assert inspection._of_what(found._replace(bottle=7, bottles=(7, 9), place="Wall")) == ("", "7, 9", "Wall")


def test_the_twelve_months_that_end_with_a_month_begin_eleven_before_it():
    first = {
        each: emission_year._eleven_before(each) for each in ("2026-03", "2026-12", "2026-01", "2025-11")
    }
    assert first == {
        "2026-03": "2025-04", "2026-12": "2026-01", "2026-01": "2025-02", "2025-11": "2024-12",
    }  # fmt: skip


def test_a_sum_is_over_the_limit_only_above_it_and_by_the_higher_of_both_figures():
    def said(limit_g):
        row = emission_year.RollingMonth("2026-03", 1.2345, 2.3456, 10.4567, 20.0)
        year = emission_year.EmissionYear(date(2026, 3, 31), [row], limit_g, None)
        as_row, as_json = emission_year._flat(year).rows[0], emission_year.as_json(year)["months"][0]
        assert as_row[:6] == ("2026-03", 1.23, 2.35, 10.46, 20.0, limit_g)
        assert [as_json[f"{word}_g"] for word in ("us", "eu", "us_twelve_months", "eu_twelve_months")] == [
            1.23,
            2.35,
            10.46,
            20,
        ]
        return as_row[-1], as_json["over"]

    assert said(None) == (None, None)
    assert said(20.0) == ("false", False)
    assert said(19.99) == ("true", True)


def test_a_bottle_s_state_says_since_when_it_is_open():
    def state(known, opened_on=None):
        return inspection._state(SimpleNamespace(state=known, opened_on=opened_on))

    assert (state("sealed"), state("open")) == ("sealed", "open since an unknown day")
    assert state("open", date(2026, 3, 1)) == "open since 2026-03-01"


@pytest.mark.parametrize(
    ("first", "told"), [(date(2025, 5, 1), True), (date(2025, 4, 30), False), (None, False)]
)
def test_sums_that_reach_back_before_the_books_say_so(stocked, first, told):
    """The sum of March 2026 reaches back to April 2025; books that begin in May lack a month of it."""
    months = [emission_year.RollingMonth(each, 1.0, 1.0, 1.0, 1.0) for each in ("2026-03", "2026-04")]
    report = emission_year.report(emission_year.EmissionYear(date(2026, 4, 30), months, None, first))
    assert report.notes[0].startswith("The books begin in 2025-05") == told
    assert report.about == "2026-03 to 2026-04, as of 2026-04-30"
