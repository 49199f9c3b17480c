"""How it feels: nothing waits for the books, nothing is shown that is not in them, nothing typed is lost."""

import threading
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.css.query import NoMatches
from textual.dom import NoScreen
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable
from stock.store.connection import connection
from stock.store.models import Booking, database
from tests.clock import clock_at
from tests.tui import seed
from tests.tui.driving import holds, opened, press, seen, settle, until, write
from tests.tui.views import show, typed_wish
from tui import app as apps
from tui.app import Ullage


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
    "Silence": ["all of it is in the cabinet"],
    "WashOut": [],
    "MakeOrder": [],
    "CloseMix": [],
    "Again": [],
}


@pytest.mark.parametrize("dialog", ERRANDS)
async def test_errand_is_kept_while_the_server_is_gone_and_booked_once_after(
    studio: str, dialog: str, server_gone: Gone
) -> None:
    async with opened(studio) as pilot:
        await show(pilot, dialog)
        if dialog == "WashOut":
            await write(pilot, "5 ml")
        for text in ERRANDS[dialog]:
            await write(pilot, text)
        before, fields = bookings(), typed(pilot)
        server_gone.away()
        await confirm(pilot, dialog)
        assert type(pilot.app.screen).__name__ == dialog
        assert "The server is gone" in seen(pilot.app)
        assert typed(pilot) == fields
        server_gone.back()
        assert bookings() == before
        await confirm(pilot, dialog)
        assert type(pilot.app.screen).__name__ != dialog
        assert bookings() == before + (dialog != "Silence")


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
    let_go, asked = threading.Event(), threading.Event()

    def slow(*given: Any, **more: Any) -> Any:
        asked.set()
        assert let_go.wait(60)
        return book_mix(*given, **more)

    monkeypatch.setattr("stock.bench.mixing.book_mix", slow)
    async with opened(studio, (140, 45)) as pilot:
        await typed_wish(pilot)
        fields = typed(pilot)
        await pilot.press("f8")
        await until(asked.is_set)
        assert typed(pilot) == fields
        assert "is booked" not in seen(pilot.app)
        await pilot.press("f8")  # once more, in haste
        let_go.set()
        before = bookings()
        await settle(pilot)
        assert "is booked" in seen(pilot.app)
        assert bookings() - before <= 1


async def test_a_dialog_left_in_haste_takes_nothing_else_away(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from stock.bench import counting

    let_go, asked, count = threading.Event(), threading.Event(), counting.count

    def slow(*given: Any, **more: Any) -> Any:
        asked.set()
        assert let_go.wait(60)
        return count(*given, **more)

    monkeypatch.setattr("stock.bench.counting.count", slow)
    async with opened(studio) as pilot:
        await show(pilot, "CountBottle")
        await write(pilot, "20 ml")
        before = bookings()
        await pilot.press("enter")
        await until(asked.is_set)
        await pilot.press("escape")
        await pilot.pause()
        assert type(pilot.app.screen).__name__ == "CountBottle"
        assert "It is being booked" in seen(pilot.app)
        await pilot.press("escape")
        assert type(pilot.app.screen).__name__ == "ShelfScreen"
        let_go.set()
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "ShelfScreen"
        await settled_threads(before)
        assert bookings() == before + 1


@pytest.mark.parametrize("times", [1, 2])
async def test_what_is_left_before_its_parts_are_there_is_left_and_nothing_else(
    furnished: str, times: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    opening, left = Ullage.push_screen, []

    def and_away(app: Ullage, screen: Any, *given: Any, **more: Any) -> Any:
        answer = opening(app, screen, *given, **more)
        assert not screen.is_mounted
        for _ in range(times):
            screen.dismiss(None)
        left.append(type(screen).__name__)
        return answer

    async with opened(furnished) as pilot:
        monkeypatch.setattr(Ullage, "push_screen", and_away)
        for keys in (("f2", "enter"), ("c",), ("r",), ("f4", "o"), ("i",), ("v",), ("f12", "e"), ("f1", "m")):
            await press(pilot, *keys)
            assert not isinstance(pilot.app.screen, ModalScreen)
        assert left == [
            "BottleSheet", "CountBottle", "Receive", "MakeOrder", "OnOrder", "LookingBack", "ProductForm", "Again"
        ]  # fmt: skip


@pytest.mark.parametrize("view", ["Palette", "ForArea", "BottleSheet"])
async def test_what_has_been_left_is_not_left_again(studio: str, view: str) -> None:
    keys = {"Palette": ("f2", "ctrl+p"), "ForArea": ("f3", "f10"), "BottleSheet": ("f2", "enter")}[view]
    async with opened(studio) as pilot:
        await press(pilot, *keys)
        screen: Any = pilot.app.screen
        assert type(screen).__name__ == view
        screen.dismiss(None)
        screen.dismiss(None)
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == ("BenchScreen" if view == "ForArea" else "ShelfScreen")


async def test_a_screen_half_opened_while_it_is_left_is_no_fault(studio: str) -> None:
    async with opened(studio) as pilot:
        app: Any = pilot.app
        app._exit = True  # as after q, before its message has closed everything
        app._handle_exception(NoMatches("no list yet"))
        assert app._exception is None


async def test_a_click_on_what_is_just_taken_away_is_no_click(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: Any) -> Any:
        raise NoScreen("node has no screen")

    async with opened(studio) as pilot:
        app: Any = pilot.app
        with monkeypatch.context() as patched:
            patched.setattr(app.screen, "get_widget_and_offset_at", gone)
            await app.on_event(events.MouseDown(None, 5, 5, 0, 0, 1, False, False, False))
        assert app._exception is None


async def settled_threads(before: int) -> None:
    """Until the errand that nobody waits for any more is in the books."""
    import asyncio

    for _ in range(2_000):
        if bookings() > before:
            return
        await asyncio.to_thread(lambda: None)


async def test_mix_typed_this_instant_is_not_booked_before_the_page_shows_it(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await typed_wish(pilot)
        before = bookings()
        pilot.app.screen.query_one("#amount-0 Input", Input).value = "80 ml"
        await pilot.press("f8")
        assert bookings() == before
        await settle(pilot)
        assert bookings() == before
        assert "nothing was booked" in seen(pilot.app)


@pytest.mark.parametrize("screen", ["shelf", "forecast", "cautions", "logbook"])
async def test_keys_are_answered_while_the_books_are_being_read(
    studio: str, screen: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    let_go, asked = threading.Event(), threading.Event()
    async with opened(studio) as pilot:
        rooms = {
            "shelf": "tui.shelf.screen.ShelfScreen",
            "forecast": "tui.forecast.screen.ForecastScreen",
            "cautions": "tui.cautions.screen.CautionsScreen",
            "logbook": "tui.logbook.screen.LogbookScreen",
        }

        def slow(_: Any) -> Any:
            asked.set()
            assert let_go.wait(60)
            raise BooksUnreachable("it took too long")

        monkeypatch.setattr(f"{rooms[screen]}.read_books", slow)
        await pilot.press({"shelf": "f2", "forecast": "f4", "cautions": "f5", "logbook": "f6"}[screen])
        await until(asked.is_set)
        assert pilot.app.current_mode == screen
        await pilot.press("question_mark")
        assert type(pilot.app.screen).__name__ == "Help"
        await pilot.press("escape", "f1")
        assert pilot.app.current_mode == "today"
        let_go.set()
        await settle(pilot)


@pytest.fixture
def shared(address: str) -> Iterator[str]:
    """The seeded studio on each engine; its address."""
    with clock_at(seed.NOW, ticking=True):
        seed.fill(address)
        yield address
    if database.obj is not None and not database.is_closed():
        database.close()


async def test_another_benchs_mix_is_seen_at_the_next_look(shared: str) -> None:
    assert apps.LOOK_EVERY <= 1.5, "two seconds at most, the reading included"
    async with opened(shared) as pilot:
        app = pilot.app
        assert isinstance(app, Ullage)
        looks = [timer for timer in app._timers if timer._interval == apps.LOOK_EVERY]
        assert len(looks) == 1
        looks[0].pause()  # from here on the test is the clock
        await show(pilot, "shelf")
        app.look()
        await settle(pilot)
        before = app.screen.books.standing  # type: ignore[attr-defined]
        answer = elsewhere()
        bottle = answer["pours"][0]["bottle"]
        app.look()
        await settle(pilot)
        after = app.screen.books.standing  # type: ignore[attr-defined]
        fell = level(before, bottle) - level(after, bottle)
        assert fell == 2_000
        assert level(after, bottle) == holds(bottle)


async def test_what_another_bench_books_keeps_hand_and_fields(shared: str) -> None:
    async with opened(shared, (140, 45)) as pilot:
        app: Any = pilot.app
        await typed_wish(pilot)
        fields, hand = typed(pilot), app.focused
        app.look()
        await settle(pilot)
        elsewhere()
        app.look()
        await settle(pilot)
        assert typed(pilot) == fields
        assert app.focused is hand
        assert len(app.screen.books.open_mixes) > 0


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


async def test_replaying_the_past_can_be_left_at_any_time(
    studio: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    let_go, asked = threading.Event(), threading.Event()

    def slow(*_: Any, **__: Any) -> Any:
        asked.set()
        assert let_go.wait(60)
        raise BooksUnreachable("it took too long")

    monkeypatch.setattr("stock.forecast.looking_back.look_back", slow)
    async with opened(studio) as pilot:
        await press(pilot, "f4")
        await pilot.press("v")
        await until(asked.is_set)
        await pilot.press("escape")
        assert type(pilot.app.screen).__name__ == "ForecastScreen"
        let_go.set()
        await settle(pilot)
        assert type(pilot.app.screen).__name__ == "ForecastScreen"
