"""Part 4 of the job: what worked is written down, and the next mix of that colour starts there."""

import pytest

from stock.bench import mixes, recipes
from stock.store.connection import connection
from tests.tui.driving import opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on, take


def newest() -> mixes.MixView:
    with connection():
        return mixes.open_mixes()[0]


async def test_by_keys_recipes_a_past_mix_again_and_where_the_next_one_starts(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "3", "escape", "r")
        await write(pilot, "Ferry hull")
        await press(pilot, "enter")
        assert "Recipe Ferry hull" in seen(pilot.app)
        await press(pilot, "6", "n")
        await write(pilot, "Ferry hull")
        await press(pilot, "enter")
        assert "already" in seen(pilot.app)  # and what was typed stays
        assert pilot.app.screen.query_one("#name").text == "Ferry hull"
        await write(pilot, " again")
        await press(pilot, "enter")
        with connection():
            assert {one.name for one in recipes.everything()} == {"Ferry hull", "Ferry hull again"}

        await press(pilot, "x")
        assert pilot.app.current_mode == "bench"
        form = pilot.app.screen.query_one("#form")
        assert (form.field("paint-0").text, form.field("amount-0").text) == ("Harbour Blue", "8 ml")
        assert form.field("needle").text == "0.35"
        for field in ("paint-0", "amount-0", "needle", "reduce", "reducer"):
            form.field(field).text = ""
        await settle(pilot)

        await press(pilot, "escape", "g", "i")  # the open mix of 20 % sprayed right
        await write(pilot, "harb")
        await press(pilot, "enter")
        assert "Learnt from" in " ".join(seen(pilot.app).split())

        number = newest().id
        await press(pilot, "escape", "c")
        await write(pilot, "thin")
        for field, text in (
            ("needle", "0.3"),
            ("pressure", "1.4 bar"),
            ("warmth", "22C"),
            ("humidity", "50%"),
            ("note", "a hair too wet"),
        ):
            pilot.app.screen.query_one(f"#{field}").text = text
        await press(pilot, "enter")
    with connection():
        closed = mixes.mix(number).closed
    assert closed is not None
    assert (closed.outcome, closed.needle_um, closed.room_mc, closed.humidity_milli) == (
        "thin",
        300,
        22_000,
        50_000,
    )


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_a_close_with_its_settings(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_on(pilot, "3 Bench")
        await pilot.click("#open", offset=(5, 1))
        await settle(pilot)
        number = pilot.app.screen.query_one("#open").item.id
        await click_key(pilot, "Close")
        await take(pilot, "outcome", "thick")
        await take(pilot, "needle", "0.4")
        await take(pilot, "pressure", "1.5 bar")
        await take(pilot, "warmth", "21C")
        await click_on(pilot, "Close it")
    with connection():
        closed = mixes.mix(number).closed
    assert closed is not None
    assert (closed.outcome, closed.needle_um, closed.room_mc) == ("thick", 400, 21_000)
