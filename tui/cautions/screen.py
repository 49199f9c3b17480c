"""The Cautions: what was found about the stock, gravest first, grouped by what to do about it."""

from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from stock.cautions.facts import ACTIONS, Finding
from tui.shelf.detail import GRAVITY, findings_text
from tui.shelf.layout import MARKS
from tui.widgets.drawing import Run
from tui.widgets.room import Room, words
from tui.widgets.rows import Column, Heading, Rows
from tui.widgets.say import count, short_day

DO = {
    "use_first": "Use first", "move": "Move", "dont_mix": "Don't mix", "throw_away": "Don't use; throw away",
    "find_out": "Find out", "take_care": "Take care",
}  # fmt: skip
COLUMNS = (Column("", 13), Column("", 24), Column(""), Column("", 12, right=True))
SAFETY = (
    "Figures are estimates from what was entered. The safety data sheet, local fire and environmental "
    "codes and licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class CautionBooks:
    """What was found."""

    findings: tuple[Finding, ...]


class Cautions(Room[CautionBooks]):
    """Findings by what to do, and the one under the hand in full."""

    CSS_PATH = "cautions.tcss"
    ABOUT = (
        "What was found about the stock, by what to do about it: the gravest first. Each says why, what to do "
        f"and where the rule comes from. {SAFETY}"
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "shelf", "Bottle", tooltip="See its bottle on the Shelf"),
        Binding("n", "notes", "Notes", tooltip="Show or hide what is only worth noting"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._notes = True

    def furniture(self) -> ComposeResult:
        """The findings, and one in full."""
        yield Rows(
            COLUMNS, self._cells, key=lambda one: (one.code, one.bottle, one.product, one.place), id="found"
        )
        yield Static(id="why")
        yield Static(words(SAFETY), id="safety")

    def on_mount(self) -> None:
        """The hand starts on the gravest."""
        self.query_one(Rows).focus()

    def resting(self) -> Widget:
        """The findings."""
        return self.query_one(Rows)

    def read_books(self) -> CautionBooks:
        """Everything that was found."""
        from stock.cautions.books import findings  # noqa: PLC0415

        return CautionBooks(tuple(findings(self.ullage.as_of)))

    def draw(self, books: CautionBooks) -> None:
        """By what to do, the graver groups first."""
        shown = [one for one in books.findings if self._notes or one.severity != "note"]
        items: list[Finding | Heading] = []
        for action in sorted(ACTIONS, key=lambda action: self._rank(action, shown)):
            mine = [one for one in shown if one.action == action]
            if mine:
                items += [Heading(DO[action], count(len(mine), "finding")), *mine]
        self.query_one(Rows).show(items, empty="Nothing to look out for.")
        if not items:
            self.query_one("#why", Static).update("")

    @staticmethod
    def _rank(action: str, findings: list[Finding]) -> tuple[int, int]:
        grades = ("stop", "warn", "note")
        gravest = min((grades.index(one.severity) for one in findings if one.action == action), default=9)
        return gravest, ACTIONS.index(action)

    def _cells(self, one: Finding) -> tuple[Any, ...]:
        about = one.product or one.place or "the studio"
        bottle = f" · {one.bottle}" if one.bottle is not None else ""
        ink = one.severity if one.severity in ("stop", "warn") else "quiet"
        return (
            (Run(f"{MARKS[one.severity]} {GRAVITY[one.severity]}", ink, None, one.severity == "stop"),),
            f"{about}{bottle}", one.message, short_day(one.since) if one.since else "",
        )  # fmt: skip

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        self.query_one("#why", Static).update(findings_text([message.item]))
        self.refresh_bindings()

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        if self.check_action("shelf", ()):
            self.action_shelf()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only a finding about a bottle has one to see."""
        del parameters
        if action == "shelf":
            one = self.query_one(Rows).item if self.is_mounted else None
            return True if one is not None and one.bottle is not None else None
        return True

    def action_shelf(self) -> None:
        """Its bottle on the Shelf."""
        one = self.query_one(Rows).item
        if one is not None and one.bottle is not None:
            self.ullage.to_shelf(one.bottle)

    def action_notes(self) -> None:
        """Notes, too, or not."""
        self._notes = not self._notes
        if self.books is not None:
            self.draw(self.books)
