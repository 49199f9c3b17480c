"""The app: its screens, keys and themes, opening books, and what happens after an unexpected error."""

import asyncio
import os
import signal
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events, on, work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.css.query import NoMatches
from textual.message import Message
from textual.reactive import var
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from stock.errors import BooksUnreachable
from stock.language import _
from tui.drawing.sentences import sentence_for
from tui.failing_events import fails_on
from tui.key_queue import KeyQueue
from tui.screens import SCREENS, ScreenEntry
from tui.themes import LAMP, NAMES, themes, usable
from tui.widgets.keys import bindings
from tui.widgets.styling import ParsedOnce

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stock.scale.listening import ScaleListener
    from tui.opening import Newest
    from tui.sample_visit import Visit
    from tui.today.ahead import Ahead

BETWEEN = "between"
"""The mode that is shown while other books are opened; no key leads to it."""
SAMPLE = _("Sample studio: try anything; q leads back to your own books")
LOOK_EVERY = 1.5
"""Seconds between checks whether another bench has booked something or changed a setting."""


def _palette() -> type[Any]:
    """The provider behind Ctrl+P, imported when it is first opened."""
    from tui.palette import Everything

    return Everything


def _between() -> Screen[None]:
    from tui.sample_visit import Between

    return Between()


class Ullage(App[None]):
    """The dashboard on one studio's books.

    Args:
        address: a file path or a server's URL.
        day: the day to show in place of the studio's today.
        theme: `lamp`, `daylight` or `terminal`.
        ahead: the reading of Today, if it has begun already.
        scale: this bench's; None without one.
    """

    TITLE = "Ullage"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = True
    COMMANDS: ClassVar = {_palette}
    MODES: ClassVar = {**{one.id: one.load for one in SCREENS}, BETWEEN: _between}
    DEFAULT_MODE = SCREENS[0].id
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(f"{one.key},{one.function_key}", f"switch_mode('{one.id}')", one.title, show=False)
            for one in SCREENS
        ),
        *bindings("app"),
    ]

    studio_name: var[str] = var("Ullage")
    day: var[date | None] = var(None)
    books_open: var[bool] = var(False)

    class BooksOpened(Message):
        """The books were opened in a thread."""

        def __init__(self, name: str, day: date, zone: str) -> None:
            super().__init__()
            self.name = name
            self.day = day
            self.zone = zone

    class BooksChanged(Message):
        """This bench or another one has booked something or changed a setting since the last check."""

        def __init__(self, before: "Newest", now: "Newest") -> None:
            super().__init__()
            self.before, self.now = before, now

    def __init__(
        self,
        address: str,
        *,
        day: date | None = None,
        theme: str = "lamp",
        ahead: "Ahead | None" = None,
        scale: "ScaleListener | None" = None,
    ) -> None:
        super().__init__()
        self.stylesheet = ParsedOnce(variables=self.get_css_variables())
        self.address = address
        self.zone = "UTC"
        self._day_asked = day
        self._newest: Newest | None = None
        self._guided = False
        self._looking = False
        self._times_opened = 0
        self._lost = ""
        self._visit: Visit | None = None
        self._ahead = ahead
        self._typed = KeyQueue(self, super().on_event)
        self.scale = scale
        for one in themes():
            self.register_theme(one)
        self.theme = usable(theme, no_color=self.no_color)
        for name in list(self.available_themes):
            if name not in NAMES or name != usable(name, no_color=self.no_color):
                self.unregister_theme(name)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The colours of the style sheets before a theme is set."""
        return LAMP

    def on_mount(self) -> None:
        """Open the books after the first frame, and end in order on SIGTERM."""
        if os.name == "posix" and not self.is_headless:
            asyncio.get_running_loop().add_signal_handler(
                signal.SIGTERM, self.exit, None, 128 + signal.SIGTERM
            )
        self.call_after_refresh(self.open_books)

    @work(thread=True, exclusive=True, group="opening", exit_on_error=False)
    def open_books(self, find: "Callable[[], str] | None" = None) -> None:
        """Open the books, or show why they can't be opened.

        Args:
            find: returns the address of other books; called in the thread.
        """
        from tui.opening import opened  # not before the first frame

        try:
            if find is not None:
                self.address = find()
            name, day, zone = opened(self.address, self._day_asked)
            self._times_opened += 1
        except BooksUnreachable as error:
            self.call_from_thread(self.not_opened, error)
        else:
            self.post_message(self.BooksOpened(name, day, zone))

    @on(BooksOpened)
    def begin(self, message: BooksOpened) -> None:
        """Show the studio, and let the current screen read."""
        name = SAMPLE if self.visiting else message.name
        self.studio_name, self.day, self.zone = name, message.day, message.zone
        self._newest = None
        self.books_open = True
        if self.current_mode == BETWEEN:
            self.switch_mode(SCREENS[0].id)
        else:
            self.reload()
        if not self._looking:
            self._looking = True
            self.set_interval(LOOK_EVERY, self._look_again)

    def _look_again(self) -> None:
        if self.books_open:
            self.look()

    @property
    def visiting(self) -> bool:
        """Whether the sample studio is shown in place of the person's own books."""
        return self._visit is not None and self._visit.on

    @work(exclusive=True, group="visit")
    async def visit_sample(self) -> None:
        """Show a copy of the sample studio; the person's own books stay as they are."""
        from tui.sample_visit import Visit

        if not self.visiting:
            self._visit = Visit(self, self, BETWEEN)
            await self._visit.go()

    @work(exclusive=True, group="visit")
    async def leave_sample(self) -> None:
        """Leave the sample studio for the person's own books."""
        if self._visit is not None and self._visit.on:
            self.clear_notifications()  # what was said of the sample's books is not of the person's own
            await self._visit.back()

    async def action_quit(self) -> None:
        """Leave the sample studio, or the dashboard."""
        if self.visiting:
            self.leave_sample()
        else:
            self.exit()

    def on_unmount(self) -> None:
        """Let go of the scale, and remove the copy of the sample studio."""
        self._typed.close()
        if self.scale is not None:
            self.scale.close()
        if self._visit is not None:
            self._visit.forget()

    def not_opened(self, error: BooksUnreachable) -> None:
        """Offer to make a studio where there is none; otherwise show what is wrong, with a key to try again."""
        from tui.first_run import NewStudio, NoBooks

        self.books_open = False
        if error.code == "books-moved":
            self._lost = self.address
        if error.code == "no-books" and not Path(self.address).exists() and self._lost != self.address:
            self.push_screen(NewStudio(self.address), self._open_or_leave)
        else:
            self.push_screen(NoBooks(error), self._open_or_leave)

    @on(Worker.StateChanged)
    def _opening_failed(self, event: Worker.StateChanged) -> None:
        """Show an unexpected error while opening the books like any other reason."""
        error = event.worker.error
        if event.state != WorkerState.ERROR or error is None:
            return
        if event.worker.group == "looking":
            undisturbed = self.books_open and not self.screen.is_modal  # nothing is being typed in a dialog
            if isinstance(error, BooksUnreachable) and error.code == "books-moved" and undisturbed:
                self.not_opened(error)
        elif event.worker.group == "opening":
            self.note_failure(error)
            self.not_opened(BooksUnreachable(sentence_for(error).rstrip(".")))

    def _open_or_leave(self, go_on: bool | str | None) -> None:
        if go_on == "sample":
            self.visit_sample()
        elif go_on:
            self.open_books()
        else:
            self.exit()

    def reload(self) -> None:
        """Let the screens in front read the books again."""
        from tui.widgets.books_screen import BooksScreen

        for screen in self.screen_stack:
            if isinstance(screen, BooksScreen):
                screen.reload()

    @work(thread=True, exclusive=True, group="looking", exit_on_error=False)
    def look(self) -> None:
        """Check whether anything was booked or set since the last check, here or at another bench."""
        from tui.opening import newest

        times = self._times_opened
        try:
            now, before = newest(), self._newest
        except BooksUnreachable:
            if times == self._times_opened:
                raise
            return  # other books were opened at this address meanwhile
        self._newest = now
        if before is not None and now != before:
            self.post_message(self.BooksChanged(before, now))

    @on(BooksChanged)
    def _follow(self, message: BooksChanged) -> None:
        if message.now.settings != message.before.settings and not self.visiting:
            self.know_again()
        self.reload()
        if message.now.booking != message.before.booking and not self.visiting:
            from tui.daily_backup import back_up_in_a_thread  # not before something was booked

            back_up_in_a_thread(self)

    def take_ahead(self) -> "Ahead | None":
        """The reading of Today that began before the screens were loaded, once; None without one."""
        ahead, self._ahead = self._ahead, None
        return ahead

    @property
    def the_day(self) -> date:
        """The day that is shown; the books are open."""
        return self.day or date.min

    @property
    def as_of(self) -> date | None:
        """The past day that was asked for, or None for today."""
        return self._day_asked

    def announce(self, what: str) -> None:
        """Show for a moment what was booked."""
        self.notify(what, markup=False, timeout=4)

    @property
    def screens(self) -> "Sequence[ScreenEntry]":
        """All screens, in the order of their keys."""
        return SCREENS

    def go(self, screen: str, in_hand: object = None) -> None:
        """Go to a screen, and hand it what is brought along."""
        from tui.widgets.books_screen import BooksScreen

        self.switch_mode(screen)
        if in_hand is not None and isinstance(self.screen, BooksScreen):
            self.screen.take(in_hand)

    def do_there(self, mode: str, action: str) -> None:
        """Go to a screen and run an action once it has read the books, or say why that can't be done."""
        from tui.widgets.books_screen import BooksScreen

        self.switch_mode(mode)
        room = self.screen
        if not isinstance(room, BooksScreen):
            return

        async def act() -> None:
            if room.check_action(action.partition("(")[0], ()):
                await self.run_action(action, room)
            else:
                room.notice(_("That can't be done with what is selected: select another one first."))

        room.when_read(act)

    def action_settings(self) -> None:
        self.go("records", (_("Studio"), None))

    def know_again(self) -> None:
        """Read the studio's name and day again, after they may have changed."""
        from tui.opening import whose

        self.studio_name, self.day, self.zone = whose(self._day_asked)

    def guide(self) -> None:
        """Lead an empty studio to its first bottle, once."""
        from tui.first_run import FirstBottle

        if not self._guided:
            self._guided = True
            self.push_screen(FirstBottle(), self._first_bottle)

    def _first_bottle(self, said: str | None) -> None:
        if said:
            self.announce(_("{said}. Press 3 for the Bench: the first mix.", said=said))
            self.switch_mode("shelf")

    async def on_event(self, event: events.Event) -> None:
        """Handle an event, unless Textual would fail on it."""
        if len(self.screen_stack) and fails_on(self.screen, event):
            return
        typed = isinstance(event, events.Key | events.Paste) and not event.is_forwarded
        await (self._typed.take if typed else super().on_event)(event)

    async def run_action(self, action: Any, default_namespace: Any = None, namespaces: Any = None) -> bool:
        """Run an action, unless its screen is not mounted yet."""
        if isinstance(default_namespace, Screen) and not default_namespace.is_mounted:
            return False
        return await super().run_action(action, default_namespace, namespaces)

    def action_command_palette(self) -> None:
        from textual.command import CommandPalette  # not before the first frame

        from tui.palette import Palette

        if not isinstance(self.screen, CommandPalette):
            self.push_screen(Palette(id="--command-palette"))

    def note_failure(self, error: BaseException) -> None:
        """With ULLAGE_DEBUG, end the program with the traceback of an error in a thread."""
        if os.environ.get("ULLAGE_DEBUG") and isinstance(error, Exception):
            self._handle_exception(error)

    def _handle_exception(self, error: Exception) -> None:
        if self._exit and isinstance(error, NoMatches):
            return  # a screen that was opening misses its children, because all screens are being removed
        if os.environ.get("ULLAGE_DEBUG"):
            super()._handle_exception(error)
            return
        if self._exception is not None:
            return
        self._exception = error
        self._exception_event.set()
        self._return_code = 1
        from rich.text import Text  # a plain string would be read as markup

        self.exit(return_code=1, message=Text(sentence_for(error)))
