"""Counts with how sure they are: by volume, level or weight, and what the difference to the books may mean."""

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction
from typing import Any, NamedTuple

from stock import units
from stock.bench import weighing
from stock.bench.amounts import read_count
from stock.bench.weighing import Difference, Loss, Measured
from stock.errors import BadInput, NotFound
from stock.grammar import figure_and_unit, refuse
from stock.ledger import Answer
from stock.remedies import Option, Remedy
from stock.shelf import counts, products
from stock.shelf.bottles import numbered
from stock.store.connection import connection, reading
from stock.store.models import Bottle, Count, Movement, Pack, Product, Undone
from stock.units import ml, show_volume

TAKEN = ("poured", "washed")


class Level(NamedTuple):
    """How high a bottle stands: a fraction of it, or a height in micrometres."""

    share: Fraction | None = None
    height_um: int | None = None


def read_level(text: str) -> Level:
    """A level as people write it: `3/4`, `0.75`, `75%` of the bottle, or `32 mm`.

    Raises:
        BadInput: none of them, or more than the whole bottle.
    """
    accepted = "a level such as 3/4, 75% or 32 mm"
    figure, unit = figure_and_unit(text, "level", accepted)
    if unit == "mm":
        if not 0 <= figure <= 500:
            refuse("level", text, "is no height of a bottle", accepted)
        return Level(height_um=round(figure * 1_000))
    if unit not in {"", "%"}:
        refuse("level", text, "has no known unit", accepted)
    share = figure / 100 if unit else figure
    if share > 1:
        refuse("level", text, "is more than the whole bottle", accepted)
    return Level(share=share)


def by_level(bottle: str, level: Level, *, inner_diameter_um: int | None = None) -> Measured:
    """What a level means in a bottle; a height needs the bottle's inner diameter.

    Args:
        bottle: its number or label.
        level: a fraction or a height.
        inner_diameter_um: of the bottle; what is on record for its pack when None. Given, it is put on record
            by the count that is booked, and by nothing before.
    Raises:
        NotFound: no inner diameter is known.
        BadInput: higher than the bottle can be filled.
    """
    found = numbered(bottle)
    if level.share is not None:
        return weighing.by_fraction(level.share, found.size_ul)
    width_um = inner_diameter_um
    if width_um is None:
        with connection():
            known = Pack.select(Pack.inner_diameter_um).where(_pack_of(found)).tuples().first()
        width_um = known[0] if known else None
    if width_um is None:
        raise NotFound(
            f"how wide bottle {found.id} is inside is not known",
            remedy=Remedy("Give it ", Option("inner-diameter", "34mm"), ", or count by volume or weight"),
        )
    measured = weighing.by_level(level.height_um or 0, width_um, found.size_ul)
    return measured._replace(inner_diameter_um=inner_diameter_um)


def _pack_of(bottle: Bottle) -> Any:
    return (Pack.product == bottle.product_id) & (Pack.size_ul == bottle.size_ul)


def by_weight(bottle: str, gross_mg: int, *, tare_mg: int | None = None) -> Measured:
    """What a weighing means, with its uncertainty.

    Raises:
        NotFound, BadInput: as `counts.by_weight`.
    """
    volume_ul = counts.by_weight(bottle, gross_mg, tare_mg=tare_mg)
    density = int(Product.get_by_id(numbered(bottle).product_id).density_ug_per_ml)
    net_mg = round(Fraction(volume_ul * density, 1_000_000))
    return Measured(volume_ul, weighing.by_weight(net_mg, 0, density).uncertainty_ul, "weight")


def count(
    bottle: str,
    measured: Measured,
    *,
    on: datetime | None = None,
    key: str | None = None,
) -> Answer:
    """Book a count, and say whether the difference is more than measuring explains.

    Returns:
        The answer of `counts.count` with `uncertainty_ml`, `explained_ml`, `beyond`, `words` and
        `usual_loss` ({"a_mix_ml", "error_ml", "mixes", "counts", "sure"} or None).
    Raises:
        What `counts.count` raises.
    """

    def beside(answer: Answer) -> Answer:
        counted = Bottle.get_by_id(answer["bottle"])
        if measured.inner_diameter_um is not None:
            width = {Pack.inner_diameter_um: measured.inner_diameter_um}
            Pack.update(width).where(_pack_of(counted)).execute()
        return _told(judged(answer["count"]), measured, usual_loss(int(counted.product_id)))

    return counts.count(
        bottle,
        measured.volume_ul,
        method=measured.method,
        uncertainty_ul=measured.uncertainty_ul,
        on=on,
        key=key,
        beside=beside,
    )


def _told(found: Difference, measured: Measured, loss: Loss | None) -> Answer:
    return {
        "uncertainty_ml": ml(measured.uncertainty_ul),
        "explained_ml": ml(found.explained_ul),
        "beyond": found.beyond,
        "words": found.sentence,
        "usual_loss": _loss_json(loss),
    }


def _loss_json(loss: Loss | None) -> dict[str, object] | None:
    if loss is None:
        return None
    return {
        "a_mix_ml": ml(loss.a_mix_ul), "error_ml": ml(loss.error_ul), "mixes": loss.mixes,
        "counts": loss.counts, "sure": loss.sure,
    }  # fmt: skip


def judged(number: int) -> Difference:
    """A booked count against what the books expected, both as unsure as they are.

    Args:
        number: the count's number.
    """
    row = Count.get_by_id(number)
    before = _before(row)
    pours = [change for change, _ in _taken(row.bottle_id, before, row.id_id)]
    books = weighing.books_uncertainty(pours, (before.uncertainty_ul or 0) if before is not None else 0)
    measured = Measured(row.measured_ul, row.uncertainty_ul or 0, row.method)
    return weighing.compare(measured, row.expected_ul, books)


def _before(row: Count) -> Count | None:
    """The count of the same bottle before this one that stands."""
    found: Count | None = (
        Count.select()
        .where((Count.bottle == row.bottle_id) & (Count.id < row.id_id))
        .where(Count.id.not_in(Undone.select(Undone.booking)))
        .order_by(Count.id.desc())
        .first()
    )
    return found


def _taken(bottle: int, after: Count | None, until: int) -> list[tuple[int, int]]:
    """(microlitres, booking) of what was taken from a bottle between two counts and stands."""
    rows = (
        Movement.select(Movement.change_ul, Movement.booking)
        .where((Movement.bottle == bottle) & Movement.kind.in_(TAKEN) & (Movement.booking < until))
        .where(Movement.booking.not_in(Undone.select(Undone.booking)))
    )
    if after is not None:
        rows = rows.where(Movement.booking > after.id_id)
    return list(rows.tuples())


def usual_loss(product: int) -> Loss | None:
    """What usually goes unlogged with a mix of a product, learnt from all its counts; None without any.

    Args:
        product: its number.
    """
    with connection(), reading():
        rows = (
            Count.select()
            .join(Bottle)
            .where((Bottle.product == product) & Count.id.not_in(Undone.select(Undone.booking)))
            .order_by(Count.bottle, Count.id)
        )
        told = []
        last: Count | None = None
        for row in rows:
            before = last if last is not None and last.bottle_id == row.bottle_id else None
            mixes = len({booking for _, booking in _taken(row.bottle_id, before, row.id_id)})
            told.append((row.expected_ul - row.measured_ul, mixes))
            last = row
    return weighing.usual_loss(told)


def offered(names: Sequence[str], measures: str = "metric") -> list[str]:
    """For products whose usual unlogged loss is sure enough, a sentence that offers to count it in."""
    said = []
    for name in names:
        loss = usual_loss(products.find(name).id)
        if loss is not None and loss.sure:
            said.append(
                f"Usually {show_volume(loss.a_mix_ul, measures)} of {name} more is gone after a mix than was logged "
                f"({loss.counts} counts over {loss.mixes} mixes): measure it, or log that much more"
            )
    return said


def read_diameter(text: str) -> int:
    """An inner diameter in micrometres: `34 mm`.

    Raises:
        BadInput: no figure in millimetres, or outside 5 to 300 mm.
    """
    accepted = "a diameter such as 34 mm, from 5 to 300"
    figure, unit = figure_and_unit(text, "diameter", accepted)
    if unit not in {"", "mm"} or not 5 <= figure <= 300:
        refuse("diameter", text, "is no inner diameter of a bottle", accepted)
    return round(figure * 1_000)


def measured(
    bottle: str,
    *,
    volume: str | None = None,
    weight: str | None = None,
    tare: str | None = None,
    level: str | None = None,
    inner_diameter: str | None = None,
    uncertainty: str | None = None,
) -> Measured:
    """What a person measured, from the words they write; exactly one of volume, weight and level.

    Raises:
        BadInput: none or several of them, or words that can't be read.
        NotFound: no such bottle, or what the method needs is not known.
    """
    if sum(given is not None for given in (volume, weight, level)) != 1:
        raise BadInput(
            "a count needs a volume, a weight or a level",
            remedy=Remedy(
                "Write 41ml, or give it ", Option("weight", "63.2g"), " or ", Option("level", "3/4")
            ),
        )
    if volume is not None:
        found = weighing.by_volume(read_count(volume))
    elif weight is not None:
        tare_mg = units.mass(tare, zero=True) if tare is not None else None
        found = by_weight(bottle, units.mass(weight, zero=True), tare_mg=tare_mg)
    else:
        diameter = read_diameter(inner_diameter) if inner_diameter is not None else None
        found = by_level(bottle, read_level(level or ""), inner_diameter_um=diameter)
    if uncertainty is None:
        return found
    return found._replace(uncertainty_ul=read_count(uncertainty))
