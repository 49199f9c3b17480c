"""The Logbook: everything that was ever booked, newest first; what was booked by mistake is taken back here."""

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

from stock.logbook.history import Entry, Filter
from tui.drawing.bottle import Run
from tui.drawing.figures import LONG_MONTHS, WEEKDAYS, count, ml
from tui.logbook.filtering import NAMES, said_of
from tui.widgets.books_screen import BooksScreen, words
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
    """A window onto the logbook, and how many entries fit in all."""

    entries: tuple[Entry, ...]
    many: int
    zone: str


class LogbookScreen(BooksScreen[LogbookBooks]):
    """Entries by day, a filter above them, and what an entry moved beneath."""

    CSS_PATH = "logbook.tcss"
    ABOUT = (
        "Everything that was ever booked, newest first. Nothing is erased here: a mistake is put right by "
        "taking it back, which is written down too. / looks for one product, k for one kind of entry, f for a "
        "bottle, a lot, a job or days. r holds the figures for a bookkeeper or inspector, y the backups."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("logbook")

    class MoreRead(Message):
        """The next window."""

        def __init__(self, entries: tuple[Entry, ...], offset: int) -> None:
            super().__init__()
            self.entries = entries
            self.offset = offset

    def __init__(self) -> None:
        super().__init__()
        self._filter = Filter()
        self._entries: list[Entry] = []
        self._first: set[int] = set()
        self._reading = False

    def furniture(self) -> ComposeResult:
        """Filter, entries, what the present one moved."""
        with Horizontal(id="findbar"):
            yield Static(words("/"), id="slash")
            find = Input(id="find", placeholder="one product, or a bottle's label", highlighter=Plain())
            find.cursor_blink = False
            yield find
            yield Static(id="shown")
        yield Rows(COLUMNS, self._cells, key=lambda entry: entry.id, empty="", id="entries")
        yield Static(id="moved")

    def on_mount(self) -> None:
        """The hand starts on the newest entry."""
        self.query_one(Rows).focus()

    def resting(self) -> Widget:
        """The entries."""
        return self.query_one(Rows)

    def _wanted(self) -> Filter:
        letters, as_of = self.query_one("#find", Input).value.strip(), self.shell.as_of
        wanted = self._filter
        if letters:
            label = is_label(letters)
            wanted = wanted._replace(bottle=letters) if label else wanted._replace(product=letters)
        days = [day for day in (wanted.until, as_of) if day is not None]
        return wanted._replace(until=min(days, default=None))

    def read_books(self) -> LogbookBooks:
        """The first window; as much as was read before, so that the hand stays where it is."""
        from stock.logbook import history

        wanted = self._wanted()
        held = max(WINDOW, len(self._entries))
        entries = history.entries(wanted, limit=held)
        return LogbookBooks(tuple(entries), history.how_many(wanted), history.zone_name())

    def draw(self, books: LogbookBooks) -> None:
        """Entries under their month, each day named once."""
        self._entries = list(books.entries)
        self._show()

    def _show(self) -> None:
        empty = "Nothing was booked yet." if not self._narrowed() else "Nothing was booked that fits."
        items: list[Entry | Heading] = []
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
        said = f"{said_of(self._filter)}: {count(many, 'entry', 'entries')}"
        self.query_one("#shown", Static).update(words(said))
        if not items:
            self.query_one("#moved", Static).update("")
        self.refresh_bindings()

    def _narrowed(self) -> bool:
        return self._filter != Filter() or bool(self.query_one("#find", Input).value.strip())

    def _cells(self, entry: Entry) -> tuple[Any, ...]:
        from stock.clock import zone

        at = entry.at.astimezone(zone(self.books.zone if self.books else "UTC"))
        gone = entry.undone_by is not None
        ink = "quiet" if gone else "ink"
        volume = sum(abs(line.change_ul) for line in entry.lines)
        amount = f"{ml(volume)} ml" if entry.lines and entry.kind != "count" else ""
        mark = "taken back: " if gone else ""
        job = f"  for {entry.job}" if entry.job else ""
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
            (Run(NAMES.get(entry.kind, entry.kind), ink, None, not gone),),
            (Run(amount, ink),),
            (Run(mark, "quiet"), Run(self._what(entry), ink), Run(job, "quiet")),
        )

    def _what(self, entry: Entry) -> str:
        return entry.words() or entry.note or ""

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        entry = message.item
        lines = ", ".join(
            f"bottle {line.bottle} {'+' if line.change_ul > 0 else '−'}{ml(abs(line.change_ul))} ml {line.product}"
            for line in entry.lines
        )
        note = f"  “{entry.note}”" if entry.note else ""
        self.query_one("#moved", Static).update(
            words(f"{NAMES.get(entry.kind, entry.kind)} {entry.id}: {lines or 'moved nothing'}{note}")
        )
        self.refresh_bindings()
        rows = self.query_one(Rows)
        more = self.books is not None and len(self._entries) < self.books.many
        if more and not self._reading and rows.cursor > len(rows.items) - 40:
            self._reading = True
            self._read_more(self._wanted(), len(self._entries))

    @work(thread=True, exclusive=True, group="more", exit_on_error=False)
    def _read_more(self, wanted: Filter, offset: int) -> None:
        from stock.logbook import history
        from stock.store.connection import connection

        with connection():
            entries = tuple(history.entries(wanted, limit=WINDOW, offset=offset))
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
        """The entries; a bottle's label leads to the bottle."""
        self.resting().focus()
        self.go_by_label(event.input)

    def action_find(self) -> None:
        """Into the find box."""
        self.query_one("#find", Input).focus()

    def action_kind(self) -> None:
        """The next kind of entry."""
        at = KINDS.index(self._filter.kind) if self._filter.kind in KINDS else 0
        self._show_only(self._filter._replace(kind=KINDS[(at + 1) % len(KINDS)]))

    def _show_only(self, wanted: Filter | None) -> None:
        if wanted is not None:
            self._filter = wanted
            self._entries = []
            self.reload()

    def action_narrow(self) -> None:
        """Ask what is to be shown."""
        from tui.logbook.filtering import Narrow

        find = self.query_one("#find", Input)
        wanted = self._filter._replace(product=find.value.strip() or self._filter.product)
        find.value = ""
        self.app.push_screen(Narrow(wanted), self._show_only)

    def action_step_back(self) -> None:
        """Out of the find box; a second time, everything is shown again."""
        find = self.query_one("#find", Input)
        if not find.has_focus:
            find.value = ""
            if self._filter != Filter():
                self._show_only(Filter())
        self.resting().focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What was taken back can't be taken back again; what moved no bottle has none to see."""
        del parameters
        entry: Entry | None = self.query_one(Rows).item if self.is_mounted else None
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
        """The bottle that the entry moved most; 0 for none."""
        entry = self.query_one(Rows).item
        lines = entry.lines if entry is not None else ()
        return int(max(lines, key=lambda line: abs(line.change_ul)).bottle) if lines else 0

    def action_shelf(self) -> None:
        """The bottle that it moved most, on the Shelf."""
        if self._bottle():
            self.shell.go("shelf", self._bottle())

    def action_mix(self) -> None:
        """The mix under the hand, in the Bench's fields."""
        entry = self.query_one(Rows).item
        if entry is not None and entry.kind == "mix":
            self._like(entry.id)

    @work(thread=True, exclusive=True, group="like", exit_on_error=False)
    def _like(self, mix: int) -> None:
        from stock.store.connection import connection
        from tui.dialogs.mix_again import like

        with connection():
            wish = like(mix)
        self.app.call_from_thread(self.shell.go, "bench", wish)

    def action_recipe(self) -> None:
        """The mix under the hand becomes a recipe."""
        from tui.dialogs.recipe import KeepRecipe

        entry = self.query_one(Rows).item
        if entry is not None and entry.kind == "mix":
            self.app.push_screen(KeepRecipe(entry.id), self._done)

    def action_reports(self) -> None:
        """Figures to hand on."""
        from tui.logbook.reports import Reports

        self.app.push_screen(Reports())

    def action_trace(self) -> None:
        """Where the bottle under the hand went, or its whole lot."""
        from tui.logbook.reports import AskTrace, ReportPaper

        def show(which: Any) -> None:
            if which is not None:
                self.app.push_screen(ReportPaper(which))

        if self._bottle():
            self.app.push_screen(AskTrace(str(self._bottle())), show)

    def action_books(self, first: str = "") -> None:
        """The books as a whole, and what is done with them first."""
        from tui.logbook.safekeeping import Safekeeping

        self.app.push_screen(Safekeeping(first))

    def action_undo(self) -> None:
        """Ask, then take it back."""
        from stock.logbook.undo import undo

        entry: Entry | None = self.query_one(Rows).item
        if entry is None:
            return
        kind, number = entry.kind, entry.id
        what = f"{NAMES.get(kind, kind)} {number}"
        again = kind == "undo"
        text = f"{entry.words() or 'It moved nothing.'}\nEvery bottle gets back what it had. " + (
            "What was taken back is then done again." if again else "The entry stays in the Logbook, marked."
        )
        question = Ask(
            f"Undo {what}",
            text,
            go="Do it again" if again else "Take it back",
            errand=lambda key: undo(kind, number, key=key),
            said=f"Done again: {what} is taken back itself" if again else f"Took back {what}",
        )
        self.app.push_screen(question, self._done)

    def _done(self, said: str | None) -> None:
        if said:
            self.shell.say(said)
            self.reload()
