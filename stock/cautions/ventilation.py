"""Air while spraying: what a mix gives off, how thick that gets in the room, and how much air it needs.

Fire and health are both told, for health needs far more air. The whole solvent is taken to
evaporate in the time it is sprayed.

Sources: vapour volume by the ideal gas at 25 °C and 101.325 kPa; 25 % of the lower explosive limit, 29 CFR
1910.94(c)(6) and International Fire Code 2018 section 2404; additive formula, 29 CFR 1910.1000(d)(2);
Le Chatelier's rule for the lower limit of a mixture; dilution air after ACGIH (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from math import ceil, exp, inf
from typing import Any, NamedTuple

from stock.cautions.composition import heaviest_ug_per_ml, unlisted_milli, unnamed_in_words
from stock.cautions.facts import Finding, MixPart, ProductFacts, SolventShare, StudioFacts
from stock.cautions.mixture import solvent_mg
from stock.cautions.room_air import Room, course
from stock.cautions.rules import RuleBook
from stock.cautions.substances import Substance, substance
from stock.cautions.unnamed_vapour import WorstVapour, worst_of_share, worst_vapour
from stock.grammar import all_digits, in_figures, in_full
from stock.language import _
from stock.notation import remembered
from stock.units import Microlitres, show_volume

LITRES_PER_MOLE = 24.4654
"""Of an ideal gas at 25 °C and 101.325 kPa."""

_CODE, _UNKNOWN = "air-while-spraying", "air-unknown"
AIR_CODES = (_CODE, _UNKNOWN, "isocyanate-mist")
"""Rules about the air that spraying needs."""
_HIGH_FLASH_MC = 93_000
_ONE_ML = 1_000
_LITRE_UL = 1_000_000
_NOT_TOLD = 0.1
"""Below this share of every limit nothing is said."""
_ASSUMED = _(" (some limits aren't known and are taken at their worst)")


class Vapour(NamedTuple):
    """One substance's vapour: litres of it, its lower explosive limit and its exposure limit.

    `lower_milli` is thousandths of a per cent of the air by volume, None of what does not burn; `exposure_ppm`
    is the lowest limit, whatever time it is for; `shift_ppm`, `short_ppm` and `ceiling_ppm` are those of 8 hours, of 15
    minutes and of any moment, the last None where there is none. They are the worse case where `assumed`.
    """

    name: str
    litres: float
    lower_milli: float | None
    exposure_ppm: float
    assumed: bool = False
    shift_ppm: float = 0.0
    short_ppm: float = 0.0
    ceiling_ppm: float | None = None


class Thickness(NamedTuple):
    """How thick a mix's vapour gets in a room, as shares of what may be.

    `fire` is of the lower explosive limit, a quarter of which is the most; `short`, `shift` and `ceiling` are sums of
    concentration over limit, of 15 minutes, of 8 hours and of any moment; above one the limit is passed.
    """

    fire: float
    short: float
    shift: float
    ceiling: float

    @property
    def most(self) -> float:
        """The share that is used most; above one something is passed."""
        return max(self.fire * 4, self.short, self.shift, self.ceiling)


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
    """The vapours of a mix: each named solvent at the most that it may make up, and what isn't named at its worst.

    A solvent without known limits counts at the rule's worst ones. Left out are what hardly evaporates
    (flash point above 93 °C) and what does not burn, where they have no exposure limit, and isocyanates:
    no dilution is enough for them, which a rule of their own says.
    """
    return _vapours([(part.volume_ul, _of_a_litre(part.product, book)) for part in parts])


class _Given(NamedTuple):
    """The vapours of a litre of a product: of what is named, and of what isn't, None where that is nothing to speak of.

    `unlisted_milli` is thousandths of a per cent that aren't named.
    """

    named: tuple[Vapour, ...]
    unnamed: Vapour | None
    unlisted_milli: int


def _vapours(given: Sequence[tuple[int, _Given]]) -> list[Vapour]:
    """The vapours of so many microlitres each: of everything that is named, then of what isn't."""
    named = [(volume_ul, each) for volume_ul, of_it in given for each in of_it.named]
    unnamed = [(volume_ul, of_it.unnamed) for volume_ul, of_it in given if of_it.unnamed is not None]
    return [
        each._replace(litres=each.litres * volume_ul / _LITRE_UL) for volume_ul, each in (*named, *unnamed)
    ]


@lru_cache(maxsize=1_024)
def _of_a_litre(product: ProductFacts, book: RuleBook) -> _Given:
    litre = MixPart(product, _LITRE_UL)
    named = [
        _vapour(litre, share, book)
        for share in product.solvents or ()
        if share.percent_milli and _evaporates(substance(share))
    ]
    worst = _worst(product, book)
    unnamed = _at_worst(litre, worst) if worst is not None else None
    return _Given(tuple(named), unnamed, unlisted_milli(product))


def _worst(product: ProductFacts, book: RuleBook) -> WorstVapour | None:
    return worst_vapour(product, book.figure(_CODE, "excursion"))


def _at_worst(part: MixPart, worst: WorstVapour) -> Vapour:
    """The vapour of what isn't named of a part; its limits are such that each purpose gets what is worst for it."""
    product = part.product
    milligrams = part.volume_ul * heaviest_ug_per_ml(product) / 1_000_000 * unlisted_milli(product) / 100_000

    return _limited(_("what isn't named of {name}", name=product.name), milligrams, worst)


def _limited(name: str, milligrams: float, worst: WorstVapour) -> Vapour:
    """So much of something that counts at its worst, as a vapour with limits that give each purpose its worst."""

    def limit(over_it: float) -> float | None:
        return worst.moles / over_it if over_it else None

    return Vapour(
        name=name,
        litres=milligrams * worst.moles * LITRES_PER_MOLE,
        lower_milli=limit(worst.fire),
        exposure_ppm=limit(worst.health) or inf,
        shift_ppm=limit(worst.shift) or inf,
        short_ppm=limit(worst.short) or inf,
        ceiling_ppm=limit(worst.ceiling),
    )


def _evaporates(known: Substance | None) -> bool:
    if known is None:
        return True
    if known.group == "isocyanate":
        return False
    if known.limit_ppm is not None or known.group == "chlorinated":
        return True
    return known.can_flash and (known.flash_point_mc or 0) <= _HIGH_FLASH_MC


def _vapour(part: MixPart, share: SolventShare, book: RuleBook) -> Vapour:
    known = substance(share)
    if known is None:
        return _of_unknown_name(part, share, book)
    molar_mg = known.molar_mg or book.figure(_CODE, "worst_molar_mg")
    lowest = known.limit_ppm or book.figure(_CODE, "worst_ppm")
    shift = known.exposure_ppm or lowest
    return Vapour(
        name=known.name,
        litres=vapour_l(solvent_mg(part.product, share, part.volume_ul), molar_mg),
        lower_milli=(known.lower_milli or book.figure(_CODE, "worst_lower_milli")) if known.burns else None,
        exposure_ppm=lowest,
        assumed=known.limit_ppm is None or (known.burns and known.lower_milli is None),
        shift_ppm=shift,
        short_ppm=known.short_term_ppm or shift * book.figure(_CODE, "excursion"),
        ceiling_ppm=known.ceiling_ppm,
    )


def _of_unknown_name(part: MixPart, share: SolventShare, book: RuleBook) -> Vapour:
    """The vapour of a name that isn't known here: as bad as if it weren't named, and as the rule's worst figures."""
    excursion = book.figure(_CODE, "excursion")
    worst = worst_of_share(part.product, share.percent_milli, excursion)
    moles = 1 / book.figure(_CODE, "worst_molar_mg")
    ppm, lower_milli = book.figure(_CODE, "worst_ppm"), book.figure(_CODE, "worst_lower_milli")
    if worst.fire * 400_000 - worst.moles < moles / lower_milli * 400_000 - moles:
        worst = worst._replace(moles=moles, fire=moles / lower_milli)
    worst = worst._replace(
        health=max(worst.health, moles / ppm),
        shift=max(worst.shift, moles / ppm),
        short=max(worst.short, moles / ppm / excursion),
    )
    milligrams = solvent_mg(part.product, share, part.volume_ul)
    return _limited(share.name, milligrams, worst)._replace(assumed=True)


def thickness(vapours: Sequence[Vapour], minutes: float, room: Room) -> Thickness:
    """How thick these vapours get, given off evenly for so long in a room."""
    of_a_litre = course(1.0, minutes, room)
    fire = short = shift = ceiling = 0.0
    for each in vapours:
        if each.lower_milli:
            fire += each.litres / (each.lower_milli * 10)
        short += each.litres / each.short_ppm
        shift += each.litres / each.shift_ppm
        if each.ceiling_ppm is not None:
            ceiling += each.litres / each.ceiling_ppm
    return Thickness(
        fire * of_a_litre.peak_ppm,
        short * of_a_litre.short_ppm,
        shift * of_a_litre.shift_ppm,
        ceiling * of_a_litre.peak_ppm,
    )


def sprayable_ul_per_h(air: Air, volume_ul: int, fan_l_per_h: int) -> int:
    """How much of this mix may be sprayed in an hour at a fan's air, microlitres."""
    return int(volume_ul * fan_l_per_h / air.most_l) if air.most_l else 0


def air_findings(parts: Sequence[MixPart], studio: StudioFacts, book: RuleBook) -> Iterator[Finding]:
    """How thick the vapour of this mix gets in the studio's room, and the air that spraying it without a pause needs.

    Without a fan's figure the room is taken to be still, without a volume to be small; without a spray rate, the fast
    end of an airbrush is. What stays below a tenth of every limit isn't told, but where something isn't named: then
    the figures are those at worst, and are told as `air-unknown` of the product of which least is known.
    """
    given = [(part, _of_a_litre(part.product, book)) for part in parts]
    vapours = _vapours([(part.volume_ul, of_it) for part, of_it in given])
    volume_ul = sum(part.volume_ul for part in parts)
    if not vapours or not volume_ul:
        return
    code, about = _CODE, None
    unnamed: dict[str, Any] = {}
    heard = [
        (part.product, of_it.unlisted_milli)
        for part, of_it in given
        if of_it.unnamed is not None and not book.silent_about(_UNKNOWN, part.product.id)
    ]
    if heard:
        code, about = _UNKNOWN, max(heard, key=lambda each: each[1])[0]
        unnamed = {"what": unnamed_in_words(about), "worst": _worst_words(about, book)}
    rate = studio.spray_ul_per_min or book.figure(_CODE, "rate_ul_per_min")
    mixing_milli = book.figure(_CODE, "mixing_milli")
    air = air_for(vapours, mixing_milli)
    hours = volume_ul / rate / 60
    room = _room(studio, mixing_milli, book)
    thick = thickness(vapours, hours * 60, room)
    if thick.most < _NOT_TOLD and about is None:
        return
    yield from book.find(
        code,
        product=(about.id, about.name) if about is not None else None,
        severity="note" if thick.most <= 1 and about is None else None,
        **unnamed,
        thick=_thick_words(thick),
        minutes=in_full(ceil(hours * 600) / 10),
        room=_room_words(room, noted=bool(studio.room_l)),
        vapour=all_digits(air.vapour_l, 2),
        fire=_cubic_metres(air.fire_l / hours),
        health=_cubic_metres(air.health_l / hours),
        fan=_fan_words(air, volume_ul, studio.fan_l_per_h),
        rate=_rate_words(rate, measured=studio.spray_ul_per_min is not None),
        names=", ".join(dict.fromkeys(each.name for each in vapours)),
        assumed=_ASSUMED * any(each.assumed for each in vapours),
    )


@remembered(512)
def _worst_words(product: ProductFacts, book: RuleBook) -> str:
    """Like which substances what isn't named of a product counts, and what of its sheet left no worse ones."""
    worst = _worst(product, book)
    if worst is None or not worst.to_breathe:
        return _("gives off nothing, by what its sheet says")
    by = _(" and its ").join(worst.told_by)
    by = _("by its {facts}", facts=by) if by else _("its sheet rules none out")
    if product.h_statements is None:
        by = _("{by}; its hazard statements, once noted, may rule worse ones out", by=by)
    if not worst.to_burn:
        return _(
            "harms like {substance}, of the solvents known here ({by})", substance=worst.to_breathe, by=by
        )
    return _(
        "harms like {substance} and burns like {burning}, of the solvents known here ({by})",
        substance=worst.to_breathe,
        burning=worst.to_burn,
        by=by,
    )


def _room(studio: StudioFacts, mixing_milli: int, book: RuleBook) -> Room:
    """The studio's room; of its fan's air only the part that mixes counts."""
    litres = studio.room_l or book.figure(_CODE, "small_room_m3") * 1_000
    fan = studio.fan_l_per_h
    air_l = book.figure(_CODE, "still_room_m3_per_h") * 1_000 if fan is None else fan
    return Room(litres / 1_000, air_l * 1_000 / mixing_milli / 1_000 / 60)


@remembered(16)
def _room_words(room: Room, *, noted: bool) -> str:
    """The room, and by whose word."""
    known = _("your room") if noted else _("a small room, for yours isn't noted")
    return _("{volume_m3} m³ ({known})", volume_m3=in_full(round(room.volume_m3, 1)), known=known)


def _thick_words(thick: Thickness) -> str:
    """The shares of the limits: `3 % of the lower explosive limit (25 % is the most), 2 times the 15-minute limit`."""
    parts = [
        _("{fire} % of the lower explosive limit (25 % is the most)", fire=_share(thick.fire * 100))
    ] * bool(thick.fire)
    parts += [
        _("{short} times the 15-minute limit", short=_share(thick.short)),
        _("{shift} times the 8-hour limit", shift=_share(thick.shift)),
    ]
    parts += [_("{ceiling} times the ceiling", ceiling=_share(thick.ceiling))] * bool(thick.ceiling)
    return ", ".join(parts)


def _share(value: float) -> str:
    """A share with two figures, rounded up: `0.12`, `1.4`, `37`."""
    digits = 0 if value >= 10 else 1 if value >= 1 else 2
    return in_full(ceil(value * 10**digits - 1e-9) / 10**digits)


@remembered(16)
def _rate_words(rate_ul_per_min: int, *, measured: bool) -> str:
    """How fast it is taken to be sprayed, and by whose word."""
    rate = (
        _("{rate} of it is sprayed a minute", rate=show_volume(Microlitres(rate_ul_per_min)))
        if rate_ul_per_min == _ONE_ML
        else _("{rate} of it are sprayed a minute", rate=show_volume(Microlitres(rate_ul_per_min)))
    )
    return rate + (
        _(", your own rate") if measured else _(", the fast end of an airbrush; your own rate isn't noted")
    )


def _fan_words(air: Air, volume_ul: int, fan_l_per_h: int | None) -> str:
    if fan_l_per_h is None:
        return _("your fan's figure isn't noted")
    most = show_volume(Microlitres(sprayable_ul_per_h(air, volume_ul, fan_l_per_h) // 1_000 * 1_000))
    return _(
        "your fan moves {fan_l_per_h} m³/h, enough for {most} of this mix an hour",
        fan_l_per_h=fan_l_per_h // 1000,
        most=most,
    )


def _cubic_metres(litres: float) -> str:
    """So much air an hour, rounded up: to a tenth below 100 m³, above to a whole cubic metre."""
    tenths = ceil(litres / 100)
    return _("{tenths} m³/h", tenths=in_figures(tenths / 10 if tenths < 1000 else ceil(litres / 1000)))
