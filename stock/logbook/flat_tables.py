"""Reports as flat tables for other programs: one fact a row, always the same columns, money in the main unit.

If a report has facts of two kinds, the column `record` says which one a row is. No figure stands in two rows, so each
column of figures may be added up.
"""

from collections.abc import Iterable, Sequence
from datetime import date

from stock.logbook.costs import CostsRead
from stock.logbook.emissions import Emissions
from stock.logbook.job_price import PricedJob
from stock.logbook.months import month_of
from stock.logbook.purchases import Purchases
from stock.logbook.report import Cell, FlatColumn, FlatTable
from stock.logbook.stock_value import StockValue, ValueShare
from stock.logbook.trace import Trace
from stock.money import money_figure
from stock.units import Microlitres, ml

MONTH = FlatColumn("month", "yearmonth", "the month")
CURRENCY = FlatColumn("currency", "string", "what all money of the row is in (ISO 4217)")
PRODUCT = FlatColumn("product", "string", "the product's name")
JOB = FlatColumn("job", "string", "the job's name; empty where it belongs to none")
UNPRICED = FlatColumn(
    "unpriced_ml", "number", "how much of the closing volume has no known price and counts as nothing"
)
VALUE_STEPS = (
    ("opening", "what was there at the beginning of the month"),
    ("purchased", "what was bought in it"),
    ("used", "what was used in it"),
    ("written_off", "what was thrown away, spilled or found missing in it"),
    ("closing", "what was there at its end: opening + purchased - used - written_off"),
)
VALUED = (
    MONTH,
    FlatColumn("since", "date", "the first day that counts"),
    FlatColumn("until", "date", "the last day that counts"),
    FlatColumn("method", "string", "fifo (first in, first out) or average (moving average)"),
    CURRENCY,
)
SHARE = (
    FlatColumn("closing", "number", "what it is worth at the end of the month"),
    FlatColumn("closing_ml", "number", "the volume at the end of the month"),
    UNPRICED,
)
ROWS_OF_VALUE = ("product", "place", "owner", "write-off")
"""What a row of the valuation's flat table stands for."""


def _ml(volume_ul: Microlitres) -> float:
    return ml(volume_ul)


def _text(days: Iterable[date | None]) -> tuple[str | None, ...]:
    return tuple(day.isoformat() if day is not None else None for day in days)


def valued(months: Sequence[StockValue], of: str = "product") -> FlatTable:
    """The worth of the stock month by month.

    Args:
        months: each month's.
        of: what a row is, one of `ROWS_OF_VALUE`.
    """
    if of == "write-off":
        return _write_offs(months)
    if of == "product":
        columns = (
            *VALUED, PRODUCT,
            *(FlatColumn(step, "number", about) for step, about in VALUE_STEPS),
            *(FlatColumn(f"{step}_ml", "number", f"{about}, in millilitres") for step, about in VALUE_STEPS),
            UNPRICED,
        )  # fmt: skip
        rows = [
            (
                *_of_month(each), name,
                *(money_figure(getattr(one, step), each.currency) for step, _ in VALUE_STEPS),
                *(_ml(getattr(one, f"{step}_ul")) for step, _ in VALUE_STEPS),
                _ml(one.unpriced_ul),
            )
            for each in months
            for name, one in each.products
        ]  # fmt: skip
        return FlatTable(
            "valuation", "Value of the stock by month and product", columns, rows, ("month", "product")
        )
    word = (
        "where it stands"
        if of == "place"
        else "whose it is; empty for the studio, whose alone counts elsewhere"
    )
    shares = [(each, one) for each in months for one in (each.places if of == "place" else each.owners)]
    return FlatTable(
        f"valuation-{of}",
        f"Value of the stock by month and {of}",
        (*VALUED, FlatColumn(of, "string", word), *SHARE),
        [(*_of_month(each), one.name, *_share(one, each.currency)) for each, one in shares],
        ("month", of),
    )


def _of_month(each: StockValue) -> tuple[Cell, ...]:
    since = each.since or each.until.replace(day=1)
    return (str(month_of(each.until)), since.isoformat(), each.until.isoformat(), each.method, each.currency)


def _share(one: ValueShare, currency: str) -> tuple[Cell, ...]:
    return (money_figure(one.closing, currency), _ml(one.closing_ul), _ml(one.unpriced_ul))


def _write_offs(months: Sequence[StockValue]) -> FlatTable:
    columns = (
        MONTH,
        FlatColumn("method", "string", "fifo (first in, first out) or average (moving average)"),
        CURRENCY,
        FlatColumn(
            "day", "date", "when it was lost; a later undo counts in the month in which it was booked"
        ),
        PRODUCT,
        FlatColumn("bottle", "string", "its label"),
        FlatColumn("reason", "string", "why, as it was noted"),
        FlatColumn(
            "written_off", "number", "what it was worth; below 0 where a count found more, or it was undone"
        ),
        FlatColumn("written_off_ml", "number", "the volume"),
    )
    rows = [
        (
            str(month_of(each.until)), each.method, each.currency, one.day.isoformat(), one.product, one.bottle,
            one.reason, money_figure(one.value, each.currency), _ml(one.volume_ul),
        )
        for each in months
        for one in each.write_offs
    ]  # fmt: skip
    return FlatTable("write-offs", "What was written off, each with its reason", columns, rows)


def costed(costs: CostsRead) -> FlatTable:
    """The costs mix by mix, and each month's waste and losses that belong to no mix."""
    columns = (
        MONTH,
        FlatColumn(
            "record", "string", "mix; waste, of a month without a mix to share it; or loss, written off"
        ),
        FlatColumn("day", "date", "when it was mixed"),
        FlatColumn("mix", "integer", "the mix's number"),
        JOB,
        FlatColumn("material", "number", "what went into it"),
        FlatColumn("washes", "number", "what was used to wash after it"),
        FlatColumn("waste_share", "number", "its share of the month's waste"),
        FlatColumn("total", "number", "material + washes + waste_share"),
        CURRENCY,
    )

    def money(minor: int) -> str:
        return money_figure(minor, costs.currency)

    rows: list[Sequence[Cell]] = [
        (
            one.made.month, "mix", one.made.day.isoformat(), one.made.mix, job.name, money(one.material),
            money(one.washes), money(one.share), money(one.total), costs.currency,
        )
        for job in costs.costs.jobs
        for one in job.mixes
    ]  # fmt: skip
    for record, by_month in (("waste", costs.costs.unshared_in), ("loss", costs.costs.written_off_in)):
        rows += [
            (month, record, None, None, None, None, None, None, money(minor), costs.currency)
            for month, minor in by_month.items()
            if minor
        ]
    return FlatTable("costs", "Material costs mix by mix", columns, sorted(rows, key=_by_month_and_mix))


def _by_month_and_mix(row: Sequence[Cell]) -> tuple[str, int]:
    return str(row[0]), int(row[3] or 0)


def emitted(months: Sequence[Emissions]) -> FlatTable:
    """The emissions by month and product."""
    columns = (
        MONTH,
        PRODUCT,
        FlatColumn("role", "string", "what it is: paint, reducer, cleaner ..."),
        FlatColumn("sprayed_ml", "number", "what went into mixes"),
        FlatColumn("washed_ml", "number", "what was used to wash"),
        FlatColumn("lost_ml", "number", "what was spilled, leaked or dried out"),
        FlatColumn("us_g", "number", "grams of volatile organic compounds by 40 CFR 51.100(s)"),
        FlatColumn("eu_g", "number", "grams of volatile organic compounds by 2004/42/EC"),
        FlatColumn("water_ml", "number", "water in it"),
        FlatColumn("exempt_ml", "number", "compounds that the US figure leaves out"),
        FlatColumn("assumed", "string", "what is not noted and was taken at its worst"),
    )
    rows: list[Sequence[Cell]] = [
        (
            str(each.month), line.product, line.role, _ml(line.sprayed_ul), _ml(line.washed_ul), _ml(line.lost_ul),
            *(round(figure, 2) for figure in (line.held.us_g, line.held.eu_g, line.held.water_ml, line.held.exempt_ml)),
            "; ".join(line.held.assumed),
        )
        for each in months
        for line in each.lines
    ]  # fmt: skip
    return FlatTable("emissions", "Emissions by month and product", columns, rows, ("month", "product"))


def bought(purchases: Purchases) -> FlatTable:
    """Deliveries and invoices, a row each."""
    columns = (
        MONTH,
        FlatColumn("record", "string", "invoice or delivery"),
        FlatColumn("day", "date", "the day on the invoice, or on which the delivery came"),
        FlatColumn("invoice", "string", "the invoice's number as printed; of a delivery those noted for it"),
        FlatColumn("deliveries", "string", "the booking's number; of an invoice those that it is for"),
        FlatColumn("supplier", "string", "who sent the invoice"),
        FlatColumn("what", "string", "the bottles that came"),
        FlatColumn("net", "number", "without tax, of an invoice"),
        FlatColumn("tax_percent", "number", "the tax rate, of an invoice"),
        FlatColumn("tax", "number", "the tax, of an invoice"),
        FlatColumn("gross", "number", "with tax, of an invoice"),
        FlatColumn("worth", "number", "by the books, of a delivery"),
        FlatColumn("unpriced_bottles", "integer", "bottles of a delivery whose price is not known"),
        CURRENCY,
    )

    def money(minor: int) -> str:
        return money_figure(minor, purchases.currency)

    rows: list[Sequence[Cell]] = [
        (
            str(month_of(one.dated_on)), "invoice", one.dated_on.isoformat(), one.number,
            " ".join(map(str, one.deliveries)), one.supplier, None, money(one.net_minor), one.tax_milli / 1_000,
            money(one.gross_minor - one.net_minor), money(one.gross_minor), None, None, purchases.currency,
        )
        for one in purchases.invoices
    ] + [
        (
            str(month_of(one.day)), "delivery", one.day.isoformat(), ", ".join(one.invoices), str(one.delivery), None,
            one.what, None, None, None, None, money(one.worth), one.unpriced, purchases.currency,
        )
        for one in purchases.deliveries
    ]  # fmt: skip
    return FlatTable(
        "purchases", "Deliveries and invoices", columns, sorted(rows, key=lambda row: str(row[2]))
    )


def traced(trace: Trace) -> FlatTable:
    """The bottles and mixes that a lot went into."""
    columns = (
        FlatColumn("record", "string", "bottle or mix"),
        FlatColumn("bottle", "integer", "the bottle's number"),
        FlatColumn("mix", "integer", "the mix's number"),
        FlatColumn("day", "date", "when it was mixed"),
        PRODUCT,
        JOB,
        FlatColumn("customer", "string", "of the job"),
        FlatColumn("outcome", "string", "of the mix"),
        FlatColumn("volume_ml", "number", "how much of it went into the mix"),
        FlatColumn("from_bottles", "string", "the numbers of the bottles that it came from"),
        FlatColumn("size_ml", "number", "of the bottle"),
        FlatColumn("on_hand_ml", "number", "what is in the bottle"),
        FlatColumn("state", "string", "of the bottle"),
        FlatColumn("place", "string", "where the bottle stands"),
        FlatColumn("through", "string", "the bottle or mix that the bottle was filled from"),
    )
    rows: list[Sequence[Cell]] = [
        (
            "bottle", one.id, None, None, one.product, None, None, None, None, None, _ml(one.size_ul),
            _ml(one.on_hand_ul), one.state, one.place, one.through,
        )
        for one in trace.bottles
    ] + [
        (
            "mix", None, one.id, one.day.isoformat(), None, one.job, one.customer, one.outcome, _ml(one.volume_ul),
            " ".join(map(str, one.bottles)), None, None, None, None, None,
        )
        for one in trace.mixes
    ]  # fmt: skip
    return FlatTable("trace", f"Where {trace.about} went", columns, rows)


def sheet_of(priced: PricedJob) -> FlatTable:
    """A job's sheet: the products used, and what the job comes to."""
    job = priced.job
    columns = (
        JOB,
        FlatColumn("customer", "string", "whose job it is"),
        FlatColumn("opened_on", "date", "when it was opened"),
        FlatColumn("closed_on", "date", "when it was done"),
        FlatColumn("record", "string", "material, or price"),
        PRODUCT,
        FlatColumn("role", "string", "what it is: paint, reducer, cleaner ..."),
        FlatColumn("volume_ml", "number", "how much of it was used"),
        FlatColumn("hours", "number", "worked on the job"),
        FlatColumn("price", "number", "of the job, without tax"),
        CURRENCY,
    )
    of_job: tuple[Cell, ...] = (job.name, job.customer, *_text((job.opened_on, job.closed_on)))
    hours = round(job.worked_min / 60, 4) if job.worked_min is not None else None
    price = money_figure(priced.price.price, priced.currency)
    rows: list[Sequence[Cell]] = [
        (*of_job, "material", name, role, _ml(poured), None, None, priced.currency)
        for name, role, poured in priced.products
    ]
    rows.append((*of_job, "price", None, None, None, hours, price, priced.currency))
    return FlatTable("job-sheet", f"Job {job.name}", columns, rows)
