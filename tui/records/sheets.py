"""Data sheets of one product: revisions with their ranges, and what changed from one to the next."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import events, on
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from stock.shelf.dosings import DosingEntry
from tui.dialogs.record_form import Group, Opening, RecordForm
from tui.drawing.bottle import Run
from tui.drawing.figures import count, short_day
from tui.drawing.strips import shown
from tui.records.card import Card, CardHead, Fact, Said
from tui.records.drawer import Drawer
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, Key
from tui.widgets.rows import Cell, ListColumn

NEEDLES = "<=0.18, >=0.5, 0.2..0.3"


class RangeForm(RecordForm):
    """One range of a sheet: how much reducer, with what, through which needle."""

    GO: ClassVar[str] = "Take it"

    def __init__(self, before: dict[str, str] | None, reducers: Sequence[str]) -> None:
        super().__init__(before)
        self._reducers = reducers

    def head(self) -> str:
        """New, or one that stands."""
        return "A range of the sheet"

    def go_word(self) -> str:
        """It is booked with its sheet, not yet."""
        return self.GO

    def first(self) -> Iterable[Field]:
        """From, to and the step; with what and through what."""
        yield self._asked("low", "From", example="20%", blank=False, hint="Of the paint's volume; or 5:1.")
        yield self._asked("high", "To", example="30%; empty: just that")
        yield self._asked("step", "In steps of", example="5%")
        yield self.field(
            "with", "With", read=field_readers.product, example="any reducer", offers=self._reducers
        )
        yield self._asked("needle", "Needle", example=NEEDLES)

    def groups(self) -> Iterable[Group]:
        """What few sheets say."""
        yield Group("What else the sheet says of it", [
            self._asked("line", "For the line", example="all of them"),
            self._asked("pressure", "Pressure", example="1.2..1.8 bar"),
            self.field("humidity", "Humidity", example="below 60 %"),
            self.field("wording", "Its own words", example="where a ratio could be read two ways"),
        ])  # fmt: skip

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        return self.field(key, label, read=field_readers.of_range(key), **more)

    def errand(self) -> Callable[[], DosingEntry]:
        """The range, read whole."""
        from stock.shelf import dosings

        for field in self.query(Field):
            with self.reading(field):
                field.read()
        texts = {str(field.id): field.text for field in self.query(Field)}
        with self.reading(self.query_one("#with", Field)):
            texts["with"] = field_readers.product(texts["with"]) if texts["with"].strip() else ""
        with self.reading(self.query_one("#high", Field)):
            entry = dosings.of_fields(texts)
        return lambda: entry


class RangeLine(Widget, can_focus=True):
    """A range in one line; Enter or a click corrects it, Delete takes it out."""

    def __init__(self, number: int, entry: DosingEntry) -> None:
        super().__init__()
        self.number = number
        self._entry = entry

    def render(self) -> Content:
        """In words."""
        from stock.shelf.dosings import words as in_words

        return words(in_words(self._entry))

    def on_mouse_down(self) -> None:
        """With the mouse."""
        self.post_message(Key.Pressed(Key("", id=f"range-{self.number}")))

    def on_key(self, event: events.Key) -> None:
        """With the hand."""
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

    def __init__(self, known: SheetFormFacts, *, fresh: bool) -> None:
        sheet = known.sheet
        before = None if fresh else {
            "title": sheet.title, "revised": sheet.revised_on.isoformat(), "source": sheet.source,
            "withdrawn": "yes" if sheet.withdrawn else "no",
        }  # fmt: skip
        super().__init__(before)
        self._known = known
        self._ranges: list[DosingEntry] = list(sheet.dosings) if sheet is not None else []
        self._title = sheet.title if sheet is not None else "Technical data sheet"

    def head(self) -> str:
        """Whose sheet."""
        return f"{'A revision of a' if self.fresh else 'A'} sheet of {self._known.product}"

    def first(self) -> Iterable[Widget]:
        """Which revision it is, then its ranges."""
        known = self._known
        title = field_readers.name("sheet's title")
        yield self.field("title", "Title", read=title, value=self._title, blank=False, offers=known.titles)
        yield self.field("revised", "Revised", read=field_readers.day, example="2026-03-01", blank=False,
                         hint="The day it prints as its own.")  # fmt: skip
        yield self.field("source", "Found", example="where: an address, a folder")
        if self.fresh:
            yield self.field("replaces", "Replaces", example="a sheet of another title", offers=known.titles)
        else:
            yield self.field(
                "withdrawn", "Withdrawn", read=field_readers.yes, blank=False, offers=("no", "yes")
            )
        yield Static(words("How it thins, as the sheet says"), id="ranges-head")
        yield Vertical(id="ranges")
        yield Horizontal(Key("+  a range", plain=True, id="add"), id="more")

    def on_mount(self) -> None:
        """The ranges that stand, or those of the revision before."""
        super().on_mount()
        self.query_one("#revised" if self.fresh else "#title", Field).input.focus()
        self.call_later(self._show_ranges)

    async def _show_ranges(self) -> None:
        place = self.query_one("#ranges", Vertical)
        await place.remove_children()
        await place.mount_all([RangeLine(number, entry) for number, entry in enumerate(self._ranges)])
        before = " as before" if self.fresh and self._known.sheet is not None else ""
        told = f"How it thins: {count(len(self._ranges), 'range')}{before}. Enter corrects one, Delete takes it out."
        self.query_one("#ranges-head", Static).update(
            words(told if self._ranges else "How it thins: no range yet.")
        )

    @on(Key.Pressed)
    async def _range(self, event: Key.Pressed) -> None:
        verb, _, number = (event.key.id or "").partition("-")
        if verb == "add":
            self.app.push_screen(RangeForm(None, self._known.reducers), self._added)
        elif verb == "range":
            from stock.shelf.record_texts import dosing

            at = int(number)
            form = RangeForm(dosing(self._ranges[at]), self._known.reducers)
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
        """A changed range is something typed, too."""
        if not self.fresh and tuple(self._ranges) != self._known.sheet.dosings:
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
        ranges, known = list(self._ranges), self._known
        if self.fresh:
            replaces = self.read("replaces")

            def enter() -> str:
                from stock.shelf import sheets

                sheets.add(known.product, title, day, dosings=ranges, source=source, replaces=replaces)
                return f"{known.product}: {title} of {day} is entered with {count(len(ranges), 'range')}"

            return enter
        withdrawn = self.read("withdrawn")

        def correct() -> str:
            from stock.shelf import sheets

            old = known.sheet
            sheets.correct(
                known.product, old.title, old.revised_on, dosings=ranges, source=source, withdrawn=withdrawn,
                new_title=title, new_day=day,
            )  # fmt: skip
            return f"{known.product}: {title} of {day} is corrected"

        return correct


class Sheets(Drawer[Any]):
    """One product's sheets, newest revision first."""

    WIDE = (ListColumn("revised", 12), ListColumn("title"), ListColumn("", 12))
    NARROW = (ListColumn("revised", 12), ListColumn("title"))
    EMPTY = "No sheet is entered: press n."
    CAN = frozenset({"new", "correct"})

    def __init__(self, product: str, ident_of: int) -> None:
        self.product = product
        self.ident_of = ident_of
        self._sheets: list[Any] = []

    def read(self) -> Sequence[Any]:
        """Its revisions."""
        from stock.shelf import sheets

        self._sheets = sheets.listed(self.product)
        return self._sheets

    def ident(self, item: Any) -> int:
        """Its number."""
        return int(item.id)

    def letters(self, item: Any) -> str:
        """Title and day."""
        return f"{item.title} {item.revised_on}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """The day, the title, whether it is in force."""
        state = "in force" if item.in_force else "withdrawn" if item.withdrawn else "replaced"
        day = short_day(item.revised_on)
        if wide:
            return day, item.title, (Run(state, "good" if item.in_force else "quiet"),)
        return day, item.title if item.in_force else (Run(f"× {shown(item.title)}", "quiet"),)

    def card(self, item: Any) -> Card:
        """What it says, and what it changed."""
        from stock.shelf import sheets
        from stock.shelf.dosings import words as in_words

        card: list[Any] = [CardHead(item.title), Fact("revised", short_day(item.revised_on))]
        if item.withdrawn:
            card.append(Said("The maker has withdrawn it; it is not used.", "warn", bold=True))
        elif item.replaced_by is not None:
            card.append(Said(f"Replaced by the one of {short_day(item.replaced_by)}.", "warn", bold=True))
        else:
            card.append(Said("In force: the Bench starts from it.", "good"))
        if item.source:
            card.append(Fact("found", item.source))
        card.append(CardHead("How it thins"))
        card += [Said(f"· {in_words(entry)}") for entry in item.dosings] or [Said("No range.", "quiet")]
        later = self._sheets[self._sheets.index(item) + 1 :] if item in self._sheets else []
        before = next((one for one in later if one.title.casefold() == item.title.casefold()), None)
        if before is not None:
            card.append(CardHead(f"Since the one of {short_day(before.revised_on)}"))
            changes = sheets.compare(before, item)
            card += [
                Said(f"· {change.words}", "quiet" if change.what == "kept" else "ink") for change in changes
            ]
        return card

    def _opening(self, item: Any, *, fresh: bool) -> Opening:
        def learn() -> SheetFormFacts:
            from stock.shelf import products, sheets

            titles = dict.fromkeys(each.title for each in sheets.listed(self.product))
            reducers = tuple(row.name for row in products.everything() if row.role in ("reducer", "cleaner"))
            return SheetFormFacts(self.product, item, tuple(titles), reducers)

        return learn, lambda known: SheetForm(known, fresh=fresh)

    def new(self, item: Any) -> Opening:
        """A revision; the one under the hand lends its title and its ranges."""
        return self._opening(item, fresh=True)

    def correct(self, item: Any) -> Opening:
        """What was typed wrongly."""
        return self._opening(item, fresh=False)
