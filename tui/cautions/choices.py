"""A studio's choices about caution rules: the dialog that makes one stricter, and the list of all choices."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.cautions.choices import Choice
from stock.cautions.facts import SEVERITIES, Finding, RuleChange
from stock.cautions.silences import Silenced
from stock.language import _
from tui.dialogs.rule_figures import figure_fields
from tui.drawing.bottle import Run
from tui.drawing.figures import short_day
from tui.drawing.strips import shown
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, such_as
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn, Under


def quiet(changes: Iterable[RuleChange]) -> Iterator[str]:
    """What is silenced: a rule, or a rule for one thing until a day."""
    from stock.cautions.silences import silenced

    every = tuple(changes)
    yield from (change.code for change in every if change.silences and not change.scoped)
    yield from (
        _("{code} for {about} until {until}", code=one.code, about=one.about, until=short_day(one.until))
        for one in silenced(every)
    )


WORDS = {"silence": "silenced", "tighten": _("treated as"), "default": _("as shipped")}


class Tighten(BookingDialog[str]):
    """Makes a rule stricter in this studio, or its figures tighter, with a reason that is logged."""

    CSS_PATH = "../dialogs/rule_figures.tcss"
    GO: ClassVar[str] = _("Make it stricter")

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self.add_class("-figures")
        from stock.cautions.rules import shipped

        self._rule = shipped()[finding.code]

    def head(self) -> str:
        return _("Make `{code}` stricter", code=self._rule.code)

    def fields(self) -> ComposeResult:
        """The severity, the figures, and the reason."""
        stricter = SEVERITIES[SEVERITIES.index(self._rule.severity) + 1 :]
        yield Static(
            words(
                _(
                    "The rule ships with severity {severity}. It can't be made milder here.",
                    severity=_(self._rule.severity),
                )
            )
        )
        yield Field(
            _("Treat it as"), blank=True, value=stricter[0] if stricter else "", offers=stricter,
            example=_("as shipped"),
            id="severity", hint="" if stricter else _("It is a stop already."),
        )  # fmt: skip
        yield from figure_fields(self._rule)
        yield Field(_("Because"), example=such_as(_("children come into the workshop")), id="reason")

    def errand(self) -> Callable[[], str]:
        code, severity, reason = self._rule.code, self.read("severity"), self.read("reason")
        read = {name: self.read(f"figure-{name}") for name in self._rule.tighter}
        figures = {name: value for name, value in read.items() if value is not None}

        def choose() -> str:
            from stock.cautions.choices import choose as log

            made = log(code, "tighten", reason=reason, severity=severity, figures=figures)
            return _("{code} is treated as {to} here", code=code, to=made.to)

        return choose


class Restore(BookingDialog[str]):
    """Restores a rule as shipped, everywhere or for the one thing that it was silenced for."""

    GO: ClassVar[str] = _("As shipped")

    def __init__(self, code: str, only: Silenced | None = None) -> None:
        super().__init__()
        self._code, self._only = code, only

    def head(self) -> str:
        return _("`{code}` as shipped", code=self._code)

    def fields(self) -> ComposeResult:
        yield Static(words(_("The rule applies as shipped again. The reason is logged.")))
        yield Field(_("Because"), example=such_as(_("the cabinet is gone")), id="reason")

    def errand(self) -> Callable[[], str]:
        reason, code, only = self.read("reason"), self._code, self._only

        def choose() -> str:
            if only is not None:
                from stock.cautions.silences import silence

                silence(code, reason=reason, until="today", **only.scope)
                return _("{code} is as shipped again for {about}", code=code, about=only.about)
            from stock.cautions.choices import choose as log

            log(code, "default", reason=reason)
            return _("{code} is as shipped again", code=code)

        return choose


class Chosen(Listing[Choice | Silenced]):
    """The list of all choices that were logged, the newest first, and of what is silenced for one thing."""

    HEAD: ClassVar[str] = _("This studio's choices about rules")
    EMPTY: ClassVar[str] = _("Every rule is as shipped: z silences one, h makes one stricter.")
    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 12), ListColumn("", 28), ListColumn(""))
    BINDINGS: ClassVar[list[BindingType]] = bindings("rules")

    def read(self) -> Sequence[Choice | Silenced | Heading | Under]:
        """All choices, those in force first."""
        from stock.cautions.books import silences_in_force
        from stock.cautions.choices import chosen
        from stock.cautions.silences import silenced

        every = chosen()
        newest: dict[str, Choice] = {}
        for one in every:
            newest.setdefault(one.code, one)
        self._in_force: list[Choice | Silenced] = [one for one in newest.values() if one.choice != "default"]
        past = [one for one in every if one not in self._in_force]
        for_one = silenced(silences_in_force(None))
        self._in_force = [*for_one, *self._in_force]
        listed: list[Choice | Silenced | Heading | Under] = []
        for head, mine in ((_("In force"), self._in_force), (_("Before"), past)):
            if mine:
                listed.append(Heading(head))
                for item in mine:
                    listed += [
                        item,
                        Under(
                            (
                                Run(
                                    _("{value}because: {reason}", value=" " * 14, reason=shown(item.reason)),
                                    "quiet",
                                ),
                            )
                        ),
                    ]
        return listed

    def cells(self, item: Choice | Silenced) -> Sequence[Cell]:
        """The day, the rule and the choice; the reason is on the line beneath."""
        if isinstance(item, Silenced):
            day = _("to {until}", until=short_day(item.until, self.shell.the_day))
            return (
                day,
                (Run(item.code, "ink", None, bold=True),),
                _("silenced for {about}", about=item.about),
            )
        what = f"{WORDS[item.choice]} {item.to}".strip()
        return (
            short_day(item.at.date(), self.shell.the_day),
            (Run(item.code, "ink", None, bold=True),),
            what,
        )

    def ident(self, item: Choice | Silenced) -> Hashable:
        """The rule and the instant, or what it is silenced for."""
        if isinstance(item, Silenced):
            return (item.code, item.about)
        return (item.code, item.at)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for restoring a rule whose choice isn't in force."""
        del parameters
        if action == "restore":
            return True if self.item is not None and self.item in self._in_force else None
        return True

    def chosen(self, item: Choice | Silenced) -> None:
        if item in self._in_force:
            self.ask(Restore(item.code, item if isinstance(item, Silenced) else None))

    def action_restore(self) -> None:
        """Restore the selected rule as shipped."""
        if self.item is not None:
            self.chosen(self.item)
