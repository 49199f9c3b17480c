"""What goes where when it is thrown away, and how much hazardous waste a month makes.

Sources: 40 CFR 261.21(a)(1) (ignitable, and its exclusion for weak alcohol in water), 40 CFR 261.31 (spent
solvents, from memory), 40 CFR 262.14 (very small generator). Other countries differ; the local collection
decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stock.cautions.ageing import bottles_in_words
from stock.cautions.compatibility import stars
from stock.cautions.facts import Finding, ProductFacts, StudioFacts
from stock.cautions.mixture import Blend
from stock.cautions.rules import RuleBook
from stock.cautions.storage import Standing
from stock.cautions.substances import bears_solvent, substance

IGNITABLE_BELOW_MC = 60_000
_ALCOHOL_BELOW = 0.24
_WATER_FROM_MILLI = 50_000
_SPENT = {"acetone": "F003", "butanone": "F005"}
_THROW_AWAY = "throw_away"


@dataclass(frozen=True, slots=True)
class Waste:
    """Where a product goes when it is thrown away.

    `codes` are the United States waste codes that would apply, the worse case where `assumed`.
    """

    ignitable: bool
    codes: tuple[str, ...]
    assumed: bool
    why: str


def waste_of(product: ProductFacts) -> Waste:
    """Where a product goes when it is thrown away; unknown counts as ignitable."""
    spent = tuple(code for code, name in _spent(product))
    if product.flash_point_mc is None and not product.no_flash_point and bears_solvent(product) is not False:
        return Waste(True, ("D001", *spent), True, "its flash point isn't known")
    if product.flash_point_mc is None or product.flash_point_mc >= IGNITABLE_BELOW_MC:
        return Waste(bool(spent), spent, False, "it doesn't flash below 60 °C")
    if weak_alcohol(product):
        return Waste(False, spent, False, "weak alcohol in water is excluded from ignitable waste")
    return Waste(True, ("D001", *spent), False, "it flashes below 60 °C")


def _spent(product: ProductFacts) -> Iterator[tuple[str, str]]:
    for share in product.solvents or ():
        known = substance(share.name)
        if share.percent_milli and known is not None and known.name in _SPENT:
            yield _SPENT[known.name], known.name


def weak_alcohol(product: ProductFacts) -> bool:
    """Whether it is water with less than 24 % alcohol by volume, and nothing else in it that burns.

    Water must make up at least 50 % of its weight.
    """
    if (product.water_milli or 0) < _WATER_FROM_MILLI:
        return False
    blend = Blend.of_product(product)
    if blend is None or any(part.burns and part.group != "alcohol" for part, _ in blend.parts):
        return False
    volumes = {
        part.name: moles * (part.molar_mg or 0) / (part.density_ug_per_ml or 1) for part, moles in blend.parts
    }
    alcohol = sum(volume for name, volume in volumes.items() if name != "water")
    return alcohol / sum(volumes.values()) < _ALCOHOL_BELOW


def apart_in_waste(products: list[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """What may not go into one waste can, of what is thrown away."""
    for star in stars(products):
        about = (star.product.id, star.product.name)
        yield from book.find(
            "waste-apart", product=about, source=star.source, others=star.names, effect=star.effect
        )


def waste_findings(
    facts: StudioFacts, standing: list[Standing], said: list[Finding], book: RuleBook
) -> Iterator[Finding]:
    """What to do with what the other rules say to throw away, and the month's hazardous waste.

    Args:
        facts: for the kilograms.
        standing: every bottle that holds something.
        said: the findings made so far.
    """
    going = {finding.bottle for finding in said if finding.action == _THROW_AWAY}
    ignitable = [
        each.bottle.id for each in standing if each.bottle.id in going and waste_of(each.product).ignitable
    ]
    if ignitable:
        yield from book.find("ignitable-waste", which=bottles_in_words(ignitable))
    products = list({each.product.id: each.product for each in standing if each.bottle.id in going}.values())
    yield from apart_in_waste(products, book)
    most_kg = book.figure("too-much-waste", "month_kg")
    if facts.waste_mg is not None and facts.waste_mg > most_kg * 1_000_000:
        kilograms = f"{facts.waste_mg / 1_000_000:.1f}"
        yield from book.find("too-much-waste", kilograms=kilograms, limit=most_kg)
