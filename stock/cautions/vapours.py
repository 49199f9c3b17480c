"""The vapours of a mix while it is sprayed, one of each solvent with its limits.

All solvent counts as evaporated. An unnamed part counts as the worst vapour (`unnamed_vapour`). Volumes are those of an
ideal gas at 25 °C and 101.325 kPa.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import inf

from stock.cautions.composition import heaviest_ug_per_ml, unlisted_milli
from stock.cautions.facts import MixPart, ProductFacts, SolventShare
from stock.cautions.mixture import solvent_mg
from stock.cautions.rules import RuleBook
from stock.cautions.substances import Substance, substance
from stock.cautions.unnamed_vapour import WorstVapour, worst_of_share, worst_vapour
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, MilliPercent

LITRES_PER_MOLE = 24.4654
"""Litres of a mole of ideal gas at 25 °C and 101.325 kPa."""

SPRAYING = "air-while-spraying"
"""The rule whose figures replace unknown limits."""
_HIGH_FLASH_MC = 93_000
_LITRE_UL = Microlitres(1_000_000)


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


def vapour_l(milligrams: float, molar_mg: int) -> float:
    """Litres of vapour at 25 °C from a mass of solvent."""
    return milligrams / molar_mg * LITRES_PER_MOLE


def vapours_of(parts: Sequence[MixPart], book: RuleBook) -> list[Vapour]:
    """The vapours of a mix: each named solvent at the high end of its share, and unnamed parts as the worst vapour.

    A solvent without known limits gets the worst limits of the rule. Left out are solvents without an exposure limit
    that hardly evaporate (flash point above 93 °C) or don't burn, and isocyanates, for which no dilution is enough;
    they have a rule of their own.
    """
    return given_off([(part.volume_ul, of_a_litre(part.product, book)) for part in parts])


class LitreVapours(NamedTuple):
    """The vapours of a litre of a product: those of named solvents, and that of the unnamed part, None if too small.

    `unlisted_milli` is the unnamed share, thousandths of a per cent.
    """

    named: tuple[Vapour, ...]
    unnamed: Vapour | None
    unlisted_milli: MilliPercent


def given_off(given: Sequence[tuple[int, LitreVapours]]) -> list[Vapour]:
    """The vapours of so many microlitres of each product: first of named solvents, then of unnamed parts."""
    named = [(volume_ul, each) for volume_ul, of_it in given for each in of_it.named]
    unnamed = [(volume_ul, of_it.unnamed) for volume_ul, of_it in given if of_it.unnamed is not None]
    return [
        each._replace(litres=each.litres * volume_ul / _LITRE_UL) for volume_ul, each in (*named, *unnamed)
    ]


@lru_cache(maxsize=1_024)
def of_a_litre(product: ProductFacts, book: RuleBook) -> LitreVapours:
    """The vapours of a litre of a product."""
    litre = MixPart(product, _LITRE_UL)
    named = [
        _vapour(litre, share, book)
        for share in product.solvents or ()
        if share.percent_milli and _evaporates(substance(share))
    ]
    worst = worst_of(product, book)
    unnamed = _at_worst(litre, worst) if worst is not None else None
    return LitreVapours(tuple(named), unnamed, unlisted_milli(product))


def worst_of(product: ProductFacts, book: RuleBook) -> WorstVapour | None:
    """The worst vapour of a product's unnamed part by the figures of a rule; None if too little is unnamed."""
    return worst_vapour(product, book.figure(SPRAYING, "excursion"))


def _at_worst(part: MixPart, worst: WorstVapour) -> Vapour:
    """The vapour of an unnamed part, with limits that give each purpose its worst case."""
    product = part.product
    milligrams = part.volume_ul * heaviest_ug_per_ml(product) / 1_000_000 * unlisted_milli(product) / 100_000

    return _limited(_("what isn't named of {name}", name=product.name), milligrams, worst)


def _limited(name: str, milligrams: float, worst: WorstVapour) -> Vapour:
    """A volume of worst-case vapour with limits that give each purpose its worst case."""

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


def _evaporates(entry: Substance | None) -> bool:
    if entry is None:
        return True
    if entry.group == "isocyanate":
        return False
    if entry.limit_ppm is not None or entry.group == "chlorinated":
        return True
    return entry.can_flash and (entry.flash_point_mc or 0) <= _HIGH_FLASH_MC


def _vapour(part: MixPart, share: SolventShare, book: RuleBook) -> Vapour:
    entry = substance(share)
    if entry is None:
        return _of_unknown_name(part, share, book)
    molar_mg = entry.molar_mg or book.figure(SPRAYING, "worst_molar_mg")
    lowest = entry.limit_ppm or book.figure(SPRAYING, "worst_ppm")
    shift = entry.exposure_ppm or lowest
    return Vapour(
        name=entry.name,
        litres=vapour_l(solvent_mg(part.product, share, part.volume_ul), molar_mg),
        lower_milli=(entry.lower_milli or book.figure(SPRAYING, "worst_lower_milli"))
        if entry.burns
        else None,
        exposure_ppm=lowest,
        assumed=entry.limit_ppm is None or (entry.burns and entry.lower_milli is None),
        shift_ppm=shift,
        short_ppm=entry.short_term_ppm or shift * book.figure(SPRAYING, "excursion"),
        ceiling_ppm=entry.ceiling_ppm,
    )


def _of_unknown_name(part: MixPart, share: SolventShare, book: RuleBook) -> Vapour:
    """The vapour of an unknown name: the worse of an unnamed part's and of the rule's worst figures."""
    excursion = book.figure(SPRAYING, "excursion")
    worst = worst_of_share(part.product, share.percent_milli, excursion)
    moles = 1 / book.figure(SPRAYING, "worst_molar_mg")
    ppm, lower_milli = book.figure(SPRAYING, "worst_ppm"), book.figure(SPRAYING, "worst_lower_milli")
    if worst.fire * 400_000 - worst.moles < moles / lower_milli * 400_000 - moles:
        worst = worst._replace(moles=moles, fire=moles / lower_milli)
    worst = worst._replace(
        health=max(worst.health, moles / ppm),
        shift=max(worst.shift, moles / ppm),
        short=max(worst.short, moles / ppm / excursion),
    )
    milligrams = solvent_mg(part.product, share, part.volume_ul)
    return _limited(share.name, milligrams, worst)._replace(assumed=True)
