"""A studio's own word on the rules: one taken more gravely, and all that was ever chosen, with the way back."""

from collections.abc import Callable, Hashable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.cautions.choices import Choice
from stock.cautions.facts import SEVERITIES, Finding
from stock.errors import BadInput
from tui.drawing.bottle import Run
from tui.drawing.figures import short_day
from tui.drawing.strips import shown
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn, Under

WORDS = {"silence": "silenced", "tighten": "taken as", "default": "as shipped"}


class Tighten(BookingDialog[str]):
    """A rule is taken more gravely here, or its figures more tightly, with a reason that is logged."""

    GO: ClassVar[str] = "Take it so"

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        from stock.cautions.rules import shipped

        self._rule = shipped()[finding.code]

    def head(self) -> str:
        """Which rule."""
        return f"Take `{self._rule.code}` more gravely"

    def fields(self) -> ComposeResult:
        """How grave, its figures, and why."""
        graver = SEVERITIES[SEVERITIES.index(self._rule.severity) + 1 :]
        yield Static(
            words(f"As shipped it is of severity {self._rule.severity}. A rule can't be made milder here.")
        )
        yield Field(
            "Take it as", blank=True, value=graver[0] if graver else "", offers=graver, example="as shipped",
            id="severity", hint="" if graver else "It stops already.",
        )  # fmt: skip
        for name, way in self._rule.tighter.items():
            yield Field(
                name.replace("_", " ").capitalize(), read=_number, blank=True, id=f"figure-{name}",
                example=str(self._rule.figures.get(name, "as shipped")), hint=f"A {way} figure is tighter.",
            )  # fmt: skip
        yield Field("Because", example="children come into the workshop", id="reason")

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        code, severity, reason = self._rule.code, self.read("severity"), self.read("reason")
        read = {name: self.read(f"figure-{name}") for name in self._rule.tighter}
        figures = {name: value for name, value in read.items() if value is not None}

        def choose() -> str:
            from stock.cautions.choices import choose as log

            made = log(code, "tighten", reason=reason, severity=severity, figures=figures)
            return f"{code} is taken as {made.to} here"

        return choose


def _number(text: str) -> int:
    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) < 10):
        raise BadInput(f"{text[:20]!r} is no figure", remedy="Write a whole number")
    return int(digits)


class Restore(BookingDialog[str]):
    """A rule is as it was shipped again."""

    GO: ClassVar[str] = "As shipped"

    def __init__(self, code: str) -> None:
        super().__init__()
        self._code = code

    def head(self) -> str:
        """Which rule."""
        return f"`{self._code}` as shipped"

    def fields(self) -> ComposeResult:
        """Why."""
        yield Static(words("The rule holds again as it was shipped. The reason is logged."))
        yield Field("Because", example="the cabinet is gone", id="reason")

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        reason, code = self.read("reason"), self._code

        def choose() -> str:
            from stock.cautions.choices import choose as log

            log(code, "default", reason=reason)
            return f"{code} is as shipped again"

        return choose


class Chosen(Listing[Choice]):
    """Every choice that was logged, the newest on top."""

    HEAD: ClassVar[str] = "This studio's own word on the rules"
    EMPTY: ClassVar[str] = "Every rule is as shipped: z silences one, h takes one more gravely."
    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 12), ListColumn("", 28), ListColumn(""))
    BINDINGS: ClassVar[list[BindingType]] = bindings("rules")

    def read(self) -> Sequence[Choice | Heading | Under]:
        """All of them, those in force first."""
        from stock.cautions.choices import chosen

        every = chosen()
        newest: dict[str, Choice] = {}
        for one in every:
            newest.setdefault(one.code, one)
        self._holding = [one for one in newest.values() if one.choice != "default"]
        past = [one for one in every if one not in self._holding]
        listed: list[Choice | Heading | Under] = []
        for head, mine in (("In force", self._holding), ("Before", past)):
            if mine:
                listed.append(Heading(head))
                for one in mine:
                    listed += [one, Under((Run(f"{' ' * 14}because: {shown(one.reason)}", "quiet"),))]
        return listed

    def cells(self, item: Choice) -> Sequence[Cell]:
        """When, which, what; why stands beneath."""
        what = f"{WORDS[item.choice]} {item.to}".strip()
        return (
            short_day(item.at.date(), self.shell.the_day),
            (Run(item.code, "ink", None, bold=True),),
            what,
        )

    def ident(self, item: Choice) -> Hashable:
        """The rule and the instant."""
        return (item.code, item.at)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what is in force is taken back."""
        del parameters
        if action == "restore":
            return True if self.item is not None and self.item in self._holding else None
        return True

    def chosen(self, item: Choice) -> None:
        """Take it back."""
        if item in self._holding:
            self.ask(Restore(item.code))

    def action_restore(self) -> None:
        """The rule under the hand is as shipped again."""
        if self.item is not None:
            self.chosen(self.item)
