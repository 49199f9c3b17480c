"""The sample studio inside the dashboard: a copy to try things on, and the way back to the person's own books."""

import shutil
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

from textual.app import App, ComposeResult
from textual.screen import Screen
from textual.widgets import Static
from textual.worker import WorkerCancelled, WorkerFailed, get_current_worker

from stock.language import _
from tui.widgets.books_screen import words
from tui.widgets.shell import Shell


class Between(Screen[None]):
    """The screen that is shown while the dashboard changes to other books."""

    DEFAULT_CSS = """
    Between { align: center middle; }
    Between Static { width: auto; }
    """

    def compose(self) -> ComposeResult:
        yield Static(words(_("One moment: other books are being opened …")))


def make_sample(folder: Path) -> str:
    """Make a copy of the sample studio in a folder; returns its address. The tables are bound to it.

    Raises:
        UllageError: the file can't be written.
    """
    from sample_studio.loader import load  # only for the sample studio

    address = str(folder / "sample.ullage")
    load(address)
    return address


class Visit:
    """Shows the sample studio, and remembers the address of the person's own books.

    A process has the books of one studio open. A visit therefore closes every screen first, so that none still reads
    or books in the books that were open before.
    """

    def __init__(self, app: App[Any], shell: Shell, between: str) -> None:
        self._app = app
        self._shell = shell
        self._between = between
        self._home = shell.address
        self._folder: Path | None = None

    @property
    def on(self) -> bool:
        """Whether the sample studio is shown."""
        return self._folder is not None

    async def go(self) -> None:
        """Show a fresh copy of the sample studio."""
        self._folder = Path(tempfile.mkdtemp(prefix="ullage-"))
        await self._change(partial(make_sample, self._folder))

    async def back(self) -> None:
        """Remove the copy, and show the person's own books again."""
        self.forget()
        await self._change(lambda: self._home)

    def forget(self) -> None:
        """Remove the copy, if there is one."""
        folder, self._folder = self._folder, None
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)

    async def _change(self, find: Callable[[], str]) -> None:
        app, shell = self._app, self._shell
        shell.books_open = False
        while len(app.screen_stack) > 1:
            await app.pop_screen()
        await app.switch_mode(self._between)
        for screen in shell.screens:
            await app.remove_mode(screen.id)
            app.add_mode(screen.id, screen.load)
        await self._nothing_running()
        shell.open_books(find)

    async def _nothing_running(self) -> None:
        """Wait for every thread that may still read or book."""
        here = get_current_worker()
        for worker in [one for one in self._app.workers if one is not here]:
            with suppress(WorkerFailed, WorkerCancelled):
                await worker.wait()
