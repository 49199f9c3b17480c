"""Sizes and letters: every screen whole at 80 x 24, richer at 140 x 45, and no name that moves a column."""

import asyncio
import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from itertools import cycle
from typing import Any

import pytest
from rich.cells import cell_len
from textual.app import App
from textual.geometry import Size
from textual.pilot import Pilot
from textual.widgets import Input

from stock.errors import BadInput
from stock.text import folded
from stock.text import name as kept
from tests.sampling import parts, some
from tests.tui.driving import FRAME_S, LONG_S, listening, opened, press, seen, settle, until, write
from tests.tui.views import DIALOGS, SCREENS, show, typed_wish
from tui.records.kind_tabs import NAMES as NAMES_OF_KINDS
from tui.widgets.frame import KeyStrip
from tui.widgets.page import Page

NAMES = {
    "wide": "漆黒の塗料 つや消し 濃い青",
    "right to left": "أزرق المرفأ מים כחולים",
    "emoji": "Sky 🎨 👩‍🎨 🇵🇹 ❤️ ink",
    "stacked": "Z̗̖̙a̗̖l̗g̙o " + "e\u0301" * 30,
    "halfwidth": "ﾊｰﾊﾞｰ Ｂｌｕｅ",
    "endless": "W" * 10_000,
    "endless wide": "漆" * 10_000,
    "nothing to see": "\u200b\u2060\ufeff\u00ad",
    "steering": "\x1b[31mred\x1b[0m\r\n\t\x9b2J\u202eeulb",
    "markup": "[bold red]x[/] [@click=app.quit]go[/] [/",
}

NAMED = (
    "BottleSheet", "MoveBottle", "Again", "CloseMix", "MakeOrder", "OnOrder", "ReceiveOrder", "CancelOrder",
    "FindingSheet", "PlaceForm", "CloseJob", "RecipeForm", "SettingForm",
)  # fmt: skip
"""The dialogs in which a name that people gave is shown."""
FOUND = ("ProductForm", "SheetForm", "RangeForm", "SupplierForm", "JobForm")
"""Those that find their record by its name, which must be one that the books could hold."""


def rename(address: str, *names: str) -> None:
    """Everything that has a name gets the next of these, past what a person could enter."""
    following = cycle(names)
    with closing(sqlite3.connect(address)) as file, file:
        tables = ("product", "place", "supplier", "job")
        for table in tables:
            columns = {row[1] for row in file.execute(f"PRAGMA table_info({table})")}
            for number, (key,) in enumerate(file.execute(f"SELECT id FROM {table}").fetchall()):
                name = f"{next(following)}{number}"
                file.execute(f"UPDATE {table} SET name = ? WHERE id = ?", (name, key))
                if "name_key" in columns:
                    file.execute(f"UPDATE {table} SET name_key = ? WHERE id = ?", (folded(name), key))
        file.execute("UPDATE studio SET name = ?", (names[0],))


def holdable(name: str) -> bool:
    """Whether a person could enter it."""
    try:
        return kept(name) == name
    except BadInput:
        return False


def widths(app: object) -> set[int]:
    """The cells that each line of the screen takes in a terminal."""
    lines = app.screen._compositor.render_strips()  # type: ignore[attr-defined]
    return {sum(cell_len(segment.text) for segment in line) for line in lines}


@pytest.mark.deepens
async def test_every_screen_in_every_size(studio: str, request: pytest.FixtureRequest) -> None:
    """Keys that work come first and those left out are counted, more room tells more, too little says what it needs.

    Some of the screens each time; all with --deep.
    """
    texts: dict[str, list[int]] = {}
    screens = some(request.config, SCREENS, 3)
    async with opened(studio) as pilot:
        for screen in screens:
            await show(pilot, screen)
            before = await seen_at_rest(pilot)
            for size in ((140, 45), (60, 16), (101, 33)):
                await resize(pilot, *size)
                keys_of(pilot.app, size[0], f"{screen} in {size}")
                texts.setdefault(screen, [letters(before), letters(seen(pilot.app))])
            await resize(pilot, 40, 20)
            assert "Ullage needs 60 columns and 16 rows" in seen(pilot.app), screen
            assert "This window has 40 and 20" in seen(pilot.app), screen
            await resize(pilot, 80, 24)
            keys_of(pilot.app, 80, f"{screen} in 80 x 24")
            assert await seen_at_rest(pilot) == before, screen
        if "bench" in screens:  # an empty one tells little
            await typed_wish(pilot)
            before = seen(pilot.app)
            await resize(pilot, 140, 45)
            texts["bench"] = [letters(before), letters(seen(pilot.app))]
    texts.pop("records", None)  # a record is whole at 80 x 24
    assert {screen: lengths for screen, lengths in texts.items() if lengths[1] <= 1.25 * lengths[0]} == {}


def letters(text: str) -> int:
    """How much is said on a screen."""
    return len(re.sub(r"[\s─│]", "", text))


def keys_of(app: App[Any], width: int, where: str) -> None:
    """What the strip of keys owes the screen in front."""
    strip = app.screen.query_one(KeyStrip)
    keys, placed = strip._keys(), strip._placed()
    left = {key[0] for key in keys} - {key[0] for key in placed}
    assert all(first + strip._room((*key, able)) <= width + 1 for *key, able, first in placed), where
    assert not left or any(key[3] for key in placed), where
    line = seen(app).splitlines()[-1]
    assert (f"{len(left)} more key" in line) if left else ("? Keys" in line), where
    if any(key[0] in left and key[3] for key in keys):
        assert all(key[3] for key in placed), f"a key that can't act took the room of one that can: {where}"
    assert width < 140 or not left, where


async def seen_at_rest(pilot: Pilot[None]) -> str:
    """What stands on the screen once it is the same three times over: a scroll bar is drawn after its text."""
    texts = [""]
    async with asyncio.timeout(LONG_S):
        while len(texts) < 3 or len(set(texts[-3:])) > 1:
            await settle(pilot)
            await asyncio.sleep(FRAME_S)
            texts.append(seen(pilot.app))
    return texts[-1]


async def from_its_top(pilot: Pilot[None]) -> str:
    """What stands on the screen once the dialog is scrolled to its top, which a low window may have left."""
    for sheet in pilot.app.screen.query("#sheet"):  # the palette has none
        sheet.scroll_home(animate=False)
    await settle(pilot)
    return seen(pilot.app)


@pytest.mark.sampled(1)
@pytest.mark.parametrize("dialogs", parts(DIALOGS, 2))
async def test_a_dialog_stands_whole_after_its_window_was_made_small_and_large(
    furnished: str, dialogs: Sequence[str]
) -> None:
    async with opened(furnished) as pilot:
        for dialog in dialogs:
            await show(pilot, dialog)
            before = await from_its_top(pilot)
            for size in ((20, 5), (140, 45), (1, 1), (60, 16)):
                await resize(pilot, *size)
                assert widths(pilot.app) <= {size[0]}, dialog
            await resize(pilot, 80, 24)
            assert type(pilot.app.screen).__name__ == dialog
            assert await from_its_top(pilot) == before, dialog


@pytest.mark.sampled(1)
@pytest.mark.parametrize("dialog", ["ProductForm", "CloseMix"])
async def test_what_stands_behind_a_dialog_is_laid_out_for_the_window_that_it_has(
    furnished: str, dialog: str
) -> None:
    """The record or the mix on a page is drawn for a large window, whether that was small before or not."""
    async with opened(furnished, (140, 45)) as pilot:
        await show(pilot, dialog)
        behind = pilot.app.screen_stack[-2].query_one(Page)
        large = behind.text
        await resize(pilot, 60, 16)
        assert behind.text != large
        await resize(pilot, 140, 45)
        assert behind.text == large, "after 60 x 16"
        await resize(pilot, 20, 5)
        await resize(pilot, 140, 45)
        assert behind.text == large, "after 20 x 5, in which nothing is shown behind it"


async def test_what_is_typed_in_a_dialog_outlives_any_resizing(studio: str) -> None:
    async with opened(studio) as pilot:
        said = listening(pilot.app)  # type: ignore[arg-type]
        await show(pilot, "CountBottle")
        await write(pilot, "20")
        for size in ((40, 20), (140, 45), (80, 24)):
            await resize(pilot, *size)
        await write(pilot, " ml")
        assert pilot.app.focused is not None
        assert pilot.app.screen.query(Input)[0].value == "20 ml"
        await press(pilot, "enter")
        assert type(pilot.app.screen).__name__ == "ShelfScreen"
        await until(lambda: any("Counted: 20 ml" in one for one in said))


ENTERED = [name for name in NAMES if holdable(NAMES[name])]
OTHERS = [name for name in NAMES if name not in ENTERED]


@pytest.mark.sampled(1)
@pytest.mark.parametrize("views", parts((*SCREENS, *NAMED, *FOUND), 5))
@pytest.mark.parametrize(
    ("names", "size"),
    [(ENTERED, (80, 24)), (OTHERS, (140, 45)), (OTHERS[::-1], (80, 24))],
    ids=["entered", "others", "others in another order"],
)
async def test_no_name_breaks_a_line(
    furnished: str, names: Sequence[str], size: tuple[int, int], views: Sequence[str]
) -> None:
    rename(furnished, *(NAMES[name] for name in names))
    async with opened(furnished, size) as pilot:
        for view in views:
            if view in FOUND and names is not ENTERED:
                continue
            await show(pilot, view)
            assert (view, widths(pilot.app)) == (view, {size[0]})
            assert not set(seen(pilot.app)) & set("\x1b\x9b\r\t\u202e\u200b\u2060\ufeff")


async def test_the_open_drawer_is_among_the_tabs_in_60_columns(studio: str) -> None:
    async with opened(studio, (60, 18)) as pilot:
        await press(pilot, "f12", "comma")
        for name in NAMES_OF_KINDS:
            await press(pilot, "right")
            tabs = seen(pilot.app).splitlines()[2]
            assert f" {name} " in tabs
            assert tabs.rstrip().endswith("▸")
        await pilot.click("KindTabs", offset=(len(tabs.rstrip()) - 1, 0))
        await settle(pilot)
        assert f" {NAMES_OF_KINDS[0]} " in seen(pilot.app).splitlines()[2]


async def test_a_dialog_scrolls_only_if_the_window_is_too_low(furnished: str) -> None:
    """The hint of a rule is one cell too long for the line that it would have without a scroll bar."""
    async with opened(furnished, (80, 24)) as pilot:
        await show(pilot, "RuleForm")
        sheet = pilot.app.screen.query_one("#sheet")
        assert sheet.outer_size.height < 20
        assert sheet.max_scroll_y == 0
        assert "Because" in seen(pilot.app)


EDGES = {
    ("shelf", "v"): r"[\d.]+/\d+ ml (?=sealed|open)",
    ("forecast", "escape"): r"[\d,.]+ ml ",
    ("logbook", "escape"): r"\d\d:\d\d +(?=mix|wash|delivery|count)",
}
"""A screen and a key on it, and what ends at one edge on all its lines."""


@pytest.mark.deepens
async def test_columns_stand_where_they_stood(studio: str, request: pytest.FixtureRequest) -> None:
    """The names are changed in the books beneath a dashboard that reads them again; each line has another one.

    From one half of the names on; with --deep from the other, too.
    """
    names = list(NAMES.values())
    async with opened(studio, (110, 30)) as pilot:
        ordinary, texts = {}, {}
        for (screen, key), ends in EDGES.items():
            await press(pilot, "escape", SCREENS[screen], key)
            texts[screen] = seen(pilot.app)
            ordinary[screen] = edges(texts[screen], ends)
        assert [len(found) for found in ordinary.values()] == [1] * len(EDGES)
        for first in some(request.config, (0, len(names) // 2), 1):
            rename(studio, *names[first:], *names[:first])
            for (screen, _), ends in EDGES.items():
                await press(pilot, SCREENS[screen])
                pilot.app.reload()  # type: ignore[attr-defined]
                await settle(pilot)
                before, texts[screen] = texts[screen], seen(pilot.app)
                assert texts[screen] != before, f"the names are not shown on {screen}"
                assert edges(texts[screen], ends) == ordinary[screen], f"{screen}:\n{texts[screen]}"


def edges(text: str, ends: str) -> set[int]:
    """The cell after the first thing on each line that looks so."""
    found = (re.search(ends, line) for line in text.splitlines())
    return {cell_len(one.string[: one.end()]) for one in found if one is not None}


async def resize(pilot: object, width: int, height: int) -> None:
    """Another size, drawn."""
    await pilot.resize_terminal(width, height)  # type: ignore[attr-defined]
    await settle(pilot)  # type: ignore[arg-type]
    assert pilot.app.size == Size(width, height)  # type: ignore[attr-defined]
