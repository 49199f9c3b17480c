"""Taking a spreadsheet in on the screen: what isn't taken is shown, and what can mean two things is asked."""

from pathlib import Path

from stock.exchange.incoming import Wishes, plan
from stock.store.connection import connection
from stock.store.models import Bottle
from tests.tui.driving import opened, press, seen, settle
from tui.logbook.incoming_plan import PlanSheet
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


def on_hand() -> list[int]:
    """What every bottle holds, µL."""
    with connection():
        return [left for (left,) in Bottle.select(Bottle.on_hand_ul).order_by(Bottle.id).tuples()]


async def test_a_bad_row_is_mended_a_title_is_taken_and_the_good_rows_go_without_the_bad(
    studio: str, tmp_path: Path
) -> None:
    path = tmp_path / "kept.csv"
    path.write_text(
        "Paint;Size;Left;Price\nGull White;;;\nHarbour Blue;sixty;lots;7,90\nHarbour Blue;30 ml;;\nHarbour Blue;odd;;\n"
        "Total;60 ml;;\n",
        encoding="utf-8",
    )
    async with opened(studio, size=(120, 40)) as pilot:
        shown = PlanSheet(plan(str(path), Wishes()))
        pilot.app.push_screen(shown)
        await settle(pilot)
        text = seen(pilot.app)
        assert "Size: the size 'sixty'" in text
        assert "Left: the left 'lots'" in text
        assert shown.check_action("book", ()) is None

        async def on_line(number: int, *, left_out: bool = False) -> None:
            while shown.item is None or (shown.item.row, shown.item.left_out) != (number, left_out):
                at = shown.item
                await press(pilot, "down")
                assert shown.item is not at, "it is not listed"

        await on_line(3)
        await press(pilot, "e")
        await settle(pilot)
        fields = pilot.app.screen
        assert "the left 'lots'" in seen(pilot.app)
        fields.query_one("#cell-1", Field).text = "60 ml"
        fields.query_one("#cell-2", Field).text = "half"
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.screen is shown
        assert "'sixty'" not in seen(pilot.app)
        await on_line(6, left_out=True)
        await press(pilot, "t")
        await settle(pilot)
        await press(pilot, "enter")
        await settle(pilot)
        assert "No product is called Total" in seen(pilot.app)
        before = on_hand()
        assert shown.check_action("good", ()) is True
        await press(pilot, "g")
        await settle(pilot)
        mend = tmp_path / "mend.csv"
        pilot.app.screen.query_one("#bad-to", Field).text = str(mend)
        await press(pilot, "enter")
        await settle(pilot)
    assert on_hand()[len(before) :] == [30_000, 30_000]
    assert ["odd" in mend.read_text(encoding="utf-8"), "Total" in mend.read_text(encoding="utf-8")] == [
        True,
        True,
    ]


async def test_what_comes_in_is_told_in_all_and_by_product(studio: str, tmp_path: Path) -> None:
    path = tmp_path / "kept.csv"
    path.write_text(
        "Paint,Size,Left,Price\nHarbour Blue,60 ml,half,7.90\nHarbour Blue,60 ml,,\nGull White,30 ml,,2.00\n",
        encoding="utf-8",
    )
    async with opened(studio, size=(120, 40)) as pilot:
        pilot.app.push_screen(PlanSheet(plan(str(path), Wishes())))
        await settle(pilot)
        text = " ".join(seen(pilot.app).replace("│", "").split())
    assert "3 bottles, 120 ml, 9.90 EUR (1 without a price)" in text
    assert "Gull White 1 bottle, 30 ml, 2.00 EUR" in text
