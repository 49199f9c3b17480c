"""The data sheets of one product: revisions with their ranges, and what changed between them."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import events, on
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from stock.language import _
from stock.notation import show_day
from stock.shelf.dosings import DosingEntry
from tui.dialogs.record_form import Group, Opening, RecordForm
from tui.drawing.bottle import Run
from tui.drawing.figures import count, short_day
from tui.drawing.strips import shown
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, Key
from tui.widgets.rows import Cell, ListColumn

NEEDLES = "<=0.18, >=0.5, 0.2..0.3"


class RangeForm(RecordForm):
    """One range of a sheet: how much of which reducer, for which needle."""

    GO: ClassVar[str] = _("Keep it")

    def __init__(self, before: dict[str, str] | None, reducers: Sequence[str]) -> None:
        super().__init__(before)
        self._reducers = reducers

    def head(self) -> str:
        """The same for a new range and a present one."""
        return _("A range of the sheet")

    def go_word(self) -> str:
        """The word on the key; the range is booked later, with its sheet."""
        return self.GO

    def first(self) -> Iterable[Field]:
        """Low end, high end and step, the reducer and the needle."""
        yield self._asked(
            "low", _("From"), example="20%", blank=False, hint=_("Of the paint's volume; or 5:1.")
        )
        yield self._asked("high", _("To"), example=_("30%; empty: the same"))
        yield self._asked("step", _("In steps of"), example="5%")
        yield self.field(
            "with", _("With"), read=field_readers.product, example=_("any reducer"), offers=self._reducers
        )
        yield self._asked("needle", _("Needle"), example=NEEDLES)

    def groups(self) -> Iterable[Group]:
        """Fields that few sheets need."""
        yield Group(_("More from the sheet"), [
            self._asked("line", _("For the line"), example=_("all of them")),
            self._asked("pressure", _("Pressure"), example=_("1.2..1.8 bar")),
            self.field("humidity", _("Humidity"), example=_("below 60 %")),
            self.field("wording", _("Wording"), example=_("where a ratio could be read two ways")),
        ])  # fmt: skip

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        return self.field(key, label, read=field_readers.of_range(key), **more)

    def errand(self) -> Callable[[], DosingEntry]:
        """Read the whole range."""
        from stock.shelf import dosings

        for field in self.every_field():
            with self.reading(field):
                field.read()
        texts = {str(field.id): field.text for field in self.every_field()}
        with self.reading(self.field_named("with")):
            texts["with"] = field_readers.product(texts["with"]) if texts["with"].strip() else ""
        with self.reading(self.field_named("high")):
            entry = dosings.of_fields(texts)
        return lambda: entry


class RangeLine(Widget, can_focus=True):
    """A range in one line; Enter or a click corrects it, Delete removes it."""

    def __init__(self, number: int, entry: DosingEntry) -> None:
        super().__init__()
        self.number = number
        self._entry = entry

    def render(self) -> Content:
        """The range as text."""
        from stock.shelf.dosings import words as in_words

        return words(in_words(self._entry))

    def on_mouse_down(self) -> None:
        self.post_message(Key.Pressed(Key("", id=f"range-{self.number}")))

    def on_key(self, event: events.Key) -> None:
        """Correct or remove the range."""
        verb = {"enter": "range", "space": "range", "delete": "out", "backspace": "out"}.get(event.key)
        if verb is not None:
            event.stop()
            self.post_message(Key.Pressed(Key("", id=f"{verb}-{self.number}")))


@dataclass(frozen=True, slots=True)
class SheetFormFacts:
    """What a sheet's form needs."""

    product: str
    sheet: Any
    titles: tuple[str, ...]
    reducers: tuple[str, ...]


class SheetForm(RecordForm):
    """One revision of a sheet, with its ranges."""

    def __init__(self, facts: SheetFormFacts, *, fresh: bool) -> None:
        sheet = facts.sheet
        before = None if fresh else {
            "title": sheet.title, "revised": show_day(sheet.revised_on), "source": sheet.source,
            "withdrawn": "yes" if sheet.withdrawn else "no",
        }  # fmt: skip
        super().__init__(before)
        self._facts = facts
        self._ranges: list[DosingEntry] = list(sheet.dosings) if sheet is not None else []
        self._title = sheet.title if sheet is not None else _("Technical data sheet")

    def head(self) -> str:
        return _(
            "{fresh} sheet of {product}",
            fresh=_("A revision of a") if self.fresh else "A",
            product=self._facts.product,
        )

    def first(self) -> Iterable[Widget]:
        """The revision's fields, then its ranges."""
        facts = self._facts
        title = field_readers.name(_("sheet's title"))
        yield self.field("title", _("Title"), read=title, value=self._title, blank=False, offers=facts.titles)
        yield self.field("revised", _("Revised"), read=field_readers.day, example="2026-03-01", blank=False,
                         hint=_("The day printed on the sheet."))  # fmt: skip
        yield self.field("source", _("Found"), example=_("where: an address, a folder"))
        if self.fresh:
            yield self.field(
                "replaces", _("Replaces"), example=_("a sheet of another title"), offers=facts.titles
            )
        else:
            yield self.field(
                "withdrawn", _("Withdrawn"), read=field_readers.yes, blank=False, offers=("no", "yes")
            )
        yield Static(words(_("Thinning ranges of the sheet")), id="ranges-head")
        yield Vertical(id="ranges")
        yield Horizontal(Key(_("+  a range"), plain=True, id="add"), id="more")

    def on_mount(self) -> None:
        """Show the sheet's ranges, or those of the previous revision."""
        super().on_mount()
        self.query_one("#revised" if self.fresh else "#title", Field).input.focus()
        self.call_later(self._show_ranges)

    async def _show_ranges(self) -> None:
        place = self.query_one("#ranges", Vertical)
        await place.remove_children()
        await place.mount_all([RangeLine(number, entry) for number, entry in enumerate(self._ranges)])
        before = _(" from the previous revision") if self.fresh and self._facts.sheet is not None else ""
        text = _(
            "Thinning: {ranges}{before}. Enter corrects one, Delete removes it.",
            ranges=count(len(self._ranges), "range"),
            before=before,
        )
        self.query_one("#ranges-head", Static).update(
            words(text if self._ranges else _("Thinning: no range yet."))
        )

    @on(Key.Pressed)
    async def _range(self, event: Key.Pressed) -> None:
        verb, _, number = (event.key.id or "").partition("-")
        if verb == "add":
            self.app.push_screen(RangeForm(None, self._facts.reducers), self._added)
        elif verb == "range":
            from stock.shelf.record_texts import dosing

            at = int(number)
            form = RangeForm(dosing(self._ranges[at]), self._facts.reducers)
            self.app.push_screen(form, lambda entry: self._put(at, entry))
        elif verb == "out":
            del self._ranges[int(number)]
            await self._show_ranges()
            self.query_one("#add", Key).focus()

    def _added(self, entry: DosingEntry | None) -> None:
        if entry is not None:
            self._ranges.append(entry)
            self.call_later(self._show_ranges)

    def _put(self, at: int, entry: DosingEntry | None) -> None:
        if entry is not None:
            self._ranges[at] = entry
            self.call_later(self._show_ranges)

    def typed(self) -> dict[str, str]:
        """What was typed; a changed range counts as typed, too."""
        if not self.fresh and tuple(self._ranges) != self._facts.sheet.dosings:
            self.before["ranges"] = "others"
            try:
                return {**super().typed()}
            finally:
                del self.before["ranges"]
        return super().typed()

    def errand(self) -> Callable[[], str]:
        """Enter the revision, or correct it."""
        title, day = self.read("title"), self.read("revised")
        source = self.query_one("#source", Field).text.strip()
        ranges, facts = list(self._ranges), self._facts
        if self.fresh:
            replaces = self.read("replaces")

            def enter() -> str:
                from stock.shelf import sheets

                sheets.add(facts.product, title, day, dosings=ranges, source=source, replaces=replaces)
                return _(
                    "{product}: {title} of {day} is entered with {ranges}",
                    product=facts.product,
                    title=title,
                    day=show_day(day),
                    ranges=count(len(ranges), "range"),
                )

            return enter
        withdrawn = self.read("withdrawn")

        def correct() -> str:
            from stock.shelf import sheets

            old = facts.sheet
            sheets.correct(
                facts.product, old.title, old.revised_on, dosings=ranges, source=source, withdrawn=withdrawn,
                new_title=title, new_day=day,
            )  # fmt: skip
            return _(
                "{product}: {title} of {day} is corrected",
                product=facts.product,
                title=title,
                day=show_day(day),
            )

        return correct


class Sheets(RecordKind[Any]):
    """One product's sheets, newest revision first."""

    WIDE = (ListColumn(_("revised"), 12), ListColumn(_("title")), ListColumn("", 12))
    NARROW = (ListColumn(_("revised"), 12), ListColumn(_("title")))
    EMPTY = _("No sheet is entered: press n.")
    CAN = frozenset({"new", "correct", "read"})

    def __init__(self, product: str, ident_of: int) -> None:
        self.product = product
        self.ident_of = ident_of
        self._sheets: list[Any] = []

    def read(self) -> Sequence[Any]:
        from stock.shelf import sheets

        self._sheets = sheets.listed(self.product)
        return self._sheets

    def may(self, action: str, item: Any) -> bool:
        """A file can be read where no sheet is entered yet."""
        return action == "read" or super().may(action, item)

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        return f"{item.title} {show_day(item.revised_on)}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """The day, the title, and whether the revision is in force."""
        state = _("in force") if item.in_force else "withdrawn" if item.withdrawn else "replaced"
        day = short_day(item.revised_on)
        if wide:
            return day, item.title, (Run(state, "good" if item.in_force else "quiet"),)
        return day, item.title if item.in_force else (Run(f"× {shown(item.title)}", "quiet"),)

    def card(self, item: Any) -> Card:
        """What the revision says, and what it changed."""
        from stock.shelf import sheets
        from stock.shelf.dosings import words as in_words

        card: list[Any] = [CardHead(item.title), CardFact(_("revised"), short_day(item.revised_on))]
        if item.withdrawn:
            card.append(CardSentence(_("The maker has withdrawn it; it is not used."), "warn", bold=True))
        elif item.replaced_by is not None:
            card.append(
                CardSentence(
                    _("Replaced by the revision of {replaced_by}.", replaced_by=short_day(item.replaced_by)),
                    "warn",
                    bold=True,
                )
            )
        else:
            card.append(CardSentence(_("In force: the Bench starts from it."), "good"))
        if item.source:
            card.append(CardFact(_("found"), item.source))
        card.append(CardHead(_("Thinning")))
        card += [CardSentence(f"· {in_words(entry)}") for entry in item.dosings] or [
            CardSentence(_("No range."), "quiet")
        ]
        later = self._sheets[self._sheets.index(item) + 1 :] if item in self._sheets else []
        before = next((one for one in later if one.title.casefold() == item.title.casefold()), None)
        if before is not None:
            card.append(
                CardHead(
                    _("Changes since the revision of {revised_on}", revised_on=short_day(before.revised_on))
                )
            )
            changes = sheets.compare(before, item)
            card += [
                CardSentence(f"· {change.words}", "quiet" if change.what == "kept" else "ink")
                for change in changes
            ]
        return card

    def _opening(self, item: Any, *, fresh: bool) -> Opening:
        def learn() -> SheetFormFacts:
            from stock.shelf import products, sheets

            titles = dict.fromkeys(each.title for each in sheets.listed(self.product))
            reducers = tuple(row.name for row in products.everything() if row.role in ("reducer", "cleaner"))
            return SheetFormFacts(self.product, item, tuple(titles), reducers)

        return learn, lambda facts: SheetForm(facts, fresh=fresh)

    def new(self, item: Any) -> Opening:
        """Enter a revision, starting from the title and the ranges of the selected one."""
        return self._opening(item, fresh=True)

    def correct(self, item: Any) -> Opening:
        return self._opening(item, fresh=False)
