"""The dialog that keeps a mix as a recipe."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.language import _
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field


class KeepRecipe(BookingDialog[str]):
    """Keeps an earlier mix as a recipe, with its steps."""

    HEAD: ClassVar[str] = _("Keep it as a recipe")
    GO: ClassVar[str] = _("Keep it")

    def __init__(self, mix: int) -> None:
        super().__init__()
        self._mix = mix

    @property
    def form(self) -> str:
        """Each mix has a draft of its own."""
        return _("recipe of mix {mix}", mix=self._mix)

    def fields(self) -> ComposeResult:
        yield Static(
            words(_("The parts of mix {mix} with its steps, to be mixed at any size.", mix=self._mix))
        )
        yield Field(
            _("Name"), example=_("Deep sea"), id="name", hint=_("It stands among the paints of the Bench.")
        )
        yield Field(_("Words"), blank=True, example=_("what it is for"), id="note")

    def errand(self) -> Callable[[], str]:
        name, note, number = self.read("name"), self.read("note"), self._mix

        def keep() -> str:
            from stock.bench import mixes, recipes

            kept = recipes.of_mix(name, mixes.mix(number), note=note or "")
            return _("Recipe {name}: {words}", name=kept.name, words=kept.words)

        return keep
