"""Finding in the books what a request for a mix names: its products, its reducers and its bottles."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from stock.errors import BadInput
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Option, Remedy
from stock.shelf import products
from stock.shelf.bottles import numbered, usable
from stock.shelf.noted_products import Noted, named
from stock.shelf.products import ProductRecord
from stock.store.models import Bottle, Product
from stock.text import folded
from stock.units import Microlitres, split

if TYPE_CHECKING:
    from stock.bench.mixing import MixRequest

PART_OF_ROLE = {
    "paint": "paint", "clear": "paint", "mixed": "paint", "reducer": "reducer", "cleaner": "reducer",
    "additive": "additive", "hardener": "hardener",
}  # fmt: skip


Part = tuple[ProductRecord, str, Microlitres]
"""A product, its part in the mix (paint, reducer …) and microlitres of it."""


def named_parts(request: "MixRequest") -> tuple[list[Part], Noted | None]:
    """The parts of a mix in the order of pouring, the named parts and then the reducers; and what is noted of them.

    Nothing is said of what is noted where a product is not among those that were read by their whole names.
    """
    components: list[Part] = []
    known, about = named([*(name for name, _ in request.parts), *(name for name, _ in request.reducers)])
    for name, volume_ul in request.parts:
        if volume_ul <= 0:
            raise BadInput(_("{name}: the amount must be above 0", name=name), remedy=_("Write it as 8ml"))
        product = _named(name, known)
        components.append((product, PART_OF_ROLE[product.role], volume_ul))
    paint_ul = Microlitres(sum(volume for _, part, volume in components if part == "paint"))
    components += _reducers(request, components, paint_ul, known)
    read = {row.id for row in known.values()}
    were_read = all(product.id in read for product, _, _ in components)
    return components, about if were_read else None


def _named(name: str, known: dict[str, ProductRecord]) -> ProductRecord:
    """The product that a name means: one of `known` by its whole name, else one found by a part of its name."""
    found = known.get(folded(name))
    if found is None:
        number = products.find(name).id
        found = products.numbered([number])[number]
    return found


def _reducers(
    request: "MixRequest", components: Sequence[Part], paint_ul: Microlitres, known: dict[str, ProductRecord]
) -> list[Part]:
    if request.reduce is None:
        if request.reducers:
            raise BadInput(
                _("a reducer is named without an amount"),
                remedy=Remedy(_("Say how much "), Option("reduce", "20%")),
            )
        return []
    if paint_ul == 0:
        raise BadInput(
            _("there is no paint to reduce in this mix"), remedy=_("Name a paint, or no reduction")
        )
    total_ul = Microlitres(round(paint_ul * request.reduce / 100))
    if total_ul == 0:
        return []
    if not request.reducers:
        return [(_usual_reducer(components, known), "reducer", total_ul)]
    blend = [(_named(name, known), weight) for name, weight in request.reducers]
    if len({product.id for product, _ in blend}) < len(blend):
        raise BadInput(
            _("{name} can't be blended with itself", name=blend[0][0].name),
            remedy=_("Name two reducers, as A:B=1:1"),
        )
    strange = [product for product, _ in blend if PART_OF_ROLE[product.role] != "reducer"]
    if strange:
        raise BadInput(
            _("{name} is a {role}, not a reducer", name=strange[0].name, role=_(strange[0].role)),
            remedy=_("Name a reducer"),
        )
    shares = split(total_ul, [weight for _, weight in blend])
    return [(product, "reducer", share) for (product, _), share in zip(blend, shares, strict=True) if share]


def _usual_reducer(components: Sequence[Part], known: dict[str, ProductRecord]) -> ProductRecord:
    paints = [(volume, product) for product, part, volume in components if part == "paint"]
    paint = max(paints, key=lambda entry: entry[0])[1]
    read = (each for each in known.values() if each.id == paint.usual_reducer_id)
    reducer = next(read, None) or products.reducer_of(paint)
    if reducer is None:
        raise BadInput(
            _("the usual reducer of {name} is unknown", name=paint.name),
            remedy=Remedy(
                _("Name one "),
                Option("with"),
                _(", or set it: "),
                Do("product change", "NAME", "--usual-reducer", "REDUCER"),
            ),
        )
    return reducer


def picked_bottle(text: str, day: date) -> Bottle:
    """A bottle that a person picked to pour from on a day.

    Raises:
        NotFound: there is no such bottle.
        BadInput: it came after that day, was discarded, or is empty.
    """
    bottle = usable(numbered(text))
    if bottle.received_on > day:
        raise BadInput(
            _(
                "bottle {id} came on {received_on}, after this, which is dated {day}",
                id=bottle.id,
                received_on=show_day(bottle.received_on),
                day=show_day(day),
            ),
            remedy=_("Pick one that was there, or give a later day; nothing was booked"),
        )
    if bottle.on_hand_ul == 0:
        raise BadInput(
            _("bottle {id} is empty by the books", id=bottle.id),
            remedy=Remedy(
                _("Pick another, or count what is in it: "),
                Do("bottle count", str(bottle.id), "20ml"),
                _("; nothing was booked"),
            ),
        )
    return bottle


def picked_bottles(request: "MixRequest", components: Sequence[Part], day: date) -> dict[int, list[int]]:
    """The bottles a person picked to pour from on a day, by product.

    Raises:
        BadInput: one holds a product that isn't in the mix, or `picked_bottle` refuses it.
    """
    picked: dict[int, list[int]] = {}
    poured = {product.id: product.name for product, _, _ in components}
    for text in request.bottles:
        bottle = picked_bottle(text, day)
        if bottle.product_id not in poured:
            name = Product.get_by_id(bottle.product_id).name
            raise BadInput(
                _("bottle {id} holds {name}, which is not in this mix", id=bottle.id, name=name),
                remedy=_("Pick another"),
            )
        picked.setdefault(bottle.product_id, []).append(bottle.id)
    return picked
