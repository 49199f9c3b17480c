"""A mistake taken back in the Logbook; a refusal with its reason is in `test_costs_and_emissions.py`."""

from tests.tui.driving import holds, opened, press, seen, settle, write

BLUE, REDUCER = 1, 17


async def test_undo_asks_gives_both_bottles_back_and_undone_itself_does_it_again(studio: str) -> None:
    before = holds(BLUE), holds(REDUCER)
    async with opened(studio) as pilot:
        await press(pilot, "6")
        assert "Harbour Blue 8 ml" in seen(pilot.app)
        await press(pilot, "k", "k")
        assert "wash: 10 entries" in seen(pilot.app)
        await press(pilot, "escape")
        assert "everything" in seen(pilot.app)
        await press(pilot, "home", "u")
        assert "Take it back" in seen(pilot.app)
        assert (holds(BLUE), holds(REDUCER)) == before  # asked is not done
        await press(pilot, "escape")
        assert (holds(BLUE), holds(REDUCER)) == before
        await press(pilot, "u", "enter")
        assert (holds(BLUE), holds(REDUCER)) == (before[0] + 8_000, before[1] + 1_600)
        assert "taken back: Harbour Blue" in seen(pilot.app)
        await press(pilot, "home", "u")
        assert "Do it again" in seen(pilot.app)
        await press(pilot, "enter")
        assert (holds(BLUE), holds(REDUCER)) == before

        await press(pilot, "slash")
        await write(pilot, "copper")
        assert "everything: 2 entries" in seen(pilot.app)
        await press(pilot, "enter", "s")
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
        assert "Copper Pearl" in seen(pilot.app)
    assert (holds(BLUE), holds(REDUCER)) == before
