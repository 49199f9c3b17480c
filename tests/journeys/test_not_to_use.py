"""Part 8 of the job: what is too old, frozen or unsafe together is seen, and a key does something about it."""

import pytest

from stock.cautions.choices import chosen
from stock.store.connection import connection
from tests.journeys.test_cautions_screen import address, cautions, listed, said, to, type_in  # noqa: F401
from tests.tui.driving import opened, press, seen
from tests.tui.mouse import click_key, click_on, take
from tui.cautions.screen import CautionsScreen

AT = (140, 45)


async def test_by_mouse_an_old_bottle_is_thrown_away(address: str) -> None:  # noqa: F811
    async with opened(address, AT) as pilot:
        await click_on(pilot, "5 Cautions")
        assert isinstance(pilot.app.screen, CautionsScreen)
        assert pilot.app.screen.in_hand.code == "past-best-before"
        await click_key(pilot, "Discard")
        await take(pilot, "reason", "too old")
        await click_on(pilot, "Throw it away")
        assert "past-best-before" not in listed(pilot.app.screen)


async def test_by_keys_a_rule_is_taken_more_gravely_and_back(address: str) -> None:  # noqa: F811
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "flammable")
        assert screen.in_hand.severity == "warn"
        await press(pilot, "h", "enter")
        assert pilot.app.screen is not screen  # no reason was given
        await type_in(pilot, "reason", "children come in")
        await press(pilot, "enter")
        assert next(one for one in screen.books.findings if one.code == "flammable").severity == "stop"
        await press(pilot, "y", "r")
        await type_in(pilot, "reason", "they have moved out")
        await press(pilot, "enter", "escape")
        assert next(one for one in screen.books.findings if one.code == "flammable").severity == "warn"
    with connection():
        assert [(one.choice, one.reason) for one in chosen()] == [
            ("default", "they have moved out"), ("tighten", "children come in"),
        ]  # fmt: skip


async def test_by_keys_a_silenced_rule_is_heard_again(address: str) -> None:  # noqa: F811
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "flammable")
        await press(pilot, "z")
        assert "`ullage" not in seen(pilot.app)
        await type_in(pilot, "reason", "steel cabinet")
        await press(pilot, "enter")
        assert "flammable" not in listed(screen)
        await press(pilot, "y")
        assert "steel cabinet" in seen(pilot.app)
        await press(pilot, "r")
        await type_in(pilot, "reason", "a new cabinet")
        await press(pilot, "enter", "escape")
        assert "flammable" in listed(screen)


async def test_the_record_of_what_it_is_about_opens(address: str) -> None:  # noqa: F811
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "past-best-before")
        await press(pilot, "p")
        assert pilot.app.current_mode == "records"
        assert "Sand [matt]" in seen(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_no_screen_tells_a_command_where_a_key_does_it(address: str, size: tuple[int, int]) -> None:  # noqa: F811
    async with opened(address, size) as pilot:
        for screen in "1234567":
            await press(pilot, screen)
            assert "`ullage" not in seen(pilot.app)
            if screen == "5":
                for code in dict.fromkeys(listed(pilot.app.screen)):
                    await to(pilot, pilot.app.screen, code)
                    assert "`ullage" not in said(pilot.app.screen)
            if screen == "2":
                await press(pilot, "enter")
                assert "`ullage" not in seen(pilot.app)
                await press(pilot, "escape")
            if screen == "3":
                await press(pilot, "escape")
