"""Booking washes: cleaner that was used, which is not part of any mix's volume."""

from collections.abc import Sequence
from datetime import date, datetime
from statistics import median_low

from stock import clock
from stock.bench.amounts import read_part
from stock.bench.mixing import mark_open
from stock.bench.named_parts import picked_bottle
from stock.cautions.facts import Finding
from stock.errors import BadInput, Stopped
from stock.language import _
from stock.ledger import Answer, Errand, book, hold
from stock.remedies import Do, Option, Remedy
from stock.shelf import products
from stock.shelf.bottles_to_pour import candidates
from stock.shelf.choosing import choose
from stock.shelf.studio import settings
from stock.store.connection import connection
from stock.store.models import Booking, Bottle, Mix, Movement, Pour, Product, Undone, Wash
from stock.store.orm import pw
from stock.text import note as clean_note
from stock.units import Microlitres, ml

LAST = 9
"""How many recent wash-outs determine the usual amount."""
WASHING_ROLES = ("cleaner", "reducer")


def wash(
    product: str,
    volume_ul: Microlitres,
    *,
    mix: int | None = None,
    bottles: Sequence[str] = (),
    on: datetime | None = None,
    accept: Sequence[str] = (),
    key: str | None = None,
    note: str = "",
) -> Answer:
    """Book a wash.

    Args:
        product: a cleaner, or a reducer used as one.
        volume_ul: microlitres used, above 0.
        mix: the mix that was washed out; if None, the cautions assume the day's last one.
        bottles: the bottles to use; when empty they are chosen by the shelf's rule.
        accept: codes of `stop` cautions that a person accepts by name.
    Returns:
        `{"wash", "product", "volume_ml", "pours": [{"bottle", "volume_ml", "on_hand_ml"}], "cautions"}`: findings
        about fire and air, and about the cleaner with what was in the mix.
    Raises:
        BadInput: the product is neither cleaner nor reducer, or the mix is unknown.
        NotEnough: the bottles hold less.
        Stopped: a `stop` caution that was not accepted; nothing is booked.
    """

    def work(errand: Errand) -> Answer:
        row = products.find(product)
        if row.role not in WASHING_ROLES:
            raise BadInput(
                _("{name} is a {role}, which is not used to wash", name=row.name, role=_(row.role)),
                remedy=_("Name a cleaner"),
            )
        if mix is not None and Mix.get_or_none(Mix.id == mix) is None:
            raise BadInput(
                _("there is no mix {mix}", mix=mix),
                remedy=Remedy(Do("logbook", "--kind", "mix"), _(" lists them")),
            )
        held = {bottle.id for bottle in candidates({row.id: row}, came_by=errand.day)[row.id]}
        hold(held)
        picked = [picked_bottle(text, errand.day).id for text in bottles]
        # A bottle that was received while these were waited for is not locked and must not be poured from.
        there = candidates({row.id: row}, came_by=errand.day)[row.id]
        usable = [bottle for bottle in there if bottle.id in held]
        takes = choose(
            usable, volume_ul, product=row.name, today=errand.day, picked=picked, measures=settings().measures
        )
        cautions = _cautions(row.id, volume_ul, mix or _last_mix(errand.at, errand.day), errand.day)
        _refuse_stops([each for each in cautions if each.severity == "stop" and each.code not in accept])
        Wash.insert(id=errand.booking, mix=mix).execute()
        for take in sorted(takes, key=lambda take: take.bottle):
            errand.move(take.bottle, "washed", Microlitres(-take.volume_ul))
            mark_open(errand, take.bottle)
        return {
            "wash": errand.booking,
            "product": row.name,
            "volume_ml": ml(volume_ul),
            "pours": [
                {
                    "bottle": take.bottle,
                    "volume_ml": ml(take.volume_ul),
                    "on_hand_ml": ml(Microlitres(take.on_hand_ul - take.volume_ul)),
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
                _(". To wash anyway, accept it "),
                Option("accept", stops[0].code),
                _("; nothing was booked"),
            ),
        )


def _cautions(cleaner: int, volume_ul: Microlitres, mix: int | None, day: date) -> list[Finding]:
    """Findings about fire and air, and about the cleaner with what was in the mix."""
    from stock.cautions.books import for_wash  # loads the rules

    poured = (
        Pour.select(Bottle.product).join(Movement).join(Bottle).where(Pour.mix == mix).distinct().tuples()
        if mix is not None
        else ()
    )
    return for_wash(cleaner, volume_ul, [row[0] for row in poured], as_of=day)


def _last_mix(at: datetime, day: date) -> int | None:
    """The newest mix of the day that was made before that moment: the one assumed to be washed out if none is named."""
    made = (Booking.kind == "mix") & (Booking.day == day) & (Booking.at <= clock.stamp(at))
    rows = (
        Booking.select(Booking.id)
        .where(made & Booking.id.not_in(Undone.select(Undone.booking)))
        .order_by(Booking.at.desc(), Booking.id.desc())
        .limit(1)
        .tuples()
    )
    return next((int(number) for (number,) in rows), None)


def cautions_before(product: str, volume_ul: Microlitres, mix: int | None) -> list[Finding]:
    """The findings about washing with that much of a product; books nothing.

    Args:
        product: a cleaner, or a reducer used as one.
        volume_ul: microlitres used.
        mix: the mix that is washed out; None for today's last one.
    Raises:
        NotFound, Ambiguous: the product.
    """
    with connection():
        today = settings().today()
        washed = mix or _last_mix(clock.now(), today)
        return _cautions(products.find(product).id, volume_ul, washed, today)


def usual_amount(product: int) -> Microlitres | None:
    """The usual microlitres of this product for a wash-out: the median of the last ones; None before the first."""
    with connection():
        rows = (
            Wash.select(pw.fn.SUM(Movement.change_ul))
            .join(Movement, on=(Movement.booking == Wash.id))
            .join(Bottle)
            .where((Bottle.product == product) & (Movement.kind == "washed"))
            .where(Wash.id.not_in(Undone.select(Undone.booking)))
            .group_by(Wash.id)
            .order_by(Wash.id.desc())
            .limit(LAST)
        )
        amounts = [Microlitres(-int(used)) for (used,) in rows.tuples()]
    return median_low(amounts) if amounts else None


def usual_cleaner() -> Product | None:
    """The product that was last washed with, else the only cleaner in the books; None if there are several or none."""
    with connection():
        last = (
            Wash.select(Bottle.product)
            .join(Movement, on=(Movement.booking == Wash.id))
            .join(Bottle)
            .where(Wash.id.not_in(Undone.select(Undone.booking)))
            .order_by(Wash.id.desc())
            .tuples()
            .first()
        )
        if last is not None:
            return Product.get_by_id(last[0])
    cleaners = [row for row in washable() if row.role == "cleaner"]
    return cleaners[0] if len(cleaners) == 1 else None


def read_wash(text: str | None) -> tuple[str, Microlitres]:
    """Read `Cleaner=15ml`; without an amount it is the usual one, and an empty text means the usual cleaner.

    Raises:
        BadInput: no wash-out says what is usual, or an amount that can't be read.
        NotFound, Ambiguous: the cleaner.
    """
    if text is not None and "=" in text:
        return read_part(text)
    row = products.find(text) if text is not None else usual_cleaner()
    usual_ul = usual_amount(row.id) if row is not None else None
    if row is None or usual_ul is None:
        raise BadInput(
            _("no wash-out in the books says what is usual")
            + (_(" with {name}", name=row.name) if row is not None else ""),
            remedy=_('Write it as "Cleaner=15ml"; nothing was booked'),
        )
    return row.name, usual_ul


def washable() -> list[Product]:
    """The products that can be used to wash."""
    return [row for row in products.everything() if row.role in WASHING_ROLES]
