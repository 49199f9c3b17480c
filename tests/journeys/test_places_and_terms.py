"""Places, suppliers, jobs and recipes, entered and corrected on the Records by keys."""

from typing import Any

from stock.bench import recipes
from stock.shelf import jobs, places, record_texts, suppliers
from stock.store.connection import connection
from tests.journeys.test_products import click_words, fill, tab_to
from tests.tui.driving import opened, press, seen, settle, write
from tests.tui.views import drawer
from tui.dialogs.place_form import PlaceForm
from tui.widgets.fields import Field


async def test_new_place_takes_a_bottle_and_a_range_upside_down_is_refused(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, *drawer("Places", "n"))
        assert isinstance(pilot.app.screen, PlaceForm)
        await write(pilot, "Cold store")
        await tab_to(pilot, "kind")
        await press(pilot, "down")
        await fill(pilot, "lowest", "30C")
        await fill(pilot, "highest", "10C")
        await press(pilot, "enter")
        assert "above its highest" in seen(pilot.app)
        assert isinstance(pilot.app.screen, PlaceForm)
        pilot.app.screen.query_one("#highest", Field).text = ""
        pilot.app.screen.query_one("#lowest", Field).text = ""
        await fill(pilot, "lowest", "4C")
        await fill(pilot, "flammable_limit", "20 l")
        await press(pilot, "enter")
        with connection():
            texts = record_texts.place(places.find("Cold store"))
        assert (texts["kind"], texts["lowest"], texts["flammable_limit"]) == ("store", "4C", "20000 ml")

        await press(pilot, "2", "m")
        await write(pilot, "Cold store")
        await press(pilot, "enter", "7")
        await settle(pilot)
        await press(pilot, "slash")
        await write(pilot, "cold")
        await press(pilot, "enter")
        assert "1 bottle" in seen(pilot.app)


async def test_place_is_corrected_forgets_and_leads_to_its_bottles(studio: str) -> None:
    async with opened(studio) as pilot:
        await click_words(pilot, "7 Records")
        await click_words(pilot, "Places")
        await click_words(pilot, "Long shelf")
        await press(pilot, "e")
        form: Any = pilot.app.screen
        form.query_one("#name", Field).text = "Longest shelf"
        form.query_one("#premises", Field).text = ""
        await click_words(pilot, "Correct it")
        with connection():
            row = places.find("Longest shelf")
        assert row.premises is None
        await press(pilot, "b")
        assert pilot.app.current_mode == "shelf"
        assert "Longest shelf" in seen(pilot.app)


async def test_supplier_job_and_recipe_are_entered_corrected_and_used(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, *drawer("Suppliers", "n"))
        await write(pilot, "Pilot Stores")
        await fill(pilot, "lead_time", "3d")
        await fill(pilot, "order_days", "mon thu")
        await fill(pilot, "shipping", "4.50")
        await press(pilot, "enter")
        with connection():
            assert suppliers.find("Pilot Stores").shipping_minor == 450
        await press(pilot, "slash")
        await write(pilot, "mole")
        await press(pilot, "enter")
        assert "Harbour Blue: 60 ml at 7.90" in seen(pilot.app)
        await press(pilot, "e")
        pilot.app.screen.query_one("#name", Field).text = "Mole & Sons"
        await press(pilot, "enter")
        with connection():
            assert {row.name for row in suppliers.everything()} == {"Mole & Sons", "Pilot Stores"}

        await press(pilot, *drawer("Jobs"))
        assert "Ferry model" in seen(pilot.app)
        assert "1 mix" in seen(pilot.app)
        await press(pilot, "n")
        await write(pilot, "Tug")
        await fill(pilot, "customer", "Harbour office")
        await fill(pilot, "due", "2026-05-01")
        await press(pilot, "enter", "slash")
        await write(pilot, "tug")
        await press(pilot, "enter", "e")
        pilot.app.screen.query_one("#name", Field).text = "Tug boat"
        pilot.app.screen.query_one("#due", Field).text = ""
        await press(pilot, "enter")
        with connection():
            job = jobs.view(jobs.find("Tug boat"))
        assert (job.customer, job.due_on) == ("Harbour office", None)
        await press(pilot, "d", "enter")
        with connection():
            assert jobs.find("Tug boat").closed_on is not None
        await press(pilot, "d", "enter")
        with connection():
            assert jobs.find("Tug boat").closed_on is None

        await press(pilot, "right")
        assert "No recipe yet" in seen(pilot.app)
        await press(pilot, "n")
        await write(pilot, "Harbour mist")
        await fill(pilot, "parts", "harbour=3, gull=1, eddy=1")
        await press(pilot, "enter")
        with connection():
            assert recipes.find("Harbour mist").words == "3 Harbour Blue, 1 Gull White, 1 Eddy Reducer"
        await press(pilot, "e")
        pilot.app.screen.query_one("#parts", Field).text = "Harbour Blue=2, Eddy Reducer=1"
        await press(pilot, "enter")
        with connection():
            assert recipes.find("Harbour mist").words == "2 Harbour Blue, 1 Eddy Reducer"
        await press(pilot, "x")
        assert pilot.app.current_mode == "bench"
        assert "recipe: Harbour mist" in seen(pilot.app)
        await write(pilot, "9 ml")
        assert "6 ml" in seen(pilot.app)

        await press(pilot, "f12", "n")
        await write(pilot, "Nowhere")
        await fill(pilot, "parts", "Nobody=3")
        await press(pilot, "enter")
        wrong: Any = pilot.app.screen.query_one("#parts .wrong")
        assert "no product is called" in str(wrong.render()).lower()
        with connection():
            assert [one.name for one in recipes.everything()] == ["Harbour mist"]
