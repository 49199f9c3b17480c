"""Part 2 of the job: how much for the job, which reducer, where to start, how far, in what steps, before booking."""

import pytest

from stock.bench import recipes
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on, take

BLUE = 1


async def worked_out(pilot) -> None:
    await settle(pilot)


async def test_by_keys_an_area_becomes_an_amount_and_scales_several_paints(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter", "f10")
        await write(pilot, "20x20 cm")
        await press(pilot, "tab")
        await write(pilot, "25um")
        await press(pilot, "tab")
        await write(pilot, "50%")
        await press(pilot, "tab", "tab")
        await write(pilot, "20%")
        # 0.04 m2 of 25 um at 50 % solids and half of it landing: 4 ml of paint, and a fifth of that reducer
        assert "4 ml paint and 0.8 ml reducer" in seen(pilot.app)
        await press(pilot, "enter")
        await worked_out(pilot)
        form = pilot.app.screen.query_one("#form")
        assert (form.field("amount-0").text, form.field("reduce").text) == ("4 ml", "20%")
        assert "4.8 ml = 4 paint + 0.8 reducer" in seen(pilot.app)

        await press(pilot, "f7")  # two paints, and the area says what is wanted in all
        for field, text in (("paint-0", "Harbour Blue"), ("amount-0", "3 ml"), ("paint-1", "Gull White"),
                            ("amount-1", "1 ml"), ("reduce", "")):  # fmt: skip
            form.field(field).text = text
        await press(pilot, "f10")
        for field, text in (("area", "20x20 cm"), ("film", "25um"), ("solids", "50%")):
            pilot.app.screen.query_one(f"#{field}").text = text
        await press(pilot, "enter")
        await worked_out(pilot)
        assert "4 ml = 4 paint" in seen(pilot.app)
        plan = pilot.app.screen._plan
        assert [(pour.product, pour.volume_ul) for pour in plan.pours] == [
            ("Harbour Blue", 3_000), ("Gull White", 1_000),
        ]  # fmt: skip
    assert holds(BLUE) == before


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_a_mix_is_planned_and_left_and_a_recipe_mixed_at_the_size_wanted(studio: str) -> None:
    with connection():
        recipes.add("Deep sea", [("Harbour Blue", 3_000), ("Eddy", 1_000)])
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await click_on(pilot, "3 Bench")
        await take(pilot, "paint-0", "Harbour Blue")
        await take(pilot, "amount-0", "5 ml")
        await take(pilot, "needle", "0.35")
        await take(pilot, "reduce", "20%")
        await worked_out(pilot)
        text = seen(pilot.app)
        assert "Start" in text
        assert "6 ml = 5 paint + 1 reducer" in text
        await click_key(pilot, "Area")
        await take(pilot, "area", "10x10 cm")
        await take(pilot, "film", "25um")
        await take(pilot, "solids", "50%")
        await click_on(pilot, "Fill in the form")
        await worked_out(pilot)
        assert pilot.app.screen.query_one("#form").field("amount-0").text == "1 ml"
        await click_on(pilot, "1 Today") if "1 Today" in seen(pilot.app) else await click_on(
            pilot, "F1 Today"
        )
        assert holds(BLUE) == before

        await click_on(pilot, "3 Bench")
        form = pilot.app.screen.query_one("#form")
        for field in ("paint-0", "amount-0", "needle", "reduce"):
            form.field(field).text = ""
        await worked_out(pilot)
        await take(pilot, "paint-0", "recipe: Deep sea")
        await take(pilot, "amount-0", "8 ml")
        await worked_out(pilot)
        await click_on(pilot, "F8  Book")
        await settle(pilot)
    assert holds(BLUE) == before - 6_000
