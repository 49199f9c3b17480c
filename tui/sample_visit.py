"""A visit to the sample studio from inside the dashboard: a copy to try things on, then back to one's own books."""

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

from tui.widgets.books_screen import words
from tui.widgets.shell import Shell


class Between(Screen[None]):
    """What is seen while the dashboard changes from one studio's books to another's."""

    DEFAULT_CSS = """
    Between { align: center middle; }
    Between Static { width: auto; }
    """

    def compose(self) -> ComposeResult:
        """One sentence."""
        yield Static(words("One moment: other books are being opened …"))


def told_into(folder: Path) -> str:
    """Tell the sample studio's story into a new file there; the file's address. It binds the tables to it.

    Raises:
        UllageError: it can't be written.
    """
    from sample_studio.loader import load  # the story is only told here

    address = str(folder / "sample.ullage")
    load(address)
    return address


class Visit:
    """Where the dashboard's own books are while the sample studio is shown.

    One process has one studio's books open, so a visit closes every screen first: none may still read
    from, or book into, the books that were open before it.
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
        await self._change(partial(told_into, self._folder))

    async def back(self) -> None:
        """Show one's own books again; the copy is gone."""
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
