"""Part 8 of the job: what is too old, frozen or unsafe together is seen, and a key does something about it."""

import pytest

from tests.journeys.test_cautions_screen import address, listed, said, to  # noqa: F401
from tests.tui.driving import opened, press, seen
from tests.tui.mouse import click_key, click_on, take
from tui.cautions.screen import CautionsScreen

AT = (140, 45)


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_an_old_bottle_is_thrown_away(address: str) -> None:  # noqa: F811
    async with opened(address, AT) as pilot:
        await click_on(pilot, "5 Cautions")
        assert isinstance(pilot.app.screen, CautionsScreen)
        assert pilot.app.screen.in_hand.code == "past-best-before"
        await click_key(pilot, "Discard")
        await take(pilot, "reason", "too old")
        await click_on(pilot, "Throw it away")
        assert "past-best-before" not in listed(pilot.app.screen)


@pytest.mark.sampled(1)
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
