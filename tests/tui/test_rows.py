"""The list of any length, and texts cut by cells."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.app import App, ComposeResult

from tests.tui.driving import press, settle
from tui.drawing.bottle import Run
from tui.drawing.figures import count, ml, short_day, since, span
from tui.drawing.strips import fit, heading, shown, width_of
from tui.themes import LAMP
from tui.today.lists import shared
from tui.widgets.rows import Heading, ListColumn, Rows, Under, fitted


@given(st.text(max_size=60), st.integers(0, 40), st.booleans())
def test_any_text_takes_exactly_its_room(text: str, width: int, right: bool) -> None:
    assert cell_len(fit(text, width, right=right)) == width
    assert not {unicodedata.category(letter) for letter in fit(text, width)} & {
        "Cc",
        "Cf",
        "Cs",
        "Co",
        "Zl",
        "Zp",
    }


@given(st.lists(st.text(max_size=12), max_size=5), st.integers(1, 40))
def test_any_cell_of_runs_takes_exactly_its_room(texts: list[str], width: int) -> None:
    runs = tuple(Run(shown(text), "ink") for text in texts)
    assert width_of(fitted(runs, width)) == width


@given(st.text(min_size=1, max_size=80), st.integers(20, 140), st.text(max_size=10))
def test_heading_fills_its_line(text: str, width: int, note: str) -> None:
    assert width_of(heading(shown(text), width, shown(note))) == width - 1


@given(st.integers(12, 60), st.lists(st.integers(2, 30), min_size=1, max_size=4))
def test_lines_are_shared_without_waste(room: int, wanted: list[int]) -> None:
    shares = shared(room, wanted)
    assert all(share <= want for share, want in zip(shares, wanted, strict=True))
    assert sum(shares) == min(room, sum(wanted))


@pytest.mark.parametrize(
    ("volume_ul", "said"),
    [
        (8_000, "8"),
        (41_500, "41.5"),
        (50, "0.05"),
        (480_000, "480"),
        (2_439_400, "2,439"),
        (0, "0"),
        (100, "0.1"),
    ],
)
def test_volumes_are_said_shortly(volume_ul: int, said: str) -> None:
    assert ml(volume_ul) == said


def test_days_are_said_shortly() -> None:
    from datetime import date

    assert [span(days) for days in (5, 50, 430, 1_200)] == ["5 d", "7 wk", "14 mo", "3 y"]
    today = date(2026, 3, 4)
    assert since(date(2026, 3, 4), today) == "today"
    assert since(date(2026, 3, 9), today) == "in 5 d"
    assert short_day(date(2026, 3, 4), today) == "4 Mar"
    assert short_day(date(2025, 3, 4), today) == "4 Mar 2025"
    assert (count(1, "bottle"), count(2, "entry", "entries")) == ("1 bottle", "2 entries")


class Listed(App[None]):
    def get_theme_variable_defaults(self) -> dict[str, str]:
        return LAMP

    def compose(self) -> ComposeResult:
        yield Rows((ListColumn("what"),), lambda item: (str(item),), key=lambda item: item)


async def test_hand_passes_over_headings_and_stays_on_its_item() -> None:
    app = Listed()
    async with app.run_test(size=(40, 8)) as pilot:
        rows = app.query_one(Rows)
        rows.focus()
        rows.show([Heading("one"), "a", Under((Run("x", "ink"),)), "b", Heading("two"), "c"])
        await settle(pilot)
        assert rows.item == "a"
        await press(pilot, "down")
        assert rows.item == "b"
        await press(pilot, "down")
        assert rows.item == "c"
        rows.show(["z", Heading("one"), "a", "c", "b"])
        await settle(pilot)
        assert rows.item == "c"
        await press(pilot, "home")
        assert rows.item == "z"


async def test_a_hundred_thousand_rows_are_walked_to_the_end() -> None:
    app = Listed()
    async with app.run_test(size=(40, 8)) as pilot:
        rows = app.query_one(Rows)
        rows.focus()
        rows.show(range(100_000))
        await press(pilot, "end")
        assert rows.item == 99_999
        await press(pilot, "pageup")
        assert rows.item == 99_993
