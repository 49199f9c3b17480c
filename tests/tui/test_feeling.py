"""How it feels: nothing waits for the books, nothing is shown that is not in them, nothing typed is lost."""

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from typing import Any

import pytest
from textual import events
from textual.css.query import NoMatches
from textual.dom import NoScreen
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input

from stock.bench.counting import count
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable
from stock.store.connection import connection
from stock.store.models import Booking, Studio, database
from stock.store.settings import settings
from tests import templates
from tests.sampling import some
from tests.tui import seed
from tests.tui.driving import LONG_S, holds, listening, opened, press, seen, settle, until, write
from tests.tui.views import show, typed_wish
from tui import app as apps
from tui.app import Ullage
from tui.cautions.screen import CautionsScreen
from tui.forecast.screen import ForecastScreen
from tui.logbook.screen import LogbookScreen
from tui.shelf.screen import ShelfScreen


def strike(pilot: Pilot[None], *keys: str) -> None:
    """Send keys as a terminal does, and wait for nothing: the pilot would wait until no key waits any more."""
    driver = pilot.app._driver
    assert driver is not None
    for key in keys:
        event = events.Key(key, None)
        event.set_sender(pilot.app)
        driver.send_message(event)


class Held:
    """A reading or a booking that has been asked for and is not done before it is let go."""

    def __init__(self, work: Callable[..., Any]) -> None:
        self.asked, self.let_go, self._work = threading.Event(), threading.Event(), work

    def __call__(self, *given: Any, **more: Any) -> Any:
        self.asked.set()
        assert self.let_go.wait(LONG_S)
        return self._work(*given, **more)


@contextmanager
def held(monkeypatch: pytest.MonkeyPatch, name: str, work: Callable[..., Any]) -> Iterator[Held]:
    """In the place of what has that name, this work once it is let go; no key waits for it less long."""
    one = Held(work)
    with monkeypatch.context() as patched:
        patched.setattr("tui.key_queue.MOST_S", 2 * LONG_S)
        patched.setattr(name, one)
        try:
            yield one
        finally:
            one.let_go.set()


def too_long(*_: Any, **__: Any) -> Any:
    """What a reading ends with that was waited for too long."""
    raise BooksUnreachable("it took too long")


def bookings() -> int:
    """How many bookings are in the books."""
    with connection():
        return Booking.select().count()


def typed(pilot: Pilot[None]) -> list[str]:
    """What stands in the fields in front."""
    return [field.value for field in pilot.app.screen.query(Input)]


class Gone:
    """A server that is gone as long as it is told to be."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self._whole, self._patch = connection, monkeypatch

    def away(self) -> None:
        """Whoever asks for the books is refused."""

        def refused() -> Any:
            raise BooksUnreachable("the server is gone", remedy="Try again in a moment")

        self._patch.setattr("stock.store.connection.connection", refused)

    def back(self) -> None:
        """The books answer again."""
        self._patch.setattr("stock.store.connection.connection", self._whole)


@pytest.fixture
def server_gone(monkeypatch: pytest.MonkeyPatch) -> Gone:
    """What takes the books away and gives them back."""
    return Gone(monkeypatch)


async def test_mix_is_kept_in_its_fields_while_the_server_is_gone_and_booked_once_after(
    studio: str, server_gone: Gone
) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await typed_wish(pilot)
        before, fields = bookings(), typed(pilot)
        assert "8 ml" in fields
        server_gone.away()
        await press(pilot, "f8")
        assert "The server is gone. Try again in a moment." in seen(pilot.app)
        assert typed(pilot) == fields
        await press(pilot, "f8", "f8")
        assert typed(pilot) == fields
        server_gone.back()
        assert bookings() == before
        pilot.app.reload()
        await settle(pilot)
        assert typed(pilot) == fields
        await press(pilot, "f8")
        assert bookings() == before + 1
        assert "8 ml" not in typed(pilot)


ERRANDS = {
    "CountBottle": ["20 ml"],
    "MoveBottle": ["Steel cabinet"],
    "Decant": ["1 ml"],
    "Discard": ["skinned over"],
    "SilenceRule": ["all of it is in the cabinet"],
    "WashOut": ["5 ml"],
    "MakeOrder": [],
    "CloseMix": [],
    "Again": [],
}


@pytest.mark.deepens
async def test_errand_is_kept_while_the_server_is_gone_and_booked_once_after(
    studio: str, server_gone: Gone, request: pytest.FixtureRequest
) -> None:
    """Some of the errands each time; all with --deep."""
    async with opened(studio) as pilot:
        for dialog in some(request.config, ERRANDS, 3):
            await show(pilot, dialog)
            for text in ERRANDS[dialog]:
                await write(pilot, text)
            before, fields = bookings(), typed(pilot)
            server_gone.away()
            await confirm(pilot, dialog)
            assert type(pilot.app.screen).__name__ == dialog
            assert "The server is gone" in seen(pilot.app), dialog
            assert typed(pilot) == fields, dialog
            server_gone.back()
            assert bookings() == before, dialog
            await confirm(pilot, dialog)
            assert type(pilot.app.screen).__name__ != dialog
            assert bookings() == before + (dialog != "SilenceRule"), dialog


async def confirm(pilot: Pilot[None], dialog: str) -> None:
    """The key that books this dialog."""
    if dialog in ("CloseMix", "MakeOrder"):
        pilot.app.screen.query_one("#go").focus()
    await press(pilot, "enter")


async def test_a_refusal_of_the_books_leaves_the_shelf_as_it_is(studio: str) -> None:
    async with opened(studio) as pilot:
        await show(pilot, "Decant")
        bottle = pilot.app.screen.one.view.id
        held = holds(bottle)
        await write(pilot, "9000 ml")
        await press(pilot, "enter")
        assert "9000 ml" in typed(pilot)
        assert type(pilot.app.screen).__name__ == "Decant"
        assert holds(bottle) == held
        await press(pilot, "escape")
        shown = pilot.app.screen.in_hand
        assert (shown.view.id, shown.view.on_hand_ul) == (bottle, held)


async def test_levels_fall_only_once_the_books_have_them(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await typed_wish(pilot)
        fields, before, said = typed(pilot), bookings(), listening(pilot.app)
        with held(monkeypatch, "stock.bench.mixing.book_mix", book_mix) as booking:
            strike(pilot, "f8")
            await until(booking.asked.is_set)
            assert typed(pilot) == fields
            assert said == []
            assert "is booked" not in seen(pilot.app)
            strike(pilot, "f8")  # once more, in haste
            await until(lambda: pilot.app._typed._waiting)
            booking.let_go.set()
            await until(lambda: any("is booked" in one for one in said))
            await settle(pilot)
        assert bookings() == before + 1


async def test_a_dialog_left_in_haste_takes_nothing_else_away(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(studio) as pilot:
        await show(pilot, "CountBottle")
        await write(pilot, "20 ml")
        before = bookings()
        with held(monkeypatch, "stock.bench.counting.count", count) as counting:
            strike(pilot, "enter")
            await until(counting.asked.is_set)
            strike(pilot, "escape")
            await until(lambda: "It is being booked" in seen(pilot.app))
            assert type(pilot.app.screen).__name__ == "CountBottle"
            strike(pilot, "escape")
            await until(lambda: type(pilot.app.screen).__name__ == "ShelfScreen")
            assert bookings() == before
            counting.let_go.set()
            await settle(pilot)
        assert type(pilot.app.screen).__name__ == "ShelfScreen"
        await until(lambda: bookings() == before + 1)  # the errand that nobody waits for any more


@pytest.mark.deepens
async def test_what_is_left_before_its_parts_are_there_is_left_and_nothing_else(
    furnished: str, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """Some of them, once or twice over by turns of the day; all, and both ways, with --deep."""
    rounds, day = 1 + request.config.getoption("deep"), request.config.getoption("sample_seed")
    opening, left = Ullage.push_screen, list[str]()

    def and_away(app: Ullage, screen: Any, *given: Any, **more: Any) -> Any:
        answer = opening(app, screen, *given, **more)
        assert not screen.is_mounted
        for _ in range(1 + (day + len(left)) % 2):  # each once in one round and twice in the next
            screen.dismiss(None)
        left.append(type(screen).__name__)
        return answer

    async with opened(furnished) as pilot:
        monkeypatch.setattr(Ullage, "push_screen", and_away)
        ways = {
            "BottleSheet": ("f2", "enter"), "CountBottle": ("f2", "c"), "Receive": ("f2", "r"),
            "MakeOrder": ("f4", "o"), "OnOrder": ("f4", "i"), "LookingBack": ("f4", "v"), "ProductForm": ("f12", "e"),
            "Again": ("f1", "m"), "Help": ("question_mark",),
        }  # fmt: skip
        names = some(request.config, ways, 5)
        assert len(names) % 2 == 1
        for name in names * rounds:
            await press(pilot, *ways[name])
            assert not isinstance(pilot.app.screen, ModalScreen)
        assert left == names * rounds


async def test_what_has_been_left_is_not_left_again_and_what_is_gone_is_no_fault(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: Any) -> Any:
        raise NoScreen("node has no screen")

    async with opened(studio) as pilot:
        app: Any = pilot.app
        for view, keys in {
            "Palette": ("f2", "ctrl+p"),
            "BottleSheet": ("enter",),
            "ForArea": ("f3", "f10"),
        }.items():
            await press(pilot, *keys)
            screen, beneath = app.screen, app.screen_stack[0]
            assert type(screen).__name__ == view
            screen.dismiss(None)
            screen.dismiss(None)
            await settle(pilot)
            assert app.screen is beneath, view
        with monkeypatch.context() as patched:  # a click on what is just taken away is no click
            patched.setattr(app.screen, "get_widget_and_offset_at", gone)
            await app.on_event(events.MouseDown(None, 5, 5, 0, 0, 1, False, False, False))
        assert app._exception is None
        app._exit = True  # as after q, before its message has closed everything
        app._handle_exception(NoMatches("no list yet"))
        assert app._exception is None


async def test_mix_typed_this_instant_is_not_booked_before_the_page_shows_it(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await typed_wish(pilot)
        before = bookings()
        pilot.app.screen.query_one("#amount-0 Input", Input).value = "80 ml"
        await pilot.press("f8")
        assert bookings() == before
        await settle(pilot)
        assert bookings() == before
        assert "Nothing was booked: the page lags behind" in seen(pilot.app)


async def test_keys_are_answered_while_the_books_are_being_read(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A screen's own reading, or the replay of the past."""
    rooms: dict[str, tuple[str, type[Any]]] = {
        "shelf": ("f2", ShelfScreen), "forecast": ("f4", ForecastScreen), "cautions": ("f5", CautionsScreen),
        "logbook": ("f6", LogbookScreen),
    }  # fmt: skip
    async with opened(studio) as pilot:
        app = pilot.app

        async def in_front(mode: str, screen: str = "") -> None:
            await until(
                lambda: app.current_mode == mode and (not screen or type(app.screen).__name__ == screen)
            )

        for mode, (key, room) in rooms.items():
            with held(monkeypatch, f"{room.__module__}.{room.__name__}.read_books", too_long) as reading:
                strike(pilot, key)
                await in_front(mode)
                await until(reading.asked.is_set)
                strike(pilot, "question_mark")
                await in_front(mode, "Help")
                strike(pilot, "escape", "f1")
                await in_front("today", "TodayScreen")
                reading.let_go.set()
                await settle(pilot)
        await press(pilot, "f4")
        with held(monkeypatch, "stock.forecast.looking_back.look_back", too_long) as replay:
            strike(pilot, "v")
            await until(replay.asked.is_set)
            strike(pilot, "escape")
            await in_front("forecast", "ForecastScreen")
            replay.let_go.set()
            await settle(pilot)
        await in_front("forecast", "ForecastScreen")
        assert len(app.screen_stack) == 1


@pytest.fixture
def template() -> tuple[str, templates.Make]:
    """The seeded studio, on either engine."""
    return "seeded", seed.fill


async def test_another_benchs_mix_is_seen_at_the_next_look_and_keeps_hand_and_fields(
    fixed_day: None, books: str
) -> None:
    assert apps.LOOK_EVERY <= 1.5, "two seconds at most, the reading included"
    async with opened(books, (140, 45)) as pilot:
        app: Any = pilot.app
        looks = [timer for timer in app._timers if timer._interval == apps.LOOK_EVERY]
        assert len(looks) == 1
        looks[0].pause()  # from here on the test is the clock
        await show(pilot, "shelf")
        app.look()
        await settle(pilot)
        before = app.screen.books.bottles
        answer = elsewhere()
        bottle = answer["pours"][0]["bottle"]
        app.look()
        await settle(pilot)
        after = app.screen.books.bottles
        assert level(before, bottle) - level(after, bottle) == 2_000
        assert level(after, bottle) == holds(bottle)
        await typed_wish(pilot)
        fields, hand = typed(pilot), app.focused
        mixes = len(app.screen.books.open_mixes)
        elsewhere()
        app.look()
        await settle(pilot)
        assert typed(pilot) == fields
        assert app.focused is hand
        assert len(app.screen.books.open_mixes) == mixes + 1


async def test_another_benchs_settings_are_seen_at_the_next_look(
    fixed_day: None, books: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other bench is a process of its own, so that nothing but the books tells of it."""
    database.close()  # the fixture's connection: the dashboard keeps none between its looks
    async with opened(books) as pilot:
        app: Any = pilot.app
        [timer] = [timer for timer in app._timers if timer._interval == apps.LOOK_EVERY]
        timer.pause()  # from here on the test is the clock
        await show(pilot, "cautions")
        readings: list[object] = []
        monkeypatch.setattr(app, "reload", lambda: readings.append(None))

        async def look(read: int) -> None:
            app.look()
            await settle(pilot)
            await until(lambda: len(readings) == read)

        await look(0)
        await look(0)
        assert not readings, "nothing changed, so nothing is read"
        change = ("--name", "Slipway", "--measures", "us", "--dry-risk", "10%", "--rule-sets", "ghs")
        at_the_other_bench(books, "studio", "change", *change)
        await look(1)
        found = settings()
        assert (found.name, found.measures, found.dry_risk_milli, found.rule_sets) == (
            "Slipway", "us", 10_000, ("ghs",),
        )  # fmt: skip
        assert app.studio_name == "Slipway"
        with connection():
            Studio.update(time_zone="Pacific/Auckland").execute()  # past what this process keeps
        await look(2)
        assert (settings().time_zone, app.zone, app.the_day) == ("Pacific/Auckland",) * 2 + (
            settings().today(),
        )
        at_the_other_bench(books, "caution-rule", "silence", "place-unknown", "--reason", "told everybody")
        await look(3)


def at_the_other_bench(address: str, *command: str) -> None:
    """Run a command on the books in a process of its own."""
    line = [sys.executable, "-m", "tui", "--studio", address, *command]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def elsewhere() -> Any:
    """A mix booked by somebody else, in a thread and over a connection of its own."""
    answers: list[Any] = []

    def book() -> None:
        with connection():
            answers.append(book_mix(MixRequest(parts=(("Gull White", 2_000),), reduce=Fraction(20))))

    other = threading.Thread(target=book)
    other.start()
    other.join()
    return answers[0]


def level(standing: Any, bottle: int) -> int:
    """What the Shelf shows in a bottle, µL."""
    return next(int(one.view.on_hand_ul) for one in standing if one.view.id == bottle)
