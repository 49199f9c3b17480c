"""Ranges that data sheets give for thinning, how specific each is, and the house's own defaults."""

import csv
from datetime import date
from enum import IntEnum
from functools import lru_cache

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import example, show_day
from stock.shelf.dosings import show_needles, show_pressures, show_range
from stock.shipped_files import path_of
from stock.units import Micrometres, MilliPercent, Pascals


class RangeLevel(IntEnum):
    """How specific a range is, most specific first."""

    PAINT_AND_REDUCER = 0
    PAINT = 1
    LINE = 2
    REDUCER = 3
    HOUSE = 4


LEVEL_WORDS = {
    RangeLevel.PAINT_AND_REDUCER: _("this paint with this reducer"),
    RangeLevel.PAINT: _("this paint with any reducer"),
    RangeLevel.LINE: _("its line with this reducer"),
    RangeLevel.REDUCER: _("the reducer's own sheet"),
    RangeLevel.HOUSE: _("the house's default"),
}


class SheetRange(NamedTuple):
    """One range from a sheet, or from the house's defaults.

    Args:
        level: how specific it is.
        title: the sheet's title.
        revised: the sheet's day; None for the house's defaults.
        low_milli: low end, thousandths of a per cent of the paint.
        high_milli: high end.
        step_milli: the largest step, if one is given.
        needle_low_um: smallest needle it is for, micrometres; None if there is no smallest.
        needle_high_um: largest needle it is for; None if there is no largest.
        withdrawn: whether the sheet was withdrawn.
        replaced: whether a newer revision replaces the sheet.
        source: where the sheet was found, or where the default comes from.
        wording: the sheet's own words, where a figure can be read two ways.
    """

    level: RangeLevel
    title: str
    revised: date | None
    low_milli: MilliPercent
    high_milli: MilliPercent
    step_milli: MilliPercent | None = None
    needle_low_um: Micrometres | None = None
    needle_high_um: Micrometres | None = None
    withdrawn: bool = False
    replaced: bool = False
    source: str = ""
    wording: str = ""
    pressure_low_pa: Pascals | None = None
    pressure_high_pa: Pascals | None = None
    humidity: str = ""

    @property
    def in_force(self) -> bool:
        """Whether it may be used: neither withdrawn nor replaced."""
        return not self.withdrawn and not self.replaced

    @property
    def for_any_needle(self) -> bool:
        """Whether it is for any needle."""
        return self.needle_low_um is None and self.needle_high_um is None

    def fits(self, needle_um: Micrometres | None) -> bool:
        """Whether it is for that needle; without a needle only ranges for any needle fit."""
        if needle_um is None or self.for_any_needle:
            return self.for_any_needle
        low, high = self.needle_low_um or 0, self.needle_high_um
        return low <= needle_um and (high is None or needle_um <= high)

    @property
    def needle_words(self) -> str:
        """The needles it is for, as text."""
        return show_needles(self.needle_low_um, self.needle_high_um)

    @property
    def shown_title(self) -> str:
        """The sheet's title; one of the house's own ranges is named by its needles instead."""
        return example(self.title) if self.level is RangeLevel.HOUSE else self.title

    @property
    def words(self) -> str:
        """The range in one line: figures, needle, sheet, day."""
        dated = _(" of {revised}", revised=show_day(self.revised)) if self.revised else ""
        pressure = f", {self.pressure_words}" if self.pressure_words else ""
        per_cent = show_range(self.low_milli, self.high_milli)
        return f"{per_cent}, {self.needle_words}{pressure} ({self.shown_title}{dated})"

    @property
    def pressure_words(self) -> str:
        """The spraying pressure as text; empty if the sheet gives none."""
        return show_pressures(self.pressure_low_pa, self.pressure_high_pa)


@lru_cache(maxsize=1)
def house_ranges() -> tuple[SheetRange, ...]:
    """The house's defaults: trade practice without a published source, as a table of bands."""
    with open(path_of("bench", "house_dosings.csv"), encoding="utf-8") as table:
        return tuple(
            SheetRange(
                level=RangeLevel.HOUSE,
                title=row["title"],
                revised=None,
                low_milli=MilliPercent(int(row["low_milli"])),
                high_milli=MilliPercent(int(row["high_milli"])),
                step_milli=MilliPercent(int(row["step_milli"])),
                needle_low_um=Micrometres(int(row["needle_low_um"])) if row["needle_low_um"] else None,
                needle_high_um=Micrometres(int(row["needle_high_um"])) if row["needle_high_um"] else None,
                source=row["source"],
            )
            for row in csv.DictReader(table)
        )
