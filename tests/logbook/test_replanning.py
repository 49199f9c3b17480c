"""Planned uses that stand, and one put in the place of another."""

from datetime import timedelta

import pytest

from stock.errors import BadInput
from stock.forecast import orders, plans
from stock.logbook.replanning import change_plan
from stock.logbook.undo import undo
from stock.shelf import products
from stock.shelf.studio import settings


def name() -> str:
    return products.everything()[0].name


def test_the_soonest_stands_on_top_and_what_was_dropped_is_gone(stocked: str) -> None:
    today = settings().today()
    late = orders.plan_use(name(), 20_000, today + timedelta(days=20))
    soon = orders.plan_use(name(), 10_000, today + timedelta(days=2), job="Pier sign")
    assert [one.number for one in plans.listed()] == [soon["planned_use"], late["planned_use"]]
    assert plans.listed()[0].job == "Pier sign"
    undo("planned_use", late["planned_use"])
    assert [one.number for one in plans.listed()] == [soon["planned_use"]]


def test_a_change_takes_the_old_one_back(stocked: str) -> None:
    today = settings().today()
    made = orders.plan_use(name(), 20_000, today + timedelta(days=20))
    changed = change_plan(made["planned_use"], name(), 35_000, today + timedelta(days=9), key="k1")
    again = change_plan(made["planned_use"], name(), 35_000, today + timedelta(days=9), key="k1")
    assert changed == again
    (one,) = plans.listed()
    assert (one.number, one.volume_ul) == (changed["planned_use"], 35_000)


def test_a_change_that_cannot_be_leaves_the_old_one(stocked: str) -> None:
    today = settings().today()
    made = orders.plan_use(name(), 20_000, today + timedelta(days=20))
    with pytest.raises(BadInput):
        change_plan(made["planned_use"], name(), 35_000, today - timedelta(days=1))
    (one,) = plans.listed()
    assert one.number == made["planned_use"]


def test_packs_come_by_their_line(stocked: str) -> None:
    orders.make([orders.NewOrderLine(name(), 60_000, 2), orders.NewOrderLine(name(), 120_000, 2)])
    ((small, large),) = orders.listed()
    orders.receive(small.order, {large.line: 1})
    ((small, large),) = orders.listed()
    assert (small.received, large.received) == (0, 1)
    orders.cancel(small.order, {small.line: 2})
    ((small, large),) = orders.listed()
    assert (small.open, large.open) == (0, 1)
