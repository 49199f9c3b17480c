"""Reports as flat tables: what a row is, its order, and what is left empty."""

from datetime import date
from fractions import Fraction

from stock.bench.mixing import MixRequest, book_mix
from stock.logbook import costs, flat_tables, job_price, purchases, trace, value_tables
from stock.logbook.costing import CostedMix, Costs, JobCost, MixCost
from stock.logbook.stock_value import StockValue, ValueShare
from stock.logbook.valuation import ValuedProduct
from stock.shelf import jobs

MARCH = date(2026, 3, 31)


def value(**more) -> StockValue:
    blue = ValuedProduct(1, 1_000, 2_000, 300, 50, 2_650, 100, 200, 30, 5, 265, 70)
    given = {
        "studio": "Quay", "currency": "EUR", "since": None, "until": MARCH, "method": "fifo",
        "products": [("Blue", blue)], "places": [ValueShare("Shelf", 2_000, 150, 0)],
        "owners": [ValueShare("", 2_000, 150, 10)], "write_offs": (), "unpriced": (),
    }  # fmt: skip
    return StockValue(**{**given, **more})


def rows(table) -> list[dict]:
    return [dict(zip([column.name for column in table.columns], row, strict=True)) for row in table.rows]


def test_the_worth_of_the_stock_is_a_row_a_product_a_place_or_an_owner():
    (blue,) = rows(flat_tables.valued([value()]))
    assert (blue["month"], blue["product"], blue["opening"], blue["closing"]) == (
        "2026-03",
        "Blue",
        "1.00",
        "2.65",
    )
    assert (blue["opening_ml"], blue["closing_ml"], blue["used_ml"]) == (1, 2.65, 0.3)
    assert "2026-03-01" in blue.values()  # without a first day the period begins with its month
    began = rows(flat_tables.valued([value(since=date(2026, 2, 7))]))[0]
    assert "2026-02-07" in began.values()
    (place,) = rows(flat_tables.valued([value()], "place"))
    (owner,) = rows(flat_tables.valued([value()], "owner"))
    assert (place["place"], place["closing"], place["closing_ml"]) == ("Shelf", "1.50", 2)
    assert owner["owner"] == ""
    names = [flat_tables.valued([value()], of).name for of in flat_tables.ROWS_OF_VALUE]
    assert names == ["valuation", "valuation-place", "valuation-owner", "write-offs"]


def test_costs_are_ordered_by_month_and_mix_and_what_belongs_to_none_stands_first():
    def cost(number: int, day: date) -> MixCost:
        return MixCost(CostedMix(number, day), 500, 60, 7)

    report = Costs(
        (
            JobCost("Hull", (cost(9, date(2026, 3, 2)), cost(10, date(2026, 3, 1)))),
            JobCost(None, (cost(2, date(2026, 4, 1)),)),
        ),
        {"2026-03": 80, "2026-04": 0}, {}, {"2026-02": 30},
    )  # fmt: skip
    table = flat_tables.costed(costs.CostsRead(MARCH, "EUR", "metric", None, None, report, ()))
    assert [(row["month"], row["record"], row["mix"], row["job"]) for row in rows(table)] == [
        ("2026-02", "loss", None, None), ("2026-03", "waste", None, None), ("2026-03", "mix", 9, "Hull"),
        ("2026-03", "mix", 10, "Hull"), ("2026-04", "mix", 2, None),
    ]  # fmt: skip
    mix = rows(table)[2]
    assert [mix[name] for name in ("material", "washes", "waste_share", "total")] == [
        "5.00",
        "0.60",
        "0.07",
        "5.67",
    ]
    assert [rows(table)[1]["total"], rows(table)[0]["total"]] == ["0.80", "0.30"]


def test_where_a_bottle_went_what_was_bought_and_a_jobs_sheet(stocked: str):
    answer = book_mix(
        MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), job="Hull"), judge=False
    )
    bottle, mix = rows(flat_tables.traced(trace.trace(bottle="1")))
    assert (bottle["record"], bottle["bottle"], bottle["size_ml"], bottle["on_hand_ml"]) == (
        "bottle",
        1,
        60,
        52,
    )
    assert (mix["record"], mix["mix"], mix["job"], mix["volume_ml"]) == ("mix", answer["mix"], "Hull", 8)
    assert mix["from_bottles"] == "1"
    bought = rows(flat_tables.bought(purchases.read()))
    assert [(row["record"], row["worth"], row["unpriced_bottles"]) for row in bought] == [
        ("delivery", "15.80", 0), ("delivery", "0.00", 1), ("delivery", "9.50", 0),
    ]  # fmt: skip
    *materials, price = rows(flat_tables.sheet_of(job_price.read("Hull")))
    assert [(row["record"], row["product"], row["volume_ml"]) for row in materials] == [
        ("material", "Harbour Blue", 8), ("material", "Slow Thinner", 1.6),
    ]  # fmt: skip
    assert (price["record"], price["product"], price["hours"]) == ("price", None, None)
    assert price["closed_on"] is None
    jobs.change("Hull", worked_min=100)
    assert rows(flat_tables.sheet_of(job_price.read("Hull")))[-1]["hours"] == 1.6667
    assert price["opened_on"] is not None


def test_waste_of_a_month_stands_before_the_very_first_mix():
    assert flat_tables._by_month_and_mix(("2026-03", "waste", None, None)) < flat_tables._by_month_and_mix(
        ("2026-03", "mix", "2026-03-01", 1)
    )


def test_a_share_s_column_says_whether_it_is_a_place_or_an_owner():
    for of, words in (("place", "where it stands"), ("owner", "whose it is; empty for the studio")):
        table = flat_tables.valued([value()], of)
        [column] = [each for each in table.columns if each.name == of]
        assert column.about.startswith(words)


def test_owners_are_a_table_only_where_somebody_else_owns_stock():
    """What is the studio's alone needs no table of owners; a customer's bottle does."""
    own, ada = ValueShare("", 2_000, 150, 10), ValueShare("Ada", 1_000, 0, 1_000)
    assert value_tables._owners(value(owners=[own])) == []
    [table] = value_tables._owners(value(owners=[own, ada]))
    assert [list(row) for row in table.rows] == [["the studio", 2, 0.01, "1.50"], ["Ada", 1, 1, "0.00"]]


def test_a_period_of_purchases_without_a_first_day_says_so():
    bought = purchases.Purchases("Quay", "EUR", None, MARCH, [], [])
    assert purchases.as_json(bought)["since"] is None
    assert purchases.as_json(bought._replace(since=date(2026, 3, 1)))["since"] == "2026-03-01"
