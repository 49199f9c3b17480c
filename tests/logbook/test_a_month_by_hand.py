"""A small month worked out by hand, and every report of it: costs, value, purchases and emissions.

Harbour Blue costs 7.90 a 60 ml bottle, 13.1667 cents a millilitre; Wash Down 9.50 a 250 ml bottle, 3.8 cents; Slow
Thinner has no price. 10 ml of blue and 2 of thinner are mixed for a job (131.67 cents), 15 ml of cleaner wash it out
(57), a count finds 4 ml of blue missing (52.67, waste of that job), and 3 ml of it are spilled (39.5, a loss).
Blue is 3 % glycol at 1.05 g/ml: 31.5 g/L; what has no density counts as 1623 g/L.
"""

from datetime import date
from fractions import Fraction

import pytest

from stock.bench import washing
from stock.bench.mixing import MixRequest, book_mix
from stock.logbook import (
    costs,
    emissions,
    history,
    job_price,
    money_proof,
    purchases,
    stock_value,
    tables,
    trace,
    value_tables,
)
from stock.logbook.history import Filter
from stock.shelf import counts, deliveries, products
from stock.store.connection import connection, reading
from tests.clock import clock_at


@pytest.fixture
def month(stocked: str):
    products.change("Harbour Blue", {"solvent": ["propylene glycol=3"], "water": "56", "solids": "41"})
    with clock_at("2030-01-10 09:00"):
        request = MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20), job="Ferry")
        mix = int(book_mix(request, judge=False)["mix"])
    with clock_at("2030-01-10 10:00"):
        washing.wash("Wash Down", 15_000, mix=mix)
    with clock_at("2030-01-11 09:00"):
        deliveries.receive("Gull White", 30_000, price_minor=600)
        counts.count("1", 46_000)
        counts.count("2", 57_000, reason="spilled")
        yield mix


def rows(report, title):
    [table] = [each for each in report.tables if each.title.startswith(title)]
    return [tuple(row) for row in table.rows], table.totals and tuple(table.totals)


def flat(report):
    table = report.flat()
    return [dict(zip([column.name for column in table.columns], row, strict=True)) for row in table.rows]


def test_the_costs(month):
    figures = {"material": 1.32, "washes": 0.57, "share": 0.53, "total": 2.42}
    answer = tables.costs_json(costs.read())
    assert answer["jobs"] == [
        {"job": "Ferry", **figures, "mixes": [{"mix": month, "day": "2030-01-10", **figures}]}
    ]
    assert (answer["total"], answer["unshared"], answer["written_off"]) == (2.42, 0, 0.4)
    assert answer["unpriced"] == [{"bottle": "Slow Thinner B0003", "volume_ml": 2}]
    assert (answer["month"], answer["currency"], answer["as_of"]) == (None, "EUR", "2030-01-11")
    report = tables.cost_report(costs.read(job="Ferry"))
    money = ("1.32", "0.57", "0.53", "2.42")
    assert rows(report, "Jobs") == ([("Ferry", 1, *money)], ("together", 1, *money))
    assert rows(report, "Mixes of Ferry") == ([("2030-01-10", month, *money)], ("together", 1, *money))
    assert [each.title for each in tables.cost_report(costs.read()).tables] == ["Jobs"]
    whole = tables.cost_report(costs.read())
    assert any("leaked or dried out: 0.40 EUR" in note for note in whole.notes)
    assert not any("shared out to no mix" in note for note in whole.notes if note != whole.notes[0])
    assert [(each["record"], each["mix"], each["total"]) for each in flat(whole)] == [
        ("loss", None, "0.40"),
        ("mix", month, "2.42"),
    ]


def test_the_value_of_the_stock(month):
    value = stock_value.read()
    answer = value_tables.value_json(value)
    blue = {
        "product": "Harbour Blue", "opening": 0, "purchased": 15.8, "used": 1.32, "written_off": 0.92, "closing": 13.56,
        "opening_ml": 0, "purchased_ml": 120, "used_ml": 10, "written_off_ml": 7, "closing_ml": 103, "unpriced_ml": 0,
    }  # fmt: skip
    assert answer["products"][1] == blue
    assert answer["total"] == {
        "opening": 0, "purchased": 31.3, "used": 1.89, "written_off": 0.92, "closing": 28.49,
    }  # fmt: skip
    assert answer["places"] == [
        {"place": "Cabinet", "closing": 13.56, "closing_ml": 221, "unpriced_ml": 118},
        {"place": "no place", "closing": 14.93, "closing_ml": 265, "unpriced_ml": 0},
    ]
    assert answer["owners"] == [{"owner": None, "closing": 28.49, "closing_ml": 486, "unpriced_ml": 118}]
    assert [
        (each["bottle"], each["reason"], each["volume_ml"], each["value"]) for each in answer["write_offs"]
    ] == [
        ("B0001", "", 4, 0.53),
        ("B0002", "spilled", 3, 0.4),
    ]
    assert answer["unpriced"] == [{"bottle": "Slow Thinner B0003", "volume_ml": 118}]
    report = value_tables.value_report(value)
    assert rows(report, "Money") == (
        [
            ("Gull White", "0.00", "6.00", "0.00", "0.00", "6.00"),
            ("Harbour Blue", "0.00", "15.80", "1.32", "0.92", "13.56"),
            ("Slow Thinner", "0.00", "0.00", "0.00", "0.00", "0.00"),
            ("Wash Down", "0.00", "9.50", "0.57", "0.00", "8.93"),
        ],
        ("together", "0.00", "31.30", "1.89", "0.92", "28.49"),
    )
    assert rows(report, "Volume") == (
        [
            ("Gull White", 0, 30, 0, 0, 30, 0), ("Harbour Blue", 0, 120, 10, 7, 103, 0),
            ("Slow Thinner", 0, 120, 2, 0, 118, 118), ("Wash Down", 0, 250, 15, 0, 235, 0),
        ],
        ("together", 0, 520, 27, 7, 486, 118),
    )  # fmt: skip
    assert rows(report, "Places") == (
        [("Cabinet", 221, 118, "13.56"), ("no place", 265, 0, "14.93")],
        ("together", 486, 118, "28.49"),
    )
    assert [row[-2:] for row in rows(report, "Written off")[0]] == [(4, "0.53"), (3, "0.40")]
    assert not [table for table in report.tables if table.title.startswith("Owners")]
    kept = value_tables.value_report(stock_value.read(since=date(2030, 1, 11)))
    assert rows(kept, "Money")[1] == ("together", "23.41", "6.00", "0.00", "0.92", "28.49")


def test_the_purchases(month):
    answer = purchases.as_json(purchases.read(since=date(2030, 1, 1)))
    assert answer["deliveries"] == [
        {
            "delivery": month + 2, "day": "2030-01-11", "what": "1 x Gull White", "worth": 6, "unpriced_bottles": 0,
            "invoices": [],
        },
    ]  # fmt: skip
    every, totals = rows(purchases.report(purchases.read()), "Deliveries")
    assert [row[2:] for row in every] == [
        ("2 x Harbour Blue", 0, "15.80", "no invoice noted"),
        ("1 x Slow Thinner", 1, "0.00", "no invoice noted"),
        ("1 x Wash Down", 0, "9.50", "no invoice noted"),
        ("1 x Gull White", 0, "6.00", "no invoice noted"),
    ]
    assert totals == ("together", 4, None, 1, "31.30", None)
    assert purchases.read(since=date(2030, 1, 12)).deliveries == []
    assert purchases.report(purchases.read()).subject == "all days"
    assert "2030-01-01" in purchases.report(purchases.read(since=date(2030, 1, 1))).subject
    assert len(purchases.read(since=date(2030, 1, 11)).deliveries) == 1
    assert len(purchases.read(until=date(2030, 1, 10)).deliveries) == 3


def test_the_emissions(month):
    """0.315 g of blue, 3.246 of thinner, 24.345 of cleaner, 0.0945 spilled; water 0.56 x 1.05 / 0.9982 of 13 ml."""
    answer = tables.emissions_json(emissions.read())
    assert answer["coatings"]["us"]["emitted_g"] == pytest.approx(3.561, abs=0.006)
    assert answer["coatings"]["eu"]["ready_to_use_g_per_l"] == pytest.approx(296.75, abs=0.01)
    assert answer["cleaning"]["us"] == {
        "emitted_g": pytest.approx(24.345, abs=0.006),
        "actual_g_per_l": 1_623,
        "less_water_and_exempt_g_per_l": 1_623,
    }
    assert answer["losses"]["us"]["emitted_g"] == pytest.approx(0.0945, abs=0.006)
    assert (answer["volume_ml"], answer["us"]["emitted_g"]) == (30, pytest.approx(28.0, abs=0.006))
    by_name = {each["product"]: each for each in answer["products"]}
    blue = by_name["Harbour Blue"]
    assert [blue[key] for key in ("sprayed_ml", "washed_ml", "lost_ml")] == [10, 0, 3]
    assert blue["water_ml"] == pytest.approx(13 * 0.56 * 1.05 / 0.9982, abs=0.006)
    assert [by_name["Wash Down"][key] for key in ("sprayed_ml", "washed_ml", "lost_ml")] == [0, 15, 0]
    report = tables.emission_report(emissions.read())
    emitted = {row[0]: row[1:3] for row in rows(report, "Emitted")[0]}
    assert emitted == {
        "mixes": (12, 3.56), "washes": (15, 24.34), "spilled, leaked, dried out": (3, 0.09), "together": (30, 28),
    }  # fmt: skip
    assert [row[:2] for row in rows(report, "Products")[0]] == [
        ("Wash Down", "cleaner"), ("Slow Thinner", "reducer"), ("Harbour Blue", "paint"),
    ]  # fmt: skip
    [applied], _ = rows(report, "Mixes as applied")
    assert applied[:4] == ("2030-01-10", month, "Slow Thinner, Harbour Blue", 12)
    assert applied[5] == pytest.approx(296.75, abs=0.01)
    assert emissions.read().lines[0].product == "Wash Down", "what emits most is first"


def test_the_proof_of_the_money(month):
    """Bought 31.30, written off 0.92, left 28.49: used 1.89."""
    with connection(), reading():
        proof, problems = money_proof.prove()
    assert problems == []
    assert proof == money_proof.MoneyProof(
        opening=0, purchased=3_130, used=189, written_off=92, closing=2_849
    )


def test_each_report_knows_its_own_day_and_nothing_of_the_next(month):
    """On the 9th nothing, on the 10th the mix and its wash, on the 11th the counts, the spill and the white."""
    days = [date(2030, 1, day) for day in (9, 10, 11)]
    spent = [costs.read(as_of=day).costs for day in days]
    assert [each.total("material") for each in spent] == [0, 132, 132]
    assert [each.total("washes") for each in spent] == [0, 57, 57]
    assert [(each.total("share"), each.written_off) for each in spent] == [(0, 0), (0, 0), (53, 40)]
    given_off = [emissions.read(as_of=day) for day in days]
    assert [each.coatings.volume_ml for each in given_off] == [0, 12, 12]
    assert [each.cleaning.volume_ml for each in given_off] == [0, 15, 15]
    assert [each.losses.volume_ml for each in given_off] == [0, 0, 3]
    assert [len(purchases.read(until=day).deliveries) for day in days] == [3, 3, 4]
    kept = [dict(stock_value.read(until=day).products)["Harbour Blue"].closing_ul for day in days]
    assert kept == [120_000, 110_000, 103_000]
    traced = [trace.trace(bottle="1", as_of=day).mixes for day in days]
    assert [[one.volume_ul for one in each] for each in traced] == [[], [10_000], [10_000]]
    assert [trace.trace(bottle="4", as_of=day).washed_ul for day in days] == [0, 15_000, 15_000]
    priced = [job_price.read("Ferry", as_of=day) for day in days]
    assert [each.price.material for each in priced] == [0, 189, 242]
    assert [[volume_ul for _, _, volume_ul in each.products] for each in priced] == [
        [],
        [10_000, 2_000],
        [10_000, 2_000],
    ]
    listed = [[one.kind for one in history.entries(Filter(since=days[0], until=day))] for day in days]
    assert listed == [[], ["wash", "mix"], ["count", "count", "delivery", "wash", "mix"]]
