"""Books that are taken away, exchanged or locked away under an open dashboard: the screen says it, nothing is made."""

import asyncio
import shutil
import threading
from pathlib import Path

import pytest

from stock.errors import BooksUnreachable
from stock.shelf import studio as studios
from stock.store import connection
from stock.store.models import Studio, database
from tests.tui.driving import LONG_S, opened, press, seen, settle, until
from tui import opening
from tui.dialogs.delivery import Receive
from tui.first_run import NoBooks


def take_away(path):
    path.rename(path.with_name("elsewhere.ullage"))


def another_by_name(path):
    other = path.with_name("other.ullage")
    studios.make(str(other), name="South Pier", currency="EUR", time_zone="UTC", measures="metric")
    database.close()
    other.replace(path)


def another_in_place(path):
    other = path.with_name("other.ullage")
    studios.make(str(other), name="South Pier", currency="EUR", time_zone="UTC", measures="metric")
    database.close()
    shutil.copyfile(other, path)
    other.unlink()


def something_else(path):
    path.write_text("a shopping list")


@pytest.mark.parametrize(
    ("what_happens", "said"),
    [
        (take_away, "was taken away"),
        (another_by_name, "another studio now, 'South Pier'"),
        (another_in_place, "another studio now, 'South Pier'"),
        (something_else, "no studio's books"),
    ],
)
async def test_the_screen_says_what_became_of_the_books(studio, what_happens, said):
    path, home = Path(studio), Path(studio).parent
    async with opened(studio) as pilot:
        pilot.app.look()  # the app's own next look may take its place
        await settle(pilot)
        await press(pilot, "r")
        bound = database.obj
        what_happens(path)
        database.initialize(bound)
        before = sorted(home.iterdir()), path.exists() and path.read_bytes()
        for _ in range(2):
            pilot.app.look()
            await settle(pilot)
            assert "Receive a delivery" in seen(pilot.app), "a form that is being filled in stays in front"
        for _ in range(3):  # the first may only leave a field's offers
            if isinstance(pilot.app.screen, Receive):
                await press(pilot, "escape")
        async with asyncio.timeout(LONG_S):
            while not isinstance(
                pilot.app.screen, NoBooks
            ):  # a look may be overtaken by the app's own next one
                pilot.app.look()
                await settle(pilot)
        assert said in letters(pilot)
        assert "nothing was made in its place" in letters(pilot)
        assert (sorted(home.iterdir()), path.exists() and path.read_bytes()) == before
        if what_happens is take_away:
            await press(pilot, "r")  # to try again offers no new studio in the place of the lost one
            assert "there are no books at" in letters(pilot).casefold()
            assert not path.exists()
            path.with_name("elsewhere.ullage").rename(path)
            await press(pilot, "r")
            assert pilot.app.books_open
            assert "nothing was made" not in letters(pilot)


def letters(pilot):
    return " ".join(seen(pilot.app).replace("│", " ").split())


async def test_what_is_odd_about_the_books_stands_on_each_screen(studio):
    with connection.connection(), connection.writing():
        Studio.update(time_zone="Atlantis/Old_Harbour").execute()
    database.close()
    async with opened(studio, (140, 45)) as pilot:
        for key in "12":
            await press(pilot, key)
            assert "no time zone 'Atlantis/Old_Harbour'" in letters(pilot)


async def test_a_look_that_began_before_other_books_were_opened_does_not_close_them(studio, monkeypatch):
    """It fails, since the books of its time are gone; the dashboard showed that the books can't be opened."""
    began, may_end = threading.Event(), threading.Event()

    def too_late():
        began.set()
        may_end.wait(LONG_S)
        raise BooksUnreachable("the books of another studio stand there", code="books-moved")

    monkeypatch.setattr("tui.app.LOOK_EVERY", 3_600)  # the app's own looks would take the place of these
    async with opened(studio) as pilot:
        app = pilot.app
        for reopened in (True, False):
            with monkeypatch.context() as patched:
                patched.setattr(opening, "newest", too_late)
                began.clear(), may_end.clear()
                worker = app.look()
                await until(began.is_set)
                if reopened:
                    times = app._times_opened
                    app.books_open = False
                    app.open_books()
                    await until(lambda times=times: app._times_opened > times and app.books_open)
                may_end.set()
                await until(lambda worker=worker: worker.is_finished)
                await settle(pilot)
            assert app.books_open == reopened
            assert isinstance(app.screen, NoBooks) != reopened
