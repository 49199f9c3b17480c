"""The ventilation that spraying a paint thinned as advised needs, worked out before a mix is planned."""

from collections.abc import Mapping
from datetime import date

from stock.bench.books import PaintAdvice
from stock.cautions import books
from stock.cautions.facts import Finding
from stock.cautions.ventilation import AIR_CODES
from stock.shelf import products
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.units import Microlitres

USUALLY_UL = Microlitres(20_000)
"""The amount of paint that is assumed if none is given: a few cups. Common practice, no source."""


def air_for(
    asked: PaintAdvice, weights: Mapping[str, int], paint_ul: Microlitres, as_of: date | None = None
) -> list[Finding]:
    """The cautions about ventilation for an amount of paint that is thinned to the advised start.

    Args:
        asked: the advice.
        weights: the share of each reducer of a blend, by its name; a reducer that is missing here has a share of 1.
        paint_ul: the paint.
        as_of: the day; today when None.
    """
    reducer_ul = paint_ul * asked.advice.start_milli // 100_000
    with connection(), reading():
        paint = products.find(asked.product)
        thinners = [products.find(name) for name in asked.reducers]
        parts = [(paint.id, int(paint_ul), 0)]
        whole = sum(weights.get(each.name, 1) for each in thinners)
        parts += [(each.id, reducer_ul * weights.get(each.name, 1) // whole, 0) for each in thinners]
        found = books.for_mix(parts, as_of=as_of or settings().today(), bottles=())
    return [each for each in found if each.code in AIR_CODES]
