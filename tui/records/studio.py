"""The studio's settings, the look of the screen, and the caution rules."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import Any, ClassVar

from textual.app import App
from textual.widgets import Static

from stock import config, language
from stock.language import _
from stock.notation import show_day
from stock.remedies import Remedy
from tui.dialogs.record_form import Opening, nothing
from tui.dialogs.rule_figures import figure_fields
from tui.drawing.bottle import Run
from tui.drawing.figures import short_day
from tui.drawing.sentences import by_keys
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.records.setting_forms import (
    ABOUT_LANGUAGE,
    ABOUT_SCALE,
    ACCEPTED_SCALE,
    LanguageForm,
    LookForm,
    ScaleForm,
    SetsForm,
    SettingForm,
    SettingRow,
    TrainedForm,
    read_language,
    read_port,
)
from tui.themes import THEME_WORDS
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, Heading, ListColumn

HERE_ONLY = _("It concerns only this screen, not the books, and lasts until you quit.")


AS_SHIPPED, SILENCE = "as shipped", "silence"


class RuleForm(BookingDialog[str]):
    """Changes one caution rule, with a reason: as shipped, stricter, with tighter figures, or silenced."""

    CSS_PATH = "../dialogs/rule_figures.tcss"
    GO: ClassVar[str] = _("Log it")

    def __init__(self, row: SettingRow, now: Any) -> None:
        super().__init__()
        self.add_class("-figures")
        self._row, self._now = row, now
        self._figures: dict[str, int] = dict(now.figures) if now is not None else {}

    def head(self) -> str:
        return _("Rule `{key}`", key=self._row.key)

    def fields(self) -> Any:
        """What the rule says, how it is to be treated, and why."""
        rule = self._row.about
        yield Static(words(f"{_rule_text(rule.message)}.\n{rule.source}."))
        yield Field(_("Treat it as"), read=self._choice, value=self._taken, offers=self._choices(), id="choice",
                    hint=_("It ships as {severity}; silence hides it everywhere.",
                    severity=_(rule.severity)))  # fmt: skip
        yield from figure_fields(rule, self._figures)
        yield Field(_("Because"), example=_("why; it is logged"), id="reason")

    @property
    def _taken(self) -> str:
        if self._now is None:
            return AS_SHIPPED
        return SILENCE if self._now.silences else self._now.severity or AS_SHIPPED

    def _choices(self) -> list[str]:
        from stock.cautions.facts import SEVERITIES

        stricter = SEVERITIES[SEVERITIES.index(self._row.about.severity) + 1 :]
        return [AS_SHIPPED, *stricter, SILENCE]

    def _choice(self, text: str) -> str:
        from stock.errors import BadInput

        word = text.strip().lower()
        if word not in self._choices():
            raise BadInput(
                _("{text!r} is not a way to treat it", text=text[:20]),
                remedy=_("Write {choices}", choices=", ".join(self._choices())),
            )
        return word

    def errand(self) -> Callable[[], str]:
        choice, reason, code = self.read("choice"), self.read("reason"), self._row.key
        asked = {name: self.read(f"figure-{name}") for name in self._row.about.tighter}
        figures = {name: value for name, value in asked.items() if value is not None}
        if (choice, figures) == (self._taken, self._figures):
            self.refuse(_("Nothing was changed."))
            self.stay()
        severity = choice if choice not in (AS_SHIPPED, SILENCE) else None
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
            return _(
                "`{code}` from now on: {choice}{figures}",
                code=code,
                choice=choice,
                figures=_in_words(figures),
            )

        return log


def _rule_text(template: str) -> str:
    """A rule's text, with dots for what a finding fills in."""
    dots: defaultdict[str, str] = defaultdict(lambda: "…")
    return by_keys(template.filled(dots)) if isinstance(template, Remedy) else template.format_map(dots)


def _in_words(figures: Mapping[str, int]) -> str:
    from stock.cautions.rule_figures import in_words

    return "".join(f"; {in_words(name, value)}" for name, value in figures.items())


def _theme(names: Iterable[str]) -> Callable[[str], str]:
    def read(text: str) -> str:
        from stock.errors import BadInput

        if text.strip() not in names:
            raise BadInput(
                _("{text!r} is not a look", text=text[:20]),
                remedy=_("Write one of {names}", names=", ".join(names)),
            )
        return text.strip()

    return read


def _sets(text: str) -> str:
    from stock.cautions.rules import rule_book

    rule_book(text.replace(",", " ").split())
    return text


def _yes(text: str) -> bool:
    from stock.shelf.places import yes

    return yes(text)


class StudioSettings(RecordKind[SettingRow]):
    """All settings and caution rules."""

    NAME = _("Studio")
    WIDE = (ListColumn(_("setting"), 30), ListColumn(_("is")))
    NARROW = (ListColumn(_("setting"), 17), ListColumn(_("is")))
    CAN = frozenset({"correct"})

    def __init__(self, app: App[Any]) -> None:
        self._app = app

    def read(self) -> Sequence[Any]:
        """The settings of the books, of the screen and of the cautions."""
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
        rows_of_books = [
            SettingRow("setting", one.column, one.label, value, one)
            for one, value in studio_words.settings_in_words()
        ]
        sets = " ".join(settings().rule_sets or DEFAULT_SETS)
        self._measures = settings().measures
        look = [
            SettingRow("look", "theme", _("Look"), self._app.theme,
            _("The colours. {here_only} ULLAGE_THEME keeps it.", here_only=HERE_ONLY)),
            SettingRow("look", "motion", _("Motion"), "no" if self._app.animation_level == "none" else "yes",
                _("Whether the screen moves smoothly. {here_only} TEXTUAL_ANIMATIONS=none turns it off for "
"good.", here_only=HERE_ONLY)),
        ]  # fmt: skip
        bench = [
            SettingRow("scale", "scale", _("Scale"), config.value(config.SCALE), ABOUT_SCALE),
            SettingRow(
                "language", "language", _("Language"), language.LANGUAGES[language.CHOSEN], ABOUT_LANGUAGE
            ),
        ]
        rules = [
            SettingRow("rule", rule.code, rule.code, self._taken(rule), rule)
            for rule in sorted(shipped().values(), key=lambda rule: rule.code)
        ]
        about = _("The codes that the cautions follow; `strictest` takes the strictest limit of all of them.")
        return [
            Heading(_("The studio")), *rows_of_books, _trained_row(), Heading(_("This screen")), *look,
            Heading(_("This bench")), *bench,
            Heading(_("Cautions")), SettingRow("sets", "sets", _("Rule sets"), sets, about),
            Heading(_("Caution rules"), _("{rules} rules", rules=len(rules))), *rules,
        ]  # fmt: skip

    def _taken(self, rule: Any) -> str:
        now = self._now.get(rule.code)
        if now is None:
            return str(rule.severity)
        return SILENCE if now.silences else f"{now.severity or rule.severity}{_in_words(dict(now.figures))}"

    def ident(self, item: SettingRow) -> tuple[str, str]:
        return item.kind, item.key

    def letters(self, item: SettingRow) -> str:
        """The label, the value, and a rule's message."""
        about = item.about.message if item.kind == "rule" else ""
        return f"{item.label} {item.value} {about}"

    def cells(self, item: SettingRow, wide: bool) -> Sequence[Cell]:
        """The label and the value; a changed rule is marked."""
        del wide
        value: Cell = item.value or _("not set")
        if item.kind == "rule" and item.value != item.about.severity:
            value = (Run(_("{item} here", item=item.value), "warn", None, True),)
        return item.label, value

    def card(self, item: SettingRow) -> Card:
        """What the setting decides, or what the rule says."""
        if item.kind == "rule":
            return self._rule_card(item)
        card: list[Any] = [CardHead(item.label)]
        if item.kind != "setting":
            return [*card, CardFact(_("is"), item.value or _("not set")), CardSentence(item.about)]
        card += [CardFact(_("is"), item.value or item.about.unset), CardSentence(item.about.about)]
        return [*card, CardFact(_("accepts"), item.about.accepts)] if item.about.accepts else card

    def _rule_card(self, item: SettingRow) -> Card:
        from stock.cautions import rule_figures

        rule = item.about
        card: list[Any] = [
            CardHead(rule.code, _("ships as {severity}", severity=_(rule.severity))),
            CardFact(_("here"), item.value), CardFact(_("says"), _rule_text(rule.message)),
            CardFact(_("do"), _rule_text(rule.remedy)), CardFact(_("source"), rule.source),
        ]  # fmt: skip
        if rule.jurisdiction != "any":
            card.append(
                CardFact(
                    _("applies"),
                    _("where the rule set {jurisdiction} is chosen", jurisdiction=rule.jurisdiction),
                )
            )
        card += [
            CardFact(_("figure"), rule_figures.in_words(name, value, self._measures))
            for name, value in rule.figures.items()
        ]
        here = partial(rule_figures.in_words, measures=self._measures)
        for limit in rule.limits:
            figures = rule_figures.limit_in_words(limit.figures, here)
            card.append(
                CardFact(_("limit"), f"{limit.jurisdiction}: {limit.what} ({figures}); {limit.source}")
            )
        logged = self._choices.get(rule.code, [])
        card += [CardHead(_("Choices of this studio"))] * bool(logged)
        return [
            *card,
            *(CardFact(short_day(one.at.date()), f"{_chosen_words(one)}: {one.reason}") for one in logged),
        ]

    def correct(self, item: SettingRow) -> Opening | None:
        """The form for its value; None where it was fixed when the books were made."""
        if item.kind == "rule":
            return nothing, lambda _: RuleForm(item, self._now.get(item.key))
        if item.kind == "sets":
            from stock.cautions.rules import JURISDICTIONS, STRICTEST

            accepted = _("Some of {value}.", value=", ".join((*JURISDICTIONS[1:], STRICTEST)))
            return nothing, lambda _: SetsForm(item, _sets, (), accepted)
        if item.kind == "trained":
            from stock.shelf.training import ACCEPTED

            return nothing, lambda __: TrainedForm(
                item, _trained, (), _("{accepted}; empty for nobody.", accepted=ACCEPTED)
            )
        if item.kind == "scale":
            return nothing, lambda _: ScaleForm(item, read_port, (), ACCEPTED_SCALE)
        if item.kind == "language":
            spoken = tuple(language.LANGUAGES.values())
            return nothing, lambda _: LanguageForm(item, read_language, spoken, "")
        if item.kind == "look":
            names = [name for name in THEME_WORDS if name in self._app.available_themes]
            read: Any = _theme(names) if item.key == "theme" else _yes
            offers = names if item.key == "theme" else ["yes", "no"]
            return nothing, lambda _: LookForm(item, read, offers, "")
        if item.about.read is None:
            return None
        return nothing, lambda _: SettingForm(
            item, _checked(item), item.about.choices, f"{item.about.accepts}."
        )

    def may(self, action: str, item: SettingRow | None) -> bool:
        """Whether the setting can be changed; some are fixed when the books are made."""
        fixed = item is not None and item.kind == "setting" and item.about.read is None
        return item is not None and not fixed and super().may(action, item)


def _trained_row() -> SettingRow:
    from stock.shelf import training

    found = training.everything()
    ends = "; ".join(_("{name} until {until}", name=each.name, until=show_day(each.until)) for each in found)
    about = _(
        "Who was trained in using diisocyanates, and when: Regulation (EU) 2020/1149 asks for it "
        "from 0.1 % on, renewed at least every five years. It holds: {ends}.",
        ends=ends or _("nobody is noted"),
    )
    return SettingRow("trained", "trained", _("Trained"), training.written(found), about)


def _trained(text: str) -> str:
    from stock.shelf import training
    from stock.shelf.studio import settings
    from stock.store.connection import connection

    with connection():
        training.read_line(text, settings().today())
    return text


def _checked(row: SettingRow) -> Callable[[str], str]:
    def read(text: str) -> str:
        row.about.read(text)
        return text

    return read


def _chosen_words(choice: Any) -> str:
    return {"silence": "silenced", "default": _("as shipped")}.get(
        choice.choice, _("treated as {severity}", severity=_(choice.severity))
    )
