"""Part 7 of the job: deliveries come in, the shelf is counted, and the books agree with the bottles."""

from fractions import Fraction

import pytest

from stock.logbook.history import Filter, entries
from stock.logbook.proof import prove
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on, take, wheel
from tui.shelf.screen import ShelfScreen

WHITE, GREEN = 4, 10


def newest(many: int):
    with connection():
        return sorted(on_shelf(), key=lambda view: view.id)[-many:]


def adds_up() -> bool:
    with connection():
        return not prove().problems


async def test_by_keys_several_products_and_sizes_come_as_one_delivery(studio: str) -> None:
    with connection():
        before = len(on_shelf())
    async with opened(studio) as pilot:
        await press(pilot, "2", "r")
        await write(pilot, "harb")
        await press(pilot, "enter", "tab")  # the size on record stands already
        await write(pilot, "2")
        await press(pilot, "f7")
        assert "2 × 60 ml" in seen(pilot.app)
        await write(pilot, "tidal")  # a product that is new here
        await press(pilot, "tab")
        await write(pilot, "45 ml")
        await press(pilot, "f7")
        await write(pilot, "gull")
        await press(pilot, "enter")
        await write(pilot, "480 ml")  # a size of its own
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, ShelfScreen)
    came = newest(4)
    assert [(view.product, view.size_ul) for view in came] == [
        ("Harbour Blue", 60_000), ("Harbour Blue", 60_000), ("tidal", 45_000), ("Gull White", 480_000),
    ]  # fmt: skip
    with connection():
        assert len(on_shelf()) == before + 4
        (entry,) = entries(Filter(kind="delivery"), limit=1)
    assert len(entry.lines) == 4  # one booking, whole
    assert adds_up()


async def test_a_line_is_corrected_one_left_out_and_a_bad_one_stays_with_its_reason(studio: str) -> None:
    with connection():
        before = len(on_shelf())
    async with opened(studio) as pilot:
        await press(pilot, "2", "r")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "5 apples")
        await press(pilot, "f7")
        assert "apples" in seen(pilot.app)
        assert not pilot.app.screen.lines
        await press(pilot, "enter")
        size = pilot.app.screen.query_one("#size")
        assert size.text == "5 apples"
        size.text = "60 ml"
        await press(pilot, "f7")
        await write(pilot, "gull")
        await press(pilot, "enter", "f7")
        lines = pilot.app.screen.lines
        assert [line.name for line in lines] == ["Harbour Blue", "Gull White"]
        await press(pilot, "f9")  # the newest goes back into the fields
        assert pilot.app.screen.query_one("#product").text == "Gull White"
        await press(pilot, "tab", "tab")
        await write(pilot, "3")
        await press(pilot, "f7")
        assert [line.came["count"] for line in pilot.app.screen.lines] == [1, 3]
        await press(pilot, "shift+tab", "home", "delete")
        assert [line.name for line in pilot.app.screen.lines] == ["Gull White"]
        dialog = pilot.app.screen
        await press(pilot, "escape")
        assert pilot.app.screen is not dialog
        assert "kept as a draft" in " ".join(seen(pilot.app).replace("▌", "").split())
        await press(pilot, "r")  # what was entered isn't dropped: it is there again
        await settle(pilot)
        assert [line.name for line in pilot.app.screen.lines] == ["Gull White"]
        await press(pilot, "ctrl+t", "escape")
        await press(pilot, "r")
        await settle(pilot)
        assert pilot.app.screen.lines == []
        await press(pilot, "escape")
        assert not pilot.app.screen.is_modal
    with connection():
        assert len(on_shelf()) == before


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_a_delivery_comes_in(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_on(pilot, "2 Shelf")
        await click_key(pilot, "Receive")
        await take(pilot, "product", "Kelp Green")
        await take(pilot, "many", "3")
        await click_on(pilot, "F7  Another bottle")
        await take(pilot, "product", "Tar Black")
        await take(pilot, "size", "240 ml")
        await take(pilot, "place", "Steel cabinet")
        await click_on(pilot, "Put on the shelf")
        assert isinstance(pilot.app.screen, ShelfScreen)
    came = newest(4)
    assert [view.product for view in came] == ["Kelp Green"] * 3 + ["Tar Black"]
    assert {view.place for view in came} == {"Steel cabinet"}
    assert came[-1].size_ul == 240_000


async def test_by_keys_a_count_by_volume_level_weight_and_what_the_wheel_walks_through(studio: str) -> None:
    from stock.store.models import Bottle

    with connection():
        Bottle.update(tare_mg=20_000).where(Bottle.id == WHITE).execute()
    by_weight = round(Fraction(64_800) / Fraction("1.08"))  # 64.8 g of paint at 1.08 g/ml
    async with opened(studio) as pilot:
        await press(pilot, "2", "c")
        field = pilot.app.screen.query_one("#level")
        await pilot.click(field.input)
        await wheel(pilot, field.input, 3)
        assert field.text == "5/8"
        await wheel(pilot, field.input, -1)
        assert field.text == "3/4"
        await press(pilot, "down", "down")
        assert field.text == "1/2"
        await press(pilot, "escape")
        for tabs, text, found_ul in ((0, "41 ml", 41_000), (2, "1/2", 60_000), (1, "84.8 g", by_weight)):
            pilot.app.screen.take(WHITE)
            await press(pilot, "c", *["tab"] * tabs)
            await write(pilot, text)
            await press(pilot, "enter")
            assert "Counted" in seen(pilot.app)
            pilot.app.clear_notifications()
            assert holds(WHITE) == found_ul
    assert adds_up()


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_a_bottle_is_counted_moved_decanted_and_discarded(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await click_on(pilot, "2 Shelf")
        await click_on(pilot, "Kelp")
        assert pilot.app.screen.in_hand.view.product == "Kelp Green"
        number = pilot.app.screen.in_hand.view.id
        await click_key(pilot, "Count")
        await take(pilot, "level", "1/2")
        await click_on(pilot, "Book it", last=True)
        assert holds(number) == 15_000
        await click_key(pilot, "Move")
        await take(pilot, "place", "Steel cabinet")
        await click_on(pilot, "Book it", last=True)
        await click_key(pilot, "Decant")
        await take(pilot, "amount", "5 ml")
        await click_on(pilot, "Book it", last=True)
        assert holds(number) == 10_000
        pilot.app.screen.take(number)
        await click_key(pilot, "Discard")
        await take(pilot, "reason", "skinned over")
        await click_on(pilot, "Throw it away")
    with connection():
        one = next(view for view in on_shelf() if view.id == number)
        other = max(on_shelf(), key=lambda view: view.id)
    assert (one.state, one.place) == ("discarded", "Steel cabinet")
    assert (other.product, other.on_hand_ul) == ("Kelp Green", 5_000)
    assert adds_up()


async def test_a_part_used_bottle_of_before_the_books_comes_as_it_stands(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2", "r")
        await write(pilot, "harb")
        await press(pilot, "enter")
        for field, text in (("left", "half"), ("opened", "unknown"), ("came", "before the books began")):
            pilot.app.screen.query_one(f"#{field}").text = text
        pilot.app.screen.query_one("#owner").input.focus()
        await write(pilot, "A customer")
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, ShelfScreen)
    [came] = newest(1)
    assert (came.on_hand_ul, came.state, came.opened_on, came.owner) == (30_000, "open", None, "A customer")
    assert came.opening_stock
    assert adds_up()
