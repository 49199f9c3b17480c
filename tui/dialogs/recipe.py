"""The dialog that keeps a mix as a recipe."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field


class KeepRecipe(BookingDialog[str]):
    """Keeps an earlier mix as a recipe, with its steps."""

    HEAD: ClassVar[str] = "Keep it as a recipe"
    GO: ClassVar[str] = "Keep it"

    def __init__(self, mix: int) -> None:
        super().__init__()
        self._mix = mix

    @property
    def form(self) -> str:
        """Each mix has a draft of its own."""
        return f"recipe of mix {self._mix}"

    def fields(self) -> ComposeResult:
        yield Static(words(f"The parts of mix {self._mix} with its steps, to be mixed at any size."))
        yield Field("Name", example="Deep sea", id="name", hint="It stands among the paints of the Bench.")
        yield Field("Words", blank=True, example="what it is for", id="note")

    def errand(self) -> Callable[[], str]:
        name, note, number = self.read("name"), self.read("note"), self._mix

        def keep() -> str:
            from stock.bench import mixes, recipes

            kept = recipes.of_mix(name, mixes.mix(number), note=note or "")
            return f"Recipe {kept.name}: {kept.words}"

        return keep
