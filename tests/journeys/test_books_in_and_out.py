"""The books as a whole: backed up, put back, exported, copied, proved; spreadsheets taken in; labels drawn."""

from pathlib import Path

import pytest
from textual.widgets import Input

from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import holds, opened, press, seen, settle, write
from tests.tui.mouse import click_key, click_on
from tests.tui.test_palette import choose
from tui.logbook.files import Lengthy
from tui.logbook.putting_back import PutBack

BLUE = 1


pytestmark = pytest.mark.usefixtures("home")


async def test_by_keys_the_books_are_backed_up_put_back_exported_proved_and_come_into_empty_books(
    studio: str, empty_books: str, home: Path
) -> None:
    async with opened(studio) as pilot:
        before = holds(BLUE)
        await press(pilot, "6", "y", "question_mark")
        assert "A spreadsheet or an exported folder" in seen(pilot.app)
        assert "Take back all" in seen(pilot.app)
        await press(pilot, "escape", "b", "enter")
        assert "up to date" in seen(pilot.app)
        await press(pilot, "c", "enter")
        assert "The books add up" in seen(pilot.app)
        await press(pilot, "e", "enter")
        assert (home / "ullage-export" / "datapackage.json").exists()
        await press(pilot, "t")
        await write(pilot, str(home / "ullage-export"))
        await press(pilot, "enter", "enter")
        assert "aren't empty" in seen(pilot.app)
        await press(pilot, "escape", "escape", "u", "enter")
        assert holds(BLUE) == before + 8_000
        for said in ("enter", "tab"):  # leaving is what Enter does first
            await press(pilot, "y")
            while (
                pilot.app.screen.item.why != "asked for"
            ):  # the day's own backup may have been made meanwhile
                await press(pilot, "down")
            await press(pilot, "r")
            assert "1 booking (1 undo)" in seen(pilot.app)
            if said == "enter":
                await press(pilot, "enter", "escape")
                assert holds(BLUE) == before + 8_000  # leaving puts nothing back
        await press(pilot, "tab", "enter")
        assert holds(BLUE) == before
    async with opened(empty_books) as pilot:
        await press(pilot, "escape", "6", "y", "t")
        await write(pilot, str(home / "ullage-export"))
        await press(pilot, "enter")
        assert "Books of Slipway Studio" in seen(pilot.app)
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.studio_name == "Slipway Studio"
        await press(pilot, "2")
        assert "22 bottles by role" in seen(pilot.app)


async def test_an_export_tells_how_far_it_is_and_what_is_stopped_leaves_nothing(
    studio: str, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[str] = []
    before = kelp()

    def esc_at_once(errand: Lengthy[str], what: str, rows: int, of: int) -> None:
        errand.app.call_from_thread(errand.action_leave)
        tell(errand, what, rows, of)

    def show(errand: Lengthy[str], text: str) -> None:
        shown.append(text)

    tell = Lengthy.show_progress
    async with opened(studio) as pilot:
        with monkeypatch.context() as patched:
            patched.setattr(Lengthy, "show_progress", esc_at_once)
            await press(pilot, "6", "y", "e", "enter")
            await settle(pilot)
        assert "This was stopped before its end; nothing of it was kept." in seen(pilot.app)
        assert not (home / "ullage-export").exists()
        with monkeypatch.context() as patched:
            patched.setattr(Lengthy, "progress", show)
            await press(pilot, "enter")
        assert (home / "ullage-export" / "datapackage.json").exists()
        assert shown[-1] == "█" * 24 + " 100%  Esc stops it"

        await press(pilot, "t")
        await write(pilot, a_sheet(home, GERMAN))
        await press(pilot, "enter", "b")
        monkeypatch.setattr(Lengthy, "show_progress", esc_at_once)
        await press(pilot, "enter")
        assert "stopped before its end" in seen(pilot.app)
        assert kelp() == before


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_by_mouse_the_books_are_backed_up_and_put_back(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio, (140, 45)) as pilot:
        await click_on(pilot, "6 Logbook")
        await click_key(pilot, "Books")
        await click_key(pilot, "Back up")
        await click_on(pilot, "Enter  Back up")
        await click_key(pilot, "Close")
        await click_key(pilot, "Undo")
        await click_on(pilot, "Take it back", last=True)
        assert holds(BLUE) == before + 8_000
        await click_key(pilot, "Books")
        while not isinstance(pilot.app.screen, PutBack):  # the first click may only take the row
            await click_on(pilot, "asked for")
        await settle(pilot)
        await click_on(pilot, "Enter  Put it back")
        await settle(pilot)
    assert holds(BLUE) == before
    with connection():
        assert on_shelf()


def a_sheet(home: Path, text: str, name: str = "paints.csv") -> str:
    path = home / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def kelp() -> list[int]:
    with connection():
        return [view.on_hand_ul for view in on_shelf() if view.product == "Kelp Green"]


GERMAN = "Farbe;Inhalt (ml);Rest (ml);Gekauft;Regal\nKelp Green;30;12,5;14.1.2026;A\nKelp Green;30;30;30.1.2026;B\n"


async def test_by_keys_a_spreadsheet_is_shown_then_booked_and_taken_back(studio: str, home: Path) -> None:
    before = kelp()
    async with opened(studio) as pilot:
        await press(pilot, "6", "y", "t")
        await write(pilot, a_sheet(home, GERMAN))
        await press(pilot, "enter")
        text = seen(pilot.app)
        assert "2 rows of bottles in stock" in text
        assert "Left out       Regal" in text
        assert "comma" in text
        assert kelp() == before
        await press(pilot, "b", "enter")
        assert sorted(kelp()) == sorted([*before, 12_500, 30_000])
        assert "Booked 2 bottles of paints.csv" in seen(pilot.app)
        await press(pilot, "t")
        await write(pilot, str(home / "paints.csv"))
        await press(pilot, "enter", "b", "enter")
        assert "was booked before; nothing was booked now" in " ".join(
            seen(pilot.app).replace("│", "").split()
        )
        assert len(kelp()) == len(before) + 2
        await press(pilot, "shift+tab", "shift+tab")
        await write(pilot, "yes")
        await press(pilot, "enter")
        assert len(kelp()) == len(before) + 4
        await press(pilot, "down", "u", "enter")
        assert len(kelp()) == len(before) + 2
        assert "taken back" in seen(pilot.app)
        await press(pilot, "u", "enter")
        assert len(kelp()) == len(before) + 4


async def test_what_a_spreadsheet_says_is_only_text_and_bad_rows_are_told_and_never_booked(
    studio: str, home: Path
) -> None:
    before = kelp()

    async def take_in(name: str) -> None:
        await press(pilot, "t")
        await write(pilot, name)
        await press(pilot, "enter")

    async with opened(studio) as pilot:
        await press(pilot, "6", "y")
        safekeeping = pilot.app.screen
        for name, said in (
            ("nowhere.csv", "There is no file"),
            (a_sheet(home, "", "empty.csv"), "holds no rows"),
            (str(home), "is no folder that was exported"),
        ):
            await take_in(name)
            assert said in " ".join(seen(pilot.app).replace("│", "").split())
            assert pilot.app.screen.query_one("#path").text == name
            await press(pilot, "escape")

        await take_in(a_sheet(home, "Paint,Size,[red]\x1b[31mHead\n\x1b]0;x\x07[b]Blue,30 ml,\x1b[2J\n"))
        text = seen(pilot.app)
        assert "1 row of bottles in stock" in text
        assert "[red]" in text
        assert not set(text) & set("\x1b\x07")
        await press(pilot, "c")
        assert not set(seen(pilot.app)) & set("\x1b\x07")
        await press(pilot, "escape", "escape")
        assert pilot.app.screen is safekeeping

        await take_in(a_sheet(home, "Paint,Size\nNo Such Paint,30 ml\nKelp Green,30\n"))
        text = seen(pilot.app)
        assert "1 row; nothing can be booked" in text
        assert "what amounts without a unit are" in text.lower()
        assert "(b Book it)" in text
        await press(pilot, "down")
        text = seen(pilot.app)
        assert "or let it be made" in " ".join(text.replace("│", "").split())
        await press(pilot, "c")
        unit = pilot.app.screen.query_one("#as-unit")
        unit.text = "ml"
        await press(pilot, "enter")
        assert "1 row; nothing can be booked" in seen(pilot.app)
        assert kelp() == before
        await press(pilot, "escape")
        assert pilot.app.screen is safekeeping

        await take_in(a_sheet(home, "Ding,Fits\nKelp Green,30 ml\n"))
        assert "No column of this file" in seen(pilot.app)
        await press(pilot, "down", "tab", "down", "down", "enter")  # taken from what is offered
        assert "1 row of bottles in stock" in seen(pilot.app)
        await press(pilot, "b", "enter")
        assert len(kelp()) == len(before) + 1
        await take_in(a_sheet(home, "Ding,Fits\nKelp Green,60 ml\n", "more.csv"))
        assert "as remembered" in seen(pilot.app)


async def test_a_product_that_the_books_do_not_have_is_made_when_asked_and_labels_drawn(
    studio: str, home: Path
) -> None:
    async with opened(studio) as pilot:
        await choose(pilot, "take in a spread")
        await write(pilot, a_sheet(home, "Paint,Size\n[red]Nobody's[/red] Blue,30 ml\n"))
        await press(pilot, "tab", "tab")
        await write(pilot, "make")
        await press(pilot, "tab")
        await write(pilot, "paint")
        await press(pilot, "enter")
        assert "[red]Nobody's[/red] Blue" in seen(pilot.app)
        await press(pilot, "b")
        assert "1 product or place will be added" in " ".join(seen(pilot.app).replace("│", "").split())
        await press(pilot, "enter", "escape")
        with connection():
            assert any(view.product == "[red]Nobody's[/red] Blue" for view in on_shelf())
        await press(pilot, "2", "l", "enter")
        assert "labels on 1 page" in seen(pilot.app)
        assert (home / "ullage-labels.pdf").read_bytes().startswith(b"%PDF-")
        await press(pilot, "l", "down", "enter")
        assert "1 label on 1 page" in seen(pilot.app)


async def test_by_keys_the_studio_is_copied_and_a_backup_is_put_back_from_elsewhere(
    studio: str, home: Path
) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "6", "y", "o")
        await write(pilot, "~/second.ullage")
        await press(pilot, "enter")
        assert (home / "second.ullage").exists()
        await press(pilot, "o")
        await write(pilot, "~/second.ullage")
        await press(pilot, "enter")
        assert "holds a studio's books" in seen(pilot.app)
        await press(pilot, "escape", "escape", "u", "enter", "y", "r")
        if not isinstance(
            pilot.app.focused, Input
        ):  # a backup stood under the hand: leaving is what comes first
            await press(pilot, "shift+tab")
        await press(pilot, "end", "ctrl+u")
        await write(pilot, "~/nothing.ullage")
        assert "Would be lost" not in seen(pilot.app)
        await press(pilot, "end", "ctrl+u")
        await write(pilot, "~/second.ullage")
        assert "1 booking (1 undo)" in seen(pilot.app)
        await press(pilot, "enter")
        await settle(pilot)
    assert holds(BLUE) == before


async def test_a_home_that_is_nobodys_is_said_while_it_is_typed(studio: str, home: Path) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "6", "y")
        safekeeping = pilot.app.screen
        for key in "etrbo":
            await press(pilot, key)
            assert pilot.app.screen is not safekeeping
            await press(pilot, "end", "ctrl+u")
            await write(pilot, "~nobodyatall/x")
            await press(pilot, "enter")
            assert "~ stands for nobody's home there" in seen(pilot.app)
            await press(pilot, "escape")
            assert pilot.app.screen is safekeeping
