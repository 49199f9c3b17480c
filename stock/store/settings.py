"""The studio's settings, kept with the opened books."""

from contextvars import ContextVar
from datetime import date
from functools import lru_cache
from typing import Any

from stock import clock, notation
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.store import remarks
from stock.store.connection import connection, writing
from stock.store.models import Studio, database


class Settings(NamedTuple):
    """One studio's settings.

    `drops_milli` is thousandths of a drop a millilitre, `dry_risk_milli` the chance of running dry that it
    takes, in thousandths of a per cent; `spray_ul_per_min` the mix that its airbrush uses;
    `waste_collected_on` the day on which its hazardous waste last left; `room_l` litres of the room that is sprayed in;
    `address` the studio's own, on one line; `voc_limit_mg` what it may emit in twelve months;
    `decimal_mark`, `date_order` and `paper` how it writes figures and days, and the sheets it prints on (empty: by its
    measures); `labour_minor_per_h` what an hour of work costs, `markup_milli` the mark-up on a job in
    thousandths of a per cent.
    """

    name: str
    currency: str
    time_zone: str
    measures: str
    drops_milli: int
    dry_risk_milli: int
    rule_sets: tuple[str, ...]
    fan_m3_per_h: int | None
    spray_ul_per_min: int | None
    waste_collected_on: date | None
    room_l: int | None
    address: str
    voc_limit_mg: int | None
    labour_minor_per_h: int | None
    markup_milli: int | None
    decimal_mark: str
    date_order: str
    paper: str

    @property
    def notation(self) -> notation.Notation:
        """How this studio writes figures and days."""
        return _notation_of(self.decimal_mark == "comma", self.date_order)

    @property
    def sheet(self) -> str:
        """The paper that is printed on: a4 or letter. Where none is set, US measures go with letter."""
        return self.paper or ("letter" if self.measures == "us" else "a4")

    def today(self) -> date:
        """The calendar day it is in the studio."""
        return clock.today(self.time_zone)


_notation_of = lru_cache(maxsize=8)(notation.Notation)
"""Cached, because every figure and every day that is shown needs it."""


def settings() -> Settings:
    """The open studio's settings.

    They are cached with the opened database, because every errand needs them and they rarely change. The dashboard
    calls `read_again` every 1.5 seconds, so that it shows changes of another bench.
    """
    kept: Settings | None = getattr(database.obj, "studio_settings", None)
    return read_again() if kept is None else kept


def read_again() -> Settings:
    """Read the settings from the books and keep them; another bench may have changed them."""
    with connection():
        database.obj.studio_settings = found = _read()
    return found


def _read() -> Settings:
    row = Studio.get_by_id(1)
    return Settings(
        name=row.name,
        currency=row.currency,
        time_zone=_known_zone(row.time_zone),
        measures=row.measures,
        drops_milli=row.drops_milli,
        dry_risk_milli=row.dry_risk_milli,
        rule_sets=tuple(row.rule_sets.split()),
        fan_m3_per_h=row.fan_m3_per_h,
        spray_ul_per_min=row.spray_ul_per_min,
        waste_collected_on=row.waste_collected_on,
        room_l=row.room_l,
        address=row.address,
        voc_limit_mg=row.voc_limit_mg,
        labour_minor_per_h=row.labour_minor_per_h,
        markup_milli=row.markup_milli,
        decimal_mark=row.decimal_mark,
        date_order=row.date_order,
        paper=row.paper,
    )


_asking: ContextVar[bool] = ContextVar("asking", default=False)


def _notation() -> notation.Notation:
    """The open studio's notation; `EXACT` while no books are open or while they can't be read.

    The refusal to read them is worded in this notation and must not read them again.
    """
    kept: Settings | None = getattr(database.obj, "studio_settings", None)
    if kept is None:
        if database.obj is None or _asking.get():
            return notation.EXACT
        began = _asking.set(True)
        try:
            kept = settings()
        except UllageError:
            return notation.EXACT
        finally:
            _asking.reset(began)
    return kept.notation


notation.follow(_notation)


def _known_zone(name: str) -> str:
    """The studio's time zone; UTC, with a remark, if this machine no longer knows it."""
    try:
        clock.zone(name)
    except BadInput:
        remarks.note(
            _(
                "this machine knows no time zone {name!r}, which is the studio's: days are reckoned in UTC",
                name=name,
            )
        )
        return "UTC"
    return name


def change_settings(**columns: Any) -> Settings:
    """Set columns of the studio's row and read the settings anew."""
    with connection(), writing():
        if columns:
            Studio.update(**columns).where(Studio.id == 1).execute()
    return read_again()
