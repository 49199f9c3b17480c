"""Where things stand: litres against limits, containers, neighbours, frost, flames."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

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
_FEW = 4


class Standing(NamedTuple):
    """One bottle that holds something, with its product, what it counts as, and its place."""

    bottle: BottleFacts
    product: ProductFacts
    found: Burning
    place: PlaceFacts

    @property
    def category(self) -> int | None:
        """The GHS category to speak of, the worse case included; None if it doesn't burn."""
        return limit_category(self.found)

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
    by_place: dict[PlaceFacts, list[Standing]] = {}
    for each in standing:
        by_place.setdefault(each.place, []).append(each)
    astray = by_place.get(NOWHERE, [])
    for place in sorted(by_place, key=lambda place: place.id):
        yield from place_findings(place, by_place[place], day_use_ul, book, astray=astray)
    yield from _neighbours_anywhere(astray, standing, book)
    yield from _buildings(by_place, book)
    yield from _not_noted(by_place, book)
    for each in standing:
        yield from _container(each, book)


def place_findings(
    place: PlaceFacts,
    here: list[Standing],
    day_use_ul: int | None,
    book: RuleBook,
    *,
    astray: Sequence[Standing] = (),
) -> Iterator[Finding]:
    """What is wrong with one place, given what stands there.

    Args:
        astray: bottles of which nobody has noted where they stand; they may stand here.
    """
    about = (place.id, place.name) if place.id else None
    burns = flammable(here)
    volume_ul = _held(burns)
    if place.limit_ul is not None and volume_ul > place.limit_ul:
        words: dict[str, Any] = {"held": litres(volume_ul), "limit": litres(place.limit_ul)}
        yield from book.find(
            "place-over-limit", place=about, over=litres(volume_ul - place.limit_ul), **words
        )
    if place.kind == "cabinet":
        yield from _over("over-code-limit", "cabinet", [*here, *astray], book, where=place.name, about=about)
    if burns and place.ignition:
        yield from book.find("flame-near", place=about, held=litres(volume_ul))
    if place.kind == "spray_area" and burns:
        yield from _spray_area(place, burns, day_use_ul, book)
    if about is not None:
        yield from _neighbours(about, here, here, book)
    yield from _temperatures(place, here, book)


def _over(
    code: str,
    scope: str,
    there: list[Standing],
    book: RuleBook,
    *,
    where: str,
    about: tuple[int, str] | None = None,
) -> Iterator[Finding]:
    """Litres of categories or classes against each limit; the most exceeded one speaks.

    It stops by what the records say; where only an estimate makes a class so bad, it warns.
    """
    for severity, counts in ((None, _counts), ("warn", _counts_by_estimate)):
        worst: tuple[float, Limit, int] | None = None
        for limit in book.limits(code):
            if limit.figures["scope"] != scope:
                continue
            held_ul = sum(each.bottle.on_hand_ul for each in there if counts(each, limit))
            share = held_ul / (limit.figures["litres_milli"] * 1_000)
            if share > 1 and (worst is None or share > worst[0]):
                worst = (share, limit, held_ul)
        if worst is not None:
            _, limit, held_ul = worst
            counted = tuple(each.bottle.id for each in there if counts(each, limit))
            words: dict[str, Any] = {
                "held": litres(held_ul),
                "limit": litres(limit.figures["litres_milli"] * 1_000),
                "what": limit.what,
                "where": where,
            }
            yield from book.find(
                code, place=about, severity=severity, source=limit.source, bottles=counted, **words
            )
            return


def _counts(each: Standing, limit: Limit) -> bool:
    """Whether a bottle counts against a limit, by GHS category or NFPA class: as any that it might be."""
    if "classes" in limit.figures:
        return any(each_class in limit.figures["classes"] for each_class in each.found.nfpa_classes())
    return any(category in limit.figures["categories"] for category in each.found.categories())


def _counts_by_estimate(each: Standing, limit: Limit) -> bool:
    if _counts(each, limit):
        return True
    if "classes" in limit.figures:
        return each.found.classes.nfpa in limit.figures["classes"] and each.category is not None
    return each.category in limit.figures["categories"]


def _buildings(by_place: Mapping[PlaceFacts, list[Standing]], book: RuleBook) -> Iterator[Finding]:
    """Each building's sums; a place whose building isn't noted counts in every one."""
    named = sorted({place.building for place in by_place if place.building})
    for building in named or [""]:
        mine = [place for place in by_place if place.building in ("", building)]
        there = [each for place in mine for each in by_place[place]]
        outside = [each for place in mine if place.kind != "cabinet" for each in by_place[place]]
        name = f"the building {building}" if building else "the building"
        yield from _over("over-building-limit", "outside", outside, book, where=f"{name}, outside cabinets")
        yield from _over("over-building-limit", "building", there, book, where=name)


def _not_noted(by_place: Mapping[PlaceFacts, list[Standing]], book: RuleBook) -> Iterator[Finding]:
    """What nobody has noted of the places, and of where bottles stand."""
    for place, here in sorted(by_place.items(), key=lambda pair: pair[0].id):
        numbers = tuple(each.bottle.id for each in here)
        if place is NOWHERE:
            yield from book.find("place-unknown", bottles=numbers, which=bottles_in_words(list(numbers)))
            continue
        missing = [word for word, known in (("cold", place.low_mc), ("warm", place.high_mc)) if known is None]
        said = [f"how {' and how '.join(missing)} it gets"] if missing else []
        if place.ignition is None and flammable(here):
            said.append("whether a flame, a heater or sparking gear is near")
        if said:
            yield from book.find(
                "place-not-described",
                place=(place.id, place.name),
                missing=" and ".join(said),
                options=_place_options(place),
            )
    undated = [each for here in by_place.values() for each in here if not _range_known(each.product)]
    if undated:
        names = list(dict.fromkeys(each.product.name for each in undated))
        shown = ", ".join(names[:_FEW]) + (f" and {len(names) - _FEW} more" if len(names) > _FEW else "")
        yield from book.find(
            "keeping-temperature-unknown",
            bottles=tuple(each.bottle.id for each in undated),
            names=shown,
            which=bottles_in_words([each.bottle.id for each in undated]),
        )


def _place_options(place: PlaceFacts) -> str:
    wanted = (
        ("--lowest 5C", place.low_mc is None),
        ("--highest 28C", place.high_mc is None),
        ("--ignition no", place.ignition is None),
    )
    return " ".join(option for option, missing in wanted if missing)


def _container(each: Standing, book: RuleBook) -> Iterator[Finding]:
    """A container larger than its kind may be; one of unknown kind counts as plastic or glass."""
    category = each.category
    if category is None or each.bottle.kept:
        return
    kinds = (each.bottle.container,) if each.bottle.container else ("glass", "plastic")
    over: tuple[int, Limit] | None = None
    for limit in book.limits("container-too-big"):
        most_ul = limit.figures.get(f"category_{category}_milli", 0) * 1_000
        bound = any(kind in limit.figures["containers"] for kind in kinds)
        if bound and most_ul and each.bottle.size_ul > most_ul and (over is None or most_ul < over[0]):
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
            what="is at home" if place.premises else "isn't noted as home, workshop or spray room",
        )
    glass = [each.bottle.id for each in burns if each.bottle.container in ("glass", None)]
    if place.premises == "spray_room" and glass:
        yield from book.find(
            "glass-in-spray-room", place=about, bottles=tuple(glass), which=bottles_in_words(glass)
        )


def _neighbours(
    about: tuple[int, str] | None, mine: list[Standing], here: list[Standing], book: RuleBook
) -> Iterator[Finding]:
    """Products that must be kept apart, standing in one place; the one that most may not stand beside speaks.

    Args:
        about: the place; None where nobody has noted it.
        mine: of `here`, the bottles to speak of.
    """
    products = list({each.product.id: each.product for each in here}.values())
    asked = {each.product.id for each in mine}
    large_ul = book.figure("stored-apart", "large_ul")
    for star in stars(products, apart=True):
        if star.product.id not in asked and asked.isdisjoint(other.id for other in star.others):
            continue
        first = [each for each in here if each.product.id == star.product.id]
        others = [each for each in here if each.product in star.others]
        yield from book.find(
            "stored-apart",
            place=about,
            product=first[0].about,
            bottle=first[0].bottle.id,
            bottles=tuple(each.bottle.id for each in (*first, *others)),
            severity=None if _held(first) > large_ul and _held(others) > large_ul else "warn",
            where=f"in {about[1]} beside" if about else "where nobody has noted, perhaps beside",
            others=star.names,
            effect=star.effect,
        )


def _neighbours_anywhere(
    astray: list[Standing], standing: list[Standing], book: RuleBook
) -> Iterator[Finding]:
    """What stands nobody knows where may stand beside anything."""
    if astray:
        yield from _neighbours(None, astray, standing, book)


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
    for each in here:
        told = place._replace(low_mc=None) if each.bottle.id in wet else place
        if out_of_range(told, each.product):
            yield from _wrong_temperature(told, each, about, book)


def _wrong_temperature(
    place: PlaceFacts, each: Standing, about: tuple[int, str] | None, book: RuleBook
) -> Iterator[Finding]:
    return book.find(
        "wrong-temperature",
        product=each.about,
        bottle=each.bottle.id,
        place=about,
        keeps=_range_in_words(each.product),
        reaches=_reaches(place, each.product),
    )


def _range_in_words(product: ProductFacts) -> str:
    low, high = product.store_low_mc, product.store_high_mc
    if low is not None and high is not None:
        return f"{show_temperature(low)} to {show_temperature(high)}"
    if low is not None:
        return f"{show_temperature(low)} or more"
    return f"{show_temperature(high or 0)} or less"


def may_freeze(product: ProductFacts) -> bool:
    """Whether frost harms it: anything with water in it, and what nobody has noted the water of."""
    return product.water_milli is None or product.water_milli > 0


def out_of_range(place: PlaceFacts, product: ProductFacts) -> bool:
    """Whether a place leaves the range that a product is known to keep at."""
    return bool(_reaches(place, product))


def _range_known(product: ProductFacts) -> bool:
    return product.store_low_mc is not None and product.store_high_mc is not None


def _reaches(place: PlaceFacts, product: ProductFacts) -> str:
    """How a place leaves a product's range, in words; empty where it isn't known to."""
    low, high = product.store_low_mc, product.store_high_mc
    parts = []
    if place.low_mc is not None and low is not None and place.low_mc < low:
        parts.append(f"falls to {show_temperature(place.low_mc)}")
    if place.high_mc is not None and high is not None and place.high_mc > high:
        parts.append(f"rises to {show_temperature(place.high_mc)}")
    return " and ".join(parts)
