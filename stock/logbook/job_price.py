"""A job's price: its material and the hours worked on it, with a mark-up; and the sheet that its customer gets.

Money is in the currency's minor unit; rates are the studio's settings. Common practice, no source: cost plus mark-up.
"""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from stock.language import _
from stock.logbook import costs
from stock.logbook.report import Cell, Report, ReportTable
from stock.money import minor_digits, money_figure
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf import jobs
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Mix, Movement, Pour, Product
from stock.units import Microlitres, MilliPercent, ml

WHOLE_MILLI = 100_000


class JobPrice(NamedTuple):
    """What a job comes to: all in whole minor units; `price` is their sum. Tax is not in it."""

    material: int
    labour: int
    markup: int

    @property
    def price(self) -> int:
        """Material, labour and mark-up together."""
        return self.material + self.labour + self.markup


def price(
    material_minor: int, worked_min: int, labour_minor_per_h: int, markup_milli: MilliPercent
) -> JobPrice:
    """Material and labour with a mark-up on both, each rounded to the minor unit.

    Args:
        material_minor: what the material cost, with washes and the share of waste.
        worked_min: minutes worked.
        labour_minor_per_h: what an hour costs.
        markup_milli: the mark-up in thousandths of a per cent of both.
    """
    labour = round(Fraction(worked_min * labour_minor_per_h, 60))
    return JobPrice(
        material_minor, labour, round(Fraction((material_minor + labour) * markup_milli, WHOLE_MILLI))
    )


class PricedJob(NamedTuple):
    """A job with its price. `missing` names the unknown costs, which the price leaves out."""

    job: Any
    currency: str
    price: JobPrice
    missing: Sequence[str]
    products: Sequence[tuple[str, str, Microlitres]]


def read(name: str, as_of: date | None = None) -> PricedJob:
    """A job's price and the products that went into its mixes.

    Raises:
        NotFound, Ambiguous: the job.
    """
    with connection(), reading():
        studio = settings()
        job = jobs.view(jobs.find(name), as_of)
        spent = costs.read(job=job.name, as_of=as_of)
        found = price(
            spent.costs.total(),
            job.worked_min or 0,
            studio.labour_minor_per_h or 0,
            MilliPercent(studio.markup_milli or 0),
        )
        missing = [_("the price of {bottle}", bottle=bottle) for bottle, __ in spent.unpriced]
        if job.worked_min is None:
            missing.append(_("the hours worked on it"))
        if studio.labour_minor_per_h is None:
            missing.append(_("what an hour of work costs"))
        return PricedJob(job, studio.currency, found, missing, _products(job.id, as_of or studio.today()))


def _products(job: int, as_of: date) -> list[tuple[str, str, Microlitres]]:
    """Each product of a job's mixes: its name, its role, and the microlitres poured."""
    sums: dict[tuple[str, str], int] = {}
    rows = (
        Pour.select(Product.name, Product.role, Movement.change_ul)
        .join(Movement)
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .join(Product)
        .switch(Pour)
        .join(Mix)
        .where((Mix.job == job) & (Booking.day <= as_of) & in_force(Movement.booking, as_of))
        .order_by(Product.name_key)
    )
    for name, role, change_ul in rows.tuples():
        sums[name, role] = sums.get((name, role), 0) - change_ul
    return [(name, role, Microlitres(poured)) for (name, role), poured in sums.items()]


def price_json(priced: PricedJob) -> dict[str, Any]:
    """The price for a script; money in the currency's main unit."""
    scale = 10 ** minor_digits(priced.currency)
    return {
        "hours": priced.job.worked_min / 60 if priced.job.worked_min is not None else None,
        "material": priced.price.material / scale,
        "labour": priced.price.labour / scale,
        "mark_up": priced.price.markup / scale,
        "price": priced.price.price / scale,
        "missing": list(priced.missing),
    }


def price_table(priced: PricedJob) -> ReportTable:
    """The price by what it is made of."""
    figures = (
        (_("material, washes and waste"), priced.price.material),
        (_("labour{hours}", hours=_hours(priced)), priced.price.labour),
        (_("mark-up"), priced.price.markup),
    )
    rows: list[Sequence[Cell]] = [(what, money_figure(minor, priced.currency)) for what, minor in figures]
    return ReportTable(
        _("Price without tax"),
        ("", f"{priced.currency}>"),
        rows,
        (_("together"), money_figure(priced.price.price, priced.currency)),
    )


def _hours(priced: PricedJob) -> str:
    minutes = priced.job.worked_min
    return "" if minutes is None else f", {minutes // 60} h {minutes % 60:02d} min"


def customer_sheet(priced: PricedJob) -> Report:
    """The sheet for the customer: the products and volumes used, the hours, and the price, but no single costs."""
    from stock.logbook import flat_tables  # it knows this module

    job = priced.job
    rows: list[Sequence[Cell]] = [(name, role, ml(poured)) for name, role, poured in priced.products]
    days = _("opened {opened_on}", opened_on=show_day(job.opened_on)) + (
        _(", done {closed_on}", closed_on=show_day(job.closed_on)) if job.closed_on else ""
    )
    total: list[Sequence[Cell]] = [
        (f"{job.name}{_hours(priced)}", money_figure(priced.price.price, priced.currency)),
    ]
    notes = [job.note] if job.note else []
    if priced.missing:
        notes.append(
            _("Not in this price, because it is not known: {missing}.", missing=", ".join(priced.missing))
        )
    return Report(
        title=_("Job {name}", name=job.name),
        studio=settings().name,
        about=f"{_('for {customer}, ', customer=job.customer) if job.customer else ''}{days}",
        tables=[
            ReportTable(_("Materials used"), (_("product"), _("what it is"), _("ml>")), rows),
            ReportTable(_("Price without tax"), ("", f"{priced.currency}>"), total),
        ],
        notes=notes,
        subject=job.name,
        flat=lambda: flat_tables.sheet_of(priced),
    )
