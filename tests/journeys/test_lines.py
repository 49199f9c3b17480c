"""A line says its facts once: its record, 25 colours of it in one form, a product like another, several at once."""

from textual import events

from stock.exchange import line_form
from stock.logbook.proof import prove
from stock.shelf import lines, products
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import opened, press, seen, until, write
from tui.dialogs.line_form import COLUMNS, LineForm
from tui.records.screen import RecordsScreen
from tui.widgets.grid import Grid

COLOURS = [f"{shade} {name}" for shade in ("Pale", "Deep", "Old", "Wet", "Dry") for name in
           ("Kelp", "Rust", "Slate", "Sand", "Foam")]  # fmt: skip


def keys_of(text: str) -> list[str]:
    return [{";": "semicolon", "-": "minus"}.get(letter, letter) for letter in text]


def of_line(name: str):
    with connection():
        return [row for row, _ in lines.products_of(lines.find(name))]


async def to_lines(pilot) -> None:
    await press(pilot, "7", "right")
    await until(lambda: pilot.app.screen._kind.NAME == "Lines" and pilot.app.screen.books is not None)


async def test_25_colours_of_a_line_come_in_one_form_for_under_10_keys_each(studio: str, capsys) -> None:
    """The names are pasted; of eight bottles the level is typed, of five the colour, of three the day of opening."""
    keys = 0
    async with opened(studio, size=(140, 45)) as pilot:
        await to_lines(pilot)
        with connection():
            lines.add({"name": "Aa Pier", "role": "paint", "price": "60ml=7.90", "opened_life": "12mo"})
        pilot.app.screen.reload()
        await until(lambda: "Aa Pier" in seen(pilot.app))
        pilot.app.screen.query_one("#list").action_edge(-1)

        async def typed(*pressed: str) -> None:
            nonlocal keys
            keys += len(pressed)
            await press(pilot, *pressed)

        await typed("f")
        await until(lambda: isinstance(pilot.app.screen, LineForm))
        grid = pilot.app.screen.query_one(Grid)
        grid.post_message(events.Paste("\n".join(f"{name}; P-{at:02}" for at, name in enumerate(COLOURS))))
        keys += 1  # pasted
        await until(lambda: len(grid.filled()) == 25)
        await typed("pageup", "pageup", "pageup", "right", "right")
        for colour in ("navy", "sienna", "#2a6f97", "tan", "snow"):
            await typed(*("number_sign" if letter == "#" else letter for letter in colour), "enter")
        await typed("right", "right", "right")
        for _ in range(8):
            await typed("h", "a", "l", "f", "down")
        await typed("right", "up", "up", "up")
        for _ in range(3):
            await typed(*("minus" if letter == "-" else letter for letter in "2026-01-05"), "down")
        assert "25 rows: 25 bottles with 1260 ml, 5 open since an unknown day" in seen(pilot.app)
        await typed("f8")
        await until(lambda: isinstance(pilot.app.screen, RecordsScreen))
    with capsys.disabled():
        print(f"\nline form: {keys} keys for 25 colours, {keys / 25:.1f} a colour")
    assert keys / 25 < 10
    assert {row.name for row in of_line("Aa Pier")} == set(COLOURS)
    with connection():
        mine = [view for view in on_shelf() if view.line == "Aa Pier"]
        assert sum(view.on_hand_ul for view in mine) == 17 * 60_000 + 8 * 30_000
        assert {view.opening_stock for view in mine} == {True}
        assert prove().problems == []


async def test_a_row_that_cant_be_read_is_shown_and_nothing_is_booked_until_it_is_mended(studio: str) -> None:
    async with opened(studio) as pilot:
        await to_lines(pilot)
        await press(pilot, "f")
        await until(lambda: isinstance(pilot.app.screen, LineForm))
        line = pilot.app.screen._form_of_line.line.name
        before = len(of_line(line))
        await press(pilot, *"Fen", "right", "right", *"blau", "f8")
        assert isinstance(pilot.app.screen, LineForm)
        assert "no colour" in seen(pilot.app)
        assert len(of_line(line)) == before
        await press(pilot, *"blue", "right", *"60ml", "f8")
        await until(lambda: isinstance(pilot.app.screen, RecordsScreen))
    assert len(of_line(line)) == before + 1
    with connection():
        assert products.find("Fen").color == "#0000ff"


async def test_a_row_is_typed_from_cell_to_cell_by_semicolons(studio: str) -> None:
    async with opened(studio, (80, 24)) as pilot:
        await to_lines(pilot)
        await press(pilot, "f")
        await press(pilot, *keys_of("Fen;F-1;navy;60ml;2;half"))
        await press(pilot, "enter")
        await press(pilot, *keys_of("Moor;;moss"))
        grid = pilot.app.screen.query_one(Grid)
        assert [row for _, row in grid.filled()] == [
            {"name": "Fen", "code": "F-1", "color": "navy", "size": "60ml", "count": "2", "left": "half"},
            {"name": "Moor", "color": "moss"},
        ]


async def test_a_lines_record_is_entered_corrected_and_followed(studio: str) -> None:
    async with opened(studio) as pilot:
        await to_lines(pilot)
        await press(pilot, "n")
        await write(pilot, "Aa Anchor")
        await press(pilot, "tab")
        await write(pilot, "paint")
        await press(pilot, "enter")
        await until(lambda: isinstance(pilot.app.screen, RecordsScreen) and "Aa Anchor" in seen(pilot.app))
    with connection():
        products.add({"name": "Aa Kelp", "line": "Aa Anchor"})
        lines.change("Aa Anchor", {"opened_life": "9mo", "maker": "Mole"})
    async with opened(studio) as pilot:
        await press(pilot, "7")
        await until(lambda: "9 months opened" in seen(pilot.app))
        assert "Mole (from the line)" in seen(pilot.app)
        await press(pilot, "l")
        assert pilot.app.screen.field_named("role").text == ""  # its line says it
        await write(pilot, "Aa Slate")
        await press(pilot, "enter")
        await until(lambda: isinstance(pilot.app.screen, RecordsScreen) and "Aa Slate" in seen(pilot.app))
    assert {row.name for row in of_line("Aa Anchor")} == {"Aa Kelp", "Aa Slate"}


async def test_several_products_are_marked_and_a_field_changed_for_all(studio: str) -> None:
    with connection():
        for name in ("Aa One", "Aa Two", "Ab Three"):
            products.add({"name": name, "role": "paint"})
    async with opened(studio) as pilot:
        await press(pilot, "7")
        await until(lambda: "Aa One" in seen(pilot.app))
        await press(pilot, "space", "space", "e")
        await until(lambda: "2 products" in seen(pilot.app))
        await press(pilot, "tab")
        await write(pilot, "45 ml=3.20")
        await press(pilot, "enter")
        await until(lambda: isinstance(pilot.app.screen, RecordsScreen))
    with connection():
        sold = {
            name: products.details(products.find(name))["packs"] for name in ("Aa One", "Aa Two", "Ab Three")
        }
    assert sold == {"Aa One": [(45_000, 320)], "Aa Two": [(45_000, 320)], "Ab Three": []}


def test_the_form_has_the_cells_that_the_command_reads() -> None:
    assert tuple(column.key for column in COLUMNS) == line_form.FIELDS
