"""The remarks and marks of one product's forecast."""

from stock.forecast.facts import Forecast
from stock.language import _
from tui.drawing.figures import count, ml, short_day
from tui.forecast.picture import Mark

LEAST_SPAN, MOST_SPAN = 56, 364


def because(one: Forecast) -> str:
    """What the forecast is based on, and what a person should know about it."""
    basis = (
        [_("It is based on {events}", events=count(one.facts.history.events, "mix day"))]
        if one.basis == "own"
        else []
    )
    return f"{one.facts.product}: " + " ".join(f"{remark}." for remark in [*one.remarks, *basis])


def span_of(one: Forecast) -> int:
    """How many days the fan shows: a little beyond its later end, and beyond the delivery of an order."""
    last = one.runs_out[2] if one.runs_out[2] is not None else MOST_SPAN
    due = one.order_by.arrives + 7 if one.order_by is not None and one.order_by.arrives < MOST_SPAN else 0
    return min(max(LEAST_SPAN, last * 9 // 8, due), MOST_SPAN)


def marks_of(one: Forecast) -> list[Mark]:
    """The marks on the fan: the order day, its delivery, the open bottle's last good day, a planned use."""
    marks = []
    if one.order_by is not None:
        marks.append(
            Mark(
                one.order_by.day,
                "O",
                _("order {order_by_day}", order_by_day=short_day(one.order_by_day, one.today)),
            )
        )
        arrival = one.day(one.order_by.arrives)
        marks.append(
            Mark(one.order_by.arrives, "D", _("arrives {arrival}", arrival=short_day(arrival, one.today)))
        )
    ends = [held.good_for for held in one.facts.bottles if held.opened and held.good_for is not None]
    if ends:
        marks.append(
            Mark(
                min(ends),
                "B",
                _("open bottle good until {ends}", ends=short_day(one.day(min(ends)), one.today)),
            )
        )
    if one.facts.planned:
        day, volume_ul = min(one.facts.planned)
        marks.append(
            Mark(
                day,
                "P",
                _(
                    "planned {volume_ul} ml {day}",
                    volume_ul=ml(volume_ul),
                    day=short_day(one.day(day), one.today),
                ),
            )
        )
    return marks
