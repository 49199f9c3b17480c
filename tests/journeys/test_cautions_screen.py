"""The Cautions on the real app: what was found, and a key that does something about it."""

from collections.abc import Iterator
from contextlib import asynccontextmanager
from datetime import date
from pathlib import Path

import pytest
from textual.widgets import Input, Static

from stock.cautions import books
from stock.cautions.choices import chosen
from stock.shelf import deliveries, places, products, studio
from stock.store.connection import connection
from stock.store.models import database
from tests.clock import clock_at
from tests.tui.driving import opened, press, seen, settle, write
from tui.cautions.screen import CautionsScreen
from tui.widgets.fields import Field
from tui.widgets.rows import Heading, Rows

NOW = "2026-03-04 15:30:00"


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """An old paint, a flammable reducer in a garage that freezes, and an additive nobody described."""
    where = str(tmp_path / "studio.ullage")
    with clock_at(NOW, ticking=True):
        studio.make(where, name="Slipway", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
        with connection():
            known = {"low_mc": 12_000, "high_mc": 24_000, "ignition": False}
            places.add("Steel cabinet", kind="cabinet", premises="workshop", **known)
            places.add("Garage", kind="store", premises="workshop", low_mc=-4_000, high_mc=20_000)
            lives = {"opened_life": "12mo", "sealed_life": "3y", "store_at": "-10C..35C"}
            products.add(
                {"name": "Sand [matt]", "role": "paint", "water": "60", "flash_point": "none", **lives}
            )
            products.add(
                {"name": "Swift Reducer", "role": "reducer", "solvent": ["ethanol=50"], "water": "50",
                 "flash_point": "20C", "boiling_point": "78C", **lives}
            )  # fmt: skip
            products.add({"name": "Grip", "role": "additive", **lives})
            deliveries.receive("Sand [matt]", 60_000, best_before=date(2026, 1, 1), place="Steel cabinet")
            deliveries.receive("Swift Reducer", 120_000, place="Garage")
            deliveries.receive("Grip", 30_000, place="Steel cabinet")
        yield where
    if not database.is_closed():
        database.close()


@asynccontextmanager
async def cautions(address, size=(80, 24)):
    async with opened(address, size) as pilot:
        await press(pilot, "5")
        assert isinstance(pilot.app.screen, CautionsScreen)
        yield pilot, pilot.app.screen


def headings(screen):
    return [item.text for item in screen.query_one(Rows).items if isinstance(item, Heading)]


def listed(screen):
    return [item.code for item in screen.query_one(Rows).items if not isinstance(item, Heading)]


async def to(pilot, screen, code):
    """Put the hand on the finding of a code."""
    rows = screen.query_one(Rows)
    number = next(
        at for at, item in enumerate(rows.items) if not isinstance(item, Heading) and item.code == code
    )
    await press(pilot, "home", *["down"] * listed(screen).index(code))
    assert rows.item is rows.items[number]


def said(screen, part="#why"):
    return str(screen.query_one(part, Static).visual)


async def type_in(pilot, field, text):
    pilot.app.screen.query_one(f"#{field}").query_one(Input).focus()
    await write(pilot, text)


async def test_findings_stand_by_what_to_do_and_open_to_reason_source_and_figures(address):
    async with cautions(address) as (pilot, screen):
        assert headings(screen) == [
            "Throw away, or test first", "Move", "Find out", "Fill in: no line", "Take care",
        ]  # fmt: skip
        assert {"past-best-before", "frost", "not-noted", "flammable"} <= set(listed(screen))
        for code in dict.fromkeys(listed(screen)):
            await to(pilot, screen, code)
            assert "`ullage" not in said(screen)  # no command is told where a key does it

        await to(pilot, screen, "frost")
        await press(pilot, "enter")
        text = said(pilot.app.screen, "#finding") + said(pilot.app.screen, "#rule")
        assert "falls to -4 °C" in text
        assert "ASTM D2243" in text
        assert "Rule `frost`" in text
        await press(pilot, "escape")
        assert pilot.app.screen is screen

        shown = "statements-unknown" in listed(screen), len(listed(screen))
        await press(pilot, "n")
        assert all(
            item.severity != "note" for item in screen.query_one(Rows).items if not isinstance(item, Heading)
        )
        await press(pilot, "n")
        assert ("statements-unknown" in listed(screen), len(listed(screen))) == shown

        await to(pilot, screen, "not-noted")
        assert screen.check_action("discard", ()) is None
        assert screen.check_action("note", ()) is True
        await to(pilot, screen, "past-best-before")
        assert screen.check_action("discard", ()) is True
        assert screen.check_action("note", ()) is None
        assert screen.in_hand.product == "Sand [matt]"  # brackets are read as they stand
        assert "past its best-before day 2026-01-01" in said(screen)
        await press(pilot, "enter")
        assert "common practice, no source" in said(pilot.app.screen, "#finding")
        await press(pilot, "escape", "p")
        assert pilot.app.current_mode == "records"
        assert "Sand [matt]" in seen(pilot.app)
        await press(pilot, "5", "s")
        assert pilot.app.current_mode == "shelf"
        assert pilot.app.screen.in_hand.view.id == 1


async def test_an_old_bottle_is_thrown_away_one_is_moved_and_their_findings_go(address):
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "past-best-before")
        await press(pilot, "d", "enter")
        assert "past-best-before" not in listed(screen)
        await to(pilot, screen, "frost")
        await press(pilot, "m", "enter")
        assert "frost" not in listed(screen)
    with connection():
        facts = books.facts()
        cabinet = next(each.id for each in facts.places if each.name == "Steel cabinet")
        assert {each.place_id for each in facts.bottles} == {cabinet}
        assert next(each for each in facts.bottles if each.id == 1).state == "discarded"


async def test_what_nobody_noted_is_noted_here_and_what_cannot_be_read_stays_in_its_field(address):
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "not-noted")
        await press(pilot, "f")
        assert pilot.app.focused is pilot.app.screen.query_one("#flash_point").input
        await press(pilot, "enter")
        assert "No field was changed" in said(pilot.app.screen, "#refusal")
        await type_in(pilot, "flash_point", "hot")
        await press(pilot, "enter")
        assert pilot.app.screen is not screen
        assert pilot.app.screen.query_one("#flash_point").text == "hot"
        assert "hot" in said(pilot.app.screen, "#refusal") + "".join(
            str(line.visual) for line in pilot.app.screen.query(".wrong")
        )
        pilot.app.screen.query_one("#flash_point").text = ""
        await type_in(pilot, "flash_point", "95C")
        pilot.app.screen.go_to(pilot.app.screen.field_named("water"))
        await settle(pilot)
        await type_in(pilot, "water", "80%")
        await press(pilot, "enter")
        assert pilot.app.screen is screen
        await to(pilot, screen, "not-noted")
        assert "What is in it and hazard statements not noted" in said(screen)
    with connection():
        grip = next(each for each in books.facts().products if each.name == "Grip")
    assert (grip.flash_point_mc, grip.water_milli) == (95_000, 80_000)


async def test_a_rule_is_taken_more_gravely_silenced_and_heard_again_each_with_a_reason(address):
    def severity():
        return next(one for one in screen.books.findings if one.code == "flammable").severity

    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "flammable")
        assert severity() == "warn"
        await press(pilot, "h", "enter")
        assert pilot.app.screen is not screen  # no reason was given
        await type_in(pilot, "reason", "children come in")
        await press(pilot, "enter")
        assert severity() == "stop"
        await press(pilot, "y", "r")
        await type_in(pilot, "reason", "they have moved out")
        await press(pilot, "enter", "escape")
        assert severity() == "warn"

        await to(pilot, screen, "flammable")
        await press(pilot, "z")
        assert "`ullage" not in seen(pilot.app)
        await press(pilot, "enter")
        assert "Nothing is written here" in said(pilot.app.screen, "#reason .wrong")
        await type_in(pilot, "reason", "steel")
        pilot.app.screen.query_one("#scope", Field).text = "Mars"
        await press(pilot, "enter")
        assert "is none of what it concerns" in said(pilot.app.screen, "#scope .wrong")
        pilot.app.screen.query_one("#scope", Field).text = "everywhere"
        await press(pilot, "enter")
        assert "flammable" not in listed(screen)
        assert "Silenced here: flammable" in said(screen, "#safety")
        await press(pilot, "y")
        assert "steel" in seen(pilot.app)
        await press(pilot, "r")
        await type_in(pilot, "reason", "a new cabinet")
        await press(pilot, "enter", "escape")
        assert "flammable" in listed(screen)

        await to(pilot, screen, "past-best-before")
        await press(pilot, "z")
        await type_in(pilot, "reason", "for brushes")
        await press(pilot, "enter")
        assert "past-best-before" not in listed(screen)
        assert "past-best-before for bottle" in said(screen, "#safety")
        await press(pilot, "y", "r")
        await type_in(pilot, "reason", "no more")
        await press(pilot, "enter", "escape")
        await to(pilot, screen, "past-best-before")
        await press(pilot, "t", "enter")
        assert "past-best-before" not in listed(screen)
        assert "tested-good" in listed(screen)
    with connection():
        assert [(one.choice, one.reason) for one in chosen()] == [
            ("default", "a new cabinet"), ("silence", "steel"),
            ("default", "they have moved out"), ("tighten", "children come in"),
        ]  # fmt: skip


@pytest.mark.sampled(1)
@pytest.mark.parametrize("size", [(80, 24), (60, 20), (140, 45)])
async def test_severity_is_a_word_at_any_size_and_without_colour(address, size, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    async with cautions(address, size) as (_, screen):
        lines = ["".join(part.text for part in screen.query_one(Rows).render_line(y)) for y in range(4)]
        assert any("✕ Don't use" in line for line in lines)
        assert "safety data sheet" in said(screen, "#safety")


async def test_a_bottle_that_stands_nowhere_is_put_into_its_place(address):
    with clock_at(NOW, ticking=True), connection():
        deliveries.receive("Swift Reducer", 120_000)
    async with cautions(address) as (pilot, screen):
        await to(pilot, screen, "place-unknown")
        assert "Note it: m" in said(screen)
        assert screen.check_action("discard", ()) is None
        await press(pilot, "m")
        await type_in(pilot, "place", "steel")
        await press(pilot, "enter")
        assert "place-unknown" not in listed(screen)
