"""What to move where so that every place is right again, as a short list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from stock.cautions.compatibility import stars
from stock.cautions.facts import PlaceFacts
from stock.cautions.storage import Standing, flammable, litres, may_freeze, out_of_range


class Move(NamedTuple):
    """One bottle to carry: from where, to where, and why. `to` is None where no place here fits."""

    bottle: int
    product: str
    come_from: str
    to: str | None
    why: str

    def as_json(self) -> dict[str, object]:
        """As `ullage cautions --moves` prints it."""
        return {
            "bottle": self.bottle,
            "product": self.product,
            "from": self.come_from,
            "to": self.to,
            "why": self.why,
        }


def moves(standing: Iterable[Standing], places: Iterable[PlaceFacts], day_use_ul: int | None) -> list[Move]:
    """The bottles to carry so that limits, temperatures, flames and neighbours are in order.

    Args:
        standing: every bottle that holds something.
        places: all places, empty ones included.
        day_use_ul: flammable stock a busy day uses; None if not known.
    Returns:
        Few moves: the largest bottles first where litres are over a limit. A cabinet is preferred for
        what burns; a bottle never goes where it, or what stands there, would have to leave again.
    """
    by_place = {place: [each for each in standing if each.place == place] for place in places}
    leaving = [
        (each, why) for place, here in by_place.items() for each, why in must_leave(place, here, day_use_ul)
    ]
    for each, _ in leaving:
        by_place[each.place].remove(each)
    found = []
    for each, why in sorted(leaving, key=lambda pair: -pair[0].bottle.on_hand_ul):
        target = _fitting(each, by_place, day_use_ul)
        if target is not None:
            by_place[target].append(each._replace(place=target))
        found.append(
            Move(each.bottle.id, each.product.name, each.place.name, target.name if target else None, why)
        )
    return sorted(found, key=lambda move: (move.come_from, move.bottle))


def must_leave(place: PlaceFacts, here: list[Standing], day_use_ul: int | None) -> list[tuple[Standing, str]]:
    """The bottles that may not stay in a place, each with the reason."""
    found: dict[int, tuple[Standing, str]] = {}
    for each, why in [*_unfit(place, here), *_reacting(here)]:
        found.setdefault(each.bottle.id, (each, why))
    staying = [each for each in flammable(here) if each.bottle.id not in found]
    limit = _litre_limit(place, day_use_ul)
    if limit is not None:
        for each in _fewest(staying, limit[0]):
            found[each.bottle.id] = (each, limit[1])
    return list(found.values())


def _unfit(place: PlaceFacts, here: list[Standing]) -> Iterator[tuple[Standing, str]]:
    for each in here:
        burns = each.category is not None
        if burns and place.ignition:
            yield each, "it burns, and there is a flame or heater"
        elif burns and place.premises == "spray_room" and each.bottle.container == "glass":
            yield each, "it burns and is in glass, in a spray room"
        elif place.low_mc is not None and place.low_mc <= 0 and may_freeze(each.product):
            yield each, "it can freeze there"
        elif out_of_range(place, each.product):
            yield each, "it is too cold or too warm there"


def _reacting(here: list[Standing]) -> Iterator[tuple[Standing, str]]:
    """Of two groups that must be kept apart, the one of which less stands there."""
    by_product: dict[int, list[Standing]] = {}
    for each in here:
        by_product.setdefault(each.product.id, []).append(each)
    for star in stars([mine[0].product for mine in by_product.values()], apart=True):
        sides = [
            by_product[star.product.id],
            [each for other in star.others for each in by_product[other.id]],
        ]
        fewer, more = sorted(sides, key=lambda side: sum(each.bottle.on_hand_ul for each in side))
        for each in fewer:
            yield each, f"it must not stand beside {more[0].product.name}"


def _litre_limit(place: PlaceFacts, day_use_ul: int | None) -> tuple[int, str] | None:
    limits = []
    if place.limit_ul is not None:
        limits.append((place.limit_ul, f"more than {litres(place.limit_ul)} of flammable stock stand there"))
    if place.kind == "spray_area":
        limits.append((day_use_ul or 0, "near spraying only one day's supply may stand"))
    return min(limits) if limits else None


def _fewest(staying: list[Standing], limit_ul: int) -> list[Standing]:
    """As few bottles as bring the rest under a limit: one that is just large enough, else the largest."""
    over_ul = sum(each.bottle.on_hand_ul for each in staying) - limit_ul
    by_size = sorted(staying, key=lambda each: (-each.bottle.on_hand_ul, each.bottle.id))
    taken: list[Standing] = []
    while over_ul > 0:
        enough = [each for each in by_size if each.bottle.on_hand_ul >= over_ul]
        chosen = enough[-1] if enough else by_size[0]
        by_size.remove(chosen)
        taken.append(chosen)
        over_ul -= chosen.bottle.on_hand_ul
    return taken


def _fitting(
    each: Standing, by_place: dict[PlaceFacts, list[Standing]], day_use_ul: int | None
) -> PlaceFacts | None:
    """A place where the bottle may stay and nothing has to leave for it."""

    def rank(place: PlaceFacts) -> tuple[bool, int]:
        wanted = "cabinet" if each.category is not None else "shelf"
        return place.kind != wanted, place.id

    for place in sorted(by_place, key=rank):
        there = [*by_place[place], each._replace(place=place)]
        if place != each.place and not must_leave(place, there, day_use_ul):
            return place
    return None
