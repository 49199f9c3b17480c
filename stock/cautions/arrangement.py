"""An arrangement of bottles in places that can be tried out; the storage findings alone judge it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeAlias

from stock.cautions.containers import container_findings
from stock.cautions.facts import SEVERITIES, Finding, PlaceFacts, StudioFacts
from stock.cautions.findings import stored_bottles
from stock.cautions.limits import BuildingSum, building_sums
from stock.cautions.rules import rule_book
from stock.cautions.storage import (
    flammable_findings,
    neighbour_findings,
    neighbours_anywhere,
    place_findings,
)
from stock.cautions.stored_bottles import NOWHERE, StoredBottle, counts_as_flammable, flammable
from stock.cautions.toxic_stock import outside_stores, toxic_stock

Area: TypeAlias = PlaceFacts | BuildingSum
"""What storage findings are about: one place, or the places of a building whose litres are added up."""

MOVE = "move"


class Arrangement:
    """Bottles in their places with the findings there; only places where a bottle came or went are judged again."""

    def __init__(self, facts: StudioFacts) -> None:
        self.places = sorted(facts.places, key=lambda place: place.id)
        self._book = rule_book(facts.rule_sets, facts.changes)
        self._day_use_ul = facts.day_use_ul
        self._here: dict[PlaceFacts, list[StoredBottle]] = {place: [] for place in (*self.places, NOWHERE)}
        for each in stored_bottles(facts):
            self._here[each.place].append(each)
        self._order = {bottle.id: order for order, bottle in enumerate(facts.bottles)}
        self._said: dict[Area, list[Finding]] = {}
        self._refused: dict[PlaceFacts, dict[tuple[object, ...], list[Finding]]] = {}
        self._apart: dict[PlaceFacts, list[Finding]] = {}
        self._burning: dict[PlaceFacts, list[Finding]] = {}
        self._of_one: dict[tuple[object, ...], list[Finding]] = {}
        self._of_two: dict[tuple[int, int], list[Finding]] = {}
        self._let_out: dict[tuple[int, int], list[Finding]] = {}

    def copy(self) -> Arrangement:
        """A copy, for trying a move without changing the original."""
        tried = Arrangement.__new__(Arrangement)
        tried.__dict__.update(self.__dict__)
        tried._here = {place: list(here) for place, here in self._here.items()}
        tried._said, tried._apart, tried._burning = dict(self._said), dict(self._apart), dict(self._burning)
        tried._refused = {place: dict(known) for place, known in self._refused.items()}
        tried._let_out = dict(self._let_out)
        return tried

    def stored(self) -> list[StoredBottle]:
        """Every bottle that holds something, in the order of the books, because a finding names the first bottle."""
        return self._in_order([each for here in self._here.values() for each in here])

    def _in_order(self, there: list[StoredBottle]) -> list[StoredBottle]:
        return sorted(there, key=lambda each: self._order[each.bottle.id])

    def areas(self) -> list[Area]:
        """All areas with findings to judge: occupied places first, then sums over buildings."""
        occupied = self._occupied()
        return [*occupied, *building_sums(occupied)]

    def in_area(self, area: Area) -> list[StoredBottle]:
        """The bottles in an area, and those without a noted place, which may stand in any cabinet."""
        if isinstance(area, BuildingSum):
            return [each for place, here in self._here.items() if area.counts(place) for each in here]
        return [*self._here[area], *(self._here[NOWHERE] if area is not NOWHERE else ())]

    def to_move(self, area: Area) -> list[Finding]:
        """The findings about an area whose remedy is to move bottles."""
        return [each for each in self._findings(area) if each.action == MOVE]

    def all_to_move(self) -> list[tuple[Area | None, Finding]]:
        """All findings whose remedy is a move, each with its area; None as area for a wrong container or a total."""
        found: list[tuple[Area | None, Finding]] = [
            (area, each) for area in self.areas() for each in self.to_move(area)
        ]
        stored = self.stored()
        of_no_place = (*container_findings(stored, self._book), *toxic_stock(stored, self._book))
        return [*found, *((None, each) for each in of_no_place if each.action == MOVE)]

    def _occupied(self) -> list[PlaceFacts]:
        return [place for place, here in self._here.items() if here]

    def _findings(self, area: Area) -> list[Finding]:
        if area not in self._said:
            if isinstance(area, BuildingSum):
                self._said[area] = list(area.findings(self._here, self._book))
            elif area is NOWHERE:
                astray = self._here[NOWHERE]
                self._said[area] = list(neighbours_anywhere(astray, self.stored(), self._book))
            else:
                self._said[area] = self._judge(area, self._here[area], self._here[NOWHERE])
        return self._said[area]

    def _judge(
        self, place: PlaceFacts, here: list[StoredBottle], astray: Sequence[StoredBottle]
    ) -> list[Finding]:
        return list(place_findings(place, here, self._day_use_ul, self._book, astray=astray))

    def litres_without(self, leaving: Sequence[StoredBottle], area: Area) -> list[Finding]:
        """The findings about the litres in an area if some bottles were taken away."""
        gone = {each.bottle.id for each in leaving}

        def rest(place: PlaceFacts) -> list[StoredBottle]:
            return [each for each in self._here[place] if each.bottle.id not in gone]

        if isinstance(area, BuildingSum):
            return list(area.findings({place: rest(place) for place in self._here}, self._book))
        return self._litres(area, rest(area), rest(NOWHERE))

    def worse_without(self, each: StoredBottle) -> bool:
        """Whether taking a bottle away would make a remaining finding graver.

        Litres only fall, and findings about single bottles stay; but another product may become the one that a
        finding about products to keep apart is named after.
        """
        if each.place not in self._apart:
            self._apart[each.place] = list(neighbour_findings(each.place, self._here[each.place], self._book))
        before = self._apart[each.place]
        return bool(before) and graver_than(
            before, neighbour_findings(each.place, self._rest(each), self._book)
        )

    def _rest(self, each: StoredBottle) -> list[StoredBottle]:
        return [other for other in self._here[each.place] if other.bottle.id != each.bottle.id]

    def refusals(self, each: StoredBottle, place: PlaceFacts) -> list[Finding]:
        """The findings that would be new at a place, in its building or outside stores if a bottle stood there.

        A present finding that would name more bottles or litres counts as new. Findings about single bottles,
        about two products and about litres are judged one after the other.
        """
        kind = (each.product.id, each.bottle.on_hand_ul, each.bottle.container, each.place is NOWHERE)
        known = self._refused.setdefault(place, {})
        if kind not in known:
            moved = each._replace(place=place)
            found = self._alone(moved, kind) or self._beside(moved) or self._added(moved, each)
            if not found:
                return [*self._refused_by_buildings(moved, each), *self._refused_outside_stores(moved, each)]
            known[kind] = found
        return known[kind]

    def _alone(self, moved: StoredBottle, kind: tuple[object, ...]) -> list[Finding]:
        """The findings about a bottle that stands alone in a place."""
        key = (moved.place.id, kind)
        if key not in self._of_one:
            self._of_one[key] = self._judge(moved.place, [moved], ())
        return self._of_one[key]

    def _beside(self, moved: StoredBottle) -> list[Finding]:
        """The findings about a bottle and the first bottle there that must be kept apart from it."""
        for other in {each.product.id: each for each in self._here[moved.place]}.values():
            pair = (min(moved.product.id, other.product.id), max(moved.product.id, other.product.id))
            if pair not in self._of_two:
                both = [moved, other._replace(place=moved.place)]
                self._of_two[pair] = list(neighbour_findings(moved.place, both, self._book))
            if self._of_two[pair]:
                return self._of_two[pair]
        return []

    def _added(self, moved: StoredBottle, each: StoredBottle) -> list[Finding]:
        """The findings about litres that a bottle would add to a place."""
        if not counts_as_flammable(each):
            return []
        place = moved.place
        astray = self._here[NOWHERE]
        if place not in self._burning:
            self._burning[place] = self._litres(place, self._here[place], astray)
        rest = self._rest(each) if each.place is NOWHERE else astray
        return _fresh(self._burning[place], self._litres(place, [*self._here[place], moved], rest))

    def _litres(
        self, place: PlaceFacts, here: list[StoredBottle], astray: Sequence[StoredBottle]
    ) -> list[Finding]:
        return list(flammable_findings(place, here, self._day_use_ul, self._book, astray=astray))

    def _refused_by_buildings(self, moved: StoredBottle, each: StoredBottle) -> Iterator[Finding]:
        """The findings about a building's sums that a bottle would add to or make count."""
        here = {**self._here, each.place: self._rest(each)}
        here[moved.place] = [*here[moved.place], moved]
        before = building_sums(self._occupied())
        for area in building_sums([place for place, stands in here.items() if stands]):
            begins = area not in before
            gains = area.counts(moved.place) and not area.counts(each.place) and counts_as_flammable(each)
            if begins or gains:
                yield from _fresh(() if begins else self._findings(area), area.findings(here, self._book))

    def _refused_outside_stores(self, moved: StoredBottle, each: StoredBottle) -> list[Finding]:
        """The findings about stock outside stores that a bottle leaving a store would add to."""
        if outside_stores(each.place) or not outside_stores(moved.place):
            return []
        kind = (each.product.id, each.bottle.on_hand_ul)
        if kind not in self._let_out:
            before = self.stored()
            after = [moved if other.bottle.id == each.bottle.id else other for other in before]
            self._let_out[kind] = _fresh(toxic_stock(before, self._book), toxic_stock(after, self._book))
        return self._let_out[kind]

    def move(self, each: StoredBottle, place: PlaceFacts) -> None:
        """Move a bottle to another place."""
        if outside_stores(each.place) != outside_stores(place):
            self._let_out.clear()
        self._here[each.place] = self._rest(each)
        self._here[place] = self._in_order([*self._here[place], each._replace(place=place)])
        astray = each.place is NOWHERE
        for area in [*self._said]:
            counted = isinstance(area, BuildingSum) and (area.counts(each.place) != area.counts(place))
            if astray or counted or area in (each.place, place):
                del self._said[area]
        for changed in (each.place, place):
            self._apart.pop(changed, None)
            self._burning.pop(changed, None)
        if astray:
            self._refused.clear()
            self._burning.clear()
        self._refused.pop(each.place, None)


def involved(finding: Finding, there: Iterable[StoredBottle]) -> list[StoredBottle]:
    """The bottles that a finding names; all flammable ones if it names none."""
    named = set(finding.bottles or ((finding.bottle,) if finding.bottle is not None else ()))
    return [each for each in there if each.bottle.id in named] if named else flammable(there)


def same_cause(one: Finding, other: Finding) -> bool:
    """Whether two findings about one area have the same rule and subject; their litres may differ.

    A finding about products to keep apart has a product as its subject; the bottle it names is only the first.
    """
    if one.code == other.code == "stored-apart":
        return one.product_id == other.product_id
    return (one.code, one.product_id, one.bottle) == (other.code, other.product_id, other.bottle)


def graver_than(before: Iterable[Finding], after: Iterable[Finding]) -> bool:
    """Whether a rule has a graver finding after a change than before, or a finding for the first time."""
    was: dict[str, int] = {}
    for each in before:
        was[each.code] = max(was.get(each.code, -1), SEVERITIES.index(each.severity))
    return any(SEVERITIES.index(each.severity) > was.get(each.code, -1) for each in after)


def _fresh(before: Iterable[Finding], after: Iterable[Finding]) -> list[Finding]:
    """The findings after a change that did not stand, word for word, before it."""
    known = {each._replace(bottles=tuple(sorted(each.bottles))) for each in before}
    return [each for each in after if each._replace(bottles=tuple(sorted(each.bottles))) not in known]
