"""Moves that make the findings about places disappear, and the findings that no move solves.

The findings are the only judge: a move is proposed only if it brings no new finding and makes none larger.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence

from stock.cautions import toxic_stock
from stock.cautions.arrangement import Area, Arrangement, graver_than, involved, same_cause
from stock.cautions.facts import Finding, PlaceFacts, StudioFacts
from stock.cautions.findings import in_order
from stock.cautions.limits import BuildingSum
from stock.cautions.storage import not_described
from stock.cautions.stored_bottles import NOWHERE, StoredBottle, lit
from stock.cautions.temperatures import range_in_words, range_known
from stock.language import _
from stock.named_tuples import NamedTuple

PASSES = 3
"""How many times all findings are tried, since a bottle that leaves may make room for another."""

_LIMITS = ("place-over-limit", "more-than-a-day", "over-code-limit", "over-building-limit", "over-home-limit")
"""Rules that are met as soon as enough litres are gone."""

_EACH = (
    "flame-near",
    "aerosol-too-warm",
    "bottle-in-rag-bin",
    "glass-in-spray-room",
    "frost",
    "wrong-temperature",
)
"""Rules by which each bottle must leave, whatever stands beside it."""

LEAVES = {
    "place-over-limit": _("more flammable stock stands there than the studio's limit"),
    "more-than-a-day": _("near spraying only one day's supply may stand"),
    "over-code-limit": _("more stands there than one cabinet may hold"),
    "over-building-limit": _("more stands in the building than it may hold"),
    "over-home-limit": _("more stands at home than a dwelling may hold"),
    "flame-near": _("it burns, and a flame, a heater or sparking gear is near"),
    "aerosol-too-warm": _("it is under pressure, and too warm or too near a flame there"),
    "bottle-in-rag-bin": _("it stands in a rag bin"),
    "glass-in-spray-room": _("it burns, and glass may not come into a spray room"),
    "stored-apart": _("it must be kept apart from what stands there"),
    "frost": _("it can freeze there"),
    "wrong-temperature": _("it is too cold or too warm there"),
}
"""Why a bottle must leave its place, by the code of the rule."""

REFUSED = {
    "place-over-limit": _("it would be over its limit"),
    "more-than-a-day": _("only one day's supply may stand near spraying"),
    "over-code-limit": _("one cabinet may not hold so much"),
    "over-building-limit": _("the building would hold too much"),
    "over-home-limit": _("it would be too much for a home"),
    "flame-near": _("a flame, a heater or sparking gear is near"),
    "aerosol-too-warm": _("it is under pressure, and too warm or too near a flame there"),
    "bottle-in-rag-bin": _("it is a rag bin"),
    "glass-in-spray-room": _("glass may not come into a spray room"),
    "spraying-at-home": _("it is, or may be, a spray area at home"),
    "stored-apart": _("what it must be kept apart from stands there"),
    "frost": _("it can freeze there"),
    "wrong-temperature": _("too cold or too warm"),
    toxic_stock.CODE: _("too much of what poisons or harms would stand outside a store"),
}
"""Why a place isn't proposed, by the code of the finding that would be new there."""

_ELSEWHERE = {
    "outside": _("in a cabinet or in another building"),
    "dwelling": _("outside the dwelling"),
    "garage": _("outside the garage"),
    "home": _("outside the home"),
}
"""Where what a sum of places can't hold would have to go, by the sum's scope; else into another building."""

_TEMPERATURES = ("frost", "wrong-temperature")
_CONTAINER = _("no place makes this right: it needs another container")
_STORE = _("what stands in a place noted as a store isn't counted; choose one yourself")
_NOT_ALL = _("not all that would have to leave fits in the other places")
_NAMED = 2
"""The number of products of which it is said why no place takes them."""


class Move(NamedTuple):
    """One bottle to move: its place, its new place, and the finding that asks for it."""

    bottle: int
    product: str
    come_from: str
    to: str
    why: str
    code: str

    def as_json(self) -> dict[str, object]:
        """As `ullage cautions --moves` prints it."""
        return {
            "bottle": self.bottle,
            "product": self.product,
            "from": self.come_from,
            "to": self.to,
            "why": self.why,
            "code": self.code,
        }


class Unsolved(NamedTuple):
    """A finding that remains after the moves, and what is missing to solve it by moving."""

    finding: Finding
    why: str

    def as_json(self) -> dict[str, object]:
        """As `ullage cautions --moves` prints it."""
        return {**self.finding.as_json(), "why": self.why}


class Plan(NamedTuple):
    """The moves, and the findings of action `move` that remain after them. With neither, everything may stay."""

    moves: tuple[Move, ...] = ()
    unsolved: tuple[Unsolved, ...] = ()


def plan(facts: StudioFacts) -> Plan:
    """The moves that solve as many findings of action `move` as possible.

    Args:
        facts: the facts of the books, places without bottles included.
    Returns:
        Few moves, each bottle at most once, and only to places of which everything is noted; flammable bottles go to
        a cabinet if one takes them. Every unsolved finding of action `move` is in `unsolved`.
    """
    planner = _Planner(facts)
    for __ in range(PASSES):
        if not planner.go_through():
            break
    moves = sorted(planner.moves.values(), key=lambda move: (move.come_from, move.bottle))
    left = {each: area for area, each in planner.now.all_to_move()}
    return Plan(
        tuple(moves), tuple(Unsolved(each, planner.missing(left[each], each)) for each in in_order(left))
    )


class _Planner:
    """Moves bottles one by one in an arrangement as long as no finding becomes worse."""

    def __init__(self, facts: StudioFacts) -> None:
        self.now = Arrangement(facts)
        self.moves: dict[int, Move] = {}

    def go_through(self) -> bool:
        """Try to solve every finding once; whether anything was moved."""
        before = len(self.moves)
        for area in self.now.areas():
            for finding in sorted(self.now.to_move(area), key=lambda each: each.code in _LIMITS):
                if finding.code == "stored-apart" and area is not NOWHERE:
                    self._part(area, finding)
                else:
                    self._carry_away(area, finding)
        return len(self.moves) > before

    def _carry_away(self, area: Area, finding: Finding) -> None:
        """Move the fewest bottles that solve a finding, or every movable one if it can't be solved."""
        there = [each for each in involved(finding, self.now.in_area(area)) if self._may_go(each, area)]
        there.sort(key=lambda each: (-each.bottle.on_hand_ul, each.bottle.id))
        if finding.code in _LIMITS:
            self._carry_litres(area, finding, there)
            return
        for each in there:
            if finding.code in _EACH or self._stands(area, finding):
                self._carry(each, area, finding)

    def _carry_litres(self, area: Area, finding: Finding, there: Sequence[StoredBottle]) -> None:
        """Move the largest bottles until a single one is enough, then the smallest that suffices."""
        left = [each for each in there if self._target(each, area) is not None]

        def over(leaving: Sequence[StoredBottle]) -> Finding | None:
            said = self.now.litres_without(leaving, area)
            return next((one for one in said if same_cause(one, finding)), None)

        while (now := over(())) is not None and (left := involved(now, left)):
            fewest = _first(len(left), lambda most: over(left[:most]) is None)
            chosen = left[: fewest - 1]
            if fewest == 1:
                chosen = [left[max(_first(len(left), lambda at: over([left[at]]) is not None) - 1, 0)]]
            for each in chosen:
                left.remove(each)
                self._carry(each, area, finding)

    def _may_go(self, each: StoredBottle, area: Area) -> bool:
        astray_only = area is NOWHERE and each.place is not NOWHERE
        return each.bottle.id not in self.moves and not astray_only

    def _stands(self, area: Area, finding: Finding) -> bool:
        return any(same_cause(each, finding) for each in self.now.to_move(area))

    def _part(self, area: Area, finding: Finding) -> None:
        """Move one side of two that must be kept apart, whole or not at all; the smaller side first."""
        if not self._stands(area, finding):
            return
        there = involved(finding, self.now.in_area(area))
        sides = [
            [
                each
                for each in there
                if (each.product.id == finding.product_id) == first and each.place == area
            ]
            for first in (True, False)
        ]
        for side in sorted(sides, key=lambda side: sum(each.bottle.on_hand_ul for each in side)):
            kept, moved, before = self.now, dict(self.moves), self.now.to_move(area)
            self.now = self.now.copy()
            gone = all(
                self._may_go(each, area) and self._carry(each, area, finding, whole=True) for each in side
            )
            if gone and not self._stands(area, finding) and not graver_than(before, self.now.to_move(area)):
                return
            self.now, self.moves = kept, moved

    def _carry(self, each: StoredBottle, area: Area, finding: Finding, *, whole: bool = False) -> bool:
        """Move a bottle out of an area to the best place that takes it; return whether there is one.

        Args:
            whole: whether more bottles leave with it, so that the rest is judged only after all of them.
        """
        place = self._target(each, area)
        if place is None:
            return False
        if not whole and self.now.worse_without(each):
            return False
        self.now.move(each, place)
        self.moves[each.bottle.id] = Move(
            each.bottle.id,
            each.product.name,
            each.place.name,
            place.name,
            _why(each, finding),
            finding.code,
        )
        return True

    def _target(self, each: StoredBottle, area: Area) -> PlaceFacts | None:
        """The best place outside an area where a bottle causes no finding; None if there is none."""
        burns = lit(each)
        for place in self._outside(each, area):
            if not not_described(place, burns=burns) and not self.now.refusals(each, place):
                return place
        return None

    def _outside(self, each: StoredBottle, area: Area | None) -> list[PlaceFacts]:
        """The places where a bottle would stand outside an area, best first."""

        def rank(place: PlaceFacts) -> tuple[bool, bool, bool, int]:
            wanted = "cabinet" if each.category is not None else "shelf"
            far = place.building != each.place.building
            return place.kind in ("spray_area", "rag_bin"), place.kind != wanted, far, place.id

        outside = [place for place in self.now.places if place not in (each.place, area)]
        if isinstance(area, BuildingSum):
            outside = [place for place in outside if not area.counts(place)]
        return sorted(outside, key=rank)

    def missing(self, area: Area | None, finding: Finding) -> str:
        """Why no move solves a finding, in words."""
        if area is None:
            return _STORE if finding.code == toxic_stock.CODE else _CONTAINER
        there = involved(finding, self.now.in_area(area))
        movable = [each for each in there if self._may_go(each, area)]
        if finding.code == "stored-apart":
            movable.sort(key=lambda each: each.bottle.on_hand_ul)
        else:
            movable.sort(key=lambda each: -each.bottle.on_hand_ul)
        if not movable:
            return _NOT_ALL
        by_product = list({each.product.id: each for each in movable}.values())
        said = [f"{each.product.name}: {self._refused(each, area)}" for each in by_product[:_NAMED]]
        return "; ".join(said) + (
            _(" (and {by_product} more)", by_product=len(by_product) - _NAMED)
            if len(by_product) > _NAMED
            else ""
        )

    def _refused(self, each: StoredBottle, area: Area) -> str:
        """Why no place takes a bottle."""
        by_reason: dict[str, list[str]] = {}
        codes: set[str] = set()
        not_noted: set[str] = set()
        for place in self._outside(each, area):
            unknown = not_described(place, burns=lit(each))
            refused = in_order(self.now.refusals(each, place))
            if not refused and not unknown:
                return _NOT_ALL
            codes |= {refused[0].code} if refused else set()
            reason = _refusal(refused[0]) if refused else _("nobody has noted {unknown}", unknown=unknown)
            not_noted |= set() if refused else {reason}
            by_reason.setdefault(reason, []).append(place.name)
        if not by_reason:
            if isinstance(area, BuildingSum):
                return _(
                    "no place is noted {scope}", scope=_ELSEWHERE.get(area.scope, _("in another building"))
                )
            return _("no other place is noted")
        if codes and codes.issubset(_TEMPERATURES):
            head = _("no place noted {each}", each=_needs(each))
            unknown_too = {reason: names for reason, names in by_reason.items() if reason in not_noted}
            return "; ".join([head, *(f"{', '.join(names)}: {why}" for why, names in unknown_too.items())])
        return "; ".join(f"{', '.join(names)}: {reason}" for reason, names in by_reason.items())


def _first(count: int, holds: Callable[[int], bool]) -> int:
    """The first number below a count for which a condition holds that holds for all later ones; else the count."""
    return bisect_left(range(count), True, key=holds)


def _why(each: StoredBottle, finding: Finding) -> str:
    """Why a bottle leaves, and which facts about it are still unknown."""
    said = LEAVES.get(finding.code, finding.message)
    return (
        said
        if range_known(each.product)
        else _("{said}; at what temperatures it keeps isn't noted", said=said)
    )


def _refusal(finding: Finding) -> str:
    return REFUSED.get(finding.code, finding.message)


def _needs(each: StoredBottle) -> str:
    product = each.product
    if product.store_low_mc is None and product.store_high_mc is None:
        return _("stays above freezing")
    return _("keeps {product}", product=range_in_words(product))
