"""Washes: cleaner used, which belongs to no mix's volume."""

from collections.abc import Sequence
from datetime import date, datetime

from stock.bench.mixing import mark_open
from stock.cautions.facts import Finding
from stock.errors import BadInput, Stopped
from stock.ledger import Answer, Errand, book, hold
from stock.remedies import Do, Option, Remedy
from stock.shelf import products
from stock.shelf.bottles import candidates, numbered
from stock.shelf.choosing import choose
from stock.shelf.studio import settings
from stock.store.connection import connection
from stock.store.models import Bottle, Mix, Movement, Pour, Product, Wash
from stock.text import note as clean_note
from stock.units import ml

WASHING_ROLES = ("cleaner", "reducer")


def wash(
    product: str,
    volume_ul: int,
    *,
    mix: int | None = None,
    bottles: Sequence[str] = (),
    on: datetime | None = None,
    accept: Sequence[str] = (),
    key: str | None = None,
    note: str = "",
) -> Answer:
    """Book a wash-out.

    Args:
        product: a cleaner, or a reducer used as one.
        volume_ul: microlitres used, above 0.
        mix: the mix it followed, if it is known.
        bottles: picked bottles; chosen by the shelf's rule when empty.
        accept: codes of `stop` cautions that a person accepts by name.
    Returns:
        `{"wash", "product", "volume_ml", "pours": [{"bottle", "volume_ml", "on_hand_ml"}], "cautions"}`: fire and
        air, and with a `mix` what the cleaner does with what was in it.
    Raises:
        BadInput: a product nothing is washed with, or an unknown mix.
        NotEnough: the bottles hold less.
        Stopped: a `stop` caution that was not accepted; nothing is booked.
    """

    def work(errand: Errand) -> Answer:
        row = products.find(product)
        if row.role not in WASHING_ROLES:
            raise BadInput(f"{row.name} is a {row.role}; nothing is washed with it", remedy="Name a cleaner")
        if mix is not None and Mix.get_or_none(Mix.id == mix) is None:
            raise BadInput(
                f"there is no mix {mix}", remedy=Remedy(Do("logbook", "--kind", "mix"), " lists them")
            )
        held = {bottle.id for bottle in candidates({row.id: row}, came_by=errand.day)[row.id]}
        hold(held)
        picked = [numbered(text).id for text in bottles]
        # A bottle that came while these were waited for is not held and may not be poured from.
        there = candidates({row.id: row}, came_by=errand.day)[row.id]
        usable = [bottle for bottle in there if bottle.id in held]
        takes = choose(
            usable, volume_ul, product=row.name, today=errand.day, picked=picked, measures=settings().measures
        )
        cautions = _cautions(row.id, volume_ul, mix, errand.day)
        _refuse_stops([each for each in cautions if each.severity == "stop" and each.code not in accept])
        Wash.insert(id=errand.booking, mix=mix).execute()
        for take in sorted(takes, key=lambda take: take.bottle):
            errand.move(take.bottle, "washed", -take.volume_ul)
            mark_open(errand, take.bottle)
        return {
            "wash": errand.booking,
            "product": row.name,
            "volume_ml": ml(volume_ul),
            "pours": [
                {
                    "bottle": take.bottle,
                    "volume_ml": ml(take.volume_ul),
                    "on_hand_ml": ml(take.on_hand_ul - take.volume_ul),
                }
                for take in takes
            ],
            "cautions": [found.as_json() for found in cautions],
        }

    return book("wash", work, at=on, key=key, note=clean_note(note))


def _refuse_stops(stops: Sequence[Finding]) -> None:
    if stops:
        raise Stopped(
            f"{stops[0].message} ({stops[0].code}: {stops[0].source})",
            remedy=Remedy(
                stops[0].remedy,
                ". To wash all the same, accept it ",
                Option("accept", stops[0].code),
                "; nothing was booked",
            ),
        )


def _cautions(cleaner: int, volume_ul: int, mix: int | None, day: date) -> list[Finding]:
    """Fire and air of the cleaner, and what it does with what was in the mix."""
    from stock.cautions.books import for_wash  # loads the rules

    poured = (
        Pour.select(Bottle.product).join(Movement).join(Bottle).where(Pour.mix == mix).distinct().tuples()
        if mix is not None
        else ()
    )
    return for_wash(cleaner, volume_ul, [row[0] for row in poured], as_of=day)


def told_before(product: str, volume_ul: int, mix: int | None) -> list[Finding]:
    """What would be told of washing with so much of that product; books nothing.

    Raises:
        NotFound, Ambiguous: the product.
    """
    with connection():
        return _cautions(products.find(product).id, volume_ul, mix, settings().today())


def washable() -> list[Product]:
    """The products that things can be washed with."""
    return [row for row in products.everything() if row.role in WASHING_ROLES]
