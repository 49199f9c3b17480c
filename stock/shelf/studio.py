"""The studio itself: making its books, and the settings that everything else reads."""

from dataclasses import dataclass
from datetime import date

from stock import clock
from stock.errors import BadInput
from stock.money import currency as known_currency
from stock.store.connection import connection, make_books
from stock.store.models import Studio
from stock.text import name as clean_name

MEASURES = ("metric", "us", "imperial")


@dataclass(frozen=True, slots=True)
class Settings:
    """One studio's settings: `drops_milli` thousandths of a drop a millilitre, risks thousandths of a per cent."""

    name: str
    currency: str
    time_zone: str
    measures: str
    drops_milli: int
    dry_risk_milli: int
    rule_sets: tuple[str, ...]
    fan_m3_per_h: int | None

    def today(self) -> date:
        """The calendar day it is in the studio."""
        return clock.today(self.time_zone)


def make(address: str, *, name: str, currency: str, time_zone: str, measures: str) -> None:
    """Make empty books at `address` and open them.

    Raises:
        UllageError: something stands there already.
        BadInput: an unknown currency, time zone or system of measures, or an unusable name.
    """
    if measures not in MEASURES:
        raise BadInput(f"{measures!r} is no system of measures", remedy=f"Write one of {', '.join(MEASURES)}")
    clock.zone(time_zone)
    make_books(
        address,
        {
            "name": clean_name(name, what="studio's name"),
            "currency": known_currency(currency),
            "time_zone": time_zone,
            "measures": measures,
            "made_at": clock.now(),
        },
    )


def settings() -> Settings:
    """The open studio's settings."""
    with connection():
        row = Studio.get_by_id(1)
    return Settings(
        name=row.name,
        currency=row.currency,
        time_zone=row.time_zone,
        measures=row.measures,
        drops_milli=row.drops_milli,
        dry_risk_milli=row.dry_risk_milli,
        rule_sets=tuple(row.rule_sets.split()),
        fan_m3_per_h=row.fan_m3_per_h,
    )
