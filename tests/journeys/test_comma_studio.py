"""A studio that writes a decimal comma and the day first: on the Bench, on the Records and at the shell."""

import csv
import datetime as dt
import io
import json
from pathlib import Path

import pytest

from stock import api
from stock.cli.main import main
from stock.shelf import studio as of_studio
from stock.store.settings import settings
from tests.journeys.test_settings import to_row
from tests.tui.driving import holds, opened, press, seen, settle, write
from tui.widgets.fields import Field

BLUE = 1


@pytest.fixture(autouse=True)
def _as_it_was(address: str) -> object:
    """Later tests that open no books find the notation of none; the books are still there then."""
    del address
    yield
    of_studio.change(decimal_mark="point", date_order="iso")


@pytest.fixture
def comma(studio: str) -> str:
    of_studio.change(decimal_mark="comma", date_order="day-first")
    return studio


async def test_a_mix_is_typed_shown_kept_as_a_draft_and_booked_with_commas(
    comma: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    before = holds(BLUE)
    async with opened(comma) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "1.500 ml")
        await press(pilot, "f8")
        shown = seen(pilot.app)
        assert (
            "The amount '1.500 ml' could be two" in shown and "figures. Write 1,5 ml, or 1500 ml for" in shown
        )
        assert holds(BLUE) == before
        pilot.app.screen.query_one("#amount-0", Field).text = "4,5 ml"
        pilot.app.screen.query_one("#form").field("reduce").text = "12,5%"
        await settle(pilot)
        text = seen(pilot.app)
        assert "4,5" in text and "0,56" in text and "4.5" not in text and "0.56" not in text
    async with opened(comma) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        assert pilot.app.screen.query_one("#amount-0", Field).text == "4,5 ml"
        await press(pilot, "f8")
        assert holds(BLUE) == before - 4_500
        await settle(pilot)
        assert "12,5 %" in seen(pilot.app) or "12,4 %" in seen(pilot.app)


async def test_the_records_set_it_and_every_screen_follows_at_once(studio: str) -> None:
    async with opened(studio) as pilot:
        for row, word in (("decimal mark", "comma"), ("dates", "day-first")):
            await to_row(pilot, row)
            await press(pilot, "enter")
            pilot.app.screen.query_one("#value", Field).text = word
            await press(pilot, "enter")
        assert (settings().decimal_mark, settings().date_order) == ("comma", "day-first")
        await to_row(pilot, "waste")
        await press(pilot, "enter")
        field = pilot.app.screen.query_one("#value", Field)
        field.text = "11/27/2025"
        await press(pilot, "enter")
        assert "has month 27, read with the day first" in " ".join(seen(pilot.app).replace("│", " ").split())
        field.text = "27.11.2025"
        await press(pilot, "enter")
        assert settings().waste_collected_on == dt.date(2025, 11, 27)
        assert "27.11.2025" in seen(pilot.app)


def test_the_shell_reads_and_shows_it_and_what_machines_read_stays(
    books: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    of_studio.change(decimal_mark="comma", date_order="day-first")

    def said(*line: str) -> str:
        capsys.readouterr()
        assert main(["--studio", books, *line]) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    said("product", "add", "Slow Thinner", "--role", "reducer", "--size", "120ml", "--density", "0,9")
    said(
        "product",
        "add",
        "Quay Blue",
        "--role",
        "paint",
        "--price",
        "60ml=7,90",
        "--usual-reducer",
        "Slow Thinner",
    )
    said("receive", "Slow Thinner", "120ml")
    said("receive", "Quay Blue", "60ml", "--best-before", "27.11.2030")
    shown = said("mix", "Quay Blue=8,5ml", "--reduce", "12,5%")
    assert "paint 8,5 ml, reducer 1,1 ml, total 9,6 ml" in shown and "8.5" not in shown
    shelf = said("shelf")
    assert "51,5 ml" in shelf and "27.11.2030" in shelf and "2030-11-27" not in shelf
    assert "7,90 EUR" in said("product", "show", "Quay Blue")
    assert "14,78" not in said("valuation")
    assert "6,78" in said("valuation")
    bottle = json.loads(said("shelf", "--json"))["products"][0]["bottles"][0]
    assert (bottle["on_hand_ml"], bottle["best_before"]) == (51.5, "2030-11-27")
    assert json.loads(said("bottle", "count", "2", "51,125ml", "--json"))["on_hand_ml"] == 51.125
    assert json.loads(said("bottle", "count", "2", "50.250ml", "--json"))["on_hand_ml"] == 50.25
    assert main(["--studio", books, "bottle", "count", "2", "50.250ml"]) == 2
    rows = list(csv.DictReader(io.StringIO(said("valuation", "--csv", "-"))))
    assert {row["closing"] for row in rows if row["product"] == "Quay Blue"} == {"6.62"}
    assert all("," not in "".join(map(str, row.values())) for row in rows)
    said("export", str(tmp_path / "folder"))
    bottles = (tmp_path / "folder" / "bottle.csv").read_text()
    assert "2030-11-27" in bottles and "27.11.2030" not in bottles
    page = tmp_path / "page.html"
    said("valuation", "--page", str(page))
    assert "6,62" in page.read_text() and "6.62" not in page.read_text()
    said("forecast", "--calendar", str(tmp_path / "days.ics"))
    assert "20301127" in (tmp_path / "days.ics").read_text()
    mixed = api.open_studio(books).mix({"Quay Blue": "1.125ml"})
    assert mixed["paint_ml"] == 1.125
    with pytest.raises(api.UllageError, match="has a comma"):
        api.open_studio(books).mix({"Quay Blue": "1,5ml"})
