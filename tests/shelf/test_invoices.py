"""Invoices: net, tax and gross that agree, the deliveries they are for, and the purchases of a period."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import BadInput, NotFound, UllageError
from stock.exchange.report_files import as_csv
from stock.logbook import flat_tables, purchases
from stock.logbook.undo import undo
from stock.shelf import deliveries, invoices
from stock.store.models import Invoice
from tests.clock import clock_at

R1 = {"supplier": "Paint Depot", "dated_on": date(2030, 1, 5), "net_minor": 1_580, "tax_milli": 19_000}


@given(st.integers(0, 10**9), st.integers(0, 100_000))
def test_gross_is_net_and_tax_rounded_half_up(net, tax):
    gross = invoices.gross_of(net, tax)
    assert abs(gross - net * (1 + Fraction(tax, 100_000))) <= Fraction(1, 2)
    assert invoices.gross_of(50, 1_000) == 51


def test_an_invoice_its_deliveries_and_the_purchases_of_a_month(stocked):
    with clock_at("2030-01-10 09:00"):
        came = deliveries.receive("Harbour Blue", 60_000, count=2)["delivery"]
        other = deliveries.receive("Gull White", 60_000)["delivery"]
        made = invoices.add("R-1", **R1, deliveries=[came])
        assert (made.gross_minor, made.deliveries) == (1_880, (came,))
        assert invoices.tie(made.id, [came, other]).deliveries == (came, other)
        bought = purchases.read(since=date(2030, 1, 1))
        assert [one[2:] for one in bought.deliveries] == [
            ("2 x Harbour Blue", 1_580, 0, ("R-1",)), ("1 x Gull White", 0, 1, ("R-1",)),
        ]  # fmt: skip
        assert [one.number for one in bought.invoices] == ["R-1"]
        assert purchases.read(until=date(2030, 1, 4)).invoices == []
        dated = date(2030, 1, 5)
        assert [one.number for one in purchases.read(since=dated, until=dated).invoices] == ["R-1"]
        assert purchases.read(since=date(2030, 1, 6)).invoices == []
        invoice = purchases.invoice_json(made, 100)
        assert (invoice["net"], invoice["tax_percent"], invoice["gross"]) == (15.8, 19, 18.8)
        written = as_csv(flat_tables.bought(bought))
        assert f"invoice,2030-01-05,R-1,{came} {other},Paint Depot,,15.80,19.0,3.00,18.80,,,EUR" in written
        assert f"delivery,2030-01-10,R-1,{came},,2 x Harbour Blue,,,,,15.80,0,EUR" in written
        undo("delivery", other)
        assert [one.delivery for one in purchases.read(since=date(2030, 1, 1)).deliveries] == [came]
        invoices.remove(made.id)
        with pytest.raises(NotFound):
            invoices.find(made.id)
        assert purchases.read(since=date(2030, 1, 1)).deliveries[0].invoices == ()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"gross_minor": 1_882}, "net and tax make 18.80 EUR, not 18.82 EUR"),
        ({"tax_milli": 100_001}, "out of range"),
        ({"net_minor": -1}, "out of range"),
        ({"dated_on": date(2031, 1, 1)}, "still to come"),
        ({"number": " "}, "number"),
    ],
)
def test_an_invoice_that_can_not_be(stocked, change, why):
    with clock_at("2030-01-10 09:00"), pytest.raises(BadInput, match=why):
        invoices.add(**({"number": "R-1"} | R1 | change))
    assert not Invoice.select().exists()


def test_nothing_is_noted_twice_or_for_a_delivery_that_does_not_stand(stocked):
    with clock_at("2030-01-10 09:00"):
        assert invoices.add("R-1", **R1, gross_minor=1_881).gross_minor == 1_881
        assert invoices.add("R-1", **R1 | {"tax_milli": 7_000})
        with pytest.raises(UllageError, match="noted already"):
            invoices.add("R-1", **R1)
        gone = deliveries.receive("Harbour Blue", 60_000)["delivery"]
        undo("delivery", gone)
        for delivery in (gone, 999):
            with pytest.raises(NotFound, match="no delivery"):
                invoices.add("R-2", **R1, deliveries=[delivery])
    assert Invoice.select().count() == 2


@pytest.mark.parametrize(
    ("net", "tax", "gross", "refused"),
    [
        (0, 0, 0, False),
        (-1, 0, -1, True),
        (100, 100_000, 200, False),
        (100, 100_001, 200, True),
        (100, -1, 100, True),
        (100, 19_000, 120, False),  # a rounding of one
        (100, 19_000, 118, False),
        (100, 19_000, 121, True),
        (100, 19_000, 117, True),
    ],
)
def test_net_and_tax_are_none_or_more_and_the_gross_may_be_one_off(stocked, net, tax, gross, refused):
    def ask() -> None:
        invoices._refuse_odd_amounts(net, tax, gross, invoices.gross_of(net, max(tax, 0)))

    if refused:
        with pytest.raises(BadInput):
            ask()
    else:
        ask()
