"""Part 6 of the job: what runs out and when, what to order, taking it in, planning what a job will need."""

import pytest

from stock.forecast import orders, plans
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import opened, press, seen, write
from tests.tui.mouse import click_key, click_on, take
from tui.forecast.screen import ForecastScreen


def on_order():
    with connection():
        return orders.listed()


def planned():
    with connection():
        return plans.listed()


async def test_by_keys_orders_are_changed_taken_in_by_line_and_partly_and_the_rest_cancelled(
    studio: str,
) -> None:
    with connection():
        orders.make(
            [orders.NewOrderLine("Harbour Blue", 60_000, 2), orders.NewOrderLine("Harbour Blue", 120_000, 2)]
        )
    ((small, large),) = on_order()
    async with opened(studio) as pilot:
        await press(pilot, "4", "i", "r")  # two sizes of one product come each on its own line
        pilot.app.screen.query_one(f"#line{small.line}").text = "0"
        await press(pilot, "enter")
        ((small, large),) = on_order()
        assert (small.received, large.received) == (0, 2)
        with connection():
            assert sum(view.size_ul == 120_000 for view in on_shelf() if view.product == "Harbour Blue") == 2
        await press(pilot, "c", "enter")
        assert on_order() == []
        await press(pilot, "escape")

        await press(pilot, "o", "f9")  # the line under the hand goes into the fields
        first = pilot.app.screen.query_one("#product").text
        await press(pilot, "tab", "tab")
        await write(pilot, "3")
        await press(pilot, "enter")
        (lines,) = on_order()
        mine = next(line for line in lines if line.product == first)
        assert mine.packs == 3
        await press(pilot, "i")
        assert "3 open" in seen(pilot.app)
        await press(pilot, "r")
        for line in lines:
            pilot.app.screen.query_one(f"#line{line.line}").text = "1" if line is mine else "0"
        await press(pilot, "enter")
        (after,) = on_order()
        assert next(line for line in after if line.line == mine.line).received == 1
        await press(pilot, "c", "enter")
        assert on_order() == []
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, ForecastScreen)

        await press(pilot, "end", "o")
        assert "not due yet" in seen(pilot.app)
        await press(pilot, "enter")  # and ordered all the same, as a person writes it
        ((line,),) = on_order()
        assert line.packs == 1


async def test_by_keys_a_use_is_planned_changed_to_a_day_to_come_and_dropped(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "4", "p", "n")
        pilot.app.screen.query_one("#product").text = "harb"
        await press(pilot, "tab")
        await write(pilot, "40 ml")
        await press(pilot, "tab")
        await write(pilot, "2026-04-01")
        await press(pilot, "tab")
        await write(pilot, "Ferry model")
        await press(pilot, "enter")
        (one,) = planned()
        assert (one.product, one.volume_ul, one.job) == ("Harbour Blue", 40_000, "Ferry model")
        await press(pilot, "c")
        pilot.app.screen.query_one("#day").text = "2026-01-01"
        await press(pilot, "enter")
        assert "has passed" in seen(pilot.app)
        assert pilot.app.screen.query_one("#day").text == "2026-01-01"
        assert planned() == [one]  # the old plan stands
        await press(pilot, "escape", "c", "tab")
        await write(pilot, "55 ml")
        await press(pilot, "enter")
        (changed,) = planned()
        assert (changed.volume_ul, str(changed.needed_on)) == (55_000, "2026-04-01")
        assert changed.number != one.number
        await press(pilot, "d", "enter")
        assert planned() == []
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, ForecastScreen)


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_order_receive_plan_and_ask_what_if(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_on(pilot, "4 Forecast")
        await click_key(pilot, "Order")
        await click_on(pilot, "It is ordered")
        assert len(on_order()) == 1
        await click_key(pilot, "On order")
        await click_key(pilot, "Receive")
        await click_on(pilot, "Put on the shelf")
        assert on_order() == []
        await pilot.click(offset=(0, 0))  # beside the sheet
        await click_key(pilot, "Plans")
        await click_key(pilot, "New")
        await take(pilot, "product", "Gull White")
        await take(pilot, "amount", "25 ml")
        await take(pilot, "day", "+2w")
        await click_on(pilot, "Plan it")
        (one,) = planned()
        assert (one.product, one.volume_ul) == ("Gull White", 25_000)
        await click_key(pilot, "Drop")
        await click_on(pilot, "Drop it")
        assert planned() == []
        await click_key(pilot, "Close")
        await click_key(pilot, "Later")
        assert "3 days later" in str(pilot.app.screen.query_one("#what-if").render())
        await click_key(pilot, "As it is")
        assert str(pilot.app.screen.query_one("#what-if").render()).startswith("What if?")
