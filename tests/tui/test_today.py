"""Today: three questions in one look, and the day read by a process of its own."""

import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest

from tests.clock import clock_at
from tests.tui import seed
from tests.tui.driving import opened, press, seen, settle
from tui.__main__ import _ahead
from tui.today.ahead import Ahead, _newest


async def test_three_questions_and_the_usual_mixes_in_one_look_in_every_size(studio: str) -> None:
    async with opened(studio, (60, 18)) as pilot:
        for size in ((60, 18), (80, 24), (100, 30), (140, 45)):
            await pilot.resize_terminal(*size)
            await settle(pilot)
            text = seen(pilot.app)
            for said in (
                "Order", "Don't use, look out", "Mix again", "Just done", "Copper Pearl", "✕ Don't use",
                "Harbour Blue 3.5 ml 20 %",
            ):  # fmt: skip
                assert said in text, size


async def test_enter_on_a_finding_about_one_bottle_shows_that_bottle(studio: str) -> None:
    async with opened(studio) as pilot:
        while "Tar Black" not in str(pilot.app.screen.query_one("#left").item.cells):
            await press(pilot, "down")
        await press(pilot, "enter")
        assert pilot.app.current_mode == "shelf"
        assert pilot.app.screen.in_hand.view.product == "Tar Black"


def test_process_of_its_own_foresees_the_same_day(studio: str) -> None:
    from stock.store.connection import connection, reading
    from tui.today.reading import readings

    with connection(), reading():
        here = list(readings(seed.DAY))
        there = list(readings(seed.DAY, foresee=Ahead(studio, seed.DAY).answer))
    assert [books.forecast for books in there] == [books.forecast for books in here] == [False, True]
    assert here[1].day.order
    assert there[1].day.order == here[1].day.order
    assert there[1].day.usual == here[1].day.usual


def test_books_of_an_older_schema_are_left_to_the_app(studio: str) -> None:
    assert _newest(studio)
    with closing(sqlite3.connect(studio)) as file:
        file.execute("UPDATE studio SET schema_version = 0")
        file.commit()
    assert not _newest(studio)
    assert Ahead(studio, None).answer() is None


def test_process_that_nobody_waits_for_ends(studio: str) -> None:
    ahead = Ahead(studio, None)
    ahead.leave()
    assert ahead._process.returncode is not None


@pytest.mark.parametrize(("processors", "own_process"), [({0}, False), ({0, 1}, True)])
def test_on_one_processor_the_app_forecasts_alone(
    studio: str, monkeypatch: pytest.MonkeyPatch, processors: set[int], own_process: bool
) -> None:
    monkeypatch.setattr("os.sched_getaffinity", lambda process: processors, raising=False)
    ahead = _ahead(studio, None)
    if ahead is not None:
        ahead.leave()
    assert (ahead is not None) is own_process


@pytest.mark.parametrize(
    ("message", "drawn"),
    [
        ("Garage falls to -4 °C", "Garage falls to -4 °C"),
        ("Garages are cold", "Garage: Garages are cold"),
        ("0.3 L stands in Garage", "Garage: 0.3 L stands in Garage"),
    ],
)
def test_a_name_is_said_once(message: str, drawn: str) -> None:
    from tui.today.lists import _message

    assert "".join(run.text for run in _message("Garage", message)) == drawn


async def test_a_pot_life_counts_down_on_today_and_on_the_bench_and_is_shown_as_over(studio: str) -> None:
    """The clock goes on while the screens stand; what their timers call is called here."""
    from stock.bench.mixes import open_mixes
    from stock.bench.mixing import MixRequest, book_mix
    from stock.shelf import deliveries, products
    from stock.store.connection import connection
    from tui.bench.open_mixes import OpenMixes

    with connection():
        products.add({"name": "Boat Kit", "role": "hardener", "solvent": ["hdi=60%"], "pot_life": "2h"})
        products.add({"name": "Boat Clear", "role": "clear", "solvent": ["xylene=30%"], "water": "0"})
        for name in ("Boat Kit", "Boat Clear"):
            deliveries.receive(name, 500_000)
        book_mix(MixRequest(parts=(("Boat Clear", 20_000), ("Boat Kit", 5_000))), judge=False)
        now = open_mixes()[0].at
    async with opened(studio, (140, 45)) as pilot:
        screen = pilot.app.screen
        assert "Mixed with hardener" in seen(pilot.app)
        for minutes, left in ((61, "59 min"), (111, "9 min"), (121, "over")):
            with clock_at(now + timedelta(minutes=minutes)):
                screen._count_down()
                await settle(pilot)
                assert left in seen(pilot.app)
        await press(pilot, "3")
        bench = pilot.app.screen
        bench.query_one(OpenMixes).focus()
        await settle(pilot)
        assert "2 h by Boat Kit" in seen(pilot.app)
        with clock_at(now + timedelta(minutes=121)):
            bench._count_down()
            await settle(pilot)
            assert "Pot life over since" in seen(pilot.app)
            assert "over" in str(bench.query_one(OpenMixes)._row(bench.query_one(OpenMixes).item)[1])
