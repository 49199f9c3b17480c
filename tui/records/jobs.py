"""Jobs: customers, due days, and the cost of what was mixed for them."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, ClassVar

from stock.language import N_, _
from stock.notation import show_day
from stock.shelf.jobs import minutes
from tui.dialogs.record_form import Opening, RecordForm, nothing
from tui.drawing.bottle import Run
from tui.drawing.figures import count, short_day
from tui.drawing.strips import shown
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, ListColumn


class JobForm(RecordForm):
    """A job's name, customer and due day."""

    def head(self) -> str:
        return _("A new job") if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        yield self.field(
            "name", _("Name"), read=field_readers.name(_("job's name")), blank=False, example=_("Ferry model")
        )
        yield self.field("customer", _("For"), example=_("whom it is for"))
        yield self.field("due", _("Due"), read=field_readers.day, example="2026-05-01, +14d")
        if self.fresh:
            yield self.field("opened", _("Opened"), read=field_readers.day, example=_("today"))
        if not self.fresh:
            yield self.field("hours", _("Hours"), read=minutes, example=_("all hours worked, as 3.5 or 3:30"))
        yield self.field("note", _("Note"))

    def errand(self) -> Callable[[], str]:
        """Open the job, or correct it."""
        from stock.shelf import jobs
        from stock.shelf.studio import settings

        texts, due = self.typed(), self.read("due")
        before = self.before.get("name")
        opened = self.read("opened") if self.fresh else None
        worked = None if self.fresh else self.read("hours")

        def put() -> str:
            if before is None:
                row = jobs.add(
                    texts["name"], opened or settings().today(), customer=texts.get("customer", ""),
                    due_on=due, note=texts.get("note", ""),
                )  # fmt: skip
                return _("Job {name} is open", name=row.name)
            row = jobs.change(
                before, rename=texts.get("name"), customer=texts.get("customer"), due_on=due,
                no_due_day=due is None, note=texts.get("note"), worked_min=worked,
            )  # fmt: skip
            return _("Job {name} is corrected", name=row.name)

        return put


class CloseJob(BookingDialog[str]):
    """Closes a job."""

    GO: ClassVar[str] = _("Close it")

    def __init__(self, name: str) -> None:
        super().__init__()
        self._job = name

    def head(self) -> str:
        return _("Close the job {job}", job=self._job)

    def fields(self) -> Any:
        """The day it was done."""
        yield Field(
            _("Done on"),
            read=field_readers.day,
            value="today",
            id="day",
            hint=_("Nothing can be booked to it after that day."),
        )

    def errand(self) -> Callable[[], str]:
        from stock.shelf import jobs

        day, job = self.read("day"), self._job

        def close() -> str:
            return _("Job {name} is closed", name=jobs.close(job, day).name)

        return close


class Jobs(RecordKind[Any]):
    """All jobs, open ones first."""

    NAME = _("Jobs")
    WIDE = (ListColumn(_("job")), ListColumn(_("for"), 14), ListColumn(_("due"), 12))
    NARROW = (ListColumn(_("job")), ListColumn(_("due"), 12))
    EMPTY = _("No job yet: press n, or name one when you mix.")
    CAN = frozenset({"new", "correct", "close"})

    def read(self) -> Sequence[Any]:
        """The jobs, open ones first."""
        from stock.shelf import jobs

        return jobs.everything()

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        return f"{item.name} {item.customer}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name, customer and due day; a closed job is marked."""
        due = "closed" if item.closed_on else short_day(item.due_on)
        name: Cell = (Run(f"× {shown(item.name)}", "quiet"),) if item.closed_on else item.name
        return (name, item.customer, due) if wide else (name, due)

    def card(self, item: Any) -> Card:
        """Customer, days, and the cost so far."""
        card: list[Any] = [CardHead(item.name, _("closed") if item.closed_on else _("open"))]
        facts = {
            N_("for"): item.customer, N_("opened"): short_day(item.opened_on),
            N_("due"): short_day(item.due_on) if item.due_on else "",
            N_("closed"): short_day(item.closed_on) if item.closed_on else "", N_("note"): item.note,
        }  # fmt: skip
        card += [CardFact(_(what), text) for what, text in facts.items() if text]
        return [*card, *_spent(item)]

    def new(self, item: Any) -> Opening:
        del item
        return nothing, lambda _: JobForm()

    def correct(self, item: Any) -> Opening:
        """Correct its name, customer and due day."""
        before = {
            "name": item.name, "customer": item.customer, "note": item.note,
            "due": show_day(item.due_on),
            "hours": f"{item.worked_min // 60}:{item.worked_min % 60:02d}" if item.worked_min is not None else "",
        }  # fmt: skip
        return nothing, lambda _: JobForm(before)

    def end(self, item: Any) -> BookingDialog[str]:
        """Close the job, or open it again."""
        if item.closed_on is None:
            return CloseJob(item.name)
        from stock.shelf import jobs

        name = item.name
        return Ask(_("Open {name} again", name=name), _("It was closed on {closed_on}.",
        closed_on=short_day(item.closed_on)), go=_("Open it"),
                   said=_("Job {name} is open again", name=name), errand=lambda _: jobs.change(name,
                   reopen=True))  # fmt: skip


def _spent(item: Any) -> list[Any]:
    """What its mixes cost, with washes and their share of the waste."""
    from stock.logbook import costs, job_price
    from stock.units import show_money

    spent = costs.read(job=item.name)
    mixes = [mix for job in spent.costs.jobs for mix in job.mixes]
    if not mixes:
        return [CardHead(_("Mixes")), CardSentence(_("Nothing was mixed for it yet."), "quiet")]
    figures = {"material": "material", "washes": "washes", "share": _("waste, shared"), "total": "total"}
    card: list[Any] = [CardHead(_("Cost"), count(len(mixes), "mix", "mixes"))]
    card += [
        CardFact(what, show_money(spent.costs.total(figure), spent.currency))
        for figure, what in figures.items()
    ]
    priced = job_price.read(item.name)
    card += [
        CardHead(_("Price without tax")),
        CardFact(_("labour"), show_money(priced.price.labour, spent.currency)),
        CardFact(_("mark-up"), show_money(priced.price.markup, spent.currency)),
        CardFact(_("price"), show_money(priced.price.price, spent.currency)),
    ]
    unknown = [what for what in priced.missing if not what.startswith(_("the price of {bottle}", bottle=""))]
    if unknown:
        card.append(
            CardSentence(
                _("Not in it, because it is not known: {unknown}.", unknown=", ".join(unknown)), "quiet"
            )
        )
    if spent.unpriced:
        names = ", ".join(name for name, _ in spent.unpriced)
        card.append(
            CardSentence(
                _("The price of {names} is unknown, so the real cost is higher.", names=names), "warn"
            )
        )
    return card
