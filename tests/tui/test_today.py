"""Today: three questions in one look, and the day read by a process of its own."""

import sqlite3
from contextlib import closing

import pytest

from tests.tui import seed
from tests.tui.driving import opened, press, seen
from tui.__main__ import _ahead
from tui.today.ahead import Ahead, _newest


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (140, 45), (60, 18)])
async def test_three_questions_and_the_usual_mixes_in_one_look(studio: str, size: tuple[int, int]) -> None:
    async with opened(studio, size) as pilot:
        text = seen(pilot.app)
        for heading in ("Order", "Don't use, look out", "Mix again", "Just done"):
            assert heading in text
        assert "Copper Pearl" in text
        assert "✕ Don't use" in text
        assert "Harbour Blue 3.5 ml 20 %" in text


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
