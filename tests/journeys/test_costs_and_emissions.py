"""Part 10 of the job: what a job cost, what a month emitted, where a lot went."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.widgets import Static

from stock.errors import UllageError
from stock.shelf import counts, deliveries, periods
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, seen, write
from tests.tui.mouse import click_key, click_on, take
from tui.logbook.reports import ReportPaper
from tui.logbook.screen import LogbookScreen
from tui.widgets.fields import Field

BLUE = 1


pytestmark = pytest.mark.usefixtures("home")


async def test_by_keys_a_months_costs_a_job_and_a_lot_are_read_printed_and_put_in_files(
    studio: str, home: Path
) -> None:
    with connection():
        deliveries.receive("Harbour Blue", 60_000, lot="L7")
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "6", "r", "enter")
        assert "Value of the stock" in seen(pilot.app)
        for rows, first in (("place", "month,since,until,method,currency,place"), ("kilo", "")):
            await press(pilot, "v")
            pilot.app.screen.query_one("#rows", Field).text = rows
            await press(pilot, "enter")
            if first:
                assert (home / "ullage-value-all.csv").read_text().startswith(first)
        assert "is no row of this table" in " ".join(seen(pilot.app).replace("│", " ").split())
        await press(pilot, "escape")
        for words in ("Purchases", "Stock by place", "Findings", "month by month"):
            await press(pilot, "escape", "down", "enter")
            assert words in seen(pilot.app)
        await press(pilot, "escape", "down", "enter")
        assert isinstance(pilot.app.screen, ReportPaper)
        text = seen(pilot.app)
        assert "Material costs" in text
        assert "Ferry model" in text
        await press(pilot, "v", "enter")
        assert (home / "ullage-costs-2026-03.csv").read_text().startswith("month,record,day,mix")
        assert (home / "datapackage.json").exists()
        await press(pilot, "p", "enter")
        assert "<h1>Material costs</h1>" in (home / "ullage-costs-2026-03.html").read_text()
        await press(pilot, "escape", "down", "enter")
        assert "Emissions of volatile organic compounds" in seen(pilot.app)
        await press(pilot, "escape", "end", "enter")
        assert "Ferry model" in seen(pilot.app)
        await press(pilot, "escape", "t")
        await write(pilot, "L7")
        await press(pilot, "enter")
        assert "Trace of lot L7" in seen(pilot.app)
        await press(pilot, "escape", "t")
        await write(pilot, "L8")
        await press(pilot, "enter")
        refusal = str(pilot.app.screen.query_one("#refusal", Static).content)
        assert "No bottle has the lot 'L8'" in refusal
        assert "`ullage" not in seen(pilot.app)


async def test_a_file_of_somebody_elses_is_asked_about_books_are_never_replaced_and_a_refused_name_stays(
    studio: str, home: Path
) -> None:
    mine = home / "mine.csv"
    mine.write_text("mine")
    async with opened(studio) as pilot:
        await press(pilot, "6", "r", *["down"] * 5, "enter", "v")
        pilot.app.screen.query_one("#path").text = str(mine)
        await press(pilot, "enter")
        asked = pilot.app.screen.query_one("#question", Static)
        assert "mine.csv exists and is not what this wrote before" in str(asked.content)
        await press(pilot, "enter")
        assert mine.read_text() == "mine"
        await press(pilot, "enter", "y")
        assert mine.read_text().startswith("month,record,day,mix")
        assert isinstance(pilot.app.screen, ReportPaper)
        before = Path(studio).stat().st_ino
        await press(pilot, "v")
        pilot.app.screen.query_one("#path").text = studio
        await press(pilot, "enter")
        refusal = pilot.app.screen.query_one("#refusal", Static)
        assert "belongs to the studio's books" in str(refusal.content)
        assert Path(studio).stat().st_ino == before
        pilot.app.screen.query_one("#path").text = str(home / "nowhere" / "costs.csv")
        await press(pilot, "enter")
        assert "can't be written" in seen(pilot.app)
        assert pilot.app.screen.query_one("#path").text.endswith("costs.csv")


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_the_same_figures_and_the_logbook_narrowed_and_an_entry_taken_back(
    studio: str, home: Path
) -> None:
    before = holds(BLUE)
    async with opened(studio, (140, 45)) as pilot:
        await click_on(pilot, "6 Logbook")
        await click_key(pilot, "Figures")
        await click_on(pilot, "2026-03 costs")
        if not isinstance(pilot.app.screen, ReportPaper):
            await click_on(pilot, "2026-03 costs")
        assert "Ferry model" in seen(pilot.app)
        await click_key(pilot, "For a spreadsheet")
        await click_on(pilot, "Write it")
        assert (home / "ullage-costs-2026-03.csv").exists()
        await press(pilot, "escape", "escape")
        assert isinstance(pilot.app.screen, LogbookScreen)
        await click_key(pilot, "Show only")
        await take(pilot, "product", "Harbour Blue")
        await take(pilot, "kind", "mix")
        await click_on(pilot, "Show them")
        assert "mix, Harbour Blue" in seen(pilot.app)
        await click_key(pilot, "Undo")
        await click_on(pilot, "Take it back", last=True)
        assert holds(BLUE) == before + 8_000
        await click_key(pilot, "Show only")
        pilot.app.screen.query_one("#kind").text = ""
        await click_on(pilot, "Show them")
        await click_on(pilot, "undo ")
        await click_key(pilot, "Undo")
        await click_on(pilot, "Do it again", last=True)
    assert holds(BLUE) == before


async def test_by_keys_the_logbook_is_narrowed_by_everything_and_a_refusal_tells_the_key(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "6", "f")
        await write(pilot, "harb")
        await press(pilot, "enter")
        assert "all kinds, harb: 23 entries" in " ".join(seen(pilot.app).split())
        await press(pilot, "f")
        pilot.app.screen.query_one("#kind").text = "mix"
        pilot.app.screen.query_one("#since").text = "2026-03-01"
        pilot.app.screen.query_one("#until").text = "today"
        await press(pilot, "enter")
        assert "1 entry" in seen(pilot.app)
        await press(pilot, "f")
        for field in ("product", "kind", "since", "until"):
            pilot.app.screen.query_one(f"#{field}").text = ""
        pilot.app.screen.query_one("#job").text = "ferry"
        await press(pilot, "enter")
        assert "job ferry: 1 entry" in " ".join(seen(pilot.app).split())
        await press(pilot, "escape")
        assert "everything" in seen(pilot.app)
        await press(pilot, "f")
        await write(pilot, "no such paint")
        await press(pilot, "enter")
        assert "no such paint" in seen(pilot.app)
        assert not isinstance(pilot.app.screen, LogbookScreen)
        await press(pilot, "escape")
        assert "everything" in seen(pilot.app)
        await press(pilot, "slash")
        await write(pilot, "harbour")
        await press(pilot, "enter", "end", "u", "enter")  # the delivery of all three bottles
        text = seen(pilot.app)
        assert "was used since" in text
        assert "u in the Logbook" in " ".join(text.replace("│", " ").split())
        assert "`ullage" not in text
        await press(pilot, "escape")
    assert holds(BLUE) == before


async def fill(pilot, first: str, *more: str) -> None:
    """Write into one field after the other, then book."""
    await write(pilot, first)
    for text in more:
        await press(pilot, "tab")
        await write(pilot, text)
    await press(pilot, "enter")


@pytest.mark.sampled(1)
@pytest.mark.parametrize("size", [(80, 24), (140, 45)])
async def test_by_keys_an_invoice_is_noted_and_tied_and_a_month_closed_and_opened_again(
    studio: str, size
) -> None:
    with connection():
        came = [deliveries.receive("Harbour Blue", 60_000)["delivery"] for _ in range(2)]
    async with opened(studio, size) as pilot:
        await press(pilot, "6", "r", "i", "n")

        await fill(pilot, "R-7", "Paint Depot", "2026-03-02", "84.20", "19", "", str(came[0]))
        shown = seen(pilot.app)
        assert "100.20" in shown
        assert "Paint Depot" in shown
        await press(pilot, "t")
        await write(pilot, str(came[1]))
        await press(pilot, "enter")
        assert f"{came[0]} {came[1]}" in seen(pilot.app)
        await press(pilot, "n")

        await fill(pilot, "R-8", "Paint Depot", "2026-03-02", "1", "19", "9")
        assert "Net and tax make 1.19 EUR, not 9.00 EUR" in seen(pilot.app)

        await press(pilot, "escape", "d", "enter")
        assert "No invoice is noted" in seen(pilot.app)

        await press(pilot, "escape", "c", "c", "enter")
        assert "2026-02-28" in seen(pilot.app)
        with pytest.raises(UllageError, match="closed until 2026-02-28"), connection():
            counts.count("1", 1_000, on=datetime(2026, 2, 20, 9, tzinfo=UTC))

        await press(pilot, "o", "enter")
        assert "2026-02-28" in seen(pilot.app)
        await write(pilot, "late bill")
        await press(pilot, "enter")
        assert "late bill" in seen(pilot.app)
    with connection():
        assert periods.closed_until() is None
