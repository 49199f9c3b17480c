"""A person at the Forecast: what is due, what if, ordering by one key, taking the delivery in."""

from stock.forecast import orders
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import opened, settle
from tui.forecast.screen import FanView
from tui.widgets.rows import Heading, Rows


async def at_the_forecast(pilot):
    await pilot.press("4")
    await settle(pilot)
    return pilot.app.screen


def said(screen):
    return [item for item in screen.query_one(Rows).items if not isinstance(item, Heading)]


def seen(screen, widget):
    view = screen.query_one(widget)
    return "\n".join(
        "".join(segment.text for segment in view.render_line(y)) for y in range(view.size.height)
    )


async def test_what_is_due_stands_on_top_with_its_fan_and_questions_are_answered_and_taken_back(studio):
    async with opened(studio, (80, 24)) as pilot:
        app = pilot.app
        screen = await at_the_forecast(pilot)
        days = [one.order_by_day for one in said(screen) if one.order_by_day]
        assert days
        assert days == sorted(days)
        first = shows_what_is_due(screen)
        await pilot.press("down", "down")
        await settle(pilot)
        assert screen.in_hand.facts.product == "Lantern Yellow"
        assert seen(screen, FanView) != first
        assert "72 ml┤" in seen(screen, FanView)

        def day(name):
            return next(one.order_by.day for one in said(screen) if one.facts.product == name)

        def bar():
            return str(screen.query_one("#what-if").render())

        plain = day("Harbour Blue")
        assert bar().startswith("What if?")
        await pilot.press("plus", "plus", "plus")
        await settle(pilot)
        assert "use +30 %" in bar()
        assert day("Harbour Blue") < plain
        await pilot.press("0", "l", "l")
        await settle(pilot)
        assert "7 days later" in bar()
        assert day("Harbour Blue") < plain
        await pilot.press("0", "b")
        await settle(pilot)
        assert day("Harbour Blue") > plain
        await pilot.press("0", "s")
        await settle(pilot)
        assert "99% sure" in bar()
        await pilot.press("0")
        await settle(pilot)
        assert day("Harbour Blue") == plain
        assert bar().startswith("What if?")

        await pilot.press("v")
        await settle(pilot)
        past = str(app.screen.query_one("#past").render())
        assert "P10 to P90" in past
        assert "warned" in past
        await pilot.press("escape")
        await settle(pilot)
        assert app.screen is screen


def shows_what_is_due(screen):
    table, fan = seen(screen, Rows), seen(screen, FanView)
    assert "Copper Pearl" in table
    assert "now" in table
    assert screen.query_one(FanView).size.height >= 10
    assert "32 ml┤" in fan
    assert "O order" in fan
    assert "today" in fan
    return fan


async def test_one_key_orders_the_basket_and_another_takes_it_in(studio):
    async with opened(studio, (80, 24)) as pilot:
        app = pilot.app
        screen = await at_the_forecast(pilot)
        with connection():
            before = len(on_shelf())
        await pilot.press("o")
        await settle(pilot)
        await pilot.press("escape")
        await settle(pilot)
        with connection():
            assert orders.listed() == []  # leaving the question books nothing
        await pilot.press("o")
        await settle(pilot)
        assert "Mole & Daughters" in str(app.screen.query_one("#sheet").border_title)
        assert "Kelp Green" in seen(app.screen, "#lines")
        assert "Goods" in str(app.screen.query_one("#basket").render())
        await pilot.press("enter")
        await settle(pilot)
        with connection():
            (lines,) = orders.listed()
        assert {line.product for line in lines} == {"Copper Pearl", "Kelp Green"}
        assert next(one for one in said(screen) if one.facts.product == "Copper Pearl").facts.coming
        for key in ("i", "enter", "enter"):
            await pilot.press(key)
            await settle(pilot)
        with connection():
            assert orders.listed() == []
            assert len(on_shelf()) == before + sum(line.packs for line in lines)


async def test_a_part_of_an_order_comes(studio):
    with connection():
        made = orders.make(
            [orders.NewOrderLine("Harbour Blue", 60_000, 3), orders.NewOrderLine("Gull White", 120_000, 1)]
        )
    async with opened(studio, (80, 24)) as pilot:
        app = pilot.app
        await at_the_forecast(pilot)
        for key in ("i", "r"):
            await pilot.press(key)
            await settle(pilot)
        await pilot.press("1", *["tab"] * 4, "x", "enter")  # past its lot, best-before day and what is left
        await settle(pilot)
        wrong = " ".join(str(each.render()) for each in app.screen.query(".wrong"))
        assert "is not a number of packs" in wrong
        await pilot.press("backspace", "0", "enter")
        await settle(pilot)
        with connection():
            (lines,) = orders.listed()
        assert [(line.product, line.received) for line in lines] == [("Harbour Blue", 1), ("Gull White", 0)]
        assert lines[0].order == made["order"]


async def test_it_is_readable_without_colour_and_names_are_only_names(studio, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(studio, (140, 45), theme="terminal") as pilot:
        app = pilot.app
        screen = await at_the_forecast(pilot)
        shows_what_is_due(screen)
        assert "Sand [matt]" in seen(screen, Rows)
        assert app.theme == "lamp"
        fan = seen(screen, FanView)
        assert "even chance" in fan
        assert "8 chances in 10" in fan


async def test_an_empty_studio_has_a_forecast_too(tmp_path, fixed_day):
    from stock.shelf import studio as studios

    address = str(tmp_path / "empty.ullage")
    studios.make(address, name="Empty", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    async with opened(address, (80, 24)) as pilot:
        app = pilot.app
        await settle(pilot)
        while len(app.screen_stack) > 1:
            await pilot.press("escape")
            await settle(pilot)
        screen = await at_the_forecast(pilot)
        assert "No products yet" in seen(screen, Rows)
        await pilot.press("o", "i", "escape", "plus", "l")
        await settle(pilot)
        assert app.screen is screen
