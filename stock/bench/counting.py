"""Counts by volume, level or weight with their uncertainty, and what a difference to the books may mean."""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from stock import units
from stock.bench import weighing, weighings
from stock.bench.amounts import read_count
from stock.bench.bottle_level import BottleLevel, read_diameter, read_level
from stock.bench.known_density import known_density
from stock.bench.weighing import Difference, Measured, UnloggedLoss, Weighed
from stock.bench.weighings import WeighableBottle
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.ledger import Answer
from stock.remedies import Option, Remedy
from stock.shelf import bottle_facts, counts, products
from stock.shelf.bottles import numbered, usable
from stock.store.connection import connection, reading
from stock.store.models import Bottle, Count, Movement, Pack, Product, Undone
from stock.store.words import LOSSES
from stock.units import Microlitres, Micrometres, Milligrams, from_thousandths, ml, show_volume

TAKEN = ("poured", "washed")


def by_level(bottle: str, level: BottleLevel, *, inner_diameter_um: Micrometres | None = None) -> Measured:
    """The volume at a level of a bottle; a height needs the bottle's inner diameter.

    Args:
        bottle: its number or label.
        level: a fraction or a height.
        inner_diameter_um: of the bottle; the one on record for its pack when None. A given diameter is put on
            record only when the count is booked.
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
            noted = Pack.select(Pack.inner_diameter_um).where(_pack_of(found)).tuples().first()
        width_um = noted[0] if noted else None
    if width_um is None:
        raise NotFound(
            _("the inner diameter of bottle {id} is unknown", id=found.id),
            remedy=Remedy(
                _("Give it "), Option("inner-diameter", "34mm"), _(", or count by volume or weight")
            ),
        )
    measured = weighing.by_level(level.height_um or Micrometres(0), width_um, found.size_ul)
    return measured._replace(inner_diameter_um=inner_diameter_um)


def _pack_of(bottle: Bottle) -> Any:
    return (Pack.product == bottle.product_id) & (Pack.size_ul == bottle.size_ul)


def by_weight(
    bottle: str,
    gross_mg: Milligrams,
    *,
    tare_mg: Milligrams | None = None,
    resolution_mg: Milligrams = weighing.SCALE_MG,
) -> Measured:
    """The volume that a weight stands for, with its uncertainty.

    Args:
        bottle: its number or label.
        gross_mg: what the scale shows, in milligrams.
        tare_mg: the empty bottle; what is on record for the bottle or its pack when None.
        resolution_mg: the last digit of the scale.
    Raises:
        NotFound: no density or no tare is known.
        BadInput: lighter than the empty bottle.
    """
    found = numbered(bottle)
    product = Product.get_by_id(found.product_id)
    tare, of_pack = (tare_mg, False) if tare_mg is not None else _tare(found)
    density = known_density(product.name, product.density_ug_per_ml)
    error = products.density_error(product.id, density)
    new = tare_mg is not None and tare_mg > 0
    return weighing.by_weight(Weighed(gross_mg, tare, density, resolution_mg, error, of_pack, new))


def _tare(found: Bottle) -> tuple[Milligrams, bool]:
    """The empty weight of a bottle in milligrams, and whether it is that of another bottle of its pack."""
    if found.tare_mg is not None:
        return Milligrams(found.tare_mg), False
    pack = Pack.get_or_none(_pack_of(found))
    if pack is None or pack.tare_mg is None:
        raise NotFound(
            _("the empty weight of bottle {id} is not known", id=found.id),
            remedy=Remedy(_("Give it "), Option("tare")),
        )
    return Milligrams(pack.tare_mg), True


def count(
    bottle: str,
    measured: Measured,
    *,
    on: datetime | None = None,
    key: str | None = None,
    reason: str | None = None,
) -> Answer:
    """Book a count; the answer says whether the difference is more than the measurement's uncertainty explains.

    Returns:
        The answer of `counts.count` with `uncertainty_ml`, `explained_ml`, `beyond`, `words` and
        `usual_loss` ({"a_mix_ml", "error_ml", "mixes", "counts", "sure"} or None) and `weighing` ({"reading_g",
        "tare_g", "resolution_g", "density_g_per_ml"} or None).
    Raises:
        What `counts.count` raises.
    """

    def beside(answer: Answer) -> Answer:
        counted = Bottle.get_by_id(answer["bottle"])
        if measured.inner_diameter_um is not None:
            width = {Pack.inner_diameter_um: measured.inner_diameter_um}
            Pack.update(width).where(_pack_of(counted)).execute()
        if measured.weighed is not None:
            if measured.weighed.tare_is_new:
                bottle_facts.note_tare(str(counted.id), measured.weighed.tare_mg)
            weighings.note(
                "count", int(counted.product_id), measured, bottle=counted.id, booking=answer["count"]
            )
        return _answer(difference_of(answer["count"]), measured, usual_loss(int(counted.product_id)))

    return counts.count(
        bottle,
        measured.volume_ul,
        method=measured.method,
        uncertainty_ul=measured.uncertainty_ul,
        on=on,
        key=key,
        beside=beside,
        reason=reason,
    )


def _answer(found: Difference, measured: Measured, loss: UnloggedLoss | None) -> Answer:
    return {
        "uncertainty_ml": ml(measured.uncertainty_ul),
        "explained_ml": ml(found.explained_ul),
        "beyond": found.beyond,
        "words": found.sentence,
        "usual_loss": _loss_json(loss),
        "weighing": None if measured.weighed is None else weighed_json(measured.weighed),
    }


def weighed_json(weighed: Weighed) -> dict[str, object]:
    """The weighing that a volume was worked out from, for scripts."""
    return {
        "reading_g": from_thousandths(weighed.reading_mg),
        "tare_g": from_thousandths(weighed.tare_mg),
        "resolution_g": from_thousandths(weighed.resolution_mg),
        "density_g_per_ml": weighed.density_ug_per_ml / 1_000_000,
    }


def _loss_json(loss: UnloggedLoss | None) -> dict[str, object] | None:
    if loss is None:
        return None
    return {
        "a_mix_ml": ml(loss.a_mix_ul), "error_ml": ml(loss.error_ul), "mixes": loss.mixes,
        "counts": loss.counts, "sure": loss.sure,
    }  # fmt: skip


def difference_of(number: int) -> Difference:
    """A booked count compared with what the books expected, with the uncertainty of both.

    Args:
        number: the count's number.
    """
    row = Count.get_by_id(number)
    before = _last_count(row.bottle_id, row.id_id)
    if before is None and _came_part_used([row.bottle_id]):
        return weighing.first_count(row.measured_ul, row.expected_ul)
    pours = _taken(row.bottle_id, before, row.id_id)
    books = weighing.books_uncertainty(pours, _uncertainty_of(before))
    measured = Measured(row.measured_ul, _uncertainty_of(row), row.method)
    reason = counts.show_reason(row.reason) if row.reason else None
    return weighing.compare(measured, row.expected_ul, books, reason)


def _came_part_used(bottles: Collection[int]) -> set[int]:
    """The bottles among these that came part-used, so that their volume in the books was an estimate."""
    came = (
        Movement.select(Movement.bottle, Movement.change_ul < Bottle.size_ul)
        .join(Bottle)
        .where(Movement.bottle.in_(list(bottles)) & (Movement.kind == "received"))
        .order_by(Movement.id.desc())
    )
    return {
        bottle for bottle, less in dict(came.tuples()).items() if less
    }  # newest first: the first arrival overwrites the others


def weighable(bottle: str) -> WeighableBottle:
    """A bottle with the facts from the books that its weight is judged by.

    Args:
        bottle: its number or label.
    Raises:
        NotFound: no such bottle.
        BadInput: it was discarded.
    """
    with connection(), reading():
        found = usable(numbered(bottle))
        product = Product.get_by_id(found.product_id)
        last = _last_count(found.id, None)
        pours = _taken(found.id, last, None)
        try:
            tare: tuple[Milligrams | None, bool] = _tare(found)
        except NotFound:
            tare = None, False
        density = product.density_ug_per_ml
        return WeighableBottle(
            found.id, product.name, product.id, found.on_hand_ul, found.size_ul,
            found.opened_on is None and found.on_hand_ul == found.size_ul, *tare, density,
            products.density_error(product.id, density),
            weighing.books_uncertainty(pours, _uncertainty_of(last)),
        )  # fmt: skip


def _uncertainty_of(count: Count | None) -> Microlitres:
    """Its standard uncertainty; 0 where none was noted, or before the first count."""
    return Microlitres(count.uncertainty_ul or 0 if count is not None else 0)


def _last_count(bottle: int, until: int | None) -> Count | None:
    """The last count of a bottle that was not undone, before a booking if one is given."""
    rows = Count.select().where((Count.bottle == bottle) & _measured())
    rows = rows.where(Count.id.not_in(Undone.select(Undone.booking)))
    if until is not None:
        rows = rows.where(Count.id < until)
    found: Count | None = rows.order_by(Count.id.desc()).first()
    return found


def _measured() -> Any:
    """The condition for counts that somebody measured; a spill is subtracted without measuring."""
    return Count.reason.is_null() | Count.uncertainty_ul.is_null(False)


def _takings(*columns: Any) -> Any:
    """The movements by which something was taken from bottles and not undone."""
    undone = Undone.select(Undone.booking)
    return Movement.select(*columns).where(Movement.kind.in_(TAKEN), Movement.booking.not_in(undone))


def _taken(bottle: int, after: Count | None, until: int | None) -> list[Microlitres]:
    """Microlitres of what was taken from a bottle after a count and before a booking, below 0."""
    rows = _takings(Movement.change_ul).where(Movement.bottle == bottle)
    if until is not None:
        rows = rows.where(Movement.booking < until)
    if after is not None:
        rows = rows.where(Movement.booking > after.id_id)
    return [change_ul for (change_ul,) in rows.tuples()]


def _taking(bottles: Collection[int]) -> dict[int, list[int]]:
    """The bookings, in their order, that took something from each of these bottles; one query."""
    rows = _takings(Movement.bottle, Movement.booking).where(Movement.bottle.in_(list(bottles)))
    found: dict[int, list[int]] = {bottle: [] for bottle in bottles}
    for bottle, booking in rows.distinct().order_by(Movement.booking).tuples():
        found[bottle].append(booking)
    return found


def usual_loss(product: int) -> UnloggedLoss | None:
    """The usual unlogged loss with a mix of a product, learnt from all its counts; None without counts.

    Args:
        product: its number.
    """
    with connection(), reading():
        counts_that_stand = (
            (Bottle.product == product) & Count.id.not_in(Undone.select(Undone.booking)) & _measured()
        )
        rows = list(Count.select().join(Bottle).where(counts_that_stand).order_by(Count.bottle, Count.id))
        counted = list(dict.fromkeys(row.bottle_id for row in rows))
        estimated, taken = _came_part_used(counted), _taking(counted)
        losses = []
        last: Count | None = None
        for row in rows:
            before = last if last is not None and last.bottle_id == row.bottle_id else None
            if before is None and row.bottle_id in estimated:
                last = row
                continue  # its volume was an estimate, so the difference says nothing about losses in mixes
            bookings = taken[row.bottle_id]
            first = bisect_right(bookings, before.id_id) if before is not None else 0
            mixes = bisect_left(bookings, row.id_id) - first
            if row.reason not in LOSSES:  # a spilled volume was not lost in a mix
                losses.append((row.expected_ul - row.measured_ul, mixes))
            last = row
    return weighing.usual_loss(losses)


def loss_notes(names: Sequence[str], measures: str = "metric") -> list[str]:
    """A sentence for each product whose usual unlogged loss is certain enough to mention."""
    notes = []
    for name in names:
        loss = usual_loss(products.find(name).id)
        if loss is not None and loss.sure:
            notes.append(
                _(
                    "After a mix of {name}, usually {a_mix_ul} more is gone than was logged ({counts} counts "
                    "over {mixes} mixes): measure it, or log that much more",
                    name=name,
                    a_mix_ul=show_volume(loss.a_mix_ul, measures),
                    counts=loss.counts,
                    mixes=loss.mixes,
                )
            )
    return notes


def measured(
    bottle: str,
    *,
    volume: str | None = None,
    weight: str | None = None,
    resolution_mg: Milligrams | None = None,
    tare: str | None = None,
    level: str | None = None,
    inner_diameter: str | None = None,
    uncertainty: str | None = None,
) -> Measured:
    """Read what a person measured; exactly one of volume, weight and level is given.

    Args:
        bottle: its number or label.
        volume: as `41ml`.
        weight: as `63.2g`.
        resolution_mg: the last digit of the scale that showed the weight; of a usual one when None.
        tare: of the empty bottle, as `20.15g`.
        level: as `3/4` or `32mm`.
        inner_diameter: of the bottle, as `34mm`.
        uncertainty: replaces the uncertainty that follows from the method, as `1ml`.
    Raises:
        BadInput: none or several of them, or a text that can't be read.
        NotFound: no such bottle, or the method needs a figure that is unknown.
    """
    if sum(given is not None for given in (volume, weight, level)) != 1:
        raise BadInput(
            _("a count needs a volume, a weight or a level"),
            remedy=Remedy(
                _("Write 41ml, or give it "), Option("weight", "63.2g"), " or ", Option("level", "3/4")
            ),
        )
    if volume is not None:
        found = weighing.by_volume(read_count(volume))
    elif weight is not None:
        tare_mg = units.mass(tare, zero=True) if tare is not None else None
        digit_mg = resolution_mg or weighing.SCALE_MG
        found = by_weight(bottle, units.mass(weight, zero=True), tare_mg=tare_mg, resolution_mg=digit_mg)
    else:
        diameter = read_diameter(inner_diameter) if inner_diameter is not None else None
        found = by_level(bottle, read_level(level or ""), inner_diameter_um=diameter)
    if uncertainty is None:
        return found
    return found._replace(uncertainty_ul=read_count(uncertainty))
