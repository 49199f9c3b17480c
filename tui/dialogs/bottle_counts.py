"""Dialogs that count what is in a bottle, or book what was spilled from it."""

from collections.abc import Callable
from typing import Any

from textual.app import ComposeResult
from textual.widgets import Static

from stock.language import _
from tui.dialogs.bottles import OfBottle
from tui.drawing.figures import ml_of
from tui.drawing.sentences import by_keys
from tui.widgets.books_screen import words
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.suggestions import AMOUNTS


class CountBottle(OfBottle):
    """Counts what is in a bottle, by volume, weight or level."""

    WORD = _("Count")

    def fields(self) -> ComposeResult:
        yield Static(words(self.holds()))
        yield Field(
            _("Measured"),
            read=_counted,
            unit="ml",
            example=_("41 ml"),
            blank=True,
            offers=self._near(),
            id="measured",
        )
        yield Field(
            _("or weight"), read=_mass, example="63.2 g", blank=True, id="weight",
            hint=_("With its cap; needs the empty weight and the density."),
        )  # fmt: skip
        yield Field(
            _("or level"), read=_level, example="3/4", blank=True, offers=LEVELS, id="level",
            hint=_("Or 32 mm from the bottom."),
        )  # fmt: skip
        yield Field(
            _("Because"), read=_reason, example=_("not known"), blank=True, offers=MISSING, id="reason",
            hint=_("Spilled, leaked, dried out: a loss. Not logged: it was used."),
        )  # fmt: skip

    def _near(self) -> list[str]:
        """Whole millilitres near the books' figure, first below it, then above it: the likely results of a count."""
        held, size = self.one.view.on_hand_ul // 1_000, self.one.view.size_ul // 1_000
        down = [f"{ml} ml" for ml in range(held, max(-1, held - 12), -1)]
        return [*down, *(f"{ml} ml" for ml in range(held + 1, min(size, held + 6) + 1))]

    def errand(self) -> Callable[[], str]:
        """Book the count; the answer says whether the difference is more than measuring explains."""
        from stock.bench import counting, weighing

        measured, weight, level = (self.read(field) for field in ("measured", "weight", "level"))
        reason = self.read("reason")
        bottle, key = self.bottle, self.request
        if sum(one is not None for one in (measured, weight, level)) != 1:
            self.refuse(
                _("Write one of them: what you measured, its weight or its level. Nothing was booked.")
            )
            self.stay()

        def book() -> str:
            if measured is not None:
                found = weighing.by_volume(measured)
            else:
                found = (
                    counting.by_weight(bottle, weight)
                    if weight is not None
                    else counting.by_level(bottle, level)
                )
            answer = counting.count(bottle, found, key=key, reason=reason)
            return _(
                "Counted: {on_hand_ml} ml; {words}",
                on_hand_ml=ml_of(answer["on_hand_ml"]),
                words=answer["words"],
            )

        return book


MISSING = ("spilled", "leaked", "dried out", "not logged")


def _reason(text: str) -> str:
    from stock.shelf.counts import read_reason

    return read_reason(text)


class Spill(OfBottle):
    """Books what was spilled from a bottle, and says first how it is cleaned up."""

    WORD = _("Spilled:")

    def fields(self) -> ComposeResult:
        yield Static(words(self.holds()))
        yield Field(_("Spilled"), read=volume, unit="ml", example=_("5 ml"), offers=AMOUNTS, id="amount")
        yield Static(id="will")

    def on_mount(self) -> None:
        """Read the caution about cleaning it up."""
        super().on_mount()
        self.run_worker(self._look, thread=True, group="advice", exit_on_error=False)

    def _look(self) -> None:
        from stock.cautions.spills import about

        one = about(self.one.view.product)
        text = f"! {one.message}. {by_keys(one.remedy)}. [{one.source}]"
        self.app.call_from_thread(self.query_one("#will", Static).update, words(text))

    def errand(self) -> Callable[[], str]:
        from stock.shelf.counts import spill

        amount, bottle, key = self.read("amount"), self.bottle, self.request

        def book() -> str:
            answer = spill(bottle, amount, key=key)
            return _(
                "{spilled_ml} ml of {product} are written off as spilled; {on_hand_ml} ml left",
                spilled_ml=ml_of(answer["spilled_ml"]),
                product=answer["product"],
                on_hand_ml=ml_of(answer["on_hand_ml"]),
            )

        return book


LEVELS = ("7/8", "3/4", "5/8", "1/2", "3/8", "1/4", "1/8", "0")


def _counted(text: str) -> int:
    from stock.bench.amounts import read_count
    from stock.store.connection import connection

    with connection():
        return read_count(text)


def _level(text: str) -> Any:
    from stock.bench.bottle_level import read_level

    return read_level(text)


def _mass(text: str) -> int:
    from stock.units import mass

    return mass(text)
