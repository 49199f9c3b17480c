"""The Records as a screen: cards that fit their room, drawers that read little, hands that stay where they were."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from stock.shelf import own_substances
from stock.store.connection import connection
from stock.store.settings import settings
from stock.text import plain
from tests.queries import counted
from tests.tui.driving import opened, press, seen, settle, write
from tui.drawing.strips import strip_of, width_of
from tui.records.jobs import Jobs
from tui.records.kind_tabs import NAMES
from tui.records.places import Places
from tui.records.products import Products
from tui.records.recipes import Recipes
from tui.records.record_card import CardFact, CardHead, CardSentence, lines, wrapped
from tui.records.sheets import Sheets
from tui.records.substances import Substances
from tui.records.suppliers import Suppliers
from tui.themes import LAMP
from tui.widgets.rows import Heading

SIZES = [(60, 16), (80, 24), (140, 45)]


class TestCard:
    @pytest.mark.parametrize("width", range(-3, 24))
    def test_where_there_is_no_room_it_comes_to_an_end(self, width: int) -> None:
        card = [
            CardHead("Harbour Blue", "is made"),
            CardFact("colour", "#2a6f97", swatch="#2a6f97"),
            CardSentence("Good. 漆黒"),
        ]
        drawn = lines(card, width)
        assert len(drawn) < 40
        assert wrapped("#2a6f97 漆", min(width, 0)) == []

    @given(st.text("abc 木漆 -\u0301", max_size=200), st.integers(4, 60))
    def test_lines_fit_and_no_letter_is_lost(self, text: str, width: int) -> None:
        rows = wrapped(text, width)
        assert all(cell_len(row) <= width for row in rows)
        assert "".join("".join(rows).split()) == "".join(text.split())

    @given(st.text(max_size=60), st.text(max_size=200), st.integers(24, 100))
    def test_whole_card_is_no_wider_than_its_room_and_steers_no_terminal(
        self, what: str, text: str, width: int
    ) -> None:
        card = [
            CardHead(what, text),
            CardFact(what, text),
            CardFact(what, text, swatch="#ff0000"),
            CardSentence(text),
        ]
        for line in lines(card, width):
            assert width_of(line) <= width
            drawn = strip_of(line, width, LAMP).text
            assert plain(drawn, 1_000) == drawn

    def test_empty_fact_still_says_what(self) -> None:
        [line] = lines([CardFact("sheets", "")], 40)
        assert "sheets" in "".join(run.text for run in line)


@pytest.mark.sampled(1)
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("no_color", [False, True])
async def test_every_drawer_stands_in_every_size(
    studio: str, size: tuple[int, int], no_color: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    async with opened(studio, size) as pilot:
        await press(pilot, "7")
        for name in NAMES:
            text = seen(pilot.app)
            assert name in text
            assert "Something went wrong" not in text
            await press(pilot, "question_mark")
            assert "Keys of this screen" in seen(pilot.app)
            await press(pilot, "escape", "right")
        assert "Products" in seen(pilot.app).splitlines()[2]


async def test_hand_stays_on_its_record_and_the_card_follows(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "down", "down")
        screen: Any = pilot.app.screen
        name = screen.in_hand.name
        assert f"▐ {name} ▌" in seen(pilot.app)
        await press(pilot, "1", "7")
        assert screen.in_hand.name == name
        await pilot.resize_terminal(140, 45)
        await settle(pilot)
        assert f"▐ {name} ▌" in seen(pilot.app)


async def test_row_under_the_hand_is_in_sight_in_whatever_size_the_window_gets(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "comma", "end")
        screen: Any = pilot.app.screen
        last = screen.in_hand.label
        for size in ((80, 16), (20, 5), (140, 45), (1, 1), (80, 24)):
            await pilot.resize_terminal(*size)
            await settle(pilot)
            assert screen.in_hand.label == last
            if size >= (60, 16):
                assert [one for one in seen(pilot.app).splitlines() if one.startswith(f" {last}"[:18])]


async def test_in_a_low_window_what_is_said_of_a_field_stands_beneath_the_one_in_hand(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "e")
        assert "Each size, with its price" not in seen(pilot.app)
        await press(pilot, "tab", "tab")
        assert "Each size, with its price" in seen(pilot.app)
        await press(pilot, "tab")
        assert "Each size, with its price" not in seen(pilot.app)


async def test_what_an_order_holds_is_still_said_after_a_record_was_looked_at(furnished: str) -> None:
    async with opened(furnished) as pilot:
        await press(pilot, "7", "e", "escape", "4", "i", "down", "r")
        assert "2 × 60 ml Harbour Blue" in seen(pilot.app)
        assert "1 × 120 ml Gull White" in seen(pilot.app)


async def test_find_narrows_and_escape_widens_again(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "lantern")
        await press(pilot, "enter")
        screen: Any = pilot.app.screen
        assert [one.name for one in screen.query_one("#list").items] == ["Lantern Yellow"]
        await press(pilot, "escape")
        assert len(screen.query_one("#list").items) > 10
        await press(pilot, "slash")
        await write(pilot, "zzz")
        assert "Nothing matches" in seen(pilot.app)


async def test_sheets_lie_one_deeper_and_escape_comes_back_to_their_product(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "down", "s")
        screen: Any = pilot.app.screen
        assert "Sheets of" in seen(pilot.app)
        assert "No sheet is entered" in seen(pilot.app)
        await press(pilot, "escape")
        assert screen.in_hand.name in seen(pilot.app)
        await press(pilot, "s")
        await pilot.click(offset=(3, 2))
        await settle(pilot)
        assert "Suppliers" in seen(pilot.app).splitlines()[2]


async def test_arrows_in_the_find_box_stay_in_it(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "ab")
        await press(pilot, "left", "right")
        screen: Any = pilot.app.screen
        assert screen._kind.NAME == "Products"


@pytest.mark.parametrize(
    ("make", "most"),
    [
        (Products, 2),
        (Suppliers, 2),
        (Places, 2),
        (Substances, 2),
        (Jobs, 1),
        (lambda: Sheets("Harbour Blue", 5), 2),
    ],
)
def test_drawer_reads_the_same_few_queries_whatever_is_in_it(
    studio: str, make: Callable[[], Any], most: int
) -> None:
    drawer = make()
    settings()  # they are kept with the opened books
    with connection(), counted() as statements:
        drawer.read()
    assert len(statements) <= most, statements


def test_suppliers_card_reads_its_products_at_once(studio: str) -> None:
    with connection():
        drawer = Suppliers()
        [mole] = drawer.read()
        with counted() as statements:
            card = drawer.card(mole)
    assert len(card) > 12
    assert len(statements) <= 3, statements


@pytest.mark.parametrize("make", [Products, Suppliers, Places, Substances, Jobs, Recipes])
def test_every_record_has_a_card_and_a_form(studio: str, make: Callable[[], Any]) -> None:
    with connection():
        drawer = make()
        for item in drawer.read():
            if not isinstance(item, Heading):
                assert drawer.card(item)
                assert drawer.letters(item)
                assert len(drawer.cells(item, True)) == len(drawer.WIDE)
                assert len(drawer.cells(item, False)) == len(drawer.NARROW)
                learn, _ = drawer.correct(item)
                learn()


@pytest.mark.parametrize("letter", ["W", "漆"])
def test_an_endless_word_is_cut_up_in_one_pass(letter: str, monkeypatch: pytest.MonkeyPatch) -> None:
    looked = [0]

    def counting(text: str) -> int:
        looked[0] += len(text)
        return cell_len(text)

    monkeypatch.setattr("tui.records.record_card.cell_len", counting)
    rows = wrapped(letter * 10_000, 24)
    assert "".join(rows) == letter * 10_000
    assert max(map(cell_len, rows)) <= 24
    assert looked[0] <= 3 * 10_000


async def test_a_substance_is_looked_up_by_its_number_and_noted_by_its_sheet(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "7", "right", "right", "right", "right", "slash")
        await write(pilot, "98-56-6")
        await press(pilot, "enter")
        assert "parachlorobenzotrifluoride" in seen(pilot.app)
        assert "138.5 °C [CRC Handbook]" in seen(pilot.app)
        assert "Unknown, so the worse case" in seen(pilot.app)
        await press(pilot, "e", "tab", "tab", "tab")
        await write(pilot, "38C")
        await press(pilot, "enter")
        assert "38 °C [the studio's own record]" in seen(pilot.app)
        await press(pilot, "escape")
        assert "The studio's own" in seen(pilot.app).splitlines()[5]
        with connection():
            assert [row.name for row in own_substances.everything()] == ["4-chlorobenzotrifluoride"]
        await press(pilot, "delete", "enter")
        assert "4-chlorobenzotrifluoride is deleted" in seen(pilot.app)
        await press(pilot, "n")
        await write(pilot, "Pearlene")
        await press(pilot, "tab")
        await write(pilot, "999-99-4")
        await press(pilot, "enter")
        assert "its last digit would be 5" in " ".join(seen(pilot.app).split())
    with connection():
        assert own_substances.everything() == []
