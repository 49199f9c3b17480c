"""The dialog that filters the Logbook by product, bottle, lot, job, kind and days."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.language import _
from stock.logbook.history import Filter
from stock.notation import show_day
from stock.store.words import BOOKING_KINDS
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field

DAYS = ("today", "yesterday", "-7d", "-14d", "-30d", "-90d", "-365d")
NAMES = {"planned_use": _("planned use")}


def filter_text(criteria: Filter) -> str:
    """The filter in a few words; `everything` where it lets everything through."""
    kind = NAMES.get(criteria.kind, _(criteria.kind)) if criteria.kind is not None else ""
    about = [
        f"{word}{text}"
        for word, text in (
            ("", criteria.product),
            ("bottle ", criteria.bottle),
            ("lot ", criteria.lot),
            ("job ", criteria.job),
        )
        if text
    ]
    days = [
        f"{word} {show_day(day)}"
        for word, day in (("from", criteria.since), ("to", criteria.until))
        if day is not None
    ]
    return ", ".join(
        [kind or (_("everything") if not (about or days) else _("all kinds")), *about, " ".join(days)]
    ).rstrip(", ")


@dataclass(frozen=True, slots=True)
class FilterChoices:
    """What a filter can name."""

    products: Sequence[str]
    bottles: Sequence[str]
    lots: Sequence[str]
    jobs: Sequence[str]


def filter_choices() -> FilterChoices:
    """Names, labels, lots and jobs, the newest bottles first; called with the connection open."""
    from stock.shelf import jobs, products
    from stock.shelf.bottles import on_shelf

    views = sorted(on_shelf(), key=lambda view: (view.gone, -view.id))
    return FilterChoices(
        products=[row.name for row in products.everything()],
        bottles=[view.label for view in views],
        lots=list(dict.fromkeys(view.lot for view in views if view.lot)),
        jobs=[view.name for view in jobs.everything()],
    )


class Narrow(BookingDialog[Filter]):
    """Asks which entries to show; an empty field lets everything through. Books nothing."""

    HEAD: ClassVar[str] = _("Show only")
    GO: ClassVar[str] = _("Show them")
    DRAFTED = False

    def __init__(self, criteria: Filter) -> None:
        super().__init__()
        self._criteria = criteria

    def fields(self) -> ComposeResult:
        """A field for each criterion."""
        criteria = self._criteria
        yield Static(words(_("An empty field lets everything through.")))
        yield Field(
            _("Product"), value=criteria.product or "", blank=True, example=_("a few letters"), id="product"
        )
        yield Field(
            _("Bottle"),
            value=criteria.bottle or "",
            blank=True,
            example=_("its label or number"),
            id="bottle",
        )
        yield Field(_("Lot"), value=criteria.lot or "", blank=True, example=_("as on the label"), id="lot")
        yield Field(_("Job"), value=criteria.job or "", blank=True, example=_("a few letters"), id="job")
        yield Field(
            _("Kind"), value=criteria.kind or "", read=_kind, blank=True, example=_("mix, wash, delivery ..."),
            offers=BOOKING_KINDS, id="kind",
        )  # fmt: skip
        yield Field(
            _("From"),
            value=_text(criteria.since),
            read=_day,
            blank=True,
            example="2026-03-01",
            offers=DAYS,
            id="since",
        )
        yield Field(
            _("To"),
            value=_text(criteria.until),
            read=_day,
            blank=True,
            example="2026-03-31",
            offers=DAYS,
            id="until",
        )

    def on_mount(self) -> None:
        """Read what the fields can offer."""
        self.run_worker(self._learn, thread=True, group="choices", exit_on_error=False)

    def _learn(self) -> None:
        from stock.store.connection import connection

        with connection():
            found = filter_choices()
        self.app.call_from_thread(self._learned, found)

    def _learned(self, found: FilterChoices) -> None:
        for field in ("product", "bottle", "lot", "job"):
            self.query_one(f"#{field}", Field).offer(getattr(found, f"{field}s"))

    def errand(self) -> Callable[[], Filter]:
        """Read the fields, and check that what they name exists."""
        product, bottle, lot, job, kind, since, until = (
            self.read(field) for field in ("product", "bottle", "lot", "job", "kind", "since", "until")
        )
        if since is not None and until is not None and until < since:
            self.query_one("#until", Field).wrong(_("That is before the first day. Swap them."))
            self.stay()
        criteria = Filter(product, bottle, lot, job, kind, since, until)

        def look() -> Filter:
            from stock.logbook import history

            history.how_many(criteria)  # an unknown name is refused here, in the dialog
            return criteria

        return look


def _text(day: date | None) -> str:
    return show_day(day)


def _day(text: str) -> Any:
    from stock.units import day
    from tui.opening import whose

    return day(text, whose()[1])


def _kind(text: str) -> str:
    from stock.errors import BadInput
    from stock.logbook.undo import ALSO_CALLED

    word = text.strip().casefold().replace(" ", "_")
    word = ALSO_CALLED.get(word, word)
    fitting = [kind for kind in BOOKING_KINDS if kind == word] or [
        kind for kind in BOOKING_KINDS if word and kind.startswith(word)
    ]
    if len(fitting) != 1:
        raise BadInput(
            _("{text!r} is not a kind of entry", text=text[:20]),
            remedy=_("Write one of {booking_kinds}", booking_kinds=", ".join(BOOKING_KINDS)),
        )
    return fitting[0]
