"""A mistake taken back in the Logbook, and a refusal shown with its reason."""

from tests.tui.driving import holds, opened, press, seen, settle, write

BLUE, REDUCER = 1, 17


async def test_undo_asks_and_gives_both_bottles_back(studio: str) -> None:
    before = holds(BLUE), holds(REDUCER)
    async with opened(studio) as pilot:
        await press(pilot, "6")
        assert "Harbour Blue 8 ml" in seen(pilot.app)
        await press(pilot, "u")
        assert "Take it back" in seen(pilot.app)
        assert (holds(BLUE), holds(REDUCER)) == before  # asked is not done
        await press(pilot, "escape")
        assert (holds(BLUE), holds(REDUCER)) == before
        await press(pilot, "u", "enter")
        assert (holds(BLUE), holds(REDUCER)) == (before[0] + 8_000, before[1] + 1_600)
        assert "taken back: Harbour Blue" in seen(pilot.app)


async def test_undo_of_the_undo_does_it_again(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "6", "u", "enter", "home")
        assert holds(BLUE) == before + 8_000
        await press(pilot, "u")
        assert "Do it again" in seen(pilot.app)
        await press(pilot, "enter")
    assert holds(BLUE) == before


async def test_refusal_says_what_stands_on_it_and_changes_nothing(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "6", "slash")
        await write(pilot, "harbour")
        await press(pilot, "enter", "end", "u", "enter")  # the delivery of all three bottles
        text = seen(pilot.app)
        assert "was used since" in text
        assert "Undo " in text
        await press(pilot, "escape")
    assert holds(BLUE) == before


async def test_only_one_kind_and_only_one_product(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "6", "k", "k")
        assert "wash: 10 entries" in seen(pilot.app)
        await press(pilot, "escape")
        assert "everything" in seen(pilot.app)
        await press(pilot, "slash")
        await write(pilot, "copper")
        assert "everything: 2 entries" in seen(pilot.app)
        await press(pilot, "enter", "s")
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
        assert "Copper Pearl" in seen(pilot.app)
