"""The app's frame: six screens, keys, errors as sentences, and the traps of the library underneath."""

from pathlib import Path

import pytest
from textual.widgets import Input

from stock.errors import BadInput, BooksUnreachable
from tests.tui.driving import opened, press, seen, settle, write
from tui.app import Ullage
from tui.bench.screen import BenchScreen
from tui.drawing.figures import written
from tui.drawing.sentences import sentence_for
from tui.screens import SCREENS


async def test_screens_by_their_keys_and_tabs_and_what_each_is_for(studio: str) -> None:
    async with opened(studio) as pilot:
        for screen in SCREENS:
            await press(pilot, screen.function_key)
            assert pilot.app.current_mode == screen.id
            assert "Slipway Studio" in seen(pilot.app)
            assert "Wed 4 Mar 2026" in seen(pilot.app)
            await press(pilot, "escape", "question_mark")
            assert "Keys of this screen" in seen(pilot.app), screen.id
            await press(pilot, "escape")
            assert "Keys of this screen" not in seen(pilot.app), screen.id
        await press(pilot, "escape", "2")
        assert pilot.app.current_mode == "shelf"
        at = seen(pilot.app).splitlines()[1].index("Logbook")
        await pilot.click(offset=(at + 2, 1))
        await settle(pilot)
        assert pilot.app.current_mode == "logbook"


async def test_keys_in_the_strip_are_places_to_click_and_one_that_cannot_act_is_in_brackets(
    studio: str,
) -> None:
    async with opened(studio, (120, 30)) as pilot:
        await press(pilot, "2")
        strip = seen(pilot.app).splitlines()[-1]
        assert "(o Open)" in strip  # the bottle in hand is open already
        await pilot.click(offset=(strip.index("Receive"), 29))
        await settle(pilot)
        assert "Receive a delivery" in seen(pilot.app)


async def test_small_window_says_what_it_needs(studio: str) -> None:
    async with opened(studio, (40, 20)) as pilot:
        for size in ((40, 20), (80, 12)):
            await pilot.resize_terminal(*size)
            await settle(pilot)
            text = seen(pilot.app)
            assert "Ullage needs 60 columns and 16 rows" in text
            assert f"This window has {size[0]} and {size[1]}" in text
        await pilot.resize_terminal(80, 24)
        await settle(pilot)
        assert "needs 60 columns" not in seen(pilot.app)


async def test_palette_finds_screens_actions_products_and_bottles(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "ctrl+p")
        assert "Logbook" in seen(pilot.app)
        await write(pilot, "zzzzqqq")
        await press(pilot, "pagedown", "pageup")  # the library falls over it where nothing was found
        assert pilot.app.is_running
        await press(pilot, "escape", "ctrl+p")
        await write(pilot, "lantern")
        assert "Lantern Yellow, paint" in seen(pilot.app)
        await press(pilot, "enter")
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
        assert "2 bottles of 22" in seen(pilot.app)


def test_refusal_is_its_own_sentence() -> None:
    error = BadInput("the amount has a comma", remedy="Write 1.5 ml")
    assert sentence_for(error) == "The amount has a comma. Write 1.5 ml."


def test_fault_of_the_program_shows_no_control_codes() -> None:
    said = sentence_for(ValueError("\x1b]0;mine\x07" + "x" * 5_000))
    assert said.startswith("Something went wrong in the program (ValueError")
    assert said.isprintable()
    assert len(said) < 700


@pytest.mark.parametrize("debugging", [False, True])
async def test_unhandled_error_ends_in_a_sentence_and_debugging_lets_the_traceback_through(
    studio: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], debugging: bool
) -> None:
    if debugging:
        monkeypatch.setenv("ULLAGE_DEBUG", "1")
    app = Ullage(studio)
    with pytest.raises(ZeroDivisionError):  # run_test raises it again; a person sees only the sentence
        async with app.run_test() as pilot:
            secret = "customer Jones"  # a local value that a traceback would print
            app.call_later(lambda: 1 / 0)
            await pilot.pause()
    said = capsys.readouterr()
    assert ("Traceback" in said.err) is debugging
    if not debugging:
        assert app.return_code == 1
        assert said.err.startswith("Something went wrong in the program (ZeroDivisionError")
        assert "Traceback" not in said.out
        assert secret not in said.err + said.out


async def test_reading_that_fails_is_a_sentence_on_the_screen(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object) -> None:
        raise BooksUnreachable("the server is gone", remedy="Try again in a moment")

    async with opened(studio) as pilot:
        monkeypatch.setattr("stock.shelf.bottles.on_shelf", away)
        await press(pilot, "2")
        assert "The server is gone. Try again in a moment." in seen(pilot.app)
        monkeypatch.undo()
        pilot.app.reload()
        await settle(pilot)
        assert "The server is gone" not in seen(pilot.app)


async def test_books_that_cannot_be_opened_are_said_plainly_and_tried_again(tmp_path: Path) -> None:
    path = tmp_path / "letter.ullage"
    path.write_text("Dear Sir or Madam, this is no database at all, but a letter of some length.\n" * 40)
    async with opened(str(path)) as pilot:
        assert "The books can't be opened" in seen(pilot.app)
        await press(pilot, "r")
        assert "The books can't be opened" in seen(pilot.app)


async def test_names_with_brackets_and_typed_control_codes_are_only_letters(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2", "slash")
        await write(pilot, "sand")
        assert "Sand [matt]" in seen(pilot.app)
        await press(pilot, "enter", "enter")
        assert "Sand [matt]" in seen(pilot.app)
        await press(pilot, "escape", "slash")
        pilot.app.screen.query_one("#find", Input).value = "\x1b]0;mine\x07[red]\u202eab"
        await settle(pilot)
        text = seen(pilot.app)
        assert "[red]" in text
        assert not any(code in text for code in ("\x1b", "\x07", "\u202e"))


def test_day_is_written_the_same_in_every_country() -> None:
    from datetime import date

    assert written(date(2028, 2, 29)) == "Tue 29 Feb 2028"


async def test_a_key_pressed_before_a_screen_has_its_parts_does_nothing(studio: str) -> None:
    async with opened(studio) as pilot:
        bench = BenchScreen()
        assert not bench.is_mounted
        assert await pilot.app.run_action("step_back", bench) is False
        await press(pilot, "3", "escape")
        assert pilot.app.current_mode == "bench"
