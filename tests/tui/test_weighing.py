"""A simulated scale beside the dashboard: bottles are counted on it, a density is learnt, and nothing waits for it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stock import config
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort
from stock.shelf import products
from stock.shelf.bottles import numbered
from stock.store.connection import connection
from stock.store.models import Bottle, Weighing
from tests.scale.simulated import SimulatedScale
from tests.tui.driving import holds, opened, press, seen, settle, until, until_seen, write
from tui.widgets.fields import Field


@pytest.fixture
def scale(tmp_path: Path) -> Iterator[SimulatedScale]:
    one = SimulatedScale(tmp_path)
    one.keep_sending(b"US,GS,+  0.00 g\r\n")
    yield one
    one.close()


def known_to_the_books(bottle: int) -> tuple[str, int]:
    """A bottle's label and what it holds, with a density and an empty weight noted."""
    with connection():
        found = numbered(str(bottle))
        products.change(found.product.name, {"density": "1.05"})
        Bottle.update(tare_mg=20_000).where(Bottle.id == bottle).execute()
        return found.label or f"B{bottle:04}", found.on_hand_ul


async def test_bottles_are_counted_one_after_the_other(studio: str, scale: SimulatedScale) -> None:
    """Pick, w, Enter; then scan the next label, Enter. An unknown density is learnt on the way: F9, the cup, 10 ml;
    a damaged line changes nothing. A scale that goes away blocks nothing."""
    label, held_ul = known_to_the_books(1)
    other, _ = known_to_the_books(2)
    with connection():
        name = numbered("1").product.name
        products.change(name, {"density": ""})
    gross = lambda volume_ul: f"ST,GS,+{(20_000 + volume_ul * 1.05) / 1_000:9.2f} g\r\n".encode()  # noqa: E731
    async with opened(studio, scale=ScaleListener(ScalePort(scale.path))) as pilot:
        await press(pilot, "f2")
        pilot.app.screen.take(1)  # type: ignore[attr-defined]
        await press(pilot, "w", "enter")
        assert "Nothing was booked" in seen(pilot.app)
        scale.keep_sending(b"ST,GS,+   2.10 g\r\n")
        await until_seen(pilot.app, f"o density of {name} is known", "● stands still")
        await press(pilot, "f9", "f6")
        scale.keep_sending(b"ST,GS,+  12.60 g\r\n")
        scale.send(b"ST,GS,+ 9\xff9.60 g\r\n")
        await until_seen(pilot.app, "10.5 g of it: 1.05 g/ml, give or take")
        await press(pilot, "enter")
        await until_seen(pilot.app, f"{name}: 1.05 g/ml")
        scale.keep_sending(gross(held_ul - 3_000))
        await until_seen(pilot.app, "● stands still", "In it:")
        assert "The books say" in seen(pilot.app)
        assert "less than the books" in seen(pilot.app)
        await press(pilot, "enter")
        await until_seen(pilot.app, f"Counted bottle {label}")
        assert abs(holds(1) - (held_ul - 3_000)) < 20
        await press(pilot, "enter")
        await settle(pilot)
        assert "still on the scale" in seen(pilot.app)

        await write(pilot, other)
        await press(pilot, "enter")
        await until_seen(pilot.app, f"bottle {other}")
        await press(pilot, "enter")
        assert "still on the scale" in seen(pilot.app)
        scale.keep_sending(gross(10_000))
        await until_seen(pilot.app, "In it: 10 ml")
        await press(pilot, "enter")
        await until_seen(pilot.app, f"Counted bottle {other}")
        assert abs(holds(2) - 10_000) < 20

        scale.unplug()
        await until(lambda: "! The scale" in seen(pilot.app) or "! the scale" in seen(pilot.app))
        await press(pilot, "escape")
        assert len(pilot.app.screen_stack) == 1
    with connection():
        assert Weighing.select().where(Weighing.gave == "count").count() == 2


async def test_a_scale_is_set_on_the_screen_and_used_at_once(
    studio: str, scale: SimulatedScale, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without one the dialog says so; what is no port is refused at its field; the machine keeps what is set."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    async with opened(studio) as pilot:
        await press(pilot, "f2", "w")
        assert "No scale is set on this bench" in seen(pilot.app)
        await press(pilot, "enter")
        assert "Nothing was booked" in seen(pilot.app)
        await press(pilot, "escape", "comma", "slash")
        await write(pilot, "scale")
        await press(pilot, "enter", "enter")
        field = pilot.app.screen.query_one("#value", Field)
        field.text = "COM3,99"
        await press(pilot, "enter")
        assert "nothing that can stand behind that port" in " ".join(seen(pilot.app).split())
        field.text = scale.path
        await press(pilot, "enter")
        assert config.value(config.SCALE) == scale.path
        scale.keep_sending(b"ST,GS,+  12.34 g\r\n")
        await press(pilot, "f2", "w")
        await until_seen(pilot.app, "On the scale: 12.34 g")
