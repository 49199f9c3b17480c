"""Part 9 of the job: flammable stock stays within what the place may hold, and what the air needs is told."""

import pytest

from stock.shelf import deliveries
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.journeys.test_cautions_screen import address, cautions, listed, to  # noqa: F401
from tests.tui.driving import opened, press, seen, settle
from tests.tui.mouse import click_key, click_on


def standing() -> list[str]:
    """Where the bottles of the flammable reducer stand."""
    with connection():
        return sorted(str(view.place) for view in on_shelf() if view.product == "Swift Reducer")


async def test_by_keys_everything_is_carried_where_it_fits(address: str) -> None:  # noqa: F811
    async with cautions(address) as (pilot, screen):
        assert "frost" in listed(screen)
        await press(pilot, "w")
        text = seen(pilot.app)
        assert "Garage → Steel cabinet" in text
        assert standing() == ["Garage"]  # shown is not booked
        await press(pilot, "enter")
        assert "frost" not in listed(screen)
    assert standing() == ["Steel cabinet"]


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_what_stands_wrong_is_carried_out_and_everything_where_it_fits(address: str) -> None:  # noqa: F811
    async with opened(address, (140, 45)) as pilot:
        await click_on(pilot, "5 Cautions")
        screen = pilot.app.screen
        await to(pilot, screen, "frost")
        await click_key(pilot, "Move")  # a finding about a place shows what to carry out of it
        await click_on(pilot, "Enter  I moved")
        assert "frost" not in listed(screen)
        assert standing() == ["Steel cabinet"]
        with connection():
            deliveries.receive("Swift Reducer", 120_000, place="Garage")
        await press(pilot, "1", "5")
        await click_key(pilot, "All moves")
        await click_on(pilot, "Enter  I moved")
    assert standing() == ["Steel cabinet", "Steel cabinet"]


async def test_what_the_air_needs_stands_beside_a_mix_before_it_is_booked(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "3")
        form = pilot.app.screen.query_one("#form")
        for field, text in (
            ("paint-0", "Harbour Blue"),
            ("amount-0", "4 ml"),
            ("reduce", "20%"),
            ("reducer", "Swift"),
        ):
            form.field(field).text = text
        await settle(pilot)
        await press(pilot, "pagedown")
        plan = pilot.app.screen._plan
        assert any(one.code.startswith("air") for one in plan.cautions)
        assert "`ullage" not in seen(pilot.app)
