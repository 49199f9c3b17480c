"""A data sheet's PDF, read on the Records: looked at, taken by one key and one by one, booked once."""

from pathlib import Path

from stock.shelf import figure_sources, products, record_texts, sheets
from stock.store.connection import connection
from tests.datasheets.invented import FACTS, Wording, table_with_leaders
from tests.tui.driving import hurry, opened, press, seen, settle, write
from tui.records.sheet_reading import AskSheetFile, BookProposed, ProposedFigures


async def test_a_sheet_is_read_taken_and_booked(studio: str, tmp_path: Path) -> None:
    table_with_leaders(Wording(FACTS[2], "de"), tmp_path / "blatt.pdf")
    with connection():
        products.add({"name": "Quartz clear", "role": "clear"})
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "quartz")
        await press(pilot, "enter", "r")
        assert isinstance(pilot.app.screen, AskSheetFile)
        await write(pilot, str(tmp_path / "nothing.pdf"))
        await press(pilot, "enter")
        await settle(pilot)
        assert "can't be read" in seen(pilot.app)
        assert isinstance(pilot.app.screen, AskSheetFile)
        await hurry(pilot, *["backspace"] * len("nothing.pdf"))
        await write(pilot, "blatt.pdf")
        await press(pilot, "enter")
        await settle(pilot)

        listed = pilot.app.screen
        assert isinstance(listed, ProposedFigures)
        assert "blatt.pdf" in seen(pilot.app)
        assert listed.taken == set()
        await press(pilot, "b")
        assert pilot.app.screen is listed  # nothing is taken, so nothing is booked
        await press(pilot, "a")
        assert {"density", "signal_word", "solvent:67-64-1", "flash_point"} <= listed.taken
        while listed.item is not None and listed.item.id != "voc":
            await press(pilot, "down")
        assert "VOC-Gehalt" in seen(pilot.app)  # the words of the selected figure
        await press(pilot, "space")
        assert "voc" not in listed.taken
        await press(pilot, "b")
        assert isinstance(pilot.app.screen, BookProposed)
        assert "2023-01-02" in seen(pilot.app)
        await press(pilot, "enter")
        await settle(pilot)
        assert "15 figures booked from" in seen(pilot.app)
        await press(pilot, "pagedown", "pagedown")
        await settle(pilot)
        assert "Safety data sheet of" in seen(pilot.app)  # where a figure was read
    with connection():
        texts = record_texts.product("Quartz clear")
        assert (texts["density"], texts["signal_word"], texts["flash_point"]) == (
            "0.98",
            "danger",
            "",
        )  # of a flash point "< 0 °C" only the words are kept
        fields = [each.field for each in figure_sources.of_product(products.find("quartz clear"))]
        assert "density" in fields
        assert "voc" not in fields
        assert len(sheets.listed("quartz clear")) == 1


async def test_a_sheet_is_read_for_a_line_and_its_products_follow(studio: str, tmp_path: Path) -> None:
    table_with_leaders(Wording(FACTS[0], "en"), tmp_path / "line.pdf")
    with connection():
        for name in ("Tern grey", "Tern blue"):
            products.add({"name": name, "role": "paint", "line": "Tern"})
        products.change("Tern blue", {"density": "1.2"})
    async with opened(studio) as pilot:
        await press(pilot, "7", "right", "slash")
        await write(pilot, "tern")
        await press(pilot, "enter", "r")
        assert isinstance(pilot.app.screen, AskSheetFile)
        await write(pilot, str(tmp_path / "line.pdf"))
        await press(pilot, "enter")
        await settle(pilot)
        listed = pilot.app.screen
        assert isinstance(listed, ProposedFigures)
        assert listed.head().endswith("for the line Tern")
        await press(pilot, "a", "b")
        assert isinstance(pilot.app.screen, BookProposed)
        await press(pilot, "enter")
        await settle(pilot)
        assert "Tern: " in seen(pilot.app)
    with connection():
        texts = {name: record_texts.product(name) for name in ("Tern grey", "Tern blue")}
        assert texts["Tern grey"]["flash_point"] == texts["Tern blue"]["flash_point"] == "-4C"
        assert (texts["Tern grey"]["density"], texts["Tern blue"]["density"]) == ("0.87", "1.2")
        sources = {
            name: {one.field for one in figure_sources.of_product(products.find(name))} for name in texts
        }
        assert "density" in sources["Tern grey"]
        assert "density" not in sources["Tern blue"]  # it says that itself
        assert "flash_point" in sources["Tern blue"]
