"""The themes: every pair of text and ground that the style sheets use can be read."""

import pytest

from tests.tui.driving import opened, press
from tui.themes import DAYLIGHT, LAMP, NAMES, THEME_WORDS, themes, usable
from tui.widgets.colour import contrast

PAIRS = [
    ("ink", "ground"), ("ink", "card"), ("quiet", "ground"), ("quiet", "card"), ("tape-ink", "tape"),
    ("key", "ground"), ("key", "card"),
    ("board-ink", "board"), ("cursor-ink", "cursor"), ("stop", "ground"), ("stop", "card"), ("warn", "ground"),
    ("warn", "card"), ("good", "ground"), ("good", "card"),
]  # fmt: skip


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


@pytest.mark.parametrize("theme", ["lamp", "daylight"])
@pytest.mark.parametrize("key", ["1", "2", "3", "4", "5", "6"])
async def test_rendered_text_is_read_at_four_and_a_half_to_one(studio: str, theme: str, key: str) -> None:
    async with opened(studio, theme=theme) as pilot:
        await press(pilot, "escape", key, "escape")
        weak = set()
        for strip in pilot.app.screen._compositor.render_strips():
            for segment in strip:
                letters = [letter for letter in segment.text if letter.isalnum()]
                style = segment.style
                if not letters or style is None or style.color is None or style.bgcolor is None:
                    continue
                ink, ground = style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex
                if contrast(ink, ground) < 4.5:
                    weak.add((segment.text.strip(), ink, ground))
        assert weak == set()
