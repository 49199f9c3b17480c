"""The themes: every pair of text and ground that the style sheets use can be read."""

import pytest

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
