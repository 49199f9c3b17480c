"""Rules of common practice about paint and reducer in one cup; they never stop a mix."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

from stock.cautions.facts import Finding, ProductFacts
from stock.cautions.groups import HARDLY_WATER, PERHAPS_WATER, groups_of
from stock.cautions.rules import RuleBook
from stock.cautions.substances import substance
from stock.units import MilliPercent


def bench_rules(poured: Sequence[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """Findings about paints that curdle, reducers that shock a waterborne paint, and undiluted ketone.

    Args:
        poured: the product of each pour.
        book: the studio's rules.
    """
    paints = [product for product in poured if product.role in ("paint", "clear", "mixed")]
    reducers = [product for product in poured if product.role == "reducer"]
    wet = [paint for paint in paints if "waterborne" in groups_of(paint)]
    yield from _curdling(paints, book)
    for reducer in reducers:
        about = (reducer.id, reducer.name)
        rich_milli = book.figure("pour-slowly", "rich_milli")
        if wet and _share_milli(reducer, "alcohol") >= rich_milli:
            yield from book.find("pour-slowly", product=about, paint=wet[0].name)
        strong_milli = book.figure("acetone-uncut", "strong_milli")
        if len(reducers) == 1 and _share_milli(reducer, "ketone") >= strong_milli:
            yield from book.find("acetone-uncut", product=about)


def _curdling(paints: Sequence[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """Waterborne with solventborne paint; a paint of unknown water content that names solvents may be either."""

    def may_be(paint: ProductFacts, kind: str) -> bool:
        groups = groups_of(paint)
        unsure = not groups.isdisjoint((PERHAPS_WATER, HARDLY_WATER))
        return kind in groups or (unsure and bool(paint.solvents))

    for one, other in permutations({paint.id: paint for paint in paints}.values(), 2):
        meet = may_be(one, "waterborne") and may_be(other, "solventborne")
        if meet and not book.silent_of_pair("curdles", one.id, other.id):
            yield from book.find(
                "curdles", product=(one.id, one.name), others=(other.name,), other=other.name
            )
            return


def _share_milli(product: ProductFacts, group: str) -> MilliPercent:
    named = ((share.percent_milli, substance(share)) for share in product.solvents or ())
    return MilliPercent(sum(milli for milli, entry in named if entry is not None and entry.group == group))
