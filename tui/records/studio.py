"""The studio's settings, the look of the screen, and the caution rules it lives by."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual.app import App
from textual.widgets import Static

from stock.remedies import Remedy
from tui.dialogs.record_form import Opening, RecordForm, nothing
from tui.drawing.bottle import Run
from tui.drawing.figures import short_day
from tui.drawing.sentences import by_keys
from tui.records.card import Card, CardHead, Fact, Said
from tui.records.drawer import Drawer
from tui.themes import THEME_WORDS
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, Heading, ListColumn

HERE_ONLY = "It is a matter of this screen, not of the books, and lasts until you leave."


AS_MADE, SILENCE = "as made", "silence"


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One thing that can be set: what it is called, how it stands, and what kind of thing it is."""

    kind: str
    key: str
    label: str
    value: str
    about: Any


class SettingForm(RecordForm):
    """One setting."""

    GO: ClassVar[str] = "Set it"

    def __init__(
        self, row: SettingRow, read: Callable[[str], Any] | None, offers: Sequence[str], hint: str
    ) -> None:
        super().__init__({"value": row.value})
        self._row, self._read, self._offers, self._hint = row, read, offers, hint

    def head(self) -> str:
        """Which one."""
        return self._row.label

    def go_word(self) -> str:
        """The same for all."""
        return self.GO

    def first(self) -> Iterable[Any]:
        """What it decides, and its value."""
        told = self._row.about if isinstance(self._row.about, str) else self._row.about.about
        yield Static(words(told))
        yield self.field("value", "Set it to", read=self._read, offers=self._offers, hint=self._hint)

    def errand(self) -> Callable[[], Any]:
        """Set it."""
        text = self.typed()["value"]
        return lambda: self.put(text)

    def put(self, text: str) -> Any:
        """Set it, in a thread with the connection open."""
        from stock.shelf import studio_words

        studio_words.put(self._row.about, text)
        return f"{self._row.label}: {text or 'not set'}"


class SetsForm(SettingForm):
    """Which rule sets the cautions go by."""

    def put(self, text: str) -> str:
        """Set them."""
        from stock.cautions.choices import choose_sets

        return f"Rule sets: {', '.join(choose_sets(text.replace(',', ' ').split()))}"


class LookForm(SettingForm):
    """How the screen looks, until it is left."""

    def put(self, text: str) -> str:
        """Nothing in the books changes."""
        app = self.app
        if self._row.key == "theme":
            self.app.call_from_thread(setattr, app, "theme", text.strip())
        else:
            self.app.call_from_thread(
                setattr, app, "animation_level", "full" if text.strip() == "yes" else "none"
            )
        return f"{self._row.label}: {text}"


class RuleForm(BookingDialog[str]):
    """One caution rule: as it was made, graver, its figures tighter, or silenced, with the reason."""

    CSS_PATH = "rule_form.tcss"
    GO: ClassVar[str] = "Log it"

    def __init__(self, row: SettingRow, now: Any) -> None:
        super().__init__()
        self._row, self._now = row, now
        self._figures: dict[str, int] = dict(now.figures) if now is not None else {}

    def head(self) -> str:
        """Which one."""
        return f"Rule `{self._row.key}`"

    def fields(self) -> Any:
        """What it says, how it is to be taken, and why."""
        rule = self._row.about
        yield Static(words(f"{_said(rule.message)}.\n{rule.source}."))
        yield Field("Take it as", read=self._choice, value=self._taken, offers=self._choices(), id="choice",
                    hint=f"It was made as {rule.severity}; silence shows it nowhere.")  # fmt: skip
        for name, way in rule.tighter.items():
            own = rule.figures.get(name, "by each limit")
            yield Field(name.replace("_", " "), read=_whole, blank=True, value=str(self._figures.get(name, "")),
                        example=f"{own}; only {way}", id=f"figure-{name}")  # fmt: skip
        yield Field("Because", example="why; it is logged", id="reason")

    @property
    def _taken(self) -> str:
        if self._now is None:
            return AS_MADE
        return SILENCE if self._now.silences else self._now.severity or AS_MADE

    def _choices(self) -> list[str]:
        from stock.cautions.facts import SEVERITIES

        graver = SEVERITIES[SEVERITIES.index(self._row.about.severity) + 1 :]
        return [AS_MADE, *graver, SILENCE]

    def _choice(self, text: str) -> str:
        from stock.errors import BadInput

        word = text.strip().lower()
        if word not in self._choices():
            raise BadInput(
                f"{text[:20]!r} is no way to take it", remedy=f"Write {', '.join(self._choices())}"
            )
        return word

    def errand(self) -> Callable[[], str]:
        """Log the choice."""
        choice, reason, code = self.read("choice"), self.read("reason"), self._row.key
        asked = {name: self.read(f"figure-{name}") for name in self._row.about.tighter}
        figures = {name: value for name, value in asked.items() if value is not None}
        if (choice, figures) == (self._taken, self._figures):
            self.refuse("Nothing was chosen differently.")
            self.stay()
        severity = choice if choice not in (AS_MADE, SILENCE) else None
        afresh = self._now is not None

        def log() -> str:
            from stock.cautions.choices import choose
            from stock.store.connection import writing

            with writing():
                if choice == SILENCE:
                    choose(code, "silence", reason=reason)
                elif afresh or not (severity or figures):
                    choose(code, "default", reason=reason)
                if choice != SILENCE and (severity or figures):
                    choose(code, "tighten", reason=reason, severity=severity, figures=figures)
            return f"`{code}` from now on: {choice}{_in_words(figures)}"

        return log


def _said(template: str) -> str:
    """A rule's words, with dots for what a finding fills in."""
    dots: defaultdict[str, str] = defaultdict(lambda: "…")
    return by_keys(template.filled(dots)) if isinstance(template, Remedy) else template.format_map(dots)


def _in_words(figures: Mapping[str, int]) -> str:
    return "".join(f", {name.replace('_', ' ')} {value}" for name, value in figures.items())


def _whole(text: str) -> int:
    from stock.errors import BadInput

    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 9):
        raise BadInput(f"{text[:20]!r} is no whole number", remedy="Write digits only")
    return int(digits)


def _theme(known: Iterable[str]) -> Callable[[str], str]:
    def read(text: str) -> str:
        from stock.errors import BadInput

        if text.strip() not in known:
            raise BadInput(f"{text[:20]!r} is no look", remedy=f"Write one of {', '.join(known)}")
        return text.strip()

    return read


def _sets(text: str) -> str:
    from stock.cautions.rules import rule_book

    rule_book(text.replace(",", " ").split())
    return text


def _yes(text: str) -> bool:
    from stock.shelf.places import yes

    return yes(text)


class StudioDrawer(Drawer[SettingRow]):
    """Everything that can be set."""

    NAME = "Studio"
    WIDE = (ListColumn("setting", 30), ListColumn("is"))
    NARROW = (ListColumn("setting", 17), ListColumn("is"))
    CAN = frozenset({"correct"})

    def __init__(self, app: App[Any]) -> None:
        self._app = app

    def read(self) -> Sequence[Any]:
        """Settings of the books, of the screen, of the cautions."""
        from stock.cautions.choices import chosen, in_force, written
        from stock.cautions.rules import DEFAULT_SETS, shipped
        from stock.shelf import studio_words
        from stock.shelf.studio import settings

        self._choices: dict[str, list[Any]] = {}
        logged = chosen()
        for choice in logged:
            self._choices.setdefault(choice.code, []).append(choice)
        rows = [(one.code, one.choice, written(one), one.reason) for one in reversed(logged)]
        self._now = {change.code: change for change in in_force(rows)}
        told = [
            SettingRow("setting", one.column, one.label, value, one) for one, value in studio_words.known()
        ]
        sets = " ".join(settings().rule_sets or DEFAULT_SETS)
        look = [
            SettingRow("look", "theme", "Look", self._app.theme, f"The colours. {HERE_ONLY} ULLAGE_THEME keeps it."),
            SettingRow("look", "motion", "Motion", "no" if self._app.animation_level == "none" else "yes",
                f"Whether things glide. {HERE_ONLY} TEXTUAL_ANIMATIONS=none keeps it still."),
        ]  # fmt: skip
        rules = [
            SettingRow("rule", rule.code, rule.code, self._taken(rule), rule)
            for rule in sorted(shipped().values(), key=lambda rule: rule.code)
        ]
        about = "The codes that the cautions go by; `strictest` takes the strictest limit of all of them."
        return [
            Heading("The studio"), *told, Heading("This screen"), *look,
            Heading("Cautions"), SettingRow("sets", "sets", "Rule sets", sets, about),
            Heading("Caution rules", f"{len(rules)} rules"), *rules,
        ]  # fmt: skip

    def _taken(self, rule: Any) -> str:
        now = self._now.get(rule.code)
        if now is None:
            return str(rule.severity)
        return SILENCE if now.silences else f"{now.severity or rule.severity}{_in_words(dict(now.figures))}"

    def ident(self, item: SettingRow) -> tuple[str, str]:
        """Kind and key."""
        return item.kind, item.key

    def letters(self, item: SettingRow) -> str:
        """What it is called, and what it says."""
        about = item.about.message if item.kind == "rule" else ""
        return f"{item.label} {item.value} {about}"

    def cells(self, item: SettingRow, wide: bool) -> Sequence[Cell]:
        """What and how; a rule taken otherwise than it was made says so."""
        del wide
        value: Cell = item.value or "not set"
        if item.kind == "rule" and item.value != item.about.severity:
            value = (Run(f"{item.value} here", "warn", None, True),)
        return item.label, value

    def card(self, item: SettingRow) -> Card:
        """What it decides."""
        if item.kind == "rule":
            return self._rule_card(item)
        card: list[Any] = [CardHead(item.label)]
        if item.kind != "setting":
            return [*card, Fact("is", item.value), Said(item.about)]
        card += [Fact("is", item.value or item.about.unset), Said(item.about.about)]
        return [*card, Fact("accepts", item.about.accepts)] if item.about.accepts else card

    def _rule_card(self, item: SettingRow) -> Card:
        rule = item.about
        card: list[Any] = [
            CardHead(rule.code, f"made as {rule.severity}"),
            Fact("here", item.value), Fact("says", _said(rule.message)),
            Fact("do", _said(rule.remedy)), Fact("source", rule.source),
        ]  # fmt: skip
        if rule.jurisdiction != "any":
            card.append(Fact("holds", f"where the rule set {rule.jurisdiction} is chosen"))
        card += [Fact("figure", f"{name.replace('_', ' ')}: {value}") for name, value in rule.figures.items()]
        for limit in rule.limits:
            figures = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in limit.figures.items())
            card.append(Fact("limit", f"{limit.jurisdiction}: {limit.what} ({figures}); {limit.source}"))
        logged = self._choices.get(rule.code, [])
        card += [CardHead("What was chosen here")] * bool(logged)
        return [
            *card,
            *(Fact(short_day(one.at.date()), f"{_chosen_words(one)}: {one.reason}") for one in logged),
        ]

    def correct(self, item: SettingRow) -> Opening | None:
        """Its value; None where it stays as the books were made."""
        if item.kind == "rule":
            return nothing, lambda _: RuleForm(item, self._now.get(item.key))
        if item.kind == "sets":
            from stock.cautions.rules import JURISDICTIONS, STRICTEST

            told = f"Some of {', '.join((*JURISDICTIONS[1:], STRICTEST))}."
            return nothing, lambda _: SetsForm(item, _sets, (), told)
        if item.kind == "look":
            known = [name for name in THEME_WORDS if name in self._app.available_themes]
            read: Any = _theme(known) if item.key == "theme" else _yes
            offers = known if item.key == "theme" else ["yes", "no"]
            return nothing, lambda _: LookForm(item, read, offers, "")
        if item.about.read is None:
            return None
        return nothing, lambda _: SettingForm(
            item, _checked(item), item.about.choices, f"{item.about.accepts}."
        )

    def may(self, action: str, item: SettingRow | None) -> bool:
        """What stays as the books were made can't be set."""
        fixed = item is not None and item.kind == "setting" and item.about.read is None
        return item is not None and not fixed and super().may(action, item)


def _checked(row: SettingRow) -> Callable[[str], str]:
    def read(text: str) -> str:
        row.about.read(text)
        return text

    return read


def _chosen_words(choice: Any) -> str:
    return {"silence": "silenced", "default": "as it was made"}.get(
        choice.choice, f"taken as {choice.severity}"
    )
