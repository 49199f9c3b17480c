"""The shelf as a person reads it: products, their bottles, and the codes of the cautions on each."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from stock.cautions import books
from stock.cautions.findings import codes_by_bottle, findings
from stock.named_tuples import NamedTuple
from stock.shelf.bottles import BottleView, by_product, on_shelf
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Product
from stock.units import Microlitres, ml


class Shelf(NamedTuple):
    """The shelf of one day. `codes` are caution codes by bottle number, gravest first."""

    as_of: date
    measures: str
    products: Sequence[tuple[int, str, str]]
    bottles: Sequence[BottleView]
    codes: Mapping[int, Sequence[str]]

    def as_json(self) -> dict[str, Any]:
        """The answer of `ullage shelf`, as pinned."""
        shelves = by_product(self.bottles)
        return {
            "as_of": self.as_of.isoformat(),
            "products": [
                {
                    "name": name,
                    "role": role,
                    "on_hand_ml": ml(Microlitres(sum(view.on_hand_ul for view in shelves.get(number, ())))),
                    "bottles": [self._bottle(view) for view in shelves.get(number, ())],
                }
                for number, name, role in self.products
            ],
        }

    def _bottle(self, view: BottleView) -> dict[str, Any]:
        return {
            "id": view.id,
            "size_ml": ml(view.size_ul),
            "on_hand_ml": ml(view.on_hand_ul),
            "state": view.state,
            "received_on": view.received_on.isoformat(),
            "opened_on": view.opened_on.isoformat() if view.opened_on else None,
            "best_before": view.best_before.isoformat() if view.best_before else None,
            "place": view.place,
            "cautions": list(self.codes.get(view.id, ())),
            **({"owner": view.owner} if view.owner else {}),
        }


def shelf(as_of: date | None = None) -> Shelf:
    """Read the shelf of a day (today when None) with its cautions."""
    with connection(), reading():
        bottles = on_shelf(as_of)
        products = Product.select(Product.id, Product.name, Product.role).order_by(
            Product.role, Product.name_key
        )
        if as_of is None:
            products = products.where(~Product.taken_back)
        facts = books.facts(as_of, bottles, bottles_only=True)
        studio = settings()
        day = as_of or studio.today()
        codes = codes_by_bottle(findings(facts, day), facts.bottles)
        return Shelf(day, studio.measures, list(products.tuples()), bottles, codes)
