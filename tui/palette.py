"""The command palette (Ctrl+P): screens, actions, settings, products, bottles, substances, places, jobs …"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider
from textual.content import Content
from textual.events import Mount

from stock.language import _
from stock.shelf.name_ranking import INSIDE, fit
from tui import actions
from tui.drawing.strips import shown
from tui.themes import THEME_WORDS
from tui.widgets.overlay import LeftOnce
from tui.widgets.shell import shell_of


class Palette(LeftOnce, CommandPalette):
    """Textual's palette, which can be dismissed only once.

    A click or key that was pending when the palette was opened may bring another screen to the front before the palette
    is mounted. Textual then fails to find the screen beneath the palette; this one leaves instead.
    """

    def _on_mount(self, event: Mount) -> None:
        if self.app.screen is not self:
            event.prevent_default()

    def on_screen_resume(self) -> None:
        """Leave, if it does not know the screen beneath it."""
        if self._calling_screen is None:
            self.call_later(self._leave, None)


Command = tuple[str, str, Callable[[], Any]]
OTHERS_COUNT, BOOKS_COUNT = 0.98, 0.99
"""The weights of another screen's actions and of things in the books, beside 1 for this screen's actions."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something in the books: its text and help, the screen that shows it, and what that screen is handed."""

    words: str
    help: str
    screen: str
    in_hand: Any


def known_things() -> list[Thing]:
    """Every product, bottle, place, supplier, substance, job, recipe and setting."""
    from stock.store.connection import connection, reading

    with connection(), reading():
        return [*_stock(), *_records()]


def _stock() -> Iterator[Thing]:
    from stock.shelf import products
    from stock.shelf.bottles import on_shelf
    from tui.drawing.figures import ml

    views = [view for view in on_shelf() if not view.gone]
    held = {view.product_id for view in views}
    for row in products.everything():
        if row.id in held:
            yield Thing(f"{row.name}, {_(row.role)}", _("Its bottles on the Shelf"), "shelf", row.name)
        yield Thing(
            _("{name}: its record", name=row.name),
            _("What is known of it"),
            "records",
            (_("Products"), row.id),
        )
    for view in views:
        words = _(
            "{label} {product}, {on_hand_ul} of {size_ul} ml",
            label=view.label,
            product=view.product,
            on_hand_ul=ml(view.on_hand_ul),
            size_ul=ml(view.size_ul),
        )
        yield Thing(words, _("This bottle on the Shelf"), "shelf", view.id)


def _records() -> Iterator[Thing]:
    from stock.bench import recipes
    from stock.cautions import substance_view
    from stock.shelf import jobs, places, studio_words, suppliers

    for place in places.everything():
        yield Thing(
            _("{name}, place", name=place.name),
            _("What stands there, its limits"),
            "records",
            (_("Places"), place.id),
        )
    for supplier in suppliers.everything():
        yield Thing(
            _("{name}, supplier", name=supplier.name),
            _("Its terms"),
            "records",
            (_("Suppliers"), supplier.id),
        )
    for job in jobs.everything():
        yield Thing(
            _("{name}, job", name=job.name), _("What it cost, by when"), "records", (_("Jobs"), job.id)
        )
    for recipe in recipes.everything():
        yield Thing(
            _("{name}, recipe", name=recipe.name), recipe.words, "records", (_("Recipes"), recipe.name)
        )
    for one in substance_view.everything():
        number = "" if one.cas.startswith("own ") else f" {one.cas}"
        words = _("{name}{number}, substance", name=one.name, number=number)
        yield Thing(words, _("Each figure with its source"), "records", (_("Substances"), one.cas))
    for setting, value in studio_words.settings_in_words():
        to = (_("Studio"), ("setting", setting.column))
        yield Thing(_("{label}, setting", label=setting.label), value or _("not set"), "records", to)


def actions_of(screen: str) -> list[tuple[str, str, str]]:
    """Action, title and help of all that can be done on a screen and on the sheets that it opens."""
    own = [(one.call, one.title, one.help) for one in actions.of(screen)]
    return own + actions_on_sheets(screen)


def actions_on_sheets(screen: str) -> list[tuple[str, str, str]]:
    """The same for the sheets alone. The action that opens a sheet takes the sheet's action as its argument."""
    sheets = [sheet for sheet, opener in actions.SHEETS.items() if opener == screen]
    return [
        (f"{sheet}('{one.call}')", one.anywhere, one.help)
        for sheet in sheets
        for one in actions.of(sheet)
        if one.anywhere
    ]


def name_of(action: str) -> str:
    """An action's name, without its arguments."""
    return action.partition("(")[0]


class Everything(Provider):
    """The palette's entries: all that can be gone to or done from the current screen."""

    async def startup(self) -> None:
        """Read the things in the books, in a thread."""
        self._things: list[Thing] = []
        app: Any = self.app
        if app.books_open:
            worker = app.run_worker(self._learn, thread=True, group="palette", exit_on_error=False)
            await worker.wait()

    def _learn(self) -> None:
        self._things = known_things()

    def _commands(self) -> list[Command]:
        app: Any = self.app
        commands: list[Command] = [
            (screen.title, _("Screen {key}", key=screen.key), partial(app.switch_mode, screen.id))
            for screen in shell_of(app).screens
        ]
        seen = set()
        for active in self.screen.active_bindings.values():
            binding = active.binding
            if not (binding.tooltip and binding.description) or binding.action.startswith("switch_mode"):
                continue
            if active.enabled and binding.action not in seen:
                seen.add(binding.action)
                run = partial(app.run_action, binding.action, active.node)
                commands.append((binding.description, binding.tooltip, run))
        commands += [
            (words, about, partial(app.run_action, action, self.screen))
            for action, words, about in actions_on_sheets(app.current_mode)
            if not self.screen.is_modal and self.screen.check_action(name_of(action), ())
        ]
        commands += [
            (words, _("Look"), partial(setattr, app, "theme", name))
            for name, words in THEME_WORDS.items()
            if name in app.available_themes
        ]
        commands.append((_("Keys of this screen"), _("Help"), lambda: app.run_action("help", self.screen)))
        if app.visiting:
            commands.append((_("Back to your own books"), _("Leave the sample studio"), app.leave_sample))
        else:
            commands.append(
                (_("Try the sample studio"), _("Your own books stay as they are"), app.visit_sample)
            )
        return commands

    def _others(self) -> list[Command]:
        app: Any = self.app
        return [
            (f"{screen.title}: {words}", about, partial(app.do_there, screen.id, action))
            for screen in shell_of(app).screens
            if app.books_open and screen.id != app.current_mode
            for action, words, about in actions_of(screen.id)
        ]

    async def discover(self) -> Hits:
        """The entries before anything is typed: screens and actions."""
        for text, help_text, run in self._commands():
            yield DiscoveryHit(Content(shown(text)), run, text=text, help=help_text)

    async def search(self, query: str) -> Hits:
        """The entries that fit the typed letters, ranked as in fields of names; actions of this screen come first."""
        for commands, counts in ((self._commands(), 1.0), (self._others(), OTHERS_COUNT)):
            for text, help_text, run in commands:
                score = _score(text, query) * counts
                if score > 0:
                    yield Hit(score, Content(shown(text)), run, text=text, help=help_text)
        for thing in self._things:
            score = _score(thing.words, query) * BOOKS_COUNT
            if score > 0:
                run = partial(shell_of(self.app).go, thing.screen, thing.in_hand)
                about: Any = Content(shown(thing.help))  # a plain string would be read as markup
                yield Hit(score, Content(shown(thing.words)), run, text=thing.words, help=about)


def _score(text: str, typed: str) -> float:
    """How well a text fits the typed letters, from 1 to 0 for not at all."""
    how = fit(text, typed)
    return 0 if how is None else 1 - how / (INSIDE + 1)
