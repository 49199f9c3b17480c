"""What the keys of the Cautions do: open a record to fill in a field, silence a rule, move bottles."""

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from stock.cautions.facts import OF_PAIRS, Finding
from stock.cautions.moves import Plan
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do
from tui.cautions.sheet import about
from tui.dialogs.record_form import UNKNOWN, Opening
from tui.drawing.boards import MarkedBottle
from tui.drawing.figures import count
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, such_as

MISSING = {
    "flash-point-unknown": "flash_point",
    "boiling-point-unknown": "boiling_point",
    "blend-burns-lower": "flash_point",
    "composition-unknown": "solvent",
    "age-unknown": "opened_life",
    "keeping-temperature-unknown": "store_at",
    "statements-unknown": "h_statements",
    "sheet-contradicts": "h_statements",
    "not-noted": "",
}
"""Findings about what nobody has noted about a product, and the field of its record for it; of those that miss several
things the first that they name."""

OF_PLACES = {
    "place-not-described": UNKNOWN,
    "spraying-at-home": "premises",
}
"""The same for a place."""


EVERYWHERE = "everywhere"
AGAIN = ("2w", "1mo", "3mo", "6mo", "1y")

TESTED_ON_A_CARD = (
    "past-best-before", "open-too-long", "opened-day-unknown", "leftover-too-old", "leftover-day-unknown",
    "tested-good",
)  # fmt: skip
"""Findings on a bottle's age, which a test on a card answers."""


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
        return product_form.opening(product, MISSING[finding.code] or _first_field(finding))
    if finding.code in OF_PLACES and finding.place is not None:
        return place_form.opening(finding.place, OF_PLACES[finding.code])
    return None


def _first_field(finding: Finding) -> str:
    """The first field that the command in a finding's remedy would fill in."""
    parts = getattr(finding.remedy, "parts", ())
    words = [word for part in parts if isinstance(part, Do) for word in part.arguments]
    return next((word[2:].replace("-", "_") for word in words if word.startswith("--")), "solvent")


def scopes_of(finding: Finding) -> dict[str, dict[str, str]]:
    """What a finding's rule can be silenced for, by the words that a person writes: each thing that it is about."""
    if finding.code in OF_PAIRS:
        mine = finding.product or ""
        return {
            _("{mine} and {other}", mine=mine, other=other): {"product": mine, "other": other}
            for other in finding.others
        }
    found: list[tuple[str, object]] = [("bottle", finding.bottle), ("product", finding.product)]
    found += [("product", name) for name in finding.others] + [("place", finding.place)]
    found += [("bottle", number) for number in finding.bottles]
    return {f"{kind} {what}": {kind: str(what)} for kind, what in found if what is not None}


class SilenceRule(BookingDialog[str]):
    """Silences a rule for one bottle, product or place, or everywhere, with a reason that is logged."""

    GO = _("Silence it")

    def __init__(self, finding: Finding) -> None:
        super().__init__()
        self._finding = finding
        self._scopes = scopes_of(finding)

    def head(self) -> str:
        return _("Silence `{code}`", code=self._finding.code)

    def fields(self) -> ComposeResult:
        """What that means, and the reason."""
        text = _(
            "No finding of this rule about that one is shown, here or at the Bench, until the day on "
            "which it is asked again. The rule: {source}. The reason is logged; y lists such choices "
            "and can restore the rule. What could give off a gas that kills is shown all the same.",
            source=self._finding.source,
        )
        yield Static(words(text))
        yield Field(_("Because"), example=such_as(_("everything is in the steel cabinet")), id="reason")
        offers = [*self._scopes, EVERYWHERE]
        yield Field(_("For"), read=self._scope, value=offers[0], offers=offers, id="scope")
        yield Field(
            _("Asked again"), blank=True, value="3mo", offers=AGAIN, id="until",
            hint=_("A day, or after how long. Everywhere, it isn't asked again."),
        )  # fmt: skip

    def _scope(self, text: str) -> dict[str, str] | None:
        """Which thing it is silenced for; None for every one."""
        from stock.errors import BadInput

        scopes = {offer.casefold(): scope for offer, scope in {**self._scopes, EVERYWHERE: None}.items()}
        if text.strip().casefold() not in scopes:
            choices = ", ".join([*self._scopes, EVERYWHERE])
            raise BadInput(
                _("{text!r} is none of what it concerns", text=text[:40]),
                remedy=_("Write {known}", known=choices),
            )
        return scopes[text.strip().casefold()]

    def errand(self) -> Callable[[], str]:
        reason, scope, until = self.read("reason"), self.read("scope"), self.read("until")
        code = self._finding.code

        def choose() -> str:
            if scope is None:
                from stock.cautions.choices import choose as log

                log(code, "silence", reason=reason or "")
                return _("Silenced: {code}", code=code)
            from stock.cautions.silences import silence

            made = silence(code, reason=reason or "", until=until, **scope)
            return _(
                "Silenced for {about} until {until}: {code}",
                about=made.about,
                until=show_day(made.until),
                code=code,
            )

        return choose


class Tested(BookingDialog[str]):
    """Notes that a bottle past its day was tested on a card and is good."""

    GO = _("It is good")

    def __init__(self, one: MarkedBottle) -> None:
        super().__init__()
        self._one = one

    def head(self) -> str:
        """Its product and label."""
        return _(
            "{product}, bottle {label}, tested on a card",
            product=self._one.view.product,
            label=self._one.view.label,
        )

    def fields(self) -> ComposeResult:
        """Until when, and what was seen."""
        yield Static(words(_("Until it is asked again it counts as good, in the forecast, too.")))
        yield Field(
            _("Asked again"), value="1mo", offers=AGAIN, id="until", hint=_("A day, or after how long.")
        )
        yield Field(_("Seen"), blank=True, example=such_as(_("covers and sprays like a new one")), id="note")

    def errand(self) -> Callable[[], str]:
        until, remark, number = self.read("until"), self.read("note"), self._one.view.id

        def log() -> str:
            from stock.cautions.silences import note_card_test

            made = note_card_test(str(number), until=until, remark=remark or "")
            return _(
                "Bottle {bottle} counts as good, asked again on {asked_again_on}",
                bottle=made["bottle"],
                asked_again_on=show_day(made["asked_again_on"]),
            )

        return log


class Carry(BookingDialog[str]):
    """Shows what to move where, and what moving doesn't solve; one key books all moves."""

    AUTO_FOCUS = "#go"
    HEAD: ClassVar[str] = _("What to move where")

    def __init__(self, plan: Plan) -> None:
        super().__init__()
        self._plan = plan

    def on_mount(self) -> None:
        """Show the list from its top."""
        self.call_after_refresh(self.query_one("#sheet", VerticalScroll).scroll_home, animate=False)

    def go_word(self) -> str:
        """How many bottles to book as moved."""
        moves = self._plan.moves
        return _("I moved {moves}", moves=count(len(moves), "bottle")) if moves else _("Nothing to move")

    def fields(self) -> ComposeResult:
        """The bottles with the same way and reason together; then what moving doesn't solve, and what is missing."""
        if not any(self._plan):
            yield Static(words(_("Every bottle can stay where it is.")))
        together: dict[tuple[str, str, str], list[str]] = {}
        for move in self._plan.moves:
            way = (move.come_from, move.to, move.why)
            together.setdefault(way, []).append(f"{move.product} · {move.bottle}")
        for (come_from, to, why), bottles in together.items():
            yield Static(words(f"{come_from} → {to}"), classes="way")
            yield Static(words(f"{', '.join(bottles)}: {why}"), classes="move")
        if self._plan.unsolved:
            yield Static(words(_("Moving doesn't solve")), classes="way")
        for left in self._plan.unsolved:
            yield Static(words(f"{about(left.finding)}: {left.finding.message}. {left.why}"), classes="move")

    def errand(self) -> Callable[[], str]:
        if not self._plan.moves:
            self.refuse(_("There is nothing to book."))
            self.stay()

        def carry() -> str:
            from stock.shelf.handling import move_bottle

            for move in self._plan.moves:
                move_bottle(str(move.bottle), move.to, key=f"{self.request}-{move.bottle}")
            return _("{moves} moved", moves=count(len(self._plan.moves), "bottle"))

        return carry
