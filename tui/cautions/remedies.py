"""What a key on the Cautions does: open the record that misses something, silence a rule, carry bottles."""

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
"""Findings about what nobody has noted of a product, and the field of its record where it is noted."""

OF_PLACES = {
    "place-not-described": UNKNOWN,
    "spraying-at-home": "premises",
}
"""The same of a place."""


def can_note(finding: Finding) -> bool:
    """Whether a record has a field for what the finding misses."""
    return finding.code in MISSING or (finding.code in OF_PLACES and finding.place is not None)


def record_of(finding: Finding, bottles: Mapping[int, MarkedBottle]) -> Opening | None:
    """The record where it is noted, at the field that is missing.

    Args:
        finding: what was found.
        bottles: those that stand, by number, for a finding that names only bottles.
    """
    from tui.dialogs import place_form, product_form  # only when it is asked for

    of_bottles = (bottles[number].view.product for number in finding.bottles if number in bottles)
    product = finding.product or next(of_bottles, None)
    if finding.code in MISSING and product is not None:
        return product_form.opening(product, MISSING[finding.code])
    if finding.code in OF_PLACES and finding.place is not None:
        return place_form.opening(finding.place, OF_PLACES[finding.code])
    return None


class Silence(BookingDialog[str]):
    """A rule is silenced for this studio, with a reason that is logged."""

    GO = "Silence it"

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self._finding = finding

    def head(self) -> str:
        """Which rule."""
        return f"Silence `{self._finding.code}`"

    def fields(self) -> ComposeResult:
        """What that means, and the reason."""
        told = (
            "No finding of this rule is shown any more, here or at the Bench, for any bottle. "
            f"The rule: {self._finding.source}. The reason is logged; "
            "y shows what was chosen and takes it back."
        )
        yield Static(words(told))
        yield Field("Because", example="all of it stands in the steel cabinet", id="reason")

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        reason = self.read("reason")

        def choose() -> str:
            from stock.cautions.choices import choose as log

            log(self._finding.code, "silence", reason=reason or "")
            return f"Silenced: {self._finding.code}"

        return choose


class Carry(BookingDialog[str]):
    """What to move where, and what is still wrong then; one key books all of it."""

    AUTO_FOCUS = "#go"
    HEAD: ClassVar[str] = "What to move where"

    def __init__(self, plan: Plan) -> None:
        super().__init__()
        self._plan = plan

    def on_mount(self) -> None:
        """The list from its top."""
        self.call_after_refresh(self.query_one("#sheet", VerticalScroll).scroll_home, animate=False)

    def go_word(self) -> str:
        """How many go."""
        moves = self._plan.moves
        return f"I carried {count(len(moves), 'bottle')}" if moves else "Nothing fits"

    def fields(self) -> ComposeResult:
        """The bottles that go the same way together, and why; then what no move solves, and what is missing for it."""
        if not any(self._plan):
            yield Static(words("Every bottle may stay where it stands."))
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
        """Book each move."""
        if not self._plan.moves:
            self.refuse("There is nothing to book.")
            self.stay()

        def carry() -> str:
            from stock.shelf.handling import move_bottle

            for move in self._plan.moves:
                move_bottle(str(move.bottle), move.to, key=f"{self.request}-{move.bottle}")
            return f"{count(len(self._plan.moves), 'bottle')} moved"

        return carry
