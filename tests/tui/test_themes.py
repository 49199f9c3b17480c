"""The themes: every pair of text and ground that the style sheets use can be read."""

import re
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from textual.widgets import Input

from tests.sampling import parts
from tests.tui.driving import LONG_S, opened, press, seen, settle, write
from tests.tui.views import DIALOGS, SCREENS, show
from tui.drawing.colour import contrast
from tui.drawing.strips import colours
from tui.themes import DAYLIGHT, LAMP, NAMES, THEME_WORDS, themes, usable

PAIRS = [
    ("ink", "ground"), ("ink", "card"), ("quiet", "ground"), ("quiet", "card"), ("tape-ink", "tape"),
    ("key", "ground"), ("key", "card"),
    ("board-ink", "board"), ("cursor-ink", "cursor"), ("stop", "ground"), ("stop", "card"), ("warn", "ground"),
    ("warn", "card"), ("good", "ground"), ("good", "card"),
]  # fmt: skip

HELD = (
    "Receive", "CountBottle", "CloseMix", "NoteCupTime", "Accept", "ReceiveOrder", "SilenceRule", "ProductForm",
    "SheetForm", "RuleForm",
)  # fmt: skip
"""Dialogs with every kind of thing that the hand can be on."""

VIEWS = parts((*SCREENS, *DIALOGS), 4)


@pytest.mark.parametrize("colours", [LAMP, DAYLIGHT], ids=["lamp", "daylight"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_text_is_read_at_four_and_a_half_to_one(colours: dict[str, str], ink: str, ground: str) -> None:
    assert contrast(colours[ink], colours[ground]) >= 4.5


def test_every_theme_knows_every_colour() -> None:
    assert {theme.name for theme in themes()} == set(NAMES) == set(THEME_WORDS)
    assert {frozenset(colours) for colours in NAMES.values()} == {frozenset(LAMP)}


@pytest.mark.parametrize(
    ("asked", "no_color", "shown"),
    [("daylight", False, "daylight"), ("terminal", False, "terminal"), ("terminal", True, "lamp"),
     ("daylight", True, "daylight"), ("mauve", False, "lamp")],
)  # fmt: skip
def test_no_color_never_shows_the_terminals_own_colours(asked: str, no_color: bool, shown: str) -> None:
    assert usable(asked, no_color=no_color) == shown


def to_read(app: Any, *, filtered: bool = False) -> Iterator[tuple[str, str, str]]:
    """Each text of the screen in front with its ink and ground; not what is dimmed behind a dialog."""
    screen = app.screen
    places = [one.region for one in screen.children if one.display] if screen.is_modal else [screen.region]
    for y, line in enumerate(screen._compositor.render_strips()):
        strip, x = line, 0
        for one in app._filters if filtered else ():
            strip = strip.apply_filter(one, screen.background_colors[1])
        for segment in strip:
            x += segment.cell_length
            style = segment.style
            if not any(letter.isalnum() or letter in "✕!" for letter in segment.text):
                continue
            if any(place.contains(x - 1, y) for place in places):
                assert style is not None and style.color is not None and style.bgcolor is not None
                pair = (style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex)
                yield (segment.text.strip(), *(reversed(pair) if style.reverse else pair))


def weak_on(app: Any, *, filtered: bool = False) -> set[tuple[str, str, str]]:
    """The texts in front that can't be read at 4.5 to 1, with their ink and ground."""
    return {one for one in to_read(app, filtered=filtered) if contrast(one[1], one[2]) < 4.5}


@pytest.mark.sampled(1)
@pytest.mark.parametrize("views", VIEWS)
@pytest.mark.parametrize(("theme", "size"), [("lamp", (80, 24)), ("daylight", (140, 45))])
async def test_every_screen_and_dialog_is_read_at_four_and_a_half_to_one(
    furnished: str, views: Sequence[str], theme: str, size: tuple[int, int]
) -> None:
    weak = {}
    async with opened(furnished, size, theme=theme) as pilot:
        for view in views:
            await show(pilot, view)
            weak[view] = weak_on(pilot.app)
    assert {view: found for view, found in weak.items() if found} == {}


@pytest.mark.sampled(1)
@pytest.mark.parametrize("views", parts((*SCREENS, *HELD), 2))
@pytest.mark.parametrize("theme", ["lamp", "daylight"])
async def test_text_under_the_hand_is_read_at_four_and_a_half_to_one(
    furnished: str, views: Sequence[str], theme: str
) -> None:
    weak = {}
    async with opened(furnished, theme=theme) as pilot:
        for view in views:
            await show(pilot, view)
            for key in ("tab", "tab", "down", "down", "shift+tab", "shift+tab", "shift+tab", "up"):
                await pilot.press(key)
                if isinstance(pilot.app.focused, Input):
                    await pilot.press("x", "y", "shift+left")
                weak[view, key] = weak_on(pilot.app)
    assert {where: found for where, found in weak.items() if found} == {}


@pytest.mark.sampled(1)
@pytest.mark.parametrize("theme", ["lamp", "daylight"])
async def test_refusals_and_toasts_are_read_at_four_and_a_half_to_one(studio: str, theme: str) -> None:
    async with opened(studio, theme=theme) as pilot:
        await show(pilot, "CountBottle")
        await write(pilot, "1,5 ml")
        await press(pilot, "enter")
        assert "comma" in seen(pilot.app)
        assert weak_on(pilot.app) == set()
        await press(pilot, "escape")
        app: Any = pilot.app
        notify = app.notify
        app.notify = lambda what, **more: notify(what, **more | {"timeout": LONG_S})  # until it was looked at
        app.announce("Counted: 20 ml")
        await settle(pilot)
        assert "Counted" in seen(pilot.app)
        assert weak_on(pilot.app) == set()
        pilot.app.screen.notice("The server is gone. Try again in a moment.")
        await settle(pilot)
        assert weak_on(pilot.app) == set()


@pytest.mark.sampled(1)
@pytest.mark.parametrize("views", VIEWS)
@pytest.mark.parametrize("theme", ["lamp", "terminal"])
async def test_without_colour_everything_is_still_there_to_read(
    furnished: str, views: Sequence[str], theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    weak, coloured = {}, set()
    async with opened(furnished, theme=theme) as pilot:
        for view in views:
            await show(pilot, view)
            weak[view] = weak_on(pilot.app, filtered=True)
            inks = {ink for _, *pair in to_read(pilot.app, filtered=True) for ink in pair}
            coloured |= {ink for ink in inks if len({ink[1:3], ink[3:5], ink[5:7]}) > 1}
    assert {view: found for view, found in weak.items() if found} == {}
    assert coloured == set()


async def test_severity_is_a_word_or_a_sign_before_it_is_a_colour(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        named, drawn = colours(pilot.app), []
        for screen in ("today", "shelf", "cautions"):
            await show(pilot, screen)
            strips = pilot.app.screen._compositor.render_strips()
            assert any(inked(one) in (named["stop"], named["warn"]) for strip in strips for one in strip), (
                screen
            )
            drawn += strips
        for lines in drawn:
            graves = [
                one for one in lines if one.text.strip() and inked(one) in (named["stop"], named["warn"])
            ]
            text = "".join(segment.text for segment in lines)
            signed = any(sign in text for sign in ("✕", "!")) or re.search(
                r"Don't use|Look out|Stop|now|by \d|not enough|low|until|best before|empty", text
            )
            assert not graves or signed, text


def inked(segment: Any) -> str:
    """The colour of its letters."""
    colour = segment.style.color if segment.style else None
    return colour.get_truecolor().hex if colour is not None else ""
