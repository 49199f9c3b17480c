"""Air while spraying: what a mix gives off, and how much air keeps it from burning and from harming.

Both answers are shown, for health needs far more air than fire does. The whole solvent is taken to
evaporate in the time it is sprayed.

Sources: vapour volume by the ideal gas at 25 °C and 101.325 kPa; 25 % of the lower explosive limit, 29 CFR
1910.94(c)(6) and International Fire Code 2018 section 2404; additive formula, 29 CFR 1910.1000(d)(2);
Le Chatelier's rule for the lower limit of a mixture; dilution air after ACGIH (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, exp
from typing import NamedTuple

from stock.cautions.composition import all_listed, unlisted_milli, unnamed_in_words
from stock.cautions.facts import Finding, MixPart, SolventShare
from stock.cautions.mixture import solvent_mg
from stock.cautions.rules import RuleBook
from stock.cautions.substances import Substance, substance
from stock.grammar import in_full
from stock.units import Microlitres, show_volume

LITRES_PER_MOLE = 24.4654
"""Of an ideal gas at 25 °C and 101.325 kPa."""

_CODE = "air-while-spraying"
_HIGH_FLASH_MC = 93_000
_ONE_ML = 1_000
_ASSUMED = " (some limits aren't known and are taken at their worst)"


class Vapour(NamedTuple):
    """One substance's vapour: litres of it, its lower explosive limit and its exposure limit.

    `lower_milli` is thousandths of a per cent of the air by volume, None of what does not burn; `exposure_ppm`
    is the lowest limit, whatever time it is for. Both are the worse case where `assumed`.
    """

    name: str
    litres: float
    lower_milli: int | None
    exposure_ppm: float
    assumed: bool = False


class Air(NamedTuple):
    """Litres of air for some vapour: to stay under 25 % of the lower explosive limit, and for health."""

    vapour_l: float
    fire_l: float
    health_l: float

    @property
    def most_l(self) -> float:
        """The larger of the two."""
        return max(self.fire_l, self.health_l)


def vapour_l(milligrams: float, molar_mg: int) -> float:
    """Litres of vapour that a solvent's mass makes at 25 °C."""
    return milligrams / molar_mg * LITRES_PER_MOLE


def mixed_lower_milli(vapours: Sequence[Vapour]) -> float:
    """The lower explosive limit of vapours together, by Le Chatelier's rule; all of them must burn."""
    whole = sum(each.litres for each in vapours)
    return 1 / sum(each.litres / whole / each.lower_milli for each in vapours if each.lower_milli)


def air_for(vapours: Sequence[Vapour], mixing_milli: int = 1_000) -> Air:
    """How much air these vapours need.

    Args:
        vapours: what evaporates.
        mixing_milli: thousandths; how many times more air is needed because a room mixes badly.
    Returns:
        Litres of air; for fire V (100 - L/4) / (L/4), the exact form, which is a little more than the
        regulation's 4 (100 - L) V / L, of what burns alone; for health the sum of V / limit (additive effects).
    """
    whole = sum(each.litres for each in vapours)
    burning = [each for each in vapours if each.lower_milli is not None and each.litres]
    fire = 0.0
    if burning:
        quarter = mixed_lower_milli(burning) / 1_000 / 4
        fire = sum(each.litres for each in burning) * (100 - quarter) / quarter
    health = sum(each.litres * 1_000_000 / each.exposure_ppm for each in vapours)
    return Air(whole, fire * mixing_milli / 1_000, health * mixing_milli / 1_000)


def additive_index(concentrations: Iterable[tuple[float, float]]) -> float:
    """The sum of concentration over limit; above one the mixture is over its limit."""
    return sum(found / limit for found, limit in concentrations)


def shift_average(periods: Iterable[tuple[float, float]], hours: float = 8) -> float:
    """The time-weighted average of (hours, concentration) over a shift."""
    return sum(time * found for time, found in periods) / hours


def decayed(ppm: float, changes_per_h: float, hours: float) -> float:
    """A concentration after some time of well-mixed ventilation."""
    return ppm * exp(-changes_per_h * hours)


def vapours_of(parts: Sequence[MixPart], book: RuleBook) -> list[Vapour]:
    """The vapours of what is named in a mix, each solvent at the most that it may make up.

    A solvent without known limits counts at the rule's worst ones. Left out are what hardly evaporates
    (flash point above 93 °C) and what does not burn, where they have no exposure limit, and isocyanates:
    no dilution is enough for them, which a rule of their own says.
    """
    return [
        _vapour(part, share, book)
        for part in parts
        for share in part.product.solvents or ()
        if share.percent_milli and _evaporates(substance(share))
    ]


def _evaporates(known: Substance | None) -> bool:
    if known is None:
        return True
    if known.group == "isocyanate":
        return False
    if known.limit_ppm is not None or known.group == "chlorinated":
        return True
    return known.burns and (known.flash_point_mc or 0) <= _HIGH_FLASH_MC


def _vapour(part: MixPart, share: SolventShare, book: RuleBook) -> Vapour:
    known = substance(share)
    molar_mg = (known.molar_mg if known else None) or book.figure(_CODE, "worst_molar_mg")
    burns = known is None or known.burns
    lower = known.lower_milli if known else None
    limit = known.limit_ppm if known else None
    return Vapour(
        name=known.name if known else share.name,
        litres=vapour_l(solvent_mg(part.product, share, part.volume_ul), molar_mg),
        lower_milli=(lower or book.figure(_CODE, "worst_lower_milli")) if burns else None,
        exposure_ppm=limit or book.figure(_CODE, "worst_ppm"),
        assumed=limit is None or (burns and lower is None),
    )


def sprayable_ul_per_h(air: Air, volume_ul: int, fan_l_per_h: int) -> int:
    """How much of this mix may be sprayed in an hour at a fan's air, microlitres."""
    return int(volume_ul * fan_l_per_h / air.most_l) if air.most_l else 0


def air_findings(
    parts: Sequence[MixPart], fan_l_per_h: int | None, spray_ul_per_min: int | None, book: RuleBook
) -> Iterator[Finding]:
    """The air that spraying this mix needs, against the studio's fan.

    Without a fan's figure the room is taken to be still; without a spray rate, the fast end of an airbrush.
    Where part of the mix isn't named the air for what is named is only some of it, and that is said.
    """
    unknown = [part.product for part in parts if not all_listed(part.product)]
    if unknown:
        worst = max(unknown, key=unlisted_milli)
        yield from book.find("air-unknown", product=(worst.id, worst.name), what=unnamed_in_words(worst))
    vapours = vapours_of(parts, book)
    volume_ul = sum(part.volume_ul for part in parts)
    if not vapours or not volume_ul:
        return
    rate = spray_ul_per_min or book.figure(_CODE, "rate_ul_per_min")
    air = air_for(vapours, book.figure(_CODE, "mixing_milli"))
    hours = volume_ul / rate / 60
    needed_l_per_h = air.most_l / hours
    still_l_per_h = book.figure(_CODE, "still_room_m3_per_h") * 1_000
    enough = needed_l_per_h <= (still_l_per_h if fan_l_per_h is None else fan_l_per_h)
    if enough and needed_l_per_h <= still_l_per_h:
        return
    yield from book.find(
        _CODE,
        severity="note" if enough else None,
        vapour=f"{air.vapour_l:.2f}",
        fire=_cubic_metres(air.fire_l / hours),
        health=_cubic_metres(air.health_l / hours),
        fan=_fan_words(air, volume_ul, fan_l_per_h),
        rate=_rate_words(rate, measured=spray_ul_per_min is not None),
        names=", ".join(dict.fromkeys(each.name for each in vapours)),
        assumed=_ASSUMED * any(each.assumed for each in vapours),
    )


def _rate_words(rate_ul_per_min: int, *, measured: bool) -> str:
    """How fast it is taken to be sprayed, and by whose word."""
    are = "are" if rate_ul_per_min != _ONE_ML else "is"
    rate = f"{show_volume(Microlitres(rate_ul_per_min))} of it {are} sprayed a minute"
    return rate + (
        ", your own rate" if measured else ", the fast end of an airbrush; your own rate isn't noted"
    )


def _fan_words(air: Air, volume_ul: int, fan_l_per_h: int | None) -> str:
    if fan_l_per_h is None:
        return "your fan's figure isn't noted"
    most = show_volume(Microlitres(sprayable_ul_per_h(air, volume_ul, fan_l_per_h) // 1_000 * 1_000))
    return f"your fan moves {fan_l_per_h // 1_000} m³/h, enough for {most} of this mix an hour"


def _cubic_metres(litres: float) -> str:
    return f"{in_full(ceil(litres / 100) / 10)} m³/h"
