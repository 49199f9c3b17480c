"""Part 3 of the job: mixed and thinned step by step until it sprays right, every millilitre off its bottle."""

import pytest

from stock.bench import mixes
from stock.logbook.proof import prove
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, settle, write
from tests.tui.mouse import click_key, click_on, take

BLUE, REDUCER = 1, 17


def newest() -> mixes.MixView:
    with connection():
        return mixes.open_mixes()[0]


async def worked_out(pilot) -> None:
    await settle(pilot)


async def test_by_keys_from_the_paint_to_good(studio: str) -> None:
    before = holds(BLUE), holds(REDUCER)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "4 ml")
        await press(pilot, "enter", "enter")
        await write(pilot, "10%")
        await press(pilot, "f8")
        number = newest().id
        await press(pilot, "S")
        await write(pilot, "5%")
        await press(pilot, "enter", "g")
    with connection():
        made = mixes.mix(number)
        assert made.closed is not None
        assert made.closed.outcome == "good"
        assert not prove().problems
    assert (holds(BLUE), holds(REDUCER)) == (before[0] - 4_000, before[1] - 600)


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_the_same_and_a_mix_brought_back_and_then_taken_back(studio: str) -> None:
    before = holds(BLUE), holds(REDUCER)
    async with opened(studio) as pilot:
        await click_on(pilot, "3 Bench")
        await take(pilot, "paint-0", "Harbour Blue")
        await take(pilot, "amount-0", "4 ml")
        await take(pilot, "reduce", "10%")
        await worked_out(pilot)
        await click_on(pilot, "F8  Book")
        await settle(pilot)
        number = newest().id
        await click_key(pilot, "Other step")
        await take(pilot, "points", "5%")
        await click_on(pilot, "Add it")
        await click_key(pilot, "Good")
        with connection():
            made = mixes.mix(number)
            assert made.closed is not None
            assert not prove().problems
        closed = holds(BLUE), holds(REDUCER)
        assert closed == (before[0] - 4_000, before[1] - 600)

        await press(pilot, "i")
        await take(pilot, "paint-0", "Harbour Blue")
        await take(pilot, "amount-0", "4 ml")
        await take(pilot, "reduce", "40%")
        await worked_out(pilot)
        await click_on(pilot, "F8  Book")
        await settle(pilot)
        await click_key(pilot, "Too thin")
        await take(pilot, "target", "30%")
        await click_on(pilot, "Add the paint")
        assert round(newest().reduction.percent_of_paint) == 30
        await click_key(pilot, "Undo")
        await click_on(pilot, "Take it back", last=True)
        assert (holds(BLUE), holds(REDUCER)) == closed
