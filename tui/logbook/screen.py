"""The Logbook: everything that was ever booked, newest first; mistakes are undone here."""

from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from stock.language import _
from stock.logbook.history import Filter, LogEntry
from stock.units import Microlitres
from tui.drawing.bottle import Run
from tui.drawing.figures import LONG_MONTHS, WEEKDAYS, count, ml
from tui.logbook.filtering import NAMES, filter_text
from tui.widgets.books_screen import BooksScreen, show_text, words
from tui.widgets.dialog import Ask
from tui.widgets.fields import Plain
from tui.widgets.keys import bindings
from tui.widgets.label_scan import is_label
from tui.widgets.rows import Heading, ListColumn, Rows

WINDOW = 200
KINDS = (None, "mix", "wash", "delivery", "count", "discard", "order", "undo")
COLUMNS = (ListColumn("", 16), ListColumn("", 11), ListColumn("", 9, right=True), ListColumn(""))


@dataclass(frozen=True, slots=True)
class LogbookBooks:
    """A window onto the logbook, and how many entries match in total."""

    entries: tuple[LogEntry, ...]
    many: int
    zone: str


class LogbookScreen(BooksScreen[LogbookBooks]):
    """Entries by day, a filter above them, and beneath what the selected entry moved."""

    CSS_PATH = "logbook.tcss"
    ABOUT = _(
        "Everything that was ever booked, newest first. Nothing is erased: a mistake is "
        "corrected by taking it back, which is booked too. / finds one product, k shows one kind "
        "of entry, f filters by bottle, lot, job or days. r has the figures for a bookkeeper or "
        "inspector, y the backups."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("logbook")

    class MoreRead(Message):
        """Further entries were read."""

        def __init__(self, entries: tuple[LogEntry, ...], offset: int) -> None:
            super().__init__()
            self.entries = entries
            self.offset = offset

    def __init__(self) -> None:
        super().__init__()
        self._filter = Filter()
        self._entries: list[LogEntry] = []
        self._first: set[int] = set()
        self._reading = False

    def furniture(self) -> ComposeResult:
        """The filter, the entries, and what the selected one moved."""
        with Horizontal(id="findbar"):
            yield Static(words("/"), id="slash")
            find = Input(id="find", placeholder=_("one product, or a bottle's label"), highlighter=Plain())
            find.cursor_blink = False
            yield find
            yield Static(id="shown")
        yield Rows(COLUMNS, self._cells, key=lambda entry: entry.id, empty="", id="entries")
        yield Static(id="moved")

    def on_mount(self) -> None:
        """Focus the entries; the newest is the first."""
        self.query_one(Rows).focus()

    def default_focus(self) -> Widget:
        return self.query_one(Rows)

    def _criteria(self) -> Filter:
        letters, as_of = self.query_one("#find", Input).value.strip(), self.shell.as_of
        criteria = self._filter
        if letters:
            label = is_label(letters)
            criteria = criteria._replace(bottle=letters) if label else criteria._replace(product=letters)
        days = [day for day in (criteria.until, as_of) if day is not None]
        return criteria._replace(until=min(days, default=None))

    def read_books(self) -> LogbookBooks:
        """Read the first window, or as much as was read before, so that the selection stays where it is."""
        from stock.logbook import history

        criteria = self._criteria()
        limit = max(WINDOW, len(self._entries))
        entries = history.entries(criteria, limit=limit)
        return LogbookBooks(tuple(entries), history.how_many(criteria), history.zone_name())

    def draw(self, books: LogbookBooks) -> None:
        """Show the entries under their month, with each day named once."""
        self._entries = list(books.entries)
        self._show()

    def _show(self) -> None:
        empty = _("Nothing was booked yet.") if not self._narrowed() else _("No entry matches.")
        items: list[LogEntry | Heading] = []
        self._first = set()
        month, day = (0, 0), date.min
        for entry in self._entries:
            if (entry.day.year, entry.day.month) != month:
                month = (entry.day.year, entry.day.month)
                items.append(Heading(f"{LONG_MONTHS[month[1] - 1]} {month[0]}"))
            if entry.day != day:
                day = entry.day
                self._first.add(entry.id)
            items.append(entry)
        self.query_one(Rows).show(items, empty=empty)
        many = self.books.many if self.books else 0
        summary = f"{filter_text(self._filter)}: {count(many, 'entry', 'entries')}"
        show_text(self.query_one("#shown", Static), summary)
        if not items:
            show_text(self.query_one("#moved", Static), "")
        self.refresh_bindings()

    def _narrowed(self) -> bool:
        return self._filter != Filter() or bool(self.query_one("#find", Input).value.strip())

    def _cells(self, entry: LogEntry) -> tuple[Any, ...]:
        from stock.clock import zone

        at = entry.at.astimezone(zone(self.books.zone if self.books else "UTC"))
        gone = entry.undone_by is not None
        ink = "quiet" if gone else "ink"
        volume_ul = Microlitres(sum(abs(line.change_ul) for line in entry.lines))
        amount = f"{ml(volume_ul)} ml" if entry.lines and entry.kind != "count" else ""
        mark = _("taken back: ") if gone else ""
        job = _("  for {job}", job=entry.job) if entry.job else ""
        return (
            (
                Run(
                    f"{WEEKDAYS[entry.day.weekday()]} {entry.day.day:>2}"
                    if entry.id in self._first
                    else " " * 6,
                    "ink",
                ),
                Run(f"  {at:%H:%M}", "quiet"),
            ),
            (Run(NAMES.get(entry.kind, _(entry.kind)), ink, None, not gone),),
            (Run(amount, ink),),
            (Run(mark, "quiet"), Run(self._what(entry), ink), Run(job, "quiet")),
        )

    def _what(self, entry: LogEntry) -> str:
        return entry.words() or entry.note or ""

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        entry = message.item
        lines = ", ".join(
            _(
                "bottle {bottle} {change_ul}{change_ul2} ml {product}",
                bottle=line.bottle,
                change_ul="+" if line.change_ul > 0 else "−",
                change_ul2=ml(abs(line.change_ul)),
                product=line.product,
            )
            for line in entry.lines
        )
        note = f"  “{entry.note}”" if entry.note else ""
        show_text(
            self.query_one("#moved", Static),
            f"{NAMES.get(entry.kind, _(entry.kind))} {entry.id}: {lines or _('moved nothing')}{note}",
        )
        self.refresh_bindings()
        rows = self.query_one(Rows)
        more = self.books is not None and len(self._entries) < self.books.many
        if more and not self._reading and rows.cursor > len(rows.items) - 40:
            self._reading = True
            self._read_more(self._criteria(), len(self._entries))

    @work(thread=True, exclusive=True, group="more", exit_on_error=False)
    def _read_more(self, criteria: Filter, offset: int) -> None:
        from stock.logbook import history
        from stock.store.connection import connection

        with connection():
            entries = tuple(history.entries(criteria, limit=WINDOW, offset=offset))
        if not get_current_worker().is_cancelled:
            self.post_message(self.MoreRead(entries, offset))

    @on(MoreRead)
    def _more(self, message: MoreRead) -> None:
        self._reading = False
        if message.offset == len(self._entries):
            self._entries += message.entries
            self._show()

    @on(Input.Changed, "#find")
    def _typed(self) -> None:
        self._entries = []
        self.reload()

    @on(Input.Submitted, "#find")
    def _found(self, event: Input.Submitted) -> None:
        """Go to the entries; a bottle's label goes to the bottle."""
        self.default_focus().focus()
        self.go_by_label(event.input)

    def action_find(self) -> None:
        """Focus the find box."""
        self.query_one("#find", Input).focus()

    def action_kind(self) -> None:
        """Show the next kind of entry."""
        at = KINDS.index(self._filter.kind) if self._filter.kind in KINDS else 0
        self._show_only(self._filter._replace(kind=KINDS[(at + 1) % len(KINDS)]))

    def _show_only(self, criteria: Filter | None) -> None:
        if criteria is not None:
            self._filter = criteria
            self._entries = []
            self.reload()

    def action_narrow(self) -> None:
        """Ask what to show."""
        from tui.logbook.filtering import Narrow

        find = self.query_one("#find", Input)
        criteria = self._filter._replace(product=find.value.strip() or self._filter.product)
        find.value = ""
        self.app.push_screen(Narrow(criteria), self._show_only)

    def action_step_back(self) -> None:
        """Leave the find box; a second time, show everything again."""
        find = self.query_one("#find", Input)
        if not find.has_focus:
            find.value = ""
            if self._filter != Filter():
                self._show_only(Filter())
        self.default_focus().focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that the selected entry doesn't allow; its key is shown in brackets."""
        del parameters
        entry: LogEntry | None = self.query_one(Rows).item if self.is_mounted else None
        if action == "undo":
            return True if entry is not None and entry.undone_by is None else None
        if action in ("shelf", "trace"):
            return True if entry is not None and entry.lines else None
        if action in ("mix", "recipe"):
            return True if entry is not None and entry.kind == "mix" else None
        if action == "books":
            return None if self.shell.visiting else True
        return True

    def _bottle(self) -> int:
        """The bottle of the entry's largest movement; 0 for none."""
        entry = self.query_one(Rows).item
        lines = entry.lines if entry is not None else ()
        return int(max(lines, key=lambda line: abs(line.change_ul)).bottle) if lines else 0

    def action_shelf(self) -> None:
        """Show the bottle of the entry's largest movement on the Shelf."""
        if self._bottle():
            self.shell.go("shelf", self._bottle())

    def action_mix(self) -> None:
        """Take the selected mix to the Bench."""
        entry = self.query_one(Rows).item
        if entry is not None and entry.kind == "mix":
            self._like(entry.id)

    @work(thread=True, exclusive=True, group="like", exit_on_error=False)
    def _like(self, mix: int) -> None:
        from stock.store.connection import connection
        from tui.dialogs.mix_again import like

        with connection():
            typed_mix = like(mix)
        self.app.call_from_thread(self.shell.go, "bench", typed_mix)

    def action_recipe(self) -> None:
        """Keep the selected mix as a recipe."""
        from tui.dialogs.recipe import KeepRecipe

        entry = self.query_one(Rows).item
        if entry is not None and entry.kind == "mix":
            self.app.push_screen(KeepRecipe(entry.id), self._done)

    def action_reports(self, first: str = "") -> None:
        """Show the reports; `first` is an action to begin with."""
        from tui.logbook.reports import Reports

        self.app.push_screen(Reports(first))

    def action_trace(self) -> None:
        """Trace the entry's bottle, or its whole lot."""
        from tui.logbook.reports import AskTrace, ReportPaper

        def show(which: Any) -> None:
            if which is not None:
                self.app.push_screen(ReportPaper(which))

        if self._bottle():
            self.app.push_screen(AskTrace(str(self._bottle())), show)

    def action_books(self, first: str = "") -> None:
        """Show the books as a whole; `first` is an action to begin with."""
        from tui.logbook.safekeeping import Safekeeping

        self.app.push_screen(Safekeeping(first))

    def action_undo(self) -> None:
        """Ask, then undo the selected entry."""
        from stock.logbook.undo import undo

        entry: LogEntry | None = self.query_one(Rows).item
        if entry is None:
            return
        kind, number = entry.kind, entry.id
        what = f"{NAMES.get(kind, _(kind))} {number}"
        again = kind == "undo"
        text = _(
            "{words}\nEvery bottle gets back what it had. ", words=entry.words() or _("It moved nothing.")
        ) + (
            _("What was taken back is then done again.")
            if again
            else _("The entry stays in the Logbook, marked.")
        )
        question = Ask(
            _("Undo {what}", what=what),
            text,
            go=_("Do it again") if again else _("Take it back"),
            errand=lambda key: undo(kind, number, key=key),
            said=_("Done again: {what} was taken back", what=what)
            if again
            else _("Took back {what}", what=what),
        )
        self.app.push_screen(question, self._done)

    def _done(self, text: str | None) -> None:
        if text:
            self.shell.announce(text)
            self.reload()
