"""Where things stand: litres against limits, containers, neighbours, frost, flames."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from stock.cautions.ageing import bottles_in_words
from stock.cautions.compatibility import stars
from stock.cautions.facts import BottleFacts, Finding, PlaceFacts, ProductFacts
from stock.cautions.flammable import Burning, limit_category
from stock.cautions.rules import Limit, RuleBook
from stock.units import show_temperature

NOWHERE = PlaceFacts(0, "no place noted")
"""Where bottles without a place are counted, so that they don't fall out of a building's sum."""

_KINDS = {
    "glass": "glass",
    "plastic": "plastic",
    "metal": "a metal can",
    "safety_can": "a safety can",
    None: "glass or plastic (what it is isn't noted)",
}
_FREEZES_MC = 0
GENTLE_LOW_MC, GENTLE_HIGH_MC = 15_000, 25_000
"""What any product bears, common practice; taken where its own range isn't known."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One bottle that holds something, with its product, what it counts as, and its place."""

    bottle: BottleFacts
    product: ProductFacts
    found: Burning
    place: PlaceFacts

    @property
    def category(self) -> int | None:
        """The GHS category that its litres count against."""
        return limit_category(self.found, self.product)

    @property
    def about(self) -> tuple[int, str]:
        """Number and name of its product."""
        return self.product.id, self.product.name


def litres(volume_ul: int) -> str:
    """A volume in litres to read: `12.5 L`."""
    return f"{volume_ul / 1_000_000:.3f}".rstrip("0").rstrip(".") + " L"


def _held(standing: Iterable[Standing]) -> int:
    return sum(each.bottle.on_hand_ul for each in standing)


def flammable(standing: Iterable[Standing]) -> list[Standing]:
    """Those that count as flammable liquids, the unknown ones among them."""
    return [each for each in standing if each.category is not None]


def storage(standing: list[Standing], day_use_ul: int | None, book: RuleBook) -> Iterator[Finding]:
    """Everything that a place can be wrong for.

    Args:
        standing: every bottle that holds something.
        day_use_ul: flammable stock the studio sprays on its busiest day; None if not known.
    """
    places = sorted({each.place for each in standing}, key=lambda place: place.id)
    for place in places:
        here = [each for each in standing if each.place == place]
        yield from place_findings(place, here, day_use_ul, book)
    for building in sorted({place.building for place in places}):
        there = [each for each in standing if each.place.building == building]
        yield from _building_limits(building, there, book)
    for each in standing:
        yield from _container(each, book)


def place_findings(
    place: PlaceFacts, here: list[Standing], day_use_ul: int | None, book: RuleBook
) -> Iterator[Finding]:
    """What is wrong with one place, given what stands there."""
    about = (place.id, place.name) if place.id else None
    burns = flammable(here)
    volume_ul = _held(burns)
    if place.limit_ul is not None and volume_ul > place.limit_ul:
        words: dict[str, Any] = {"held": litres(volume_ul), "limit": litres(place.limit_ul)}
        yield from book.find(
            "place-over-limit", place=about, over=litres(volume_ul - place.limit_ul), **words
        )
    if place.kind == "cabinet":
        yield from _over("over-code-limit", "cabinet", burns, book, where=place.name, about=about)
    if burns and place.ignition:
        yield from book.find("flame-near", place=about, held=litres(volume_ul))
    if place.kind == "spray_area" and burns:
        yield from _spray_area(place, burns, day_use_ul, book)
    yield from _neighbours(about, here, book)
    yield from _temperatures(place, here, book)


def _over(
    code: str,
    scope: str,
    burns: list[Standing],
    book: RuleBook,
    *,
    where: str,
    about: tuple[int, str] | None = None,
) -> Iterator[Finding]:
    """Litres of categories or classes against each limit; the most exceeded one speaks."""
    worst: tuple[float, Limit, int] | None = None
    for limit in book.limits(code):
        if limit.figures["scope"] != scope:
            continue
        held_ul = sum(each.bottle.on_hand_ul for each in burns if _counts(each, limit))
        share = held_ul / (limit.figures["litres_milli"] * 1_000)
        if share > 1 and (worst is None or share > worst[0]):
            worst = (share, limit, held_ul)
    if worst is not None:
        _, limit, held_ul = worst
        allowed = litres(limit.figures["litres_milli"] * 1_000)
        words: dict[str, Any] = {
            "held": litres(held_ul),
            "limit": allowed,
            "what": limit.what,
            "where": where,
        }
        yield from book.find(code, place=about, source=limit.source, **words)


def _counts(each: Standing, limit: Limit) -> bool:
    """Whether a bottle counts against a limit, by GHS category or by NFPA class."""
    if "classes" in limit.figures:
        nfpa = "IA" if each.category == 1 and not each.found.known else each.found.classes.nfpa
        return nfpa in limit.figures["classes"]
    return each.category in limit.figures["categories"]


def _building_limits(building: str, there: list[Standing], book: RuleBook) -> Iterator[Finding]:
    burns = flammable(there)
    outside = [each for each in burns if each.place.kind != "cabinet"]
    name = f"the building {building}" if building else "the building"
    yield from _over("over-building-limit", "outside", outside, book, where=f"{name}, outside cabinets")
    yield from _over("over-building-limit", "building", burns, book, where=name)


def _container(each: Standing, book: RuleBook) -> Iterator[Finding]:
    """A container larger than its kind may be; one of unknown kind counts as plastic or glass."""
    category = each.category
    if category is None or each.bottle.kept:
        return
    kind = each.bottle.container or "plastic"
    over: tuple[int, Limit] | None = None
    for limit in book.limits("container-too-big"):
        most_ul = limit.figures.get(f"category_{category}_milli", 0) * 1_000
        fits = kind in limit.figures["containers"] and most_ul and each.bottle.size_ul > most_ul
        if fits and (over is None or most_ul < over[0]):
            over = (most_ul, limit)
    if over is not None:
        yield from book.find(
            "container-too-big",
            product=each.about,
            bottle=each.bottle.id,
            place=(each.place.id, each.place.name) if each.place.id else None,
            source=over[1].source,
            size=litres(each.bottle.size_ul),
            limit=litres(over[0]),
            category=category,
            kind=_KINDS[each.bottle.container],
        )


def _spray_area(
    place: PlaceFacts, burns: list[Standing], day_use_ul: int | None, book: RuleBook
) -> Iterator[Finding]:
    about = (place.id, place.name)
    held_ul = _held(burns)
    if day_use_ul is None or held_ul > day_use_ul:
        day = "what a day uses isn't known" if day_use_ul is None else f"a busy day uses {litres(day_use_ul)}"
        yield from book.find("more-than-a-day", place=about, held=litres(held_ul), day=day)
    if place.premises in ("home", None):
        yield from book.find(
            "spraying-at-home",
            place=about,
            severity=None if place.premises == "home" else "note",
            what="is at home" if place.premises else "isn't noted as home, workshop or spray room",
        )
    glass = [each.bottle.id for each in burns if each.bottle.container in ("glass", None)]
    if place.premises == "spray_room" and glass:
        yield from book.find(
            "glass-in-spray-room", place=about, bottles=tuple(glass), which=bottles_in_words(glass)
        )


def _neighbours(about: tuple[int, str] | None, here: list[Standing], book: RuleBook) -> Iterator[Finding]:
    """Products that must be kept apart, standing in one place; the one that most may not stand beside speaks."""
    products = list({each.product.id: each.product for each in here}.values())
    if about is None:
        return
    for star in stars(products, apart=True):
        mine = [each for each in here if each.product.id == star.product.id]
        others = [each for each in here if each.product in star.others]
        large_ul = book.figure("stored-apart", "large_ul")
        yield from book.find(
            "stored-apart",
            place=about,
            product=mine[0].about,
            bottle=mine[0].bottle.id,
            severity=None if _held(mine) > large_ul and _held(others) > large_ul else "warn",
            others=star.names,
            effect=star.effect,
        )


def _temperatures(place: PlaceFacts, here: list[Standing], book: RuleBook) -> Iterator[Finding]:
    about = (place.id, place.name) if place.id else None
    wet: list[int] = []
    if place.low_mc is not None and place.low_mc <= _FREEZES_MC:
        wet = [each.bottle.id for each in here if may_freeze(each.product)]
        low = show_temperature(place.low_mc)
        if wet:
            yield from book.find(
                "frost", place=about, bottles=tuple(wet), low=low, which=bottles_in_words(wet)
            )
    unknown = []
    for each in here:
        told = replace(place, low_mc=None) if each.bottle.id in wet else place
        if out_of_range(told, each.product):
            yield from _wrong_temperature(told, each, about, book)
        elif not _range_known(each.product) and _reaches(told, each.product):
            unknown.append(each.bottle.id)
    if unknown:
        which, reaches = bottles_in_words(unknown), _reaches(place, None)
        yield from book.find(
            "keeping-temperature-unknown", place=about, bottles=tuple(unknown), reaches=reaches, which=which
        )


def _wrong_temperature(
    place: PlaceFacts, each: Standing, about: tuple[int, str] | None, book: RuleBook
) -> Iterator[Finding]:
    return book.find(
        "wrong-temperature",
        product=each.about,
        bottle=each.bottle.id,
        place=about,
        low=show_temperature(each.product.store_low_mc or 0),
        high=show_temperature(each.product.store_high_mc or 0),
        reaches=_reaches(place, each.product),
    )


def may_freeze(product: ProductFacts) -> bool:
    """Whether frost harms it: anything with water in it, and what nobody has noted the water of."""
    return product.water_milli is None or product.water_milli > 0


def out_of_range(place: PlaceFacts, product: ProductFacts) -> bool:
    """Whether a place leaves the range that a product is known to keep at."""
    return _range_known(product) and bool(_reaches(place, product))


def _range_known(product: ProductFacts) -> bool:
    return product.store_low_mc is not None and product.store_high_mc is not None


def _reaches(place: PlaceFacts, product: ProductFacts | None) -> str:
    """How a place leaves a product's range, in words; an end that isn't known is taken to be a mild one."""
    low_mc = product.store_low_mc if product else None
    high_mc = product.store_high_mc if product else None
    low = GENTLE_LOW_MC if low_mc is None else low_mc
    high = GENTLE_HIGH_MC if high_mc is None else high_mc
    parts = []
    if place.low_mc is not None and place.low_mc < low:
        parts.append(f"falls to {show_temperature(place.low_mc)}")
    if place.high_mc is not None and place.high_mc > high:
        parts.append(f"rises to {show_temperature(place.high_mc)}")
    return " and ".join(parts)
