"""Part 5 of the job: washed out, and what is left kept in a jar, used, or thrown away."""

import pytest

from stock.bench import mixes
from stock.logbook.proof import prove
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on, take

CLEANER = 20


def jars():
    with connection():
        return [view for view in on_shelf() if view.left_of is not None]


def newest() -> mixes.MixView:
    with connection():
        return mixes.open_mixes()[0]


async def test_by_keys_kept_used_and_the_rest_thrown_away(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "3", "escape", "c", "tab")
        await write(pilot, "3 ml")
        await press(pilot, "tab", "up")  # keep stands before throw
        assert pilot.app.screen.query_one("#keep").text == "keep"
        await press(pilot, "enter")
        (jar,) = jars()
        assert jar.on_hand_ul == 3_000
        await press(pilot, "i")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await settle(pilot)
        await press(pilot, "f9")
        await write(pilot, "2 ml")
        await settle(pilot)
        await press(pilot, "f8")
        (jar,) = jars()
        assert jar.on_hand_ul == 1_000
        await press(pilot, "2")
        pilot.app.screen.take(jar.id)
        await press(pilot, "d", "enter")
        (jar,) = jars()
        assert jar.state == "discarded"
    with connection():
        assert not prove().problems


async def test_f9_goes_from_jar_to_jar_and_a_wash_says_first_what_the_cleaner_does(studio: str) -> None:
    from stock.bench.closing import Ending, close
    from stock.bench.mixing import MixRequest, book_mix
    from stock.shelf import products

    with connection():
        products.change("Wash Down", {"not_with": ["Harbour Blue"]})
        for _ in range(2):
            made = book_mix(MixRequest(parts=(("Harbour Blue", 2_000),)), judge=False)
            close(made["mix"], Ending("good", left_ul=1_500, keep=True))
    first, second = (str(jar.id) for jar in jars())
    async with opened(studio) as pilot:
        await press(pilot, "3", "escape", "w")
        shown = str(pilot.app.screen.query_one("#will").render())
        assert "Harbour Blue" in shown
        assert "`ullage" not in shown
        assert holds(CLEANER) == 150_000
        await write(pilot, "5 ml")
        await press(pilot, "enter")
        await settle(pilot)
        assert "This wash-out is stopped" in seen(pilot.app)
        await press(pilot, "escape")
        await press(pilot, "enter")
        await settle(pilot)
        stops = pilot.app.screen._stops
        for number, stop in enumerate(stops):
            pilot.app.screen.query_one(f"#code-{number} Input").value = stop.code
        assert holds(CLEANER) == 150_000
        await press(pilot, "enter")
        await settle(pilot)
        assert holds(CLEANER) == 145_000
        await press(pilot, "i")
        await write(pilot, "harb")
        await press(pilot, "enter")
        form = pilot.app.screen.query_one("#form")
        taken = []
        for _ in range(2):
            await press(pilot, "f9")
            taken.append(form.field("bottles").text)
            form.field("paint-0").text = "Harbour Blue"
            await settle(pilot)
        assert sorted(taken) == sorted([first, second])


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_kept_and_washed_out(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_on(pilot, "3 Bench")
        await pilot.click("#open", offset=(5, 1))
        await settle(pilot)
        await click_key(pilot, "Close")
        await take(pilot, "left", "3 ml")
        await take(pilot, "keep", "keep")
        await click_on(pilot, "Close it")
        (jar,) = jars()
        assert jar.on_hand_ul == 3_000
        await click_key(pilot, "Wash")
        await take(pilot, "cleaner", "Wash Down")
        await take(pilot, "amount", "15 ml")
        await click_on(pilot, "Book it", last=True)
    assert holds(CLEANER) == 135_000
