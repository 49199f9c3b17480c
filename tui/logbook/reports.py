"""Reports for a bookkeeper or an inspector: costs, emissions and traces, on the screen or as files."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static
from textual.worker import get_current_worker

from stock.language import N_, _
from stock.logbook.report import Report
from tui.drawing.bottle import Run
from tui.logbook.report_lines import lines_of_report
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, path
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing, PageSheet
from tui.widgets.page import Page
from tui.widgets.rows import Cell, Heading, ListColumn
from tui.widgets.writing import WritesFiles

if TYPE_CHECKING:
    from stock.store.outputs import Output

MONTHS_BACK = 12
BY_MONTH = (
    (N_("costs"), _("material")),
    (N_("emissions"), _("volatile organic")),
    (N_("value"), _("what the stock was worth, and what led to it")),
    (N_("purchases"), _("deliveries and invoices")),
)
FOR_INSPECTION = {
    "shelf": _("places, classes, limits, sheets on file"),
    "cautions": _("every finding, to print"),
    "year": _("volatile organic compounds beside the limit"),
}
ALL_DAYS = {
    "value": _("Value of the stock"), "purchases": _("Purchases"), "shelf": _("Stock by place"),
    "cautions": _("Cautions"),
    "year": _("Emissions of twelve months"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReportChoice:
    """One report to choose: what it is about, and of which job, month, lot or bottle."""

    what: str
    about: str
    job: str | None = None
    month: str | None = None
    lot: str | None = None
    bottle: str | None = None
    rows_of: str = "product"
    """What a row of the stock's value is in a file for a spreadsheet."""

    @property
    def file_name(self) -> str:
        """A name for its file, of letters, digits and dashes only."""
        about = self.job or self.month or self.lot or self.bottle or "all"
        plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in about.lower())
        return f"ullage-{self.what}-{plain.strip('-')[:40] or 'all'}"

    def read(self, as_of: date | None) -> Report:
        """The report, read with the connection open.

        Raises:
            UllageError: no such job, lot or bottle.
        """
        from stock.logbook import costs, emissions, purchases, stock_value, tables, trace, value_tables

        if self.what in FOR_INSPECTION:
            return self._for_inspection(as_of)
        from stock.logbook.months import month
        from stock.shelf.studio import settings

        of = month(self.month, settings().today()) if self.month is not None else None
        if self.what in ("value", "purchases"):
            last = as_of or settings().today()
            first, until = (of.first, min(of.last, last)) if of is not None else (None, last)
            if self.what == "value":
                value = stock_value.read(since=first, until=until)
                return value_tables.value_report(value, self.rows_of)
            return purchases.report(purchases.read(since=first, until=until))
        if self.what == "costs":
            return tables.cost_report(costs.read(job=self.job, month=of, as_of=as_of))
        if self.what == "emissions":
            return tables.emission_report(emissions.read(of, as_of))
        return tables.trace_report(trace.trace(lot=self.lot, bottle=self.bottle, as_of=as_of))

    def _for_inspection(self, as_of: date | None) -> Report:
        from stock.logbook import emission_year, inspection

        if self.what == "shelf":
            return inspection.shelf_report(as_of)
        if self.what == "cautions":
            return inspection.caution_report(as_of)
        return emission_year.report(emission_year.read(as_of=as_of))


class Reports(Listing[ReportChoice]):
    """The list of reports: of everything, by month and by job; invoices, the closed period and a trace start here."""

    HEAD: ClassVar[str] = _("Figures to hand on")
    EMPTY: ClassVar[str] = _("Nothing was mixed yet")
    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 30), ListColumn(""))
    ABOUT: ClassVar[str] = _("Enter shows one; there p makes a page to print and v a file for a spreadsheet.")
    BINDINGS: ClassVar[list[BindingType]] = bindings("reports")

    def __init__(self, first: str = "") -> None:
        """`first` is the name of an action to begin with."""
        super().__init__()
        self._first = first

    def on_mount(self) -> None:
        """Begin with the first action, if there is one."""
        super().on_mount()
        if self._first:
            self.call_after_refresh(self.run_action, self._first)

    def read(self) -> Sequence[ReportChoice | Heading]:
        """What is asked for of everything; then the months, newest first; then the jobs."""
        from stock.logbook.months import month_of
        from stock.shelf import jobs
        from stock.shelf.studio import settings

        day = self.shell.as_of or settings().today()
        months = []
        for __ in range(MONTHS_BACK):
            months.append(str(month_of(day)))
            day = day.replace(day=1) - timedelta(days=1)
        listed: list[ReportChoice | Heading] = [
            Heading(_("All days")),
            ReportChoice("value", _("what the stock is worth today, and what led to it")),
            ReportChoice("purchases", _("deliveries beside their invoices")),
            *(ReportChoice(what, about) for what, about in FOR_INSPECTION.items()),
            Heading(_("By month")),
        ]
        for one in months:
            listed += [ReportChoice(what, about, month=one) for what, about in BY_MONTH]
        listed += [Heading(_("Costs by job")), ReportChoice("costs", _("all jobs together"))]
        return [
            *listed,
            *(
                ReportChoice("costs", view.customer, job=view.name)
                for view in jobs.everything(self.shell.as_of)
            ),
        ]

    def cells(self, item: ReportChoice) -> Sequence[Cell]:
        """The report, and its month or job."""
        everything = ALL_DAYS.get(item.what, _("Everything"))
        first = f"{item.month} {_(item.what)}" if item.month else (item.job or everything)
        return ((Run(first, "ink", None, bold=True),), item.about)

    def ident(self, item: ReportChoice) -> Hashable:
        return item

    def chosen(self, item: ReportChoice) -> None:
        self.app.push_screen(ReportPaper(item))

    def action_open(self) -> None:
        """Show the selected report."""
        if self.item is not None:
            self.chosen(self.item)

    def action_invoices(self) -> None:
        from tui.logbook.bookkeeping import Invoices

        self.app.push_screen(Invoices())

    def action_periods(self) -> None:
        """Show until when the books are closed."""
        from tui.logbook.bookkeeping import Periods

        self.app.push_screen(Periods())

    def action_trace(self) -> None:
        """Ask for a lot or a bottle."""
        self.app.push_screen(AskTrace(), self._trace)

    def _trace(self, which: ReportChoice | None) -> None:
        if which is not None:
            self.chosen(which)


class AskTrace(BookingDialog[ReportChoice]):
    """Asks for the lot or bottle to trace."""

    HEAD: ClassVar[str] = _("Trace a lot or a bottle")
    GO: ClassVar[str] = _("Follow it")
    DRAFTED = False

    def __init__(self, bottle: str = "", lot: str = "") -> None:
        super().__init__()
        self._bottle, self._lot = bottle, lot

    def fields(self) -> ComposeResult:
        """The lot, or the bottle."""
        yield Static(words(_("Lists the mixes, jars and jobs it went into. Write a lot or a bottle.")))
        yield Field(_("Lot"), value=self._lot, blank=True, example=_("as on the label"), id="lot")
        yield Field(
            _("or bottle"), value=self._bottle, blank=True, example=_("its label or number"), id="bottle"
        )

    def on_mount(self) -> None:
        """Read what the fields can offer."""
        self.run_worker(self._learn, thread=True, group="choices", exit_on_error=False)

    def _learn(self) -> None:
        from stock.store.connection import connection
        from tui.logbook.filtering import filter_choices

        with connection():
            found = filter_choices()
        self.app.call_from_thread(self.query_one("#lot", Field).offer, found.lots)
        self.app.call_from_thread(self.query_one("#bottle", Field).offer, found.bottles)

    def errand(self) -> Callable[[], ReportChoice]:
        """Check that the lot or bottle exists."""
        lot, bottle = self.read("lot"), self.read("bottle")
        if (lot is None) == (bottle is None):
            self.refuse(_("Write the lot, or one bottle."))
            self.stay()
        which = ReportChoice("trace", "", lot=lot, bottle=bottle)

        def look() -> ReportChoice:
            which.read(None)
            return which

        return look


class ReportPaper(PageSheet):
    """Shows one report."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("report")

    def __init__(self, which: ReportChoice) -> None:
        super().__init__()
        self._which = which
        self._report: Report | None = None

    def head(self) -> str:
        of = self._which.month or self._which.job
        if of is None and self._which.what in ALL_DAYS:
            return ALL_DAYS[self._which.what]
        return f"{self._which.what.capitalize()} {of or ''}".strip()

    def on_mount(self) -> None:
        """Work out the report in a thread."""
        self.show([(Run(_("Adding up …"), "quiet"),)])
        self._work_out()

    @work(thread=True, exclusive=True, group="report", exit_on_error=False)
    def _work_out(self) -> None:
        from stock.store.connection import connection, reading

        with connection(), reading():
            report = self._which.read(self.shell.as_of)
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._show_report, report)

    def _show_report(self, report: Report) -> None:
        self._report = report
        self.on_resize()
        self.refresh_bindings()

    def on_resize(self) -> None:
        """Draw the tables for the new width."""
        if self._report is not None:
            self.show(lines_of_report(self._report, self.query_one(Page).size.width - 1))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for writing before the report is worked out."""
        del parameters
        return None if action in ("page", "sheet") and self._report is None else True

    def action_page(self) -> None:
        """Write a page to print."""
        from stock.exchange import report_files

        self._write(
            ".html", _("A page to print"), lambda path, report: [report_files.page_file(path, report)]
        )

    def action_sheet(self) -> None:
        """Write a file for a spreadsheet."""
        from stock.exchange import report_files
        from stock.logbook.flat_tables import ROWS_OF_VALUE

        books = self.shell.address
        self._write(
            ".csv",
            _("A table for a spreadsheet"),
            lambda path, report: report_files.csv_files(path, report, books),
            ROWS_OF_VALUE if self._which.what == "value" else (),
        )

    def _write(
        self, ending: str, head: str, file: "Callable[[Path, Report], list[Output]]", rows: Sequence[str] = ()
    ) -> None:
        report, which, as_of = self._report, self._which, self.shell.as_of
        if report is None:
            return

        def write(path: Path, rows_of: str) -> "list[Output]":
            if not rows_of:
                return file(path, report)
            from stock.store.connection import connection, reading

            with connection(), reading():
                return file(path, replace(which, rows_of=rows_of).read(as_of))

        path = Path.home() / f"{which.file_name}{ending}"
        self.ask(WriteReport(self.shell.address, head, path, write, rows))


class WriteReport(WritesFiles):
    """Asks for the file to write a report to, and where there is a choice for what its rows are."""

    def __init__(
        self,
        address: str,
        head: str,
        path: Path,
        file: "Callable[[Path, str], list[Output]]",
        rows: Sequence[str] = (),
    ) -> None:
        super().__init__(address)
        self._head, self._path, self._file, self._rows = head, path, file, rows

    def head(self) -> str:
        """The kind of file."""
        return self._head

    def fields(self) -> ComposeResult:
        yield Static(words(_("Only you may read it.")))
        yield Field(_("File"), read=path, value=str(self._path), id="path")
        if self._rows:
            yield Field(_("A row is"), read=self._row, value=self._rows[0], offers=self._rows, id="rows")

    def _row(self, text: str) -> str:
        from stock.errors import BadInput

        if text.strip() not in self._rows:
            raise BadInput(
                _("{text!r} is no row of this table", text=text[:20]),
                remedy=_("Write one of {rows}", rows=", ".join(self._rows)),
            )
        return text.strip()

    def files(self) -> "Callable[[], tuple[Sequence[Output], str]]":
        """The report as a file."""
        target, rows = self.read("path"), self.read("rows") if self._rows else ""
        return lambda: (self._file(target, rows), _("Written to {target}", target=target))
