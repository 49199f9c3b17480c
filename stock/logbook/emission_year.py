"""Twelve months of emissions, each with the sum of the twelve months that end with it, and the studio's limit."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from stock.language import _
from stock.logbook import emissions
from stock.logbook.booked_months import booked_months
from stock.logbook.months import Month, month_of
from stock.logbook.report import Cell, FlatColumn, FlatTable, Report, ReportTable
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf.studio import settings
from stock.store.connection import connection, reading

MONTHS = 12
LIMIT_RULE = _(
    "The limit is what the studio noted for twelve months. Which compounds it counts is not "
    "noted, so the higher of both figures stands beside it."
)
RULE = _(
    "Each row's sum is of the twelve months that end with its month; a month that is not "
    "over counts until the day."
)


class RollingMonth(NamedTuple):
    """Grams emitted in a month, and in the twelve months that end with it, by both ways of counting."""

    month: str
    us_g: float
    eu_g: float
    us_sum_g: float
    eu_sum_g: float

    @property
    def higher_g(self) -> float:
        """The higher of both sums."""
        return max(self.us_sum_g, self.eu_sum_g)


class EmissionYear(NamedTuple):
    """The twelve months up to one; `first` is the first day in the books, `limit_g` None if no limit is noted."""

    as_of: date
    months: Sequence[RollingMonth]
    limit_g: float | None
    first: date | None


def rolling(emitted: Sequence[tuple[str, float, float]]) -> list[RollingMonth]:
    """Sums of twelve months that end with each of the last twelve.

    Args:
        emitted: (month, grams by the US way, grams by the EU way) of 23 months in order.
    """
    found = []
    for at in range(MONTHS - 1, len(emitted)):
        month, us_g, eu_g = emitted[at]
        year = emitted[at - MONTHS + 1 : at + 1]
        us_sum, eu_sum = sum(one[1] for one in year), sum(one[2] for one in year)
        found.append(RollingMonth(month, us_g, eu_g, us_sum, eu_sum))
    return found


def read(month: Month | None = None, as_of: date | None = None) -> EmissionYear:
    """The twelve months up to `month` (that of `as_of` when None), from the bookings up to `as_of`."""
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        booked = booked_months(day)
        at, months = month or month_of(day), []
        for __ in range(2 * MONTHS - 1):
            months.append(at)
            at = month_of(at.first - timedelta(days=1))
        emitted = []
        for one in reversed(months):
            whole = emissions.read(one, day).everything if one in booked else None
            emitted.append((str(one), whole.us_g if whole else 0.0, whole.eu_g if whole else 0.0))
        limit = studio.voc_limit_mg / 1_000 if studio.voc_limit_mg is not None else None
        return EmissionYear(day, rolling(emitted), limit, booked[0].first if booked else None)


def report(year: EmissionYear) -> Report:
    """The year as a report."""
    studio = settings()
    heads = [
        _("month"), _("US: g emitted>"), _("EU: g emitted>"), _("US: g in twelve months>"),
        _("EU: g in twelve months>"), _("limit g>"),
        _("per cent of it>"), "",
    ]  # fmt: skip
    limit = year.limit_g
    rows: list[Sequence[Cell]] = [
        (
            one.month, *(round(figure, 2) for figure in one[1:]),
            None if limit is None else round(limit, 2),
            None if limit is None else round(100 * one.higher_g / limit, 1),
            _("no limit noted") if limit is None else "over" if one.higher_g > limit else "within",
        )
        for one in year.months
    ]  # fmt: skip
    notes = [RULE, LIMIT_RULE, *emissions.RULES]
    first = year.months[0].month
    if year.first is not None and str(month_of(year.first)) > _eleven_before(first):
        notes.insert(
            0,
            _(
                "The books begin in {first}; what was emitted before is not in these sums.",
                first=month_of(year.first),
            ),
        )
    return Report(
        title=_("Emissions of twelve months"),
        studio=studio.name,
        about=_(
            "{first} to {month}, as of {as_of}",
            first=first,
            month=year.months[-1].month,
            as_of=show_day(year.as_of),
        ),
        tables=[ReportTable(_("Volatile organic compounds, month by month"), heads, rows)],
        notes=notes,
        subject=_("twelve months to {month}", month=year.months[-1].month),
        flat=lambda: _flat(year),
    )


def _eleven_before(month: str) -> str:
    whole = 12 * int(month[:4]) + int(month[5:]) - MONTHS
    return f"{whole // 12:04d}-{whole % 12 + 1:02d}"


def _flat(year: EmissionYear) -> FlatTable:
    columns = (
        FlatColumn("month", "yearmonth", "the month"),
        FlatColumn("us_g", "number", "grams emitted in it, by 40 CFR 51.100(s)"),
        FlatColumn("eu_g", "number", "grams emitted in it, by 2004/42/EC"),
        FlatColumn(
            "us_twelve_months_g", "number", "grams emitted in the twelve months that end with it, as us_g"
        ),
        FlatColumn("eu_twelve_months_g", "number", "the same, as eu_g"),
        FlatColumn(
            "limit_g", "number", "what the studio may emit in twelve months; empty where none is noted"
        ),
        FlatColumn("over", "boolean", "whether the higher sum is over the limit"),
    )
    rows: list[Sequence[Cell]] = [
        (
            one.month, *(round(figure, 2) for figure in one[1:]), year.limit_g,
            None if year.limit_g is None else "true" if one.higher_g > year.limit_g else "false",
        )
        for one in year.months
    ]  # fmt: skip
    return FlatTable("emission-year", "Emissions of twelve months", columns, rows, ("month",))


def as_json(year: EmissionYear) -> dict[str, Any]:
    """The answer of `ullage emissions --year`."""
    return {
        "as_of": year.as_of.isoformat(),
        "limit_g": year.limit_g,
        "months": [
            {
                "month": one.month,
                "us_g": round(one.us_g, 2),
                "eu_g": round(one.eu_g, 2),
                "us_twelve_months_g": round(one.us_sum_g, 2),
                "eu_twelve_months_g": round(one.eu_sum_g, 2),
                "over": None if year.limit_g is None else one.higher_g > year.limit_g,
            }
            for one in year.months
        ],
        "rules": [RULE, LIMIT_RULE, *emissions.RULES],
    }
