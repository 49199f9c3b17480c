"""Thinning on the Bench: the advised start, steps by one key, back again, closed, and a jar next time."""

import datetime as dt
import re

import pytest

from stock.bench import mixes, recipes
from stock.shelf import products, sheets
from stock.shelf.dosings import read as dosing
from stock.store.connection import connection
from stock.store.models import Product, Weighing
from tests.tui.driving import holds, opened, press, seen, settle, write

BLUE, REDUCER = 1, 17


@pytest.fixture
def sheet(studio: str) -> str:
    """The studio with a sheet that lets Harbour Blue go from 10 to 40 % in steps of 5."""
    with connection():
        sheets.add(
            "Harbour Blue",
            "Quay colours",
            dt.date(2025, 5, 1),
            dosings=[dosing("with=Eddy low=10 high=40 step=5")],
        )
    return studio


def newest() -> mixes.MixView:
    with connection():
        return mixes.open_mixes()[0]


async def start(pilot, amount: str = "4 ml") -> None:
    """A mix of blue at the advised start, by keys alone."""
    await press(pilot, "3")
    await write(pilot, "harb")
    await press(pilot, "enter")
    await write(pilot, amount)
    await press(pilot, "enter", "enter")
    await press(pilot, "enter")  # the empty Reduction takes the advised start
    await settle(pilot)


async def test_from_the_advice_by_one_key_a_step_until_it_sprays_and_closed_by_another(sheet: str) -> None:
    before = holds(BLUE)
    async with opened(sheet) as pilot:
        await start(pilot)
        text = seen(pilot.app)
        assert "Start 10 %, steps of 5 %, at most 40 %" in text
        assert "start 10 %" in text
        assert "this mix 10 %" in text
        assert "Quay colours of" in text
        assert pilot.app.screen.query_one("#reduce Input").value == "10%"
        form = pilot.app.screen.query_one("#form")
        form.field("reduce").text, form.field("total").text = "20%", "6 ml"
        await settle(pilot)
        assert "6 ml = 5 paint + 1 reducer" in seen(pilot.app)  # in all counts the reducer in
        form.field("reduce").text, form.field("total").text = "10%", ""
        await settle(pilot)
        assert holds(BLUE) == before

        await press(pilot, "f8")
        made, reducer = newest(), holds(REDUCER)
        text = seen(pilot.app)
        assert f"Mix {made.id}" in text
        assert re.search(r"adds 0\.2 ml \(\d drops\) Eddy Reducer", text)
        await press(pilot, "s")
        assert holds(REDUCER) == reducer - 200
        assert "15 % of the paint" in seen(pilot.app)
        await press(pilot, "s")
        assert len(newest().stages) == 3
        await press(pilot, "g")
        with connection():
            assert mixes.mix(made.id).closed.outcome == "good"
        assert newest().id != made.id


async def test_a_mix_is_taken_back_whole_and_a_step_beyond_the_range_is_asked_about(sheet: str) -> None:
    with connection():
        recipes.add("Deep sea", [("Harbour Blue", 3_000), ("Eddy", 1_000)])
    before = holds(BLUE), holds(REDUCER)
    async with opened(sheet) as pilot:
        await start(pilot)
        await press(pilot, "f8", "s", "u")
        assert "Take mix" in seen(pilot.app)
        await press(pilot, "enter")
        assert (holds(BLUE), holds(REDUCER)) == before

        await press(pilot, "i")
        await write(pilot, "deep")  # a recipe stands among the paints
        await press(pilot, "enter")
        await write(pilot, "8 ml")
        assert "8 ml = 6 paint + 2 reducer" in seen(pilot.app)

        form = pilot.app.screen.query_one("#form")
        for field, text in (("paint-0", "Harbour Blue"), ("amount-0", "4 ml"), ("reduce", "40%")):
            form.field(field).text = text
        await settle(pilot)
        await press(pilot, "f8")
        reducer = holds(REDUCER)
        await press(pilot, "s")
        text = seen(pilot.app)
        assert "A step for mix" in text
        assert "is beyond the range" in " ".join(text.replace("│", "").split())
        assert holds(REDUCER) == reducer
        await press(pilot, "escape")
    assert holds(REDUCER) == reducer


async def test_too_thin_is_brought_back_its_flow_noted_and_what_is_kept_offered_next_time(sheet: str) -> None:
    async with opened(sheet, size=(140, 45)) as pilot:
        await start(pilot)
        await press(pilot, "f8", "s")
        made, blue = newest().id, holds(BLUE)
        await press(pilot, "p")
        text = seen(pilot.app)
        assert "is too thin" in text
        assert "Adds 2 ml Harbour Blue" in text
        await press(pilot, "enter")
        assert holds(BLUE) == blue - 2_000
        assert newest().reduction.percent_of_paint == 10

        await press(pilot, "v")
        fill(pilot, cup="iso2431-4", seconds="60", at="23C", target="yes")
        await press(pilot, "enter")
        assert "the target of Harbour Blue" in " ".join(seen(pilot.app).split())
        assert "ISO 4 mm" in seen(pilot.app)

        await press(pilot, "c")
        fill(
            pilot, note="a hair too wet", needle="abc", left="2 ml", keep="keep", warmth="21C", humidity="45%"
        )
        await press(pilot, "enter")
        assert pilot.app.screen.query_one("#note").text == "a hair too wet"
        assert "needle 'abc'" in seen(pilot.app)
        with connection():
            assert mixes.mix(made).closed is None
        fill(pilot, needle="0.35")
        await press(pilot, "enter")
        with connection():
            closed = mixes.mix(made).closed
        assert (closed.room_mc, closed.humidity_milli, closed.kept) == (21_000, 45_000, True)
        assert closed.note == "a hair too wet"

        await press(pilot, "i")
        await write(pilot, "harb")
        await press(pilot, "enter")
        assert f"in jar M{made}" in " ".join(seen(pilot.app).split())
        await press(pilot, "f9")
        assert pilot.app.screen.query_one("#amount-0 Input").value == "2 ml"
        assert pilot.app.screen.query_one("#paint-0 Input").value.startswith("Left of Harbour Blue")


def fill(pilot, **texts: str) -> None:
    """Put texts into the fields of the dialog in front."""
    for field, text in texts.items():
        pilot.app.screen.query_one(f"#{field}").text = text


async def test_neat_drops_are_thinned_by_drops_tinted_and_made_more_of(sheet: str) -> None:
    """Ten drops of blue without reducer; the first step is the start; drops, a tint, and more of it follow."""
    async with opened(sheet) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "1 ml")
        await press(pilot, "f8")
        made, reducer = newest().id, holds(REDUCER)
        assert newest().cup.reducer_ul == 0
        assert "s  adds 0.1 ml (" in seen(pilot.app)
        await press(
            pilot, "s"
        )  # the reducer brings cautions that paint alone did not have: they are shown first
        assert "! " in seen(pilot.app)
        assert newest().cup.reducer_ul == 0
        await press(pilot, "enter")
        assert (newest().cup.reducer_ul, holds(REDUCER)) == (100, reducer - 100)

        await press(pilot, "S")
        await settle(pilot)
        fill(pilot, points="2 drops")
        await settle(pilot)
        assert "(2 drops, " in seen(pilot.app)
        await press(pilot, "enter")
        assert len(newest().stages) == 3

        with connection():
            products.change("Eddy Reducer", {"density": "0.9"})
        held = newest().cup.reducer_ul
        await press(pilot, "S")
        fill(pilot, points="10.0..10.09 g")
        await settle(pilot)
        assert ", 0.09 g)" in seen(pilot.app)
        await press(pilot, "enter")
        assert newest().cup.reducer_ul == held + 100
        with connection():
            (weighing,) = Weighing.select()
            assert (weighing.tare_mg, weighing.reading_mg, weighing.density_ug_per_ml, weighing.volume_ul) == (
                10_000, 10_090, 900_000, 100,
            )  # fmt: skip

        before = newest().cup
        await press(pilot, "t")
        await write(pilot, "white")
        await press(pilot, "tab")
        name = pilot.app.screen.query_one("#colour").meant
        await write(pilot, "0.5 ml")
        await settle(pilot)
        assert "Adds 0.5 ml" in seen(pilot.app)
        await press(pilot, "enter")
        cup = newest().cup
        assert (cup.paint_ul, cup.reducer_ul) == (1_500, before.reducer_ul)
        assert name in newest().words

        with connection():
            Product.update(density_ug_per_ml=None).where(Product.name == name).execute()
        for text in ("0.5 g", "10.0..10.5 g"):
            await press(pilot, "t")
            fill(pilot, colour=name, amount=text)
            await settle(pilot)
            assert f"o density of {name} is known" in seen(pilot.app)
            await press(pilot, "enter")
            assert newest().cup == cup
            await press(pilot, "escape", "y")

        await press(pilot, "t")
        fill(pilot, colour="Harbour Blue", amount="1 ml", points="0.1 ml")
        await press(pilot, "enter")
        assert newest().cup.paint_ul == 2_500
        assert newest().cup.reducer_ul == before.reducer_ul + 100
        assert newest().id == made
        await press(pilot, "u", "enter")
    assert holds(REDUCER) == reducer
