"""Jobs: pieces of work that mixes and planned uses are booked to."""

import re
from datetime import date
from fractions import Fraction

from stock.errors import BadInput
from stock.grammar import figure_and_unit
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import names
from stock.store.connection import connection, writing
from stock.store.models import Job
from stock.text import folded, plain
from stock.text import name as clean_name
from stock.text import note as clean_note

MOST_MINUTES = 600_000


class JobView(NamedTuple):
    """One job as it stood on a day; `closed_on` is None while it is open, `worked_min` the minutes worked on it."""

    id: int
    name: str
    customer: str
    opened_on: date
    due_on: date | None
    closed_on: date | None
    note: str
    worked_min: int | None


def named(name: str, day: date) -> Job:
    """The job of that name, opened on `day` if the books have none; call it inside a booking.

    Raises:
        BadInput: the job was closed.
    """
    row = names.found_or_made(Job, "job", name, opened_on=day)
    if row.closed_on is not None and row.closed_on < day:
        raise BadInput(
            _("job {name} was closed on {closed_on}", name=row.name, closed_on=show_day(row.closed_on)),
            remedy=Remedy(
                _("Open it again: "), Do("job change", row.name, "--open"), _("; nothing was booked")
            ),
        )
    if row.opened_on > day:
        Job.update(opened_on=day).where(Job.id == row.id).execute()  # an older booking was written down late
    return row


def find(name: str) -> Job:
    """The job that a name, or a part of one, means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    with connection():
        listed = Job.select().where(~Job.taken_back)
        exact = listed.where(Job.name_key == folded(name)).first()
        rows = [exact] if exact is not None else list(listed.order_by(Job.id.desc()))
    return names.find(
        rows, name, what=_("job"), several=_("jobs"), remedy=Remedy(_("Add it with "), Do("job add", "NAME"))
    )


def add(name: str, opened_on: date, *, customer: str = "", due_on: date | None = None, note: str = "") -> Job:
    """Open a job.

    Raises:
        UllageError: there is one of that name.
        BadInput: due before it is opened, or an unusable name.
    """
    columns = names.columns("job", name)
    _refuse_odd_days(opened_on, due_on)
    with connection(), writing(), names.free(Job, _("job"), columns, remedy=_("Nothing was added")):
        return Job.create(
            **columns,
            customer=clean_name(customer, what=_("customer's name")) if customer.strip() else "",
            opened_on=opened_on,
            due_on=due_on,
            note=clean_note(note),
        )


def change(
    name: str,
    *,
    customer: str | None = None,
    due_on: date | None = None,
    note: str | None = None,
    reopen: bool = False,
    rename: str | None = None,
    no_due_day: bool = False,
    worked_min: int | None = None,
) -> Job:
    """Change the given facts of a job, or reopen a closed one.

    Raises:
        UllageError: another job has the new name.
        BadInput: due before it is opened, or an unusable name.
    """
    with connection(), writing():
        row = find(name)
        columns: dict[str, object] = {}
        if customer is not None:
            columns["customer"] = clean_name(customer, what=_("customer's name")) if customer.strip() else ""
        if due_on is not None:
            _refuse_odd_days(row.opened_on, due_on)
            columns["due_on"] = due_on
        elif no_due_day:
            columns["due_on"] = None
        if rename is not None:
            columns |= names.columns("job", rename)
        if worked_min is not None:
            columns["worked_min"] = worked_min
        if note is not None:
            columns["note"] = clean_note(note)
        if reopen:
            columns["closed_on"] = None
        if columns:
            with names.free(Job, _("job"), columns, remedy=_("Nothing was changed"), but=row.id):
                Job.update(**columns).where(Job.id == row.id).execute()
        return Job.get_by_id(row.id)


def close(name: str, day: date) -> Job:
    """Close a job; nothing later can be booked to it.

    Raises:
        BadInput: it is closed already, or was opened later.
    """
    with connection(), writing():
        row = find(name)
        if row.closed_on is not None:
            raise BadInput(
                _("job {name} was closed on {closed_on}", name=row.name, closed_on=show_day(row.closed_on)),
                remedy=_("Nothing was changed"),
            )
        if day < row.opened_on:
            raise BadInput(
                _(
                    "job {name} was opened on {opened_on}, after {day}",
                    name=row.name,
                    opened_on=show_day(row.opened_on),
                    day=show_day(day),
                ),
                remedy=_("Give a later day"),
            )
        Job.update(closed_on=day).where(Job.id == row.id).execute()
        return Job.get_by_id(row.id)


def everything(as_of: date | None = None) -> list[JobView]:
    """All jobs that were open or closed by that day, open ones first, then the newest."""
    with connection():
        rows = list(Job.select().where(~Job.taken_back))
    views = [view(row, as_of) for row in rows if as_of is None or row.opened_on <= as_of]
    return sorted(views, key=lambda one: (one.closed_on is not None, -one.opened_on.toordinal(), -one.id))


def view(row: Job, as_of: date | None = None) -> JobView:
    """The job as it stood on that day."""
    closed = row.closed_on if as_of is None or row.closed_on is None or row.closed_on <= as_of else None
    return JobView(
        row.id, row.name, row.customer, row.opened_on, row.due_on, closed, row.note, row.worked_min
    )


def minutes(text: str) -> int:
    """Read minutes of work from hours written as `3.5`, `3.5 h`, `3:30` or `210 min`.

    Raises:
        BadInput: no time, or more than 10,000 hours.
    """
    accepted = _("hours, as 3.5, 3:30 or 210 min")
    hours, colon, rest = text.strip().partition(":")
    if colon:
        if not (hours.isascii() and hours.isdigit() and re.fullmatch("[0-5][0-9]", rest, re.ASCII)):
            raise BadInput(
                _("{text!r} is no time of work", text=plain(text, 20)),
                remedy=_("Write {accepted}", accepted=accepted),
            )
        found = Fraction(int(hours[:9]) * 60 + int(rest))
    else:
        figure, unit = figure_and_unit(text, _("time of work"), accepted)
        if unit not in {"", "h", "min"}:
            raise BadInput(
                _("{text!r} is no time of work", text=plain(text, 20)),
                remedy=_("Write {accepted}", accepted=accepted),
            )
        found = figure if unit == "min" else figure * 60
    if not 0 <= found <= MOST_MINUTES:
        raise BadInput(
            _("{text!r} is out of range", text=plain(text, 20)),
            remedy=_("Write {accepted}, up to 10000 h", accepted=accepted),
        )
    return round(found)


def _refuse_odd_days(opened_on: date, due_on: date | None) -> None:
    if due_on is not None and due_on < opened_on:
        raise BadInput(
            _("it can't be due on {due_on}, before it is opened", due_on=show_day(due_on)),
            remedy=_("Give a later day"),
        )
