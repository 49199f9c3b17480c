"""The studio itself: making its books, and changing its settings."""

from datetime import date, datetime

from stock import clock
from stock.errors import BadInput
from stock.language import _
from stock.money import currency as known_currency
from stock.notation import DATE_ORDERS, DECIMAL_MARKS, show_minute
from stock.spans import instant
from stock.store.connection import make_books
from stock.store.settings import Settings, change_settings, settings
from stock.store.words import PAPERS
from stock.text import name as clean_name
from stock.text import plain
from stock.units import Milligrams, MilliPercent

__all__ = ["MEASURES", "Settings", "change", "make", "past_moment", "settings"]

MOST_ADDRESS = 200
"""Letters of an address."""
MEASURES = ("metric", "us", "imperial")


def make(
    address: str,
    *,
    name: str,
    currency: str,
    time_zone: str,
    measures: str,
    decimal_mark: str = "point",
    date_order: str = "iso",
) -> None:
    """Make empty books at `address` and open them.

    Raises:
        UllageError: something stands there already.
        BadInput: an unknown currency, time zone, system of measures, decimal mark or order of dates, or an unusable
            name.
    """
    time_zone = clock.zone_named(time_zone)
    make_books(
        address,
        {
            "name": clean_name(name, what=_("studio's name")),
            "currency": known_currency(currency),
            "time_zone": time_zone,
            "measures": require_measures(measures),
            "decimal_mark": require_mark(decimal_mark),
            "date_order": require_order(date_order),
            "made_at": clock.now(),
        },
    )


def change(
    *,
    name: str | None = None,
    measures: str | None = None,
    drops_milli: int | None = None,
    dry_risk_milli: MilliPercent | None = None,
    rule_sets: tuple[str, ...] | None = None,
    fan_m3_per_h: int | None = None,
    spray_ul_per_min: int | None = None,
    waste_collected_on: date | None = None,
    room_l: int | None = None,
    address: str | None = None,
    voc_limit_mg: Milligrams | None = None,
    labour_minor_per_h: int | None = None,
    markup_milli: MilliPercent | None = None,
    decimal_mark: str | None = None,
    date_order: str | None = None,
    paper: str | None = None,
) -> Settings:
    """Change the settings given, leaving the others as they are.

    The currency and the time zone stay: prices and days in the books were written in them.

    Args:
        drops_milli: thousandths of a drop a millilitre, for products without a figure of their own.
        dry_risk_milli: the chance of running dry before a delivery, 100 to 50,000 thousandths of a per cent.
        rule_sets: the cautions' rule sets.
        fan_m3_per_h: the measured air flow of the studio's fan.
        spray_ul_per_min: the mix that the airbrush uses while the trigger is held.
        waste_collected_on: the day on which the hazardous waste last left; not a day to come.
        labour_minor_per_h: what an hour of work costs, in the minor unit.
        markup_milli: on a job, 0 to 1,000 % in thousandths of a per cent.
        address: the studio's, for printed pages; empty for none.
        voc_limit_mg: the volatile organic compounds that may be emitted in twelve months.
        room_l: litres of air in the room that is sprayed in, 1,000 to 10,000,000.
        decimal_mark: how figures are shown, and read beside a point: point or comma.
        date_order: how days are shown, and read beside YYYY-MM-DD: iso, day-first or month-first.
        paper: the size of pages and label sheets: a4 or letter; if empty, it follows from the measures.
    Raises:
        BadInput: a figure out of range.
    """
    if dry_risk_milli is not None and not 100 <= dry_risk_milli <= 50_000:
        raise BadInput(_("the chance of running dry is out of range"), remedy=_("Give 0.1 % to 50 %"))
    if fan_m3_per_h is not None and not 1 <= fan_m3_per_h <= 1_000_000:
        raise BadInput(_("the fan's air is out of range"), remedy=_("Give 1 to 1,000,000 m3 an hour"))
    if spray_ul_per_min is not None and not 10 <= spray_ul_per_min <= 1_000_000:
        raise BadInput(_("the spray rate is out of range"), remedy=_("Give 0.01 to 1000 ml a minute"))
    if room_l is not None and not 1_000 <= room_l <= 10_000_000:
        raise BadInput(_("the room's volume is out of range"), remedy=_("Give 1 to 10,000 m3"))
    if labour_minor_per_h is not None and not 0 <= labour_minor_per_h <= 10**9:
        raise BadInput(_("what an hour of work costs is out of range"), remedy=_("Give an amount from 0"))
    if markup_milli is not None and not 0 <= markup_milli <= 1_000_000:
        raise BadInput(_("the mark-up is out of range"), remedy=_("Give 0 % to 1000 %"))
    if voc_limit_mg is not None and voc_limit_mg <= 0:
        raise BadInput(_("a limit of emissions is more than nothing"), remedy=_("Give a mass, as 25 kg"))
    if waste_collected_on is not None and waste_collected_on > settings().today():
        raise BadInput(_("that day is still to come"), remedy=_("Give the day on which the waste left"))
    columns = {
        "name": clean_name(name, what=_("studio's name")) if name is not None else None,
        "measures": require_measures(measures) if measures is not None else None,
        "drops_milli": drops_milli,
        "dry_risk_milli": dry_risk_milli,
        "rule_sets": " ".join(rule_sets) if rule_sets is not None else None,
        "fan_m3_per_h": fan_m3_per_h,
        "spray_ul_per_min": spray_ul_per_min,
        "waste_collected_on": waste_collected_on,
        "room_l": room_l,
        "address": plain(" ".join(address.split()), MOST_ADDRESS) if address is not None else None,
        "voc_limit_mg": voc_limit_mg,
        "labour_minor_per_h": labour_minor_per_h,
        "markup_milli": markup_milli,
        "decimal_mark": require_mark(decimal_mark) if decimal_mark is not None else None,
        "date_order": require_order(date_order) if date_order is not None else None,
        "paper": require_paper(paper) if paper is not None else None,
    }
    return change_settings(**{key: value for key, value in columns.items() if value is not None})


def past_moment(text: str) -> datetime:
    """Read a past moment, as a person writes it: `yesterday`, `14:30`, `2026-03-01 9:15`.

    Raises:
        BadInput: no day or time that can be read, or one that is still to come.
    """
    now = clock.now()
    moment = instant(text, settings().time_zone, now)
    if moment > now:
        there = moment.astimezone(clock.zone(settings().time_zone))
        raise BadInput(
            _("{there} lies in the future", there=show_minute(there)), remedy=_("Give a past day or time")
        )
    return moment


def require_measures(text: str) -> str:
    """Check the name of a system of measures.

    Raises:
        BadInput: it is none; names those that there are.
    """
    return _one_of(text, MEASURES, _("system of measures"))


def require_mark(text: str) -> str:
    """A decimal mark by its name.

    Raises:
        BadInput: it is none; names those that there are.
    """
    return _one_of(text, DECIMAL_MARKS, _("decimal mark"))


def require_order(text: str) -> str:
    """An order of dates by its name.

    Raises:
        BadInput: it is none; names those that there are.
    """
    return _one_of(text, DATE_ORDERS, _("order of dates"))


def require_paper(text: str) -> str:
    """A size of paper by its name; an empty one follows from the measures.

    Raises:
        BadInput: it is none; names those that there are.
    """
    return _one_of(text, PAPERS, _("size of paper"))


def _one_of(text: str, words: tuple[str, ...], what: str) -> str:
    if text not in words:
        raise BadInput(
            _("{text!r} is no {what}", text=plain(text, 40), what=what),
            remedy=_("Write one of {filter}", filter=", ".join(filter(None, words))),
        )
    return text
