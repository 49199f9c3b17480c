"""Limits of flammable stock: litres or kilograms in a place or building against the limits of each code.

A limit is in the unit of its code: `litres_milli` (millilitres) or `kilograms_milli` (grams). It counts by GHS
category (`categories`) or by NFPA 30 class (`classes`); where `below_ambient` is noted, also what flashes below the
highest temperature that is noted of its place. Masses follow from the recorded density, or from the heaviest plausible
one where none is recorded.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any

from stock.cautions.composition import heaviest_ug_per_ml
from stock.cautions.facts import Finding, PlaceFacts
from stock.cautions.rules import Limit, RuleBook
from stock.cautions.stored_bottles import StoredBottle, counts_as_flammable, held_ul, litres
from stock.grammar import in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, Milligrams

_FLASHES_TO_MC = 60_000
"""The end of category 3; a liquid that flashes higher counts as safe at every room's temperature."""

_AT_HOME = {"dwelling": ("home", None), "garage": ("garage",), "home": ("home", "garage", None)}
"""The premises that count together as a home; unknown premises may be a dwelling."""

_HOME_WORDS = {
    "dwelling": _("the dwelling"),
    "garage": _("the garage at the dwelling"),
    "home": _("the dwelling and its garage"),
}


class Amount(NamedTuple):
    """Microlitres and milligrams that count alike against every limit, and one bottle of them."""

    first: StoredBottle
    volume_ul: Microlitres
    mass_mg: Milligrams


def kilograms(mass_mg: Milligrams) -> str:
    """A mass in kilograms to read: `34.4 kg`."""
    return f"{in_full(Fraction(mass_mg, 1_000_000), 2)} kg"


def over(
    code: str,
    scope: str,
    there: list[StoredBottle],
    book: RuleBook,
    *,
    where: str,
    about: tuple[int, str] | None = None,
) -> Iterator[Finding]:
    """The finding about the limit of a scope that is exceeded most.

    It stops work only if the records alone exceed the limit. It warns if an estimated class does, or if the limit is
    from memory.
    """
    limits = [limit for limit in book.limits(code) if limit.figures["scope"] == scope]
    if not limits:
        return
    held = _alike(there)
    grave = [limit for limit in limits if limit.severity is None]
    mild = [limit for limit in limits if limit.severity is not None]
    for severity, counts, compared in (
        (None, _counts, grave), ("milder", _counts, mild), ("warn", _counts_by_estimate, limits),
    ):  # fmt: skip
        worst = max(((_share(held, limit, counts), limit) for limit in compared), default=None, key=_first)
        if worst is None or worst[0] <= 1:
            continue
        limit = worst[1]
        yield from book.find(
            code,
            place=about,
            severity=limit.severity if severity == "milder" else severity,
            source=limit.source,
            bottles=tuple(each.bottle.id for each in there if counts(each, limit)),
            what=limit.what,
            where=where,
            **_words(held, limit, counts),
        )
        return


class BesideLimit(NamedTuple):
    """What counts against one limit somewhere, in words, and the limit; `times` is the share used, 1 at the limit."""

    where: str
    what: str
    held: str
    limit: str
    times: float
    source: str


def beside(
    code: str, scope: str, there: Sequence[StoredBottle], book: RuleBook, *, where: str
) -> Iterator[BesideLimit]:
    """The stock beside each limit of a scope, exceeded or not; an unknown class counts against every limit."""
    held = _alike(there)
    for limit in book.limits(code):
        if limit.figures["scope"] == scope:
            words = _words(held, limit, _counts_by_estimate)
            times = _share(held, limit, _counts_by_estimate)
            yield BesideLimit(where, limit.what, words["held"], words["limit"], times, limit.source)


def all_beside(stored: Sequence[StoredBottle], book: RuleBook) -> list[BesideLimit]:
    """Every limit of each place, cabinet, building and home, with the stock that counts against it."""
    by_place: dict[PlaceFacts, list[StoredBottle]] = {}
    for each in stored:
        by_place.setdefault(each.place, []).append(each)
    found: list[BesideLimit] = []
    for place in sorted(by_place, key=lambda place: place.id):
        burns = [each for each in by_place[place] if each.category is not None]
        own = own_limits(place, burns)
        found += [
            BesideLimit(place.name, _("the studio's own limit"), *each[:2], each.times, "") for each in own
        ]
        if place.kind == "cabinet":
            astray = [each for each in stored if not each.place.id and place.id]
            here = [*by_place[place], *astray]
            found += beside("over-code-limit", "cabinet", here, book, where=place.name)
    for counted in building_sums(by_place):
        there = [each for place, here in by_place.items() if counted.counts(place) for each in here]
        if there:
            found += beside(counted.code, counted.scope, there, book, where=counted.where(there))
    return found


class OwnLimit(NamedTuple):
    """A studio's own limit of a place with the stock that counts against it and the excess, in words of its unit."""

    held: str
    limit: str
    over: str
    times: float


def own_limits(place: PlaceFacts, burns: Sequence[StoredBottle]) -> list[OwnLimit]:
    """The studio's own limit of a place beside what burns there, in the unit of the limit, most exceeded first.

    Kilograms follow from the recorded density, or from the heaviest plausible one.
    """
    found: list[OwnLimit] = []
    if place.limit_ul is not None:
        most_ul, used_ul = place.limit_ul, held_ul(burns)
        over_ul = Microlitres(used_ul - most_ul)
        found.append(OwnLimit(litres(used_ul), litres(most_ul), litres(over_ul), _times(used_ul, most_ul)))
    if place.limit_mg is not None:
        most_mg, used_mg = place.limit_mg, mass_of(burns)
        over_mg = Milligrams(used_mg - most_mg)
        words = kilograms(used_mg), kilograms(most_mg), kilograms(over_mg)
        found.append(OwnLimit(*words, _times(used_mg, most_mg)))
    return sorted(found, key=lambda each: -each.times)


def _times(held: int, most: int) -> float:
    return held / most if most else float(held > 0) * math.inf


def _first(pair: tuple[float, Limit]) -> float:
    return pair[0]


def _sum(held: Sequence[Amount], limit: Limit, counts: Any) -> tuple[Microlitres, Milligrams]:
    counted = [each for each in held if counts(each.first, limit)]
    volume_ul, held_mg = sum(each.volume_ul for each in counted), sum(each.mass_mg for each in counted)
    return Microlitres(volume_ul), Milligrams(held_mg)


def _share(held: Sequence[Amount], limit: Limit, counts: Any) -> float:
    """The used share of a limit; 1 is the limit itself."""
    volume_ul, mass_mg = _sum(held, limit, counts)
    most_g = limit.figures.get("kilograms_milli")
    if most_g is not None:
        return float(mass_mg / (most_g * 1_000))
    return float(volume_ul / (limit.figures["litres_milli"] * 1_000))


def _words(held: Sequence[Amount], limit: Limit, counts: Any) -> dict[str, Any]:
    """Stock, limit and excess in words, in the unit of the limit; litres beside kilograms."""
    volume_ul, mass_mg = _sum(held, limit, counts)
    most_g = limit.figures.get("kilograms_milli")
    if most_g is not None:
        return {
            "held": f"{kilograms(mass_mg)} ({litres(volume_ul)})",
            "limit": kilograms(most_g * 1_000),
            "over": kilograms(mass_mg - most_g * 1_000),
        }
    most_ul = limit.figures["litres_milli"] * 1_000
    return {"held": litres(volume_ul), "limit": litres(most_ul), "over": litres(volume_ul - most_ul)}


def _alike(there: Iterable[StoredBottle]) -> list[Amount]:
    """The bottles that count alike against every limit, summed."""
    by_product: dict[tuple[int, int | None], list[StoredBottle]] = {}
    for each in there:
        by_product.setdefault((each.product.id, each.place.high_mc), []).append(each)
    alike: dict[tuple[object, ...], Amount] = {}
    for mine in by_product.values():
        each = mine[0]
        if not counts_as_flammable(each):
            continue
        found = each.found
        warm = below_ambient(each)
        kind = (found.categories(), found.nfpa_classes(), found.classes.nfpa, each.category, warm)
        first, volume_ul, held_mg = alike.get(kind, Amount(each, Microlitres(0), Milligrams(0)))
        together_ul, together_mg = volume_ul + held_ul(mine), held_mg + mass_of(mine)
        alike[kind] = Amount(first, Microlitres(together_ul), Milligrams(together_mg))
    return list(alike.values())


def mass_mg(each: StoredBottle) -> Milligrams:
    """The mass of a bottle's content, milligrams, by the recorded density or else the heaviest plausible one."""
    return Milligrams(each.bottle.on_hand_ul * heaviest_ug_per_ml(each.product) // 1_000_000)


def mass_of(stored: Iterable[StoredBottle]) -> Milligrams:
    """The mass in these bottles together, milligrams."""
    return Milligrams(sum(mass_mg(each) for each in stored))


def below_ambient(each: StoredBottle) -> bool:
    """Whether it flashes below its place's highest temperature; at 60 °C or below if that is unknown."""
    flash_mc = each.product.flash_point_mc
    if flash_mc is None:
        return not each.found.known
    return flash_mc < each.place.high_mc if each.place.high_mc is not None else flash_mc <= _FLASHES_TO_MC


def _counts(each: StoredBottle, limit: Limit) -> bool:
    """Whether a bottle counts against a limit, by any GHS category or NFPA class that it may have."""
    if limit.figures.get("below_ambient") and below_ambient(each):
        return True
    if "classes" in limit.figures:
        return any(each_class in limit.figures["classes"] for each_class in each.found.nfpa_classes())
    return any(category in limit.figures["categories"] for category in each.found.categories())


def _counts_by_estimate(each: StoredBottle, limit: Limit) -> bool:
    if _counts(each, limit):
        return True
    if "classes" in limit.figures:
        return each.found.classes.nfpa in limit.figures["classes"] and each.category is not None
    return each.category in limit.figures["categories"]


class BuildingSum(NamedTuple):
    """The places of one building whose bottles count together against its limits.

    `scope` is `building` for all of them, `outside` for those that are no cabinets, `dwelling`, `garage` and
    `home` (both together) for those of a home. A place whose building isn't noted counts in every one.
    """

    building: str
    scope: str

    def counts(self, place: PlaceFacts) -> bool:
        """Whether the stock of a place counts in this sum."""
        if place.building not in ("", self.building):
            return False
        if self.scope in _AT_HOME:
            return place.premises in _AT_HOME[self.scope]
        return self.scope == "building" or place.kind != "cabinet"

    def findings(
        self, by_place: Mapping[PlaceFacts, Sequence[StoredBottle]], book: RuleBook
    ) -> Iterator[Finding]:
        """The findings where the bottles of these places exceed a limit of the building."""
        there = [each for place, here in by_place.items() if self.counts(place) for each in here]
        if not there:
            return
        yield from over(self.code, self.scope, there, book, where=self.where(there))

    @property
    def code(self) -> str:
        """The code of the rule whose limits count."""
        return "over-home-limit" if self.scope in _AT_HOME else "over-building-limit"

    def where(self, there: Sequence[StoredBottle]) -> str:
        """The places in words; places of unknown premises are named."""
        name = _("the building {building}", building=self.building) if self.building else _("the building")
        if self.scope not in _AT_HOME:
            return _("{name}, outside cabinets", name=name) if self.scope == "outside" else name
        words = _HOME_WORDS[self.scope] + (f" ({self.building})" if self.building else "")
        unsure = sorted({each.place.name for each in there if each.place.premises is None})
        unsure_words = (
            _("; of {unsure} it isn't noted whether it is a dwelling", unsure=", ".join(unsure))
            if unsure
            else ""
        )
        return words + unsure_words


@lru_cache(maxsize=8)
def _scopes(premises: frozenset[str | None]) -> tuple[str, ...]:
    homes = tuple(scope for scope, those in _AT_HOME.items() if premises.intersection(those))
    return "outside", "building", *homes


def building_sums(occupied: Iterable[PlaceFacts]) -> list[BuildingSum]:
    """The sums to judge, given the places where something stands."""
    places = list(occupied)
    named = sorted({place.building for place in places if place.building})
    return [
        BuildingSum(building, scope)
        for building in named or [""]
        for scope in _scopes(
            frozenset(place.premises for place in places if place.building in ("", building))
        )
    ]
