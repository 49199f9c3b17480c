"""From no books at all to a first mix that starts where the label's sheet says: by keys, without the command line."""

from pathlib import Path

from tests.journeys.test_products import fill, focused, tab_to
from tests.tui.driving import holds, opened, press, seen, settle, write
from tui.widgets.fields import Field


async def test_from_no_books_to_a_first_mix(tmp_path: Path, fixed_day: None) -> None:
    address = tmp_path / "books" / "studio.ullage"
    async with opened(str(address)) as pilot:
        assert "There are no books yet" in seen(pilot.app)
        await press(pilot, "enter")
        assert "The studio's name is empty" in seen(pilot.app)
        assert not address.exists()
        await write(pilot, "Lantern Yard")
        await press(pilot, "enter")
        assert address.exists()
        assert "Lantern Yard" in seen(pilot.app)
        assert "Your first bottle" in seen(pilot.app)
        await write(pilot, "Heron Grey")
        assert "A new product" in seen(pilot.app)
        await fill(pilot, "size", "60 ml")
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
        assert "Heron Grey" in seen(pilot.app)
        assert "sealed" in seen(pilot.app)
        assert holds(1) == 60_000

        await press(pilot, "r")
        pilot.app.screen.query_one("#product", Field).text = ""
        await write(pilot, "River Thinner")
        await fill(pilot, "size", "120 ml")
        await tab_to(pilot, "role")
        pilot.app.screen.query_one("#role", Field).text = "reducer"
        await press(pilot, "enter")
        await settle(pilot)

        await press(pilot, "7", "slash")
        await write(pilot, "heron")
        await press(pilot, "enter", "e")
        await tab_to(pilot, "How it thins")
        await press(pilot, "enter")
        await fill(pilot, "usual_reducer", "river")
        await press(pilot, "enter")
        await press(pilot, "s", "n")
        await fill(pilot, "revised", "2026-01-10")
        await tab_to(pilot, "add")
        await press(pilot, "enter")
        await fill(pilot, "low", "20%")
        await press(pilot, "enter")
        await tab_to(pilot, "source")
        await press(pilot, "enter", "escape", "x")
        assert pilot.app.current_mode == "bench"
        assert focused(pilot) == "amount-0"
        await write(pilot, "5 ml")
        await tab_to(pilot, "reduce")
        await press(pilot, "enter")  # takes the advised start
        await write(pilot, "")
        assert "6 ml = 5 paint + 1 reducer" in seen(pilot.app)
        await press(pilot, "f8")
        await settle(pilot)
    assert holds(1) == 55_000
    assert holds(2) == 119_000
