"""Ctrl+P finds every action of every screen, and every thing in the books, by a few letters."""

from datetime import date
from typing import Any

import pytest
from textual.pilot import Pilot

from stock.shelf import jobs, places
from tests.sampling import some
from tests.tui.driving import opened, press, seen, settle, write
from tui.palette import Everything, actions_of
from tui.screens import SCREENS


async def find(pilot: Pilot[None], letters: str) -> str:
    """What the palette shows for these letters."""
    await press(pilot, "ctrl+p")
    await write(pilot, letters)
    await settle(pilot)
    return seen(pilot.app)


async def choose(pilot: Pilot[None], letters: str) -> None:
    """Take the first thing that it finds."""
    await find(pilot, letters)
    await press(pilot, "enter")
    await settle(pilot)


async def test_every_action_of_a_screen_stands_in_the_palette_of_another(studio: str) -> None:
    async with opened(studio) as pilot:
        for front in ("1", "6"):
            await press(pilot, front)
            provider: Any = Everything(pilot.app.screen)
            await provider.startup()
            texts = {text for text, _, _ in provider._others()}
            for mode in {screen.id for screen in SCREENS} - {pilot.app.current_mode}:
                assert {f"{mode.capitalize()}: {words}" for _, words, _ in actions_of(mode)} <= texts


async def test_action_of_another_screen_is_done_there_or_says_why_it_cannot_be(studio: str) -> None:
    async with opened(studio) as pilot:
        await choose(pilot, "shelf: open")
        assert pilot.app.current_mode == "shelf"
        assert "select another one first" in seen(pilot.app)
        await press(pilot, "1")
        await choose(pilot, "shelf: receive")
        assert pilot.app.current_mode == "shelf"
        assert "Receive a delivery" in seen(pilot.app)
        await press(pilot, "escape", "escape", "1")
        await choose(pilot, "records: new")
        assert "A new product" in seen(pilot.app)


RECORDS = [
    ("steel cab", "Places", "Steel cabinet"),
    ("mole", "Suppliers", "Mole & Daughters"),
    ("ferry mod", "Jobs", "Ferry model"),
    ("tar black rec", "Products", "Tar Black"),
    ("chance to run", "Studio", "Chance to run dry"),
    ("67-64-1", "Substances", "acetone"),
]


@pytest.mark.deepens
async def test_record_is_found_and_the_hand_is_on_it(studio: str, request: pytest.FixtureRequest) -> None:
    async with opened(studio) as pilot:
        for letters, drawer, shown in some(request.config, RECORDS, 3):
            await press(pilot, "1")
            await choose(pilot, letters)
            assert pilot.app.current_mode == "records"
            text = seen(pilot.app).splitlines()
            assert drawer in text[2]
            assert any(f"▐ {shown} ▌" in line for line in text)


async def test_names_from_people_are_no_markup_in_the_palette(studio: str) -> None:
    places.add("Shelf [/] [red]")
    jobs.add("[@click=app.quit]Out[/]", date(2026, 3, 1))
    async with opened(studio) as pilot:
        assert "Shelf [/] [red], place" in await find(pilot, "shelf [/]")
        await press(pilot, "escape", "escape")
        assert "[@click=app.quit]Out[/], job" in await find(pilot, "click")


async def test_palette_asked_for_while_another_screen_comes_to_the_front_is_left(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7")
        pilot.app.action_command_palette()
        pilot.app.switch_mode("cautions")  # as by a click that was on its way
        await settle(pilot)
        assert pilot.app.current_mode == "cautions"
        assert len(pilot.app.screen_stack) == 1
        await press(pilot, "7")
        assert type(pilot.app.screen).__name__ == "RecordsScreen"
        assert len(pilot.app.screen_stack) == 1
        assert "gull" in (await find(pilot, "gull")).casefold()
