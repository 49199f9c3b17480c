"""What goes where when it is thrown away, and how much hazardous waste there is.

Sources: 40 CFR 261.21(a)(1) (ignitable, and its exclusion for weak alcohol in water; that "aqueous" means at
least 50 % water by weight is EPA guidance, as a consultant quotes it); 40 CFR 261.31 and 50 FR 53315 (spent
solvents F003 and F005, mixtures by their content before use; read in copies of the list and in EPA's letter
9444.15(85)); EPA's answer RO 14109 (a product that was not used as a solvent carries no F code); 40 CFR
260.10 and 262.14(a)(1) and (4) (very small generator; read in Hawaii's adoption, HAR 11-262.14). Other
countries differ; the local collection decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from stock.cautions.ageing import bottles_in_words
from stock.cautions.compatibility import stars
from stock.cautions.composition import heaviest_ug_per_ml, unlisted_milli
from stock.cautions.facts import Finding, ProductFacts, StudioFacts
from stock.cautions.flammable import accounted_for
from stock.cautions.groups import groups_of
from stock.cautions.mixture import Blend
from stock.cautions.rules import RuleBook
from stock.cautions.standing import StoredBottle
from stock.cautions.substances import may_burn, substance
from stock.shelf.reactive import REACTIVE

IGNITABLE_BELOW_MC = 60_000
_ALCOHOL_BELOW = 0.24
_WATER_FROM_MILLI = 50_000
_F003 = ("acetone", "ethyl acetate", "butan-1-ol", "methanol")
_F005 = ("butanone",)
_F005_FROM_MILLI = {"volume": 10_000, "weight": 8_000}
"""Ten per cent by volume before use; by weight that is 8 % or more, for butanone is the lighter."""
_UNNAMED_FROM_MILLI = _F005_FROM_MILLI["weight"]
"""So much that nobody has named may be a listed solvent."""

_THROW_AWAY = "throw_away"

_SHARES_A_CAN = ("epoxy", "nitrocellulose", "metal_salt", "aluminium_powder", "zinc_powder")
"""What reacts with little enough to go into the can for what burns, apart from that."""


class Waste(NamedTuple):
    """What a product counts as when it is thrown away.

    `codes` are the United States waste codes that would apply, the worse case where `assumed`.
    """

    ignitable: bool
    codes: tuple[str, ...]
    assumed: bool
    why: str

    @property
    def hazardous(self) -> bool:
        """Whether its mass counts."""
        return bool(self.codes)


class Destination(NamedTuple):
    """Where one bottle that is to be thrown away goes."""

    bottle: int
    product: str
    on_hand_ul: int
    to: str
    codes: tuple[str, ...]
    why: str


@lru_cache(maxsize=2_048)  # asked anew for each thing that was ever thrown away, and products are few
def waste_of(product: ProductFacts, *, spent: bool = False) -> Waste:
    """What a product counts as when it is thrown away; unknown counts as ignitable.

    Args:
        spent: whether it was used as a solvent, as a cleaner is.
    """
    listed = spent_codes(product) if spent else ()
    assumed = spent and unlisted_milli(product) >= _UNNAMED_FROM_MILLI
    if product.flash_point_mc is None and not product.no_flash_point:
        return Waste(True, ("D001", *listed), True, "its flash point isn't known")
    if product.flash_point_mc is None or product.flash_point_mc >= IGNITABLE_BELOW_MC:
        return Waste(False, listed, assumed, "it doesn't flash below 60 °C")
    if weak_alcohol(product):
        return Waste(False, listed, assumed, "weak alcohol in water is excluded from ignitable waste")
    return Waste(True, ("D001", *listed), assumed, "it flashes below 60 °C")


def spent_codes(product: ProductFacts) -> tuple[str, ...]:
    """The codes of a spent solvent: F005 from ten per cent of one of its list, F003 where it holds no other.

    Where so much isn't named that it could be a listed solvent, it counts as one of F005.
    """
    named = [share for share in product.solvents or () if may_burn(share)]
    known = {share.name: substance(share) for share in named}
    names = [found.name if (found := known[share.name]) else share.name for share in named]
    fifth = any(
        name in _F005 and share.percent_milli >= _F005_FROM_MILLI[share.basis]
        for share, name in zip(named, names, strict=True)
    )
    fifth = fifth or unlisted_milli(product) >= _UNNAMED_FROM_MILLI
    third = any(name in _F003 for name in names) and (fifth or all(name in _F003 for name in names))
    return (*(("F003",) if third else ()), *(("F005",) if fifth else ()))


def weak_alcohol(product: ProductFacts) -> bool:
    """Whether it is water with less than 24 % alcohol by volume, and nothing else in it that burns.

    Water must make up at least 50 % of its weight, and what is named must be all of it and explain its flash
    point.
    """
    if (product.water_milli or 0) < _WATER_FROM_MILLI or not accounted_for(product):
        return False
    blend = Blend.of_product(product)
    if any(part.burns and part.group != "alcohol" for part, _ in blend.parts):
        return False
    volumes = {
        part.name: moles * (part.molar_mg or 0) / (part.density_ug_per_ml or 1) for part, moles in blend.parts
    }
    alcohol = sum(volume for name, volume in volumes.items() if name != "water")
    return alcohol / sum(volumes.values()) < _ALCOHOL_BELOW


def mass_mg(volume_ul: int, products: Iterable[ProductFacts]) -> int:
    """Milligrams of so much of these together, as heavy as the heaviest of them."""
    return volume_ul * max(heaviest_ug_per_ml(each) for each in products) // 1_000_000


def destinations(standing: Iterable[StoredBottle], said: Iterable[Finding]) -> list[Destination]:
    """Where each bottle goes that the findings say to throw away."""
    going = {finding.bottle for finding in said if finding.action == _THROW_AWAY}
    return [_destination(each) for each in standing if each.bottle.id in going]


def _destination(each: StoredBottle) -> Destination:
    found = waste_of(each.product)
    groups = groups_of(each.product)
    reactive = [word for word in REACTIVE if word in groups and word not in _SHARES_A_CAN]
    if reactive:
        to, why = (
            "a can of its own, then the hazardous waste collection",
            f"it is {reactive[0].replace('_', ' ')}",
        )
    elif found.ignitable:
        to, why = "the closed metal can for what burns, then the hazardous waste collection", found.why
    else:
        paint = each.product.role in ("paint", "clear", "mixed")
        to, why = f"the {'paint' if paint else 'hazardous waste'} collection; never the drain", found.why
    return Destination(each.bottle.id, each.product.name, each.bottle.on_hand_ul, to, found.codes, why)


def apart_in_waste(products: list[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """What may not go into one waste can, of what is thrown away."""
    for star in stars(products):
        about = (star.product.id, star.product.name)
        yield from book.find(
            "waste-apart",
            product=about,
            source=star.source,
            danger=star.danger,
            others=star.names,
            effect=star.effect,
        )


def waste_findings(
    facts: StudioFacts, standing: list[StoredBottle], said: list[Finding], book: RuleBook
) -> Iterator[Finding]:
    """What to do with what the other rules say to throw away, and how much hazardous waste there is.

    Args:
        facts: for the kilograms.
        standing: every bottle that holds something.
        said: the findings made so far.
    """
    numbers = {finding.bottle for finding in said if finding.action == _THROW_AWAY}
    going = [each for each in standing if each.bottle.id in numbers]
    hazardous = [each for each in going if waste_of(each.product).hazardous]
    if hazardous:
        yield from book.find(
            "ignitable-waste", which=bottles_in_words([each.bottle.id for each in hazardous])
        )
    yield from apart_in_waste(list({each.product.id: each.product for each in going}.values()), book)
    waiting_mg = sum(mass_mg(each.bottle.on_hand_ul, [each.product]) for each in hazardous)
    yield from _kilograms(facts, waiting_mg, book)


def _kilograms(facts: StudioFacts, waiting_mg: int, book: RuleBook) -> Iterator[Finding]:
    """The month's waste, and what stands here: thrown away since the last collection, or waiting for it."""
    most_kg = book.figure("too-much-waste", "month_kg")
    if facts.waste_mg is not None and facts.waste_mg > most_kg * 1_000_000:
        yield from book.find("too-much-waste", kilograms=_kg(facts.waste_mg), limit=most_kg)
    if facts.waste_on_hand_mg is None:
        return
    on_hand_mg, limit_kg = facts.waste_on_hand_mg + waiting_mg, book.figure("waste-on-hand", "on_hand_kg")
    if on_hand_mg >= limit_kg * 1_000_000:
        since = f"since {facts.waste_since}" if facts.waste_since else "ever, for no collection is noted"
        yield from book.find("waste-on-hand", kilograms=_kg(on_hand_mg), limit=limit_kg, when=since)


def _kg(milligrams: int) -> str:
    return f"{milligrams / 1_000_000:.1f}"
