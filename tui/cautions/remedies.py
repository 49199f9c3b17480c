"""What the keys of the Cautions do: open a record to fill in a field, silence a rule, move bottles."""

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.cautions.moves import Plan
from tui.cautions.sheet import about
from tui.dialogs.record_form import UNKNOWN, Opening
from tui.drawing.boards import MarkedBottle
from tui.drawing.figures import count
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field

MISSING = {
    "flash-point-unknown": "flash_point",
    "boiling-point-unknown": "boiling_point",
    "blend-burns-lower": "flash_point",
    "composition-unknown": "solvent",
    "age-unknown": "opened_life",
    "keeping-temperature-unknown": "store_at",
}
"""Findings about what nobody has noted about a product, and the field of its record for it."""

OF_PLACES = {
    "place-not-described": UNKNOWN,
    "spraying-at-home": "premises",
}
"""The same for a place."""


def can_note(finding: Finding) -> bool:
    """Whether a record has a field for what the finding says is missing."""
    return finding.code in MISSING or (finding.code in OF_PLACES and finding.place is not None)


def record_of(finding: Finding, bottles: Mapping[int, MarkedBottle]) -> Opening | None:
    """The form of the record, at the field that is missing.

    Args:
        finding: the finding.
        bottles: the present bottles by number, for a finding that names only bottles.
    """
    from tui.dialogs import place_form, product_form  # only when a record is opened

    of_bottles = (bottles[number].view.product for number in finding.bottles if number in bottles)
    product = finding.product or next(of_bottles, None)
    if finding.code in MISSING and product is not None:
        return product_form.opening(product, MISSING[finding.code])
    if finding.code in OF_PLACES and finding.place is not None:
        return place_form.opening(finding.place, OF_PLACES[finding.code])
    return None


class Silence(BookingDialog[str]):
    """Silences a rule for this studio, with a reason that is logged."""

    GO = "Silence it"

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self._finding = finding

    def head(self) -> str:
        """The rule's code."""
        return f"Silence `{self._finding.code}`"

    def fields(self) -> ComposeResult:
        """What that means, and the reason."""
        text = (
            "No finding of this rule is shown any more, here or at the Bench, for any bottle. "
            f"The rule: {self._finding.source}. The reason is logged; "
            "y lists such choices and can restore the rule."
        )
        yield Static(words(text))
        yield Field("Because", example="everything is in the steel cabinet", id="reason")

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        reason = self.read("reason")

        def choose() -> str:
            from stock.cautions.choices import choose as log

            log(self._finding.code, "silence", reason=reason or "")
            return f"Silenced: {self._finding.code}"

        return choose


class Carry(BookingDialog[str]):
    """Shows what to move where, and what moving doesn't solve; one key books all moves."""

    AUTO_FOCUS = "#go"
    HEAD: ClassVar[str] = "What to move where"

    def __init__(self, plan: Plan) -> None:
        super().__init__()
        self._plan = plan

    def on_mount(self) -> None:
        """Show the list from its top."""
        self.call_after_refresh(self.query_one("#sheet", VerticalScroll).scroll_home, animate=False)

    def go_word(self) -> str:
        """How many bottles to book as moved."""
        moves = self._plan.moves
        return f"I moved {count(len(moves), 'bottle')}" if moves else "Nothing to move"

    def fields(self) -> ComposeResult:
        """The bottles with the same way and reason together; then what moving doesn't solve, and what is missing."""
        if not any(self._plan):
            yield Static(words("Every bottle can stay where it is."))
        together: dict[tuple[str, str, str], list[str]] = {}
        for move in self._plan.moves:
            way = (move.come_from, move.to, move.why)
            together.setdefault(way, []).append(f"{move.product} · {move.bottle}")
        for (come_from, to, why), bottles in together.items():
            yield Static(words(f"{come_from} → {to}"), classes="way")
            yield Static(words(f"{', '.join(bottles)}: {why}"), classes="move")
        if self._plan.unsolved:
            yield Static(words("Moving doesn't solve"), classes="way")
        for left in self._plan.unsolved:
            yield Static(words(f"{about(left.finding)}: {left.finding.message}. {left.why}"), classes="move")

    def errand(self) -> Callable[[], str]:
        """Book the moves."""
        if not self._plan.moves:
            self.refuse("There is nothing to book.")
            self.stay()

        def carry() -> str:
            from stock.shelf.handling import move_bottle

            for move in self._plan.moves:
                move_bottle(str(move.bottle), move.to, key=f"{self.request}-{move.bottle}")
            return f"{count(len(self._plan.moves), 'bottle')} moved"

        return carry
