"""A product and its sheet, entered from nothing and corrected, by keys alone and by mouse alone."""

from typing import Any

import pytest
from textual.events import Key
from textual.geometry import Offset
from textual.pilot import Pilot
from textual.widget import Widget

from stock.shelf import record_texts, sheets
from stock.store.connection import connection
from tests.tui.driving import hurry, opened, press, seen, settle, write
from tui.dialogs.product_form import ProductForm
from tui.dialogs.record_form import Group, GroupHead
from tui.records.sheets import RangeForm, SheetForm
from tui.widgets.fields import Field


def known(product: str) -> dict[str, str]:
    """What the books know of a product."""
    with connection():
        return record_texts.product(product)


def focused(pilot: Pilot[None]) -> str:
    """The field in which the hand is."""
    return name_of(pilot.app.focused)


def name_of(held: Widget | None) -> str:
    """The field in which a widget stands, or what it is called itself."""
    field = next((one for one in held.ancestors_with_self if isinstance(one, Field)), None) if held else None
    return str(field.id) if field is not None else str(getattr(held, "title", "") or getattr(held, "id", ""))


async def tab_to(pilot: Pilot[None], wanted: str) -> None:
    """Tab until the hand is there, and on from the last one to the first; backwards where that is nearer.

    The keys at the foot stand before the last headings or behind them, as tall as the form is while tabs go through.
    """
    for _ in range(2):
        chain = pilot.app.screen.focus_chain
        at = next((number for number, one in enumerate(chain) if name_of(one) == wanted), None)
        assert at is not None, f"no tab leads to {wanted}"
        here = chain.index(pilot.app.focused) if pilot.app.focused in chain else -1
        on, back = (at - here) % len(chain), (here - at) % len(chain)
        if at != here:
            await hurry(pilot, *(["tab"] * on if on <= back or here < 0 else ["shift+tab"] * back))
    assert focused(pilot) == wanted


async def fill(pilot: Pilot[None], name: str, text: str) -> None:
    """Tab to a field and write into it."""
    await tab_to(pilot, name)
    await write(pilot, text)


async def click_words(pilot: Pilot[None], words: str, *, nth: int = 0, into: int = 1) -> None:
    """A click on words that stand on the screen."""
    places = [
        Offset(line.index(words) + into, y)
        for y, line in enumerate(seen(pilot.app).splitlines())
        if words in line
    ]
    assert places, f"{words!r} stands nowhere"
    await pilot.click(offset=places[nth])
    await settle(pilot)


async def test_product_and_sheet_by_keys_and_the_bench_starts_from_it_and_from_its_correction(
    studio: str,
) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "n")
        assert isinstance(pilot.app.screen, ProductForm)
        await write(pilot, "Heron Grey")
        await fill(pilot, "packs", "60 ml=8.10, 120 ml")
        await tab_to(pilot, "What the label says")
        await press(pilot, "enter")
        await fill(pilot, "line", "Quay")
        await tab_to(pilot, "How it thins")
        await press(pilot, "enter")
        await fill(pilot, "usual_reducer", "Eddy")
        await press(pilot, "enter")
        assert not isinstance(pilot.app.screen, ProductForm)
        shown = known("Heron Grey")
        assert (shown["role"], shown["line"], shown["usual_reducer"]) == ("paint", "Quay", "Eddy Reducer")
        assert shown["packs"] == "60 ml=8.10, 120 ml"

        assert "▐ Heron Grey ▌" in seen(pilot.app)
        assert "Unknown, so treated as" in seen(pilot.app)

        await press(pilot, "s", "n")
        assert isinstance(pilot.app.screen, SheetForm)
        await fill(pilot, "revised", "2026-01-15")
        await tab_to(pilot, "add")
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, RangeForm)
        await fill(pilot, "low", "25%")
        await fill(pilot, "high", "40%")
        await fill(pilot, "step", "5%")
        await fill(pilot, "with", "Eddy")
        await press(pilot, "enter")
        assert "25 to 40 % with Eddy Reducer" in seen(pilot.app)
        await tab_to(pilot, "source")
        await press(pilot, "enter")
        assert "In force" in seen(pilot.app)
        with connection():
            [sheet] = sheets.listed("Heron Grey")
        assert [(one.low_milli, one.high_milli, one.step_milli) for one in sheet.dosings] == [
            (25_000, 40_000, 5_000)
        ]

        await press(pilot, "3")
        await write(pilot, "Heron Grey")
        await press(pilot, "enter")
        await write(pilot, "5 ml")
        assert "25 %" in seen(pilot.app)

        pilot.app.go("records", ("Products", None))  # type: ignore[attr-defined]
        await settle(pilot)
        await press(pilot, "slash")
        await write(pilot, "heron")
        await press(pilot, "enter", "s", "e")
        await tab_to(pilot, "add")
        await press(pilot, "shift+tab", "enter")
        assert isinstance(pilot.app.screen, RangeForm)
        await fill(pilot, "low", "12%")
        await press(pilot, "enter")
        await tab_to(pilot, "source")
        await press(pilot, "enter")
        assert "12 to 40 %" in seen(pilot.app)
        await press(pilot, "escape", "x")
        assert pilot.app.current_mode == "bench"
        await write(pilot, "5 ml")
        assert "12 %" in seen(pilot.app)


@pytest.mark.sampled(4, among="journeys by mouse")
async def test_product_is_corrected_by_mouse_alone(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_words(pilot, "7 Records")
        await click_words(pilot, "Glass Coat")
        await click_words(pilot, "Correct")
        form: Any = pilot.app.screen
        assert isinstance(form, ProductForm)
        await click_words(pilot, "How it thins")
        assert "Usual reducer" in seen(pilot.app)
        await click_words(pilot, "Usual reducer", into=20)
        await click_words(pilot, "Swift Reducer")
        await click_words(pilot, "Correct it")
        assert not isinstance(pilot.app.screen, ProductForm)
        assert known("Glass Coat")["usual_reducer"] == "Swift Reducer"
        await click_words(pilot, "Discontinue")
        await click_words(pilot, "Discontinue it")
        assert known("Glass Coat")["discontinued"] == "2026-03-04"
        assert "Discontinued on 4 Mar 2026" in seen(pilot.app)
        await click_words(pilot, "Discontinue", nth=-1)
        await click_words(pilot, "It is made", nth=-1)
        assert known("Glass Coat")["discontinued"] == ""


REFUSED = (
    ("", "packs", "60", "has no unit"),
    ("", "packs", "60 ml=7,90", "has a comma"),
    ("", "role", "varnish", "is no role"),
    ("What the label says", "color", "blau", "is no colour"),
    ("Fire and storage", "flash_point", "18", "is neither in C nor in F"),
    ("Fire and storage", "store_at", "35C..5C", "does not have the lower one first"),
    ("How it thins", "density", "nan", "is not a figure"),
    ("How it thins", "usual_reducer", "nobody", "product is called"),
    ("What it is made of", "solvent", "ethanol", "says no share"),
    ("What it is made of", "water", "140%", "is more than 100"),
)
"""The group of the form in which a field stands, the field, what it refuses, and the reason."""


async def test_refusal_stands_beneath_its_field_keeps_what_was_typed_and_opens_its_group(studio: str) -> None:
    before = known("Tar Black")
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "tar black")
        await press(pilot, "enter", "e", "enter")
        assert "No field was changed" in seen(pilot.app)
        form: Any = pilot.app.screen
        for number, (group, name, text, said) in enumerate(REFUSED):
            field = form.field_named(name)
            held = next((one for one in form.query(Group) if field in one.members), None)
            assert (held.query_one(GroupHead).title if held else "") == group
            if held and not held.opened and number % 2:  # else the refusal itself opens it
                await tab_to(pilot, group)
                await press(pilot, "enter")
            stood, field.text = field.text, text
            await tab_to(pilot, "go")
            await press(pilot, "enter")
            assert pilot.app.screen is form
            wrong: Any = field.query_one(".wrong")
            assert said in str(wrong.render())
            assert field.text == text
            assert focused(pilot) == name
            assert held is None or held.opened
            field.text = stood
    assert known("Tar Black") == before


async def test_emptied_field_is_not_known_again_and_a_renamed_product_keeps_the_hand(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "tar black")
        await press(pilot, "enter", "e")
        heads = pilot.app.screen.query(GroupHead)
        await tab_to(pilot, "How it thins")
        await press(pilot, "space")
        assert len(heads) == 5
        await tab_to(pilot, "density")
        pilot.app.screen.query_one("#density", Field).text = ""
        await press(pilot, "enter")
        assert known("Tar Black")["density"] == ""
        assert known("Tar Black")["line"] == "Quay"
        await press(pilot, "e")
        pilot.app.screen.query_one("#name", Field).text = "Pitch Black"
        await press(pilot, "enter", "escape")
        assert known("Pitch Black")["line"] == "Quay"
        assert "Pitch Black" in seen(pilot.app)


async def test_names_that_look_like_markup_are_shown_and_a_name_that_stands_is_refused(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "7", "slash")
        await write(pilot, "matt")
        await press(pilot, "enter")
        assert "Sand [matt]" in seen(pilot.app)
        await press(pilot, "e")
        assert "Sand [matt]: what is known of it" in seen(pilot.app)
        await press(pilot, "escape", "n")
        await write(pilot, "tar BLACK")
        await press(pilot, "enter")
        refusal: Any = pilot.app.screen.query_one("#refusal")
        assert str(refusal.render()).startswith("There is a product called Tar Black already")
        assert isinstance(pilot.app.screen, ProductForm)
        await press(pilot, "escape", "n")
        for key in (
            "A",
            "tab",
            "tab",
            "6",
            "0",
            "m",
            "l",
        ):  # what is typed right behind a Tab is the next field's
            pilot.app.post_message(Key(key, key if len(key) == 1 else None))
        await settle(pilot)
        form: Any = pilot.app.screen
        texts = [form.query_one(f"#{name}", Field).text for name in ("name", "role", "packs")]
        assert texts == ["A", "paint", "60ml"]
