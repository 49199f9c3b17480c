"""What the Bench takes besides the usual mix: a late moment, bare figures, a blend, a cleaner, the usual wash-out."""

import datetime as dt

from textual.events import Key

from stock.bench import mix_queue, mixes, recipes, washing
from stock.logbook import costs
from stock.shelf import deliveries, jobs, products, sheets
from stock.shelf.dosings import read as dosing
from stock.store.connection import connection
from stock.store.models import Mix
from tests.tui.driving import holds, opened, press, seen, settle, until, write
from tui.bench.form import MixForm
from tui.bench.open_mixes import OpenMixes
from tui.drawing.large_letters import large

BLUE, REDUCER = 1, 17


def newest() -> mixes.MixView:
    with connection():
        return max(mixes.open_mixes(), key=lambda mix: mix.id)


def field(pilot, name: str):
    return pilot.app.screen.query_one(f"#{name}")


async def test_a_late_mix_of_bare_figures_with_a_blend_and_its_usual_wash(studio: str) -> None:
    with connection():
        for amount_ul in (12_000, *[14_000] * 5, 30_000):
            washing.wash("Wash Down", amount_ul)
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await write(pilot, "4")
        await settle(pilot)
        assert "= 4 ml" in seen(pilot.app)  # said before the field is left
        field(pilot, "reducer").input.focus()
        await write(pilot, "blend")
        await press(pilot, "enter")
        await write(pilot, "eddy")
        await press(pilot, "tab")
        await write(pilot, "3")
        await press(pilot, "tab")
        await write(pilot, "swift")
        await settle(pilot)
        assert "Eddy Reducer:Swift Reducer=3:1" in " ".join(seen(pilot.app).split())
        await press(pilot, "enter")
        assert field(pilot, "amount-0").text == "4 ml"
        assert field(pilot, "reducer").text == "Eddy Reducer:Swift Reducer=3:1"
        field(pilot, "reduce").text = "20%"
        field(pilot, "when").text = "tomorrow"
        await settle(pilot)
        assert "2026-03-05 12:00 lies in the" in seen(pilot.app)
        await press(pilot, "f8")
        assert holds(BLUE) == before
        field(pilot, "reducer").text = "Eddy"
        field(pilot, "when").text = "yesterday 14:30"
        await settle(pilot)
        assert "Made on 2026-03-03 14:30" in seen(pilot.app)
        await press(pilot, "f8")
        assert "2026-03-03 14:30" in seen(pilot.app)
        made = newest()
        assert made.day == dt.date(2026, 3, 3)
        assert made.at.astimezone(dt.UTC).minute == 30
        assert holds(BLUE) == before - 4_000

        await press(pilot, "w")
        await settle(pilot)
        assert field(pilot, "mix").text == str(made.id)
        assert field(pilot, "amount").text == "14 ml"
        await press(pilot, "enter")
        assert "Washed with" in " ".join(seen(pilot.app).split())

        # The cup that was just emptied is the one that is washed, not the next open mix, until that is selected.
        await press(pilot, "g", "w")
        await settle(pilot)
        assert field(pilot, "mix").text == str(made.id)
        await press(pilot, "escape")
        await press(pilot, "down", "up")
        selected = pilot.app.screen.query_one(OpenMixes).item.id
        assert selected != made.id
        await press(pilot, "w")
        await settle(pilot)
        assert field(pilot, "mix").text == str(selected)


async def test_a_cleaner_is_offered_as_a_reducer_only_where_a_sheet_allows_it(studio: str) -> None:
    with connection():
        cleaner = next(row.name for row in products.everything() if row.role == "cleaner")
    async with opened(studio, size=(140, 45)) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await press(pilot, "enter")
        await settle(pilot)
        assert cleaner not in field(pilot, "reducer").names.words
        field(pilot, "amount-0").text, field(pilot, "reduce").text = "4 ml", "20%"
        field(pilot, "reducer").text = cleaner
        await settle(pilot)
        assert "cleaner-as-reducer" in seen(pilot.app)
        with connection():
            sheets.add(
                "Harbour Blue",
                "Quay colours",
                dt.date(2025, 5, 1),
                dosings=[dosing(f"with={cleaner} low=10 high=40 step=5")],
            )
        field(pilot, "amount-0").text = "5 ml"
        await settle(pilot)
        assert cleaner in field(pilot, "reducer").names.words
        assert "cleaner-as-reducer" not in seen(pilot.app)


async def test_a_spill_and_a_count_with_its_reason_on_the_shelf(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2", "slash")
        await write(pilot, "harb")
        await press(pilot, "enter")
        before = holds(BLUE)
        await press(pilot, "s")
        await settle(pilot)
        assert "section 6" in " ".join(seen(pilot.app).replace("│", "").split())
        await write(pilot, "5")
        await press(pilot, "enter")
        assert holds(BLUE) == before - 5_000
        await press(pilot, "c")
        field(pilot, "measured").text, field(pilot, "reason").text = f"{(before - 6_000) / 1000} ml", "stolen"
        await press(pilot, "enter")
        assert "no reason of a count" in " ".join(seen(pilot.app).replace("│", "").split())
        field(pilot, "reason").text = "dried out"
        await press(pilot, "enter")
        assert holds(BLUE) == before - 6_000
        await press(pilot, "6")
        assert "dried out" in seen(pilot.app)
    with connection():
        assert costs.read().costs.written_off > 0


async def test_a_job_needs_its_mixes_one_after_the_other_and_large_print_shows_the_one_in_hand(
    studio: str,
) -> None:
    with connection():
        recipes.add("Deep sea", [("Harbour Blue", 3_000), ("Eddy", 1_000)])
        recipes.add("Foam", [("Gull White", 4_000), ("Eddy", 1_000)])
        jobs.add("Kayak", dt.date(2026, 3, 1))
        deliveries.receive("Kelp Green", 60_000)
        mix_queue.append("Kayak", [("Deep sea", 4_000), ("Foam", 2_500)])
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        text = " ".join(seen(pilot.app).replace("│", " ").split())
        assert "Next for Kayak: Deep sea 4 ml" in text
        await press(pilot, "escape", "x")
        await settle(pilot)
        assert (field(pilot, "job").text, field(pilot, "amount-0").text) == ("Kayak", "4 ml")
        await press(pilot, "f8")
        made = newest()
        assert made.job == "Kayak"
        with connection():
            assert [each.words for each in mix_queue.waiting()] == ["Foam 2.5 ml"]

        reducer = holds(REDUCER)
        await press(pilot, "l")
        await settle(pilot)
        board = pilot.app.screen
        assert "\n".join(large("33.3%", 76)) == board.query_one("#now").render().plain
        assert "NEXT: " in board.query_one("#then").render().plain
        await press(pilot, "enter")
        await settle(pilot)
        stood = holds(REDUCER)
        warned = bool(board.query_one("#will").render().plain.strip())
        assert (stood < reducer) != warned  # a caution is read at the Bench first
        await press(pilot, "g")
        await settle(pilot)
        assert pilot.app.screen is not board
        with connection():
            assert mixes.mix(made.id).closed.outcome == "good"

        await press(pilot, "1", "y")
        await settle(pilot)
        assert "Repeat a mix" in seen(pilot.app)
        before = len(all_mixes())
        await press(pilot, "enter")
        await settle(pilot)
        await press(pilot, "enter")
        await settle(pilot)
        assert len(all_mixes()) == before + 1


def all_mixes() -> list[int]:
    with connection():
        return [number for (number,) in Mix.select(Mix.id).tuples()]


async def test_a_fast_typist_finds_each_letter_in_its_field(studio: str) -> None:
    """F7, a name, Tab, an amount, all sent before the app has had its say; six paints are the most."""
    typed = (("harb", "4"), ("gull", "2"), ("tar", "1"), ("buoy", "3"), ("kelp", "5"), ("sand", "6"))
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await settle(pilot)
        keys = [key for name, amount in typed for key in ("f7", *name, "tab", amount)]
        for key in [*keys[1:], "tab", "f7"]:
            pilot.app.post_message(Key(key, key if len(key) == 1 else None))
        await settle(pilot)
        names = ("Harbour Blue", "Gull White", "Tar Black", "Buoy Red", "Kelp Green", "Sand [matt]")
        whole = tuple((name, f"{amount} ml") for name, (_, amount) in zip(names, typed, strict=True))
        mix = pilot.app.screen.query_one(MixForm).typed_mix
        assert mix.parts == whole
        assert "F7 + paint" in seen(pilot.app).splitlines()[-1]
        await press(pilot, "escape", "n")
        assert pilot.app.screen.query_one(MixForm).typed_mix.parts == (("", ""),)
    async with opened(studio) as pilot:
        pilot.app.go("bench", mix)
        await settle(pilot)
        assert pilot.app.screen.query_one(MixForm).typed_mix == mix
        assert field(pilot, "paint-5").names.words


async def test_a_mix_repeated_late_asks_each_bottle_what_it_held_then(studio: str) -> None:
    """Before its bottle came nothing can be poured from it, and nothing is booked; afterwards it is, on that day."""
    async with opened(studio) as pilot:
        await press(pilot, "m")
        await settle(pilot)
        before = newest().id
        field(pilot, "when").text = "2023-12-25 14:30"
        await settle(pilot)
        assert "from 2023-12-25 14:30 until now" in seen(pilot.app)
        assert "14 → 10.5 ml" not in seen(pilot.app)  # what another moment would give
        await press(pilot, "enter")
        assert newest().id == before
        field(pilot, "when").text = "yesterday 14:30"
        await settle(pilot)
        await press(pilot, "enter")
        await until(lambda: newest().id != before)
        assert newest().day == dt.date(2026, 3, 3)
