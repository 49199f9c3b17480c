"""The traps of the library underneath: markup, control codes, black on black, tracebacks, and a terminal left mad."""

import subprocess
import sys
import termios
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

from stock.bench.mixing import MixRequest, book_mix
from stock.store.connection import connection
from stock.store.models import database
from tests.sampling import some
from tests.tui.driving import holds, listening, opened, press, seen, settle, until, write
from tests.tui.seed import DAY
from tests.tui.terminal import terminal
from tui.app import Ullage

ROOMS = ("1", "2", "3", "4", "5", "6", "7")
SIZES = ((80, 24), (140, 45))
ENDS = "[/]"  # ends the program where it is taken for markup
ACTS = "[@click=app.quit]q[/]"  # leaves the dashboard where it is clicked
MOVES_TITLE = "\x1b]0;mine\x07"
TURNS = "\u202e"
SECRET = "customer Jones"
MARKED = f"Marked {ENDS} {ACTS}"


@pytest.fixture
def marked(empty_books: str) -> str:
    """Books in which every text from people looks like markup."""
    from stock.bench import recipes
    from stock.shelf import deliveries, jobs, places, products, sheets, studio

    with connection():
        studio.change(name=f"Quay {ENDS}")
        places.add(f"Place {ENDS}", kind="cabinet", premises="workshop")
        products.add(
            {"name": f"Thin {ENDS}", "role": "reducer", "supplier": f"From {ENDS}", "flash_point": "21C"}
        )
        products.add(
            {
                "name": MARKED, "role": "paint", "line": f"Line {ENDS}", "supplier": f"From {ENDS}",
                "usual_reducer": f"Thin {ENDS}", "opened_life": "1d", "price": ["60ml=7.90"],
            }
        )  # fmt: skip
        deliveries.receive(MARKED, 60_000, count=2, place=f"Place {ENDS}")
        deliveries.receive(f"Thin {ENDS}", 120_000, place=f"Place {ENDS}")
        jobs.add(f"Job {ENDS}", DAY, customer=f"Whose {ENDS}", note=f"Note {ENDS}")
        recipes.add(f"Recipe {ENDS}", [(MARKED, 1)], note=f"Note {ENDS}")
        sheets.add(MARKED, f"Sheet {ENDS}", DAY, source=f"Where {ENDS}")
        book_mix(
            MixRequest(parts=((MARKED, 8_000),), reduce=Fraction(20), job=f"Job {ENDS}", note=f"Note {ENDS}"),
            judge=False,
        )
    return empty_books


def actions(app: Ullage) -> set[str]:
    """What a click on the screen would do, where a text says so."""
    strips = app.screen._compositor.render_strips()
    return {
        str(value)
        for strip in strips
        for segment in strip
        if segment.style is not None and segment.style.meta
        for value in segment.style.meta.values()
        if "quit" in str(value)
    }


@pytest.mark.deepens
@pytest.mark.sampled(1)
@pytest.mark.parametrize("size", SIZES)
async def test_texts_that_look_like_markup_or_steer_a_terminal_are_only_texts(
    marked: str, size: tuple[int, int], request: pytest.FixtureRequest
) -> None:
    """On some of the screens each time, and on all with --deep."""
    with connection():  # no entry takes control codes; books from elsewhere may hold them
        for table, column in (("product", "name"), ("product", "line"), ("place", "name"), ("job", "name")):
            database.execute_sql(f"UPDATE {table} SET {column} = {column} || ?", (MOVES_TITLE + TURNS,))
        database.execute_sql("UPDATE studio SET name = ?", (f"Quay {ENDS}{MOVES_TITLE}{TURNS}",))
    async with opened(marked, size) as pilot:
        for room in some(request.config, ROOMS, 3):
            await press(pilot, "escape", "escape", room)
            for keys in ((), ("down", "enter"), ("escape", "question_mark")):
                await press(pilot, *keys)
                only_texts(pilot.app, f"{room} {keys}")
            await press(pilot, "escape", "escape")
        for room in (ROOMS[0], ROOMS[-1]):
            await press(pilot, room, "ctrl+p")
            only_texts(pilot.app, f"{room}, the palette")
            await write(pilot, "marked")
            assert f"Marked {ENDS}" in seen(pilot.app), room
            only_texts(pilot.app, f"{room}, what the palette found")
            await press(pilot, "escape", "escape")


def only_texts(app: Ullage, where: str) -> None:
    """The studio's name stands there as it is; nothing acts on a click, and no code reaches the terminal."""
    text = seen(app)
    assert f"Quay {ENDS}\ufffd" in text, where
    assert actions(app) == set(), where
    assert not any(code in text for code in ("\x1b", "\x07", TURNS)), where


async def test_names_in_every_dialog_are_only_texts(marked: str) -> None:
    before = holds(1)
    async with opened(marked, (140, 45)) as pilot:
        await press(pilot, "escape", "2")
        for key in ("r", "c", "m", "t", "d"):
            await press(pilot, key)
            assert len(pilot.app.screen_stack) == 2, key
            assert actions(pilot.app) == set()
            await press(pilot, "escape")
        await press(pilot, "c")
        await write(pilot, "50 ml")
        await press(pilot, "enter")  # a toast tells of it
        assert "50 ml" in seen(pilot.app)
        await press(pilot, "3")
        await write(pilot, "marked")
        await press(pilot, "enter")
        await write(pilot, ENDS)  # refused, and the refusal repeats it
        assert ENDS in seen(pilot.app)
        assert actions(pilot.app) == set()
    assert holds(1) == 50_000 != before


def pairs_seen(app: Any) -> set[tuple[Any, Any]]:
    """The colours of letters and their grounds on the screen, as they reach the terminal."""
    pairs = set()
    for strip in app.screen._compositor.render_strips():
        shown = strip
        for one in app._filters:
            shown = shown.apply_filter(one, app.screen.background_colors[1])
        pairs |= {
            (segment.style.color, segment.style.bgcolor)
            for segment in shown
            if any(letter.isalnum() for letter in segment.text) and segment.style is not None
        }
    return pairs


def moving(app: Any) -> list[Any]:
    """What blinks, glides or changes bit by bit on the screen."""
    parts = app.screen.walk_children()
    gliding = [one for one in parts if one.styles.has_rule("transitions") and one.styles.transitions]
    return [
        *(one for one in app.screen.query(Input) if one.cursor_blink),
        *app.animator._animations,
        *gliding,
    ]


@pytest.mark.deepens
@pytest.mark.parametrize(
    ("theme", "no_color", "shown"),
    [("terminal", False, "terminal"), ("terminal", True, "lamp"), ("daylight", True, "daylight"),
     ("lamp", True, "lamp")],
)  # fmt: skip
async def test_every_letter_stands_out_from_its_ground_and_nothing_moves_where_that_is_not_wanted(
    studio: str, theme: str, no_color: bool, shown: str, monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    """On some of the screens each time, and on all with --deep, in the terminal's own colours."""
    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    else:
        monkeypatch.delenv("NO_COLOR", raising=False)
    async with opened(studio, theme=theme) as pilot:
        assert pilot.app.theme == shown
        pilot.app.animation_level = "none"
        for room in some(request.config, ROOMS, 3) if theme == "terminal" and not no_color else ("2",):
            await press(pilot, "escape", room)
            pairs = pairs_seen(pilot.app)
            assert pairs, room
            assert all(ink is None or ink != ground for ink, ground in pairs), room
            colours = {colour.triplet for pair in pairs for colour in pair if colour is not None} - {None}
            assert not no_color or all(len(set(colour)) == 1 for colour in colours), room
            await pilot.press("pagedown", "end", "home")
            assert not moving(pilot.app), room
            await settle(pilot)
            assert not moving(pilot.app), room
        if not no_color:  # another can be chosen while it runs
            for another in ("daylight", "terminal", "lamp"):
                pilot.app.theme = another
                await settle(pilot)
                assert "Slipway Studio" in seen(pilot.app)


async def test_error_that_looks_like_markup_ends_in_its_own_words(
    studio: str, capsys: pytest.CaptureFixture[str]
) -> None:
    app = Ullage(studio)

    def fall() -> None:
        raise ValueError(f"{ENDS} {ACTS} {MOVES_TITLE}")

    with pytest.raises(ValueError, match="click"):
        async with app.run_test() as pilot:
            await settle(pilot)
            app.call_later(fall)
            await pilot.pause()
    said = capsys.readouterr().err
    assert f"(ValueError: {ENDS} [@click" in said
    assert "\x1b]" not in said
    assert "Traceback" not in said


async def test_fault_in_a_booking_is_said_in_its_dialog_and_nothing_typed_is_lost(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError(ENDS)

    async with opened(studio) as pilot:
        await press(pilot, "2", "c")
        said = listening(pilot.app)
        with monkeypatch.context() as patched:
            patched.setattr("stock.shelf.counts.count", broken)
            await write(pilot, "5 ml")
            await press(pilot, "enter")
        text = seen(pilot.app)
        assert "Something went wrong in the program (RuntimeError" in text
        assert "5 ml" in text
        await press(pilot, "enter")
        await until(lambda: any("Counted: 5 ml" in one for one in said))


def test_animations_can_be_stilled_from_outside(studio: str) -> None:
    code = "from tui.app import Ullage; print(Ullage('x').animation_level)"
    for asked, level in (("none", "none"), ("full", "full")):
        ran = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, env={"TEXTUAL_ANIMATIONS": asked}
        )
        assert ran.stdout.strip() == level


def test_without_a_terminal_it_says_so_and_leaves_with_two(studio: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tui", "--studio", studio],
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
    )
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert ran.stderr == (
        "ullage: the dashboard needs a terminal. Use a command instead: `ullage --help` lists them\n"
    )


SANE = ("\x1b[?1049l", "\x1b[?25h", "\x1b[?2004l")
"""The screen before, the cursor, no marked pasting, as xterm's own manual names these codes."""
MOUSELESS = ("\x1b[?1000l", "\x1b[?1003l")


def leaves_it_sane(seen: bytes, *, mouse: bool = True) -> bool:
    """Whether each mode that was set is put back at the end; that of the mouse, where it was asked for."""
    text = seen.decode(errors="replace")
    codes = SANE + MOUSELESS * mouse
    return all(text.rfind(code) > text.rfind(code[:-1] + ("l" if code[-1] == "h" else "h")) for code in codes)


@pytest.mark.sampled(1)
@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({}, ()),
        ({"TERM": "screen", "NO_COLOR": "1"}, ("--no-mouse",)),
        ({"NO_COLOR": "1"}, ()),
        ({"TERM": "linux"}, ("--no-mouse",)),
        ({"TERM": "screen"}, ()),
    ],
    ids=str,
)
def test_quitting_leaves_the_terminal_as_it_was_and_its_mouse_where_that_is_wanted(
    studio: str, environment: dict[str, str], words: tuple[str, ...]
) -> None:
    with terminal("-m", "tui", "--studio", studio, *words, **environment) as real:
        before = termios.tcgetattr(real.slave)
        real.until("Slipway Studio")
        assert termios.tcgetattr(real.slave) != before
        real.type("2")
        real.until("Buoy Red")
        real.type("q")
        assert real.end() == 0
        assert termios.tcgetattr(real.slave) == before
        assert leaves_it_sane(real.seen, mouse=not words)
        assert "Traceback" not in real.words
        assert (b"\x1b[?1000h" in real.seen) is (not words)


def test_told_to_end_it_leaves_the_terminal_as_it_was(studio: str) -> None:
    with terminal("-m", "tui", "--studio", studio) as real:
        before = termios.tcgetattr(real.slave)
        real.until("Slipway Studio")
        real.process.terminate()
        assert real.end() == 143
        assert termios.tcgetattr(real.slave) == before
        assert leaves_it_sane(real.seen)


FALLS = f"""
import sys
from tui import app
from tui.__main__ import main

def fall(self):
    customer = {SECRET!r}
    raise ValueError("{ENDS} [red]x" + chr(27) + "]0;mine" + chr(7) + str(len(customer)))

app.Ullage.on_mount = fall
sys.exit(main(["--studio", sys.argv[1]]))
"""


@pytest.mark.sampled(1)
@pytest.mark.parametrize("debugging", [False, True])
def test_fault_is_one_sentence_or_whole_for_debugging_and_the_terminal_is_as_it_was(
    studio: str, debugging: bool
) -> None:
    """What is printed, one way and the other, `test_app` says as well, of an app without a terminal."""
    with terminal("-c", FALLS, studio, **({"ULLAGE_DEBUG": "1"} if debugging else {})) as real:
        before = termios.tcgetattr(real.slave)
        assert real.end() == 1
        assert termios.tcgetattr(real.slave) == before
        assert leaves_it_sane(real.seen)
        assert ("Traceback" in real.words) is debugging
        if not debugging:
            assert f"Something went wrong in the program (ValueError: {ENDS} [red]x" in real.words
            assert SECRET not in real.words
            assert b"\x1b]0;mine" not in real.seen


def test_no_books_is_said_on_the_screen_and_left_by_a_key(tmp_path: Path) -> None:
    with terminal("-m", "tui", "--studio", str(tmp_path / "none" / "x.ullage")) as real:
        real.until("Esc")
        real.type("\x1b")
        assert real.end() == 0
        assert leaves_it_sane(real.seen)
