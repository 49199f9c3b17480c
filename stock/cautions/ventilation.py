"""Air while spraying: the concentration of a mix's vapour in the room, and the air that it needs.

Findings name both fire and health, because health needs far more air. All solvent counts as evaporated while it is
sprayed.

Sources: 25 % of the lower explosive limit, 29 CFR
1910.94(c)(6) and International Fire Code 2018 section 2404; additive formula, 29 CFR 1910.1000(d)(2);
Le Chatelier's rule for the lower limit of a mixture; dilution air after ACGIH (from memory).
"""

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, exp
from typing import Any

from stock.cautions.composition import unnamed_in_words
from stock.cautions.facts import Finding, MixPart, ProductFacts, StudioFacts
from stock.cautions.room_air import Room, course
from stock.cautions.rules import RuleBook
from stock.cautions.vapours import SPRAYING, Vapour, given_off, of_a_litre, worst_of
from stock.grammar import all_digits, in_figures, in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import remembered
from stock.units import Microlitres, show_volume

_CODE, _UNKNOWN = SPRAYING, "air-unknown"
AIR_CODES = (_CODE, _UNKNOWN, "isocyanate-mist")
"""Rules about the air that spraying needs."""
_ONE_ML = 1_000
_FAR_BELOW_LIMITS = 0.1
"""A mix below this share of every limit gets no finding."""
_ASSUMED = _(" (some limits aren't known and are taken at their worst)")


class Thickness(NamedTuple):
    """The concentration of a mix's vapour in a room, as shares of its limits.

    `fire` is the share of the lower explosive limit, of which a quarter is allowed. `short`, `shift` and `ceiling` are
    sums of concentration over limit for 15 minutes, for 8 hours and for any moment; above one the limit is passed.
    """

    fire: float
    short: float
    shift: float
    ceiling: float

    @property
    def most(self) -> float:
        """The largest share of an allowed value; above one a limit is passed."""
        return max(self.fire * 4, self.short, self.shift, self.ceiling)


class Air(NamedTuple):
    """Litres of air that vapour needs: to stay under 25 % of the lower explosive limit, and for health."""

    vapour_l: float
    fire_l: float
    health_l: float

    @property
    def most_l(self) -> float:
        """The larger of the two."""
        return max(self.fire_l, self.health_l)


def mixed_lower_milli(vapours: Sequence[Vapour]) -> float:
    """The lower explosive limit of vapours together, by Le Chatelier's rule; all of them must burn."""
    whole = sum(each.litres for each in vapours)
    return 1 / sum(each.litres / whole / each.lower_milli for each in vapours if each.lower_milli)


def air_for(vapours: Sequence[Vapour], mixing_milli: int = 1_000) -> Air:
    """The air that vapours need.

    Args:
        vapours: the vapours together.
        mixing_milli: the factor, in thousandths, for air that a room mixes badly.
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


def thickness(vapours: Sequence[Vapour], minutes: float, room: Room) -> Thickness:
    """The concentrations of vapours given off evenly for so long in a room."""
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


def sprayable_ul_per_h(air: Air, volume_ul: Microlitres, fan_l_per_h: int) -> int:
    """Microlitres of a mix that may be sprayed in an hour with a fan's air."""
    return int(volume_ul * fan_l_per_h / air.most_l) if air.most_l else 0


def air_findings(parts: Sequence[MixPart], studio: StudioFacts, book: RuleBook) -> Iterator[Finding]:
    """The findings about a mix's vapour in the studio's room, and the air for spraying it without a pause.

    Without a fan's figure the room counts as still, without a volume as small, and without a spray rate the airbrush as
    fast. A mix below a tenth of every limit gets no finding, unless it has an unnamed part: then the worst-case figures
    are the finding `air-unknown` of its least known product.
    """
    given = [(part, of_a_litre(part.product, book)) for part in parts]
    vapours = given_off([(part.volume_ul, of_it) for part, of_it in given])
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
    if thick.most < _FAR_BELOW_LIMITS and about is None:
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
    """The substances that stand for a product's unnamed part, and the facts that ruled out worse ones, in words."""
    worst = worst_of(product, book)
    if worst is None or not worst.to_breathe:
        return _("gives off nothing, by what its sheet says")
    by = _(" and its ").join(worst.ruled_out_by)
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
    """The studio's room with the effective part of its fan's air."""
    litres = studio.room_l or book.figure(_CODE, "small_room_m3") * 1_000
    fan = studio.fan_l_per_h
    air_l = book.figure(_CODE, "still_room_m3_per_h") * 1_000 if fan is None else fan
    return Room(litres / 1_000, air_l * 1_000 / mixing_milli / 1_000 / 60)


@remembered(16)
def _room_words(room: Room, *, noted: bool) -> str:
    """The room in words, and whether its figures are noted or assumed."""
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
    """The spray rate in words, and whether it is noted or assumed."""
    rate = (
        _("{rate} of it is sprayed a minute", rate=show_volume(Microlitres(rate_ul_per_min)))
        if rate_ul_per_min == _ONE_ML
        else _("{rate} of it are sprayed a minute", rate=show_volume(Microlitres(rate_ul_per_min)))
    )
    return rate + (
        _(", your own rate") if measured else _(", the fast end of an airbrush; your own rate isn't noted")
    )


def _fan_words(air: Air, volume_ul: Microlitres, fan_l_per_h: int | None) -> str:
    if fan_l_per_h is None:
        return _("your fan's figure isn't noted")
    most = show_volume(Microlitres(sprayable_ul_per_h(air, volume_ul, fan_l_per_h) // 1_000 * 1_000))
    return _(
        "your fan moves {fan_l_per_h} m³/h, enough for {most} of this mix an hour",
        fan_l_per_h=fan_l_per_h // 1000,
        most=most,
    )


def _cubic_metres(litres: float) -> str:
    """Air an hour in words, rounded up to a tenth below 100 m³ and to a whole cubic metre above."""
    tenths = ceil(litres / 100)
    return _("{tenths} m³/h", tenths=in_figures(tenths / 10 if tenths < 1000 else ceil(litres / 1000)))
