"""The Bench's mix poured by weight on a simulated scale."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.bench.mixes import mix as mix_view
from stock.bench.mixes import open_mixes
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort
from stock.shelf import products
from stock.store.connection import connection
from stock.store.models import Bottle, Weighing
from tests.scale.simulated import SimulatedScale
from tests.tui.driving import opened, press, seen, settle, until, until_seen
from tui.bench.open_mixes import OpenMixes


@pytest.fixture
def scale(tmp_path: Path) -> Iterator[SimulatedScale]:
    one = SimulatedScale(tmp_path)
    shows(one, 0)
    yield one
    one.close()


def shows(scale: SimulatedScale, mass_mg: int, flag: str = "ST") -> None:
    scale.keep_sending(f"{flag},GS,{mass_mg / 1_000:+9.2f} g\r\n".encode())


async def at_the_bench(pilot, scale: SimulatedScale, density: str = "1.25") -> None:
    """8 ml of Gull White with 20 % of Eddy Reducer, and the cup on the scale; a density that isn't known is learnt."""
    with connection():
        products.change("Gull White", {"density": density})
    await press(pilot, "f3")
    form = pilot.app.screen.query_one("#form")
    for field, text in (
        ("paint-0", "Gull White"),
        ("amount-0", "8 ml"),
        ("reduce", "20%"),
        ("reducer", "Eddy Reducer"),
    ):
        form.field(field).text = text
    await until_seen(pilot.app, "Book Gull White")
    shows(scale, 12_500)
    await press(pilot, "ctrl+g")
    if not density:
        await until_seen(pilot.app, "No density of Gull White is known. F10 learns it")
        await press(pilot, "f10")
        await until_seen(pilot.app, "12.5 g of it: 1.25 g/ml")
        await press(pilot, "enter")
    shows(scale, 5_000)
    await until_seen(pilot.app, "On the scale: 5 g", "● stands still", "Put the cup on")
    await press(pilot, "enter")


async def test_a_mix_is_booked_as_it_was_poured(studio: str, scale: SimulatedScale) -> None:
    """Under, nearly there, too much; the reducer is rescaled by a key; the books have what was poured."""
    async with opened(studio, scale=ScaleListener(ScalePort(scale.path))) as pilot:
        await at_the_bench(pilot, scale, "")
        assert "▸ Gull White" in seen(pilot.app)
        await until_seen(pilot.app, "▸ 10 g still to come")
        await press(pilot, "enter")
        assert "No Gull White was poured yet" in seen(pilot.app)
        shows(scale, 9_000, "US")
        await until_seen(pilot.app, "▸ 6 g still to come")
        assert "○ moves" in seen(pilot.app)
        shows(scale, 14_500)
        await until(
            lambda: (
                "▸▸ 0.5 g still to come: slowly now" in seen(pilot.app)
                and "● stands still" in seen(pilot.app)
            )
        )
        await press(pilot, "enter")
        assert "Enter once more takes it as it is" in seen(pilot.app)
        shows(scale, 15_000)
        await until_seen(pilot.app, "✓ right: stop pouring")
        shows(scale, 16_000)
        await until_seen(pilot.app, "✕ 1 g too much", "● stands still")
        assert "▚" in seen(pilot.app)
        assert "F7 rescales the other parts" in seen(pilot.app)
        await press(pilot, "f7")
        assert "✓ Gull White" in seen(pilot.app)
        await until_seen(pilot.app, "1.71 g still to come")  # 1.76 ml of 0.97 g/ml
        shows(scale, 17_707)
        await until_seen(pilot.app, "✓ right", "● stands still")
        await press(pilot, "enter")
        await until_seen(pilot.app, "Enter books what was poured")
        await press(pilot, "enter")
        await until(lambda: len(pilot.app.screen_stack) == 1)
        await settle(pilot)
        in_hand = pilot.app.screen.query_one(OpenMixes)
        assert in_hand.has_focus
    with connection():
        made = mix_view(max(one.id for one in open_mixes()))
        assert in_hand.item.id == made.id
        assert [(pour.product, pour.volume_ul) for pour in made.pours] == [
            ("Gull White", 8_800),
            ("Eddy Reducer", 1_763),
        ]
        rows = list(Weighing.select().where(Weighing.booking == made.id).order_by(Weighing.id))
        assert [(row.gave, row.tare_mg, row.reading_mg, row.volume_ul) for row in rows] == [
            ("pour", 5_000, 16_000, 8_800), ("pour", 16_000, 17_710, 1_763),
        ]  # fmt: skip


async def test_a_scale_that_goes_away_in_the_middle(studio: str, scale: SimulatedScale) -> None:
    """What was in is remembered over a scale that comes back at zero; what was poured stays in the fields. With F9 the
    bottles are weighed instead: the drift from the books is shown, and the difference is the pour."""
    with connection():
        Bottle.update(tare_mg=15_500).where(Bottle.id == 4).execute()
    async with opened(studio, size=(140, 45), scale=ScaleListener(ScalePort(scale.path))) as pilot:
        await at_the_bench(pilot, scale)
        shows(scale, 9_000)
        await until_seen(pilot.app, "▸ 6 g still to come", "● stands still")
        scale.unplug()
        await until_seen(pilot.app, "The scale was away when 4 g of Gull White was in")
        await press(pilot, "enter")
        shows(scale, 0)
        scale.plug()
        await until_seen(pilot.app, "On the scale: 0 g", "● stands still")
        await press(pilot, "enter")
        assert "press F6 first" in seen(pilot.app)
        await press(pilot, "f6")
        await until_seen(pilot.app, "▸ 6 g still to come")
        shows(scale, 6_000)
        await until_seen(pilot.app, "✓ right", "● stands still")
        await press(pilot, "enter")
        await until_seen(pilot.app, "10 g poured")
        await press(pilot, "escape")
        assert "isn't booked yet" in seen(pilot.app)
        await press(pilot, "escape")
        form = pilot.app.screen.query_one("#form")
        assert (form.field("amount-0").text, form.field("reduce").text) == ("8 ml", "1.6 ml")
        assert len(pilot.app.screen_stack) == 1

        await press(pilot, "ctrl+g")  # again, with each bottle on the scale before and after
        await until_seen(pilot.app, "Put the cup on")
        await press(pilot, "f9")
        assert "on the scale, and press Enter" in seen(pilot.app)
        shows(scale, 90_000)
        await until_seen(pilot.app, "On the scale: 90 g", "● stands still")
        await press(pilot, "enter")
        assert "0.4 ml less than the books, within what measuring explains" in seen(
            pilot.app
        )  # 60 by the books
        shows(scale, 80_000)
        await until_seen(pilot.app, "✓ right", "● stands still")
        await press(pilot, "enter")
        await until_seen(pilot.app, "10 g poured", "Put bottle")
    with connection():
        assert Weighing.select().count() == 0
