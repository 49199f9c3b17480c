"""Ctrl+P: every screen, every action of the screen in front, every product and bottle, by a few letters."""

from collections.abc import Callable
from functools import partial
from typing import Any

from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content

from tui.themes import THEME_WORDS
from tui.widgets.frame import TABS
from tui.widgets.strips import shown

Command = tuple[str, str, Callable[[], Any]]


def known_things() -> list[tuple[str, int, str]]:
    """(words, bottle number or 0, product) of every product and every bottle standing."""
    from stock.shelf import products  # noqa: PLC0415
    from stock.shelf.bottles import on_shelf  # noqa: PLC0415
    from stock.store.connection import connection  # noqa: PLC0415
    from tui.widgets.say import ml  # noqa: PLC0415

    with connection():
        things = [(f"{row.name}, {row.role}", 0, row.name) for row in products.everything()]
        things += [
            (
                f"{view.label} {view.product}, {ml(view.on_hand_ul)} of {ml(view.size_ul)} ml",
                view.id,
                view.product,
            )
            for view in on_shelf()
            if not view.gone
        ]
    return things


class Everything(Provider):
    """All that can be gone to or done from here."""

    async def startup(self) -> None:
        """Read the products and bottles, in a thread."""
        self._things: list[tuple[str, int, str]] = []
        app: Any = self.app
        if app.books_open:
            worker = app.run_worker(known_things, thread=True, group="palette", exit_on_error=False)
            self._things = await worker.wait()

    def _commands(self) -> list[Command]:
        app: Any = self.app
        commands: list[Command] = [
            (screen.capitalize(), f"Screen {number}", partial(app.switch_mode, screen))
            for number, screen in enumerate(TABS, 1)
        ]
        told = set()
        for active in self.screen.active_bindings.values():
            binding = active.binding
            if binding.id and active.enabled and binding.action not in told:
                told.add(binding.action)
                run = partial(app.run_action, binding.action, active.node)
                commands.append((binding.description, binding.tooltip, run))
        commands += [
            (words, "Look", partial(setattr, app, "theme", name))
            for name, words in THEME_WORDS.items()
            if name in app.available_themes
        ]
        commands.append(("Keys of this screen", "Help", lambda: app.run_action("help", self.screen)))
        if app.visiting:
            commands.append(("Back to your own books", "Leave the sample studio", app.leave_sample))
        else:
            commands.append(("Try the sample studio", "Your own books stay as they are", app.visit_sample))
        commands.append(("Quit", "Everything booked is in the books", app.exit))
        return commands

    def _thing(self, number: int, product: str) -> Callable[[], Any]:
        app: Any = self.app
        return (lambda: app.to_shelf(number)) if number else (lambda: app.look_for(product))

    async def discover(self) -> Hits:
        """Screens and actions, before anything is typed."""
        for text, help_text, run in self._commands():
            yield DiscoveryHit(Content(shown(text)), run, text=text, help=help_text)

    async def search(self, query: str) -> Hits:
        """What fits the letters typed."""
        matcher = self.matcher(query)
        for text, help_text, run in self._commands():
            score = matcher.match(text)
            if score > 0:
                yield Hit(score, Content(shown(text)), run, text=text, help=help_text)
        for text, number, product in self._things:
            score = matcher.match(text)
            if score > 0:
                yield Hit(score, Content(shown(text)), self._thing(number, product), text=text)
