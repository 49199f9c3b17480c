"""A calendar file of order-by and best-before days that a phone can subscribe to.

Written by RFC 5545: lines end in CRLF and are folded at 75 octets, never inside a letter (3.1); text values
escape backslash, semicolon, comma and line break (3.3.11); an all-day event ends on the next day (3.6.1).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from stock import clock
from stock.forecast.facts import Forecast
from stock.language import _
from stock.shelf.bottles import on_shelf
from stock.store.outputs import MARK, Output

_OCTETS = 75


@dataclass(frozen=True, slots=True)
class Event:
    """One all-day event.

    Attributes:
        uid: unique and the same each time the file is written, so that a phone moves the event.
        day: when.
        summary, note: what to do, and why.
    """

    uid: str
    day: date
    summary: str
    note: str = ""


def order_by_days(forecasts: Iterable[Forecast]) -> list[Event]:
    """An event for each product that has an order-by day."""
    events = []
    for each in forecasts:
        day = each.order_by_day
        if day is None:
            continue
        note = (
            _("Runs out about {runs_out}", runs_out=each.day(each.runs_out[1]))
            if each.runs_out[1] is not None
            else ""
        )
        supplier = _(" from {supplier}", supplier=each.facts.supplier) if each.facts.supplier else ""
        events.append(
            Event(
                f"order-by-{each.facts.number}",
                day,
                _("Order {product}{supplier} by today", product=each.facts.product, supplier=supplier),
                note,
            )
        )
    return events


def best_before_days(as_of: date) -> list[Event]:
    """An event for each bottle that still holds something and goes bad on a known day from `as_of` on."""
    return [
        Event(
            f"good-until-{view.id}",
            view.good_until,
            _("{product}, bottle {label}: last good day", product=view.product, label=view.label),
            f"{view.place or _('no place')}, {view.state}",
        )
        for view in on_shelf(as_of)
        if not view.gone and view.good_until is not None and view.good_until >= as_of
    ]


def calendar(events: Sequence[Event], made_at: datetime) -> str:
    """The file's text.

    Args:
        events: in any order; they are written by day.
        made_at: the instant of writing, aware.
    """
    stamp = f"{made_at:%Y%m%dT%H%M%SZ}"
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Ullage//Forecast//EN", "CALSCALE:GREGORIAN"]
    lines.append(f"X-ULLAGE:{MARK}")
    for event in sorted(events, key=lambda each: (each.day, each.uid)):
        lines += [
            "BEGIN:VEVENT",
            f"UID:{event.uid}@ullage",
            f"DTSTAMP:{stamp}",
            f"DTSTART;VALUE=DATE:{event.day:%Y%m%d}",
            f"DTEND;VALUE=DATE:{event.day + timedelta(days=1):%Y%m%d}",
            f"SUMMARY:{_escaped(event.summary)}",
            *([f"DESCRIPTION:{_escaped(event.note)}"] if event.note else []),
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def file(path: Path, events: Sequence[Event], *, of: str | None = None) -> Output:
    """The calendar as a file; `of` is the product it was asked for, None for all."""
    return Output(path, calendar(events, clock.now()), _("calendar of {of}", of=of or "all"))


def _escaped(text: str) -> str:
    for sign in ("\\", ";", ","):
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", "\\n")


def _folded(line: str) -> str:
    """The line with CRLF and a blank before every piece after the first."""
    pieces, piece, size = [], "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > _OCTETS:
            pieces.append(piece)
            piece, size = "", 1
        piece += letter
        size += octets
    return "\r\n ".join([*pieces, piece])
