"""Taking a spreadsheet in on the screen: what isn't taken is shown, and what can mean two things is asked."""

from pathlib import Path

from stock.exchange.incoming import Wishes, plan
from tests.tui.driving import opened, press, seen, settle
from tui.logbook.incoming import PlanSheet
from tui.widgets.fields import Field


async def test_a_question_stops_the_booking_until_it_is_answered(studio: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.csv"
    path.write_text(
        "My paints;;\nPaint;Size;Price\nHarbour Blue;1.000 ml;7,90\nTotal;;7,90\n", encoding="utf-8"
    )
    async with opened(studio) as pilot:
        shown = PlanSheet(plan(str(path), Wishes()))
        pilot.app.push_screen(shown)
        await settle(pilot)
        text = seen(pilot.app)
        assert "1000 ml or 1 ml" in text
        assert "Taken for a total" in text
        assert shown.check_action("book", ()) is None
        await press(pilot, "c")
        await settle(pilot)
        pilot.app.screen.query_one("#answer-size-1", Field).text = "1000 ml"
        await press(pilot, "enter")
        await settle(pilot)
        assert "whether its rows are bottles" in seen(pilot.app).lower()
        assert shown.check_action("book", ()) is None
        await press(pilot, "c")
        await settle(pilot)
        pilot.app.screen.query_one("#answer-kind-1", Field).text = "stock"
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.screen is shown
        assert "1000 ml or 1 ml" not in seen(pilot.app)
        assert shown.check_action("book", ()) is True
