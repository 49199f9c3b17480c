"""Part 1 of the job: what is on the shelf, how much is left in each bottle, since when it is open."""

from datetime import date

import pytest

from stock.shelf import deliveries, products
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on
from tests.tui.test_palette import choose
from tui.shelf.detail import BottleSheet
from tui.shelf.screen import ShelfScreen

BLUE = 1


def view(number: int):
    with connection():
        return next(one for one in on_shelf() if one.id == number)


async def test_by_keys_a_bottle_is_found_read_noted_as_frozen_or_opened_and_its_product_looked_up(
    studio: str,
) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2")
        with connection():
            names = {row.name for row in products.everything()}
        assert {one.view.product for one in pilot.app.screen.books.bottles} <= names
        await press(pilot, "slash")
        await write(pilot, "harb")
        assert "3 bottles of" in seen(pilot.app)
        await press(pilot, "enter", "enter")
        text = seen(pilot.app)
        assert "holds" in text
        assert "opened" in text
        await press(pilot, "escape", "slash", "ctrl+u")
        await write(pilot, "B0002")
        await press(pilot, "enter", "escape", "f", "enter")
        assert view(2).frozen_on is not None
        assert pilot.app.screen.check_action("freeze", ()) is None
        await press(pilot, "slash")
        await write(pilot, "B0003")
        await press(pilot, "enter", "escape", "o", "down", "down", "enter")
        assert (pilot.app.the_day - view(3).opened_on).days == 2
        await press(pilot, "k", "enter")
        assert "Nothing is changed yet" in seen(pilot.app)
        fields = {name: pilot.app.screen.field_named(name) for name in ("made_on", "best_before", "label")}
        fields["made_on"].text, fields["label"].text = "2036-01-01", "K-7"
        await press(pilot, "enter")
        assert "after it came" in seen(pilot.app)  # nothing is noted, and what was typed stays
        fields["made_on"].text, fields["best_before"].text = "unknown", "2031-05-01"
        await press(pilot, "enter")
        assert (view(3).label, view(3).best_before, view(3).made_on) == ("K-7", date(2031, 5, 1), None)
        await press(pilot, "p")
        assert pilot.app.current_mode == "records"
        assert "Harbour Blue" in seen(pilot.app)


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_the_same(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await click_on(pilot, "2 Shelf")
        assert isinstance(pilot.app.screen, ShelfScreen)
        await click_on(pilot, "Copper Pearl")
        assert pilot.app.screen.in_hand.view.product == "Copper Pearl"
        await click_on(pilot, "Buoy Red", last=True)
        assert pilot.app.screen.in_hand.view.product == "Buoy Red"
        await click_on(pilot, "Buoy Red", last=True)
        assert isinstance(pilot.app.screen, BottleSheet)
        await pilot.click(offset=(1, 1))  # beside the sheet
        await settle(pilot)
        assert isinstance(pilot.app.screen, ShelfScreen)
        await click_key(pilot, "Record")
        assert pilot.app.current_mode == "records"


async def test_a_scanned_label_opens_its_bottle_from_every_find_box_and_on_the_bench(studio: str) -> None:
    with connection():
        made = deliveries.receive("Harbour Blue", 60_000, label="Jetty-7")["bottles"][0]["id"]
    async with opened(studio) as pilot:
        await press(pilot, "2", "slash")
        await write(pilot, "B0001")
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, BottleSheet)
        await press(pilot, "escape")
        assert pilot.app.screen.in_hand.view.id == BLUE
        assert pilot.app.screen.query_one("#find").value == ""
        for number, typed in ((BLUE, "b0001"), (made, "Jetty-7")):
            await press(pilot, "6", "slash")
            await write(pilot, typed)
            if number == BLUE:
                assert "Harbour Blue" in seen(pilot.app)
            await press(pilot, "enter")
            assert pilot.app.current_mode == "shelf"
            assert pilot.app.screen.in_hand.view.id == number
            pilot.app.screen.take(BLUE + 1)
        await press(pilot, "7", "slash")
        await write(pilot, "B0001")
        await press(pilot, "enter")
        assert pilot.app.current_mode == "shelf"
        assert pilot.app.screen.in_hand.view.id == BLUE
        pilot.app.screen.take(BLUE + 1)
        await choose(pilot, "b0001")
        assert pilot.app.current_mode == "shelf"
        assert pilot.app.screen.in_hand.view.id == BLUE
        await press(pilot, "3")
        await write(pilot, "B0002")
        await press(pilot, "enter")
        form = pilot.app.screen.query_one("#form")
        assert form.field("paint-0").text == "Harbour Blue"
        assert form.field("bottles").text == "2"
