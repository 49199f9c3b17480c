"""Stored bottles: each bottle that holds something, with its product, its class and its place."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from stock.cautions.facts import BottleFacts, PlaceFacts, ProductFacts
from stock.cautions.flammable import Burning, limit_category
from stock.cautions.hazards import is_aerosol
from stock.cautions.rules import RuleBook
from stock.grammar import in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres

NOWHERE = PlaceFacts(0, _("no place noted"))
"""The place of bottles without a noted one, so that a building's sums include them."""


class StoredBottle(NamedTuple):
    """A bottle that holds something, with its product, its class and its place."""

    bottle: BottleFacts
    product: ProductFacts
    found: Burning
    place: PlaceFacts

    @property
    def category(self) -> int | None:
        """The GHS category for storage, the worse case included; None if it doesn't burn."""
        return limit_category(self.found)

    @property
    def about(self) -> tuple[int, str]:
        """Number and name of its product."""
        return self.product.id, self.product.name


def litres(volume_ul: Microlitres) -> str:
    """A volume in litres to read: `12.5 L`."""
    return f"{in_full(Fraction(volume_ul, 1_000_000))} L"


def held_ul(stored: Iterable[StoredBottle]) -> Microlitres:
    """Microlitres in these bottles together."""
    return Microlitres(sum(each.bottle.on_hand_ul for each in stored))


def flammable(stored: Iterable[StoredBottle]) -> list[StoredBottle]:
    """The bottles that count as flammable liquids, unknown ones included."""
    return [each for each in stored if each.category is not None]


def lit(each: StoredBottle) -> bool:
    """Whether a flame near it is a danger, because it burns or bursts."""
    return each.category is not None or is_aerosol(each.product, each.bottle)


def away_from_flames(each: StoredBottle) -> bool:
    """Whether its place is known to have no flame, heater or sparking gear near, and nobody sprays there."""
    return each.place.ignition is False and each.place.kind not in ("spray_area", "rag_bin")


def counts_as_flammable(each: StoredBottle) -> bool:
    """Whether its litres count against a limit by its class or a possible class."""
    return bool(each.category or each.found.categories() or each.found.nfpa_classes())


def not_silenced(code: str, those: Iterable[StoredBottle], book: RuleBook) -> list[StoredBottle]:
    """The bottles for which a rule is silenced neither by bottle nor by product."""
    return [each for each in those if not book.silent_about(code, each.product.id, each.bottle.id)]
