"""The products that a mix or a wash names, with what the studio noted that bears on them, in one query."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from stock.named_tuples import NamedTuple
from stock.shelf.products import ProductRecord
from stock.store import statements
from stock.store.models import NotWith, OwnSubstance, Product, RuleChoice, Silence, Solvent, Studio
from stock.store.orm import pw
from stock.store.prepared import Prepared
from stock.text import folded

ONE = pw.SQL("1")
SHARES = (Solvent.product, Solvent.name, Solvent.percent_milli, Solvent.basis, Solvent.low_milli)
SELDOM = tuple(pw.fn.EXISTS(each.select(ONE)) for each in (RuleChoice, Silence, OwnSubstance, NotWith))
"""Whether the studio noted anything of four rare kinds."""


def _has_sheet(of: Callable[["pw.Field"], "pw.Expression"]) -> "pw.Function":
    """Whether there is a data sheet of a product for which the condition holds."""
    from stock.store.models import DataSheet  # what a shelf does without

    return pw.fn.EXISTS(DataSheet.select(ONE).where(of(DataSheet.product)))


ABOUT = Prepared(
    lambda ids, same: (
        Studio.select(*SELDOM, _has_sheet(lambda product: product.in_(same)), *SHARES)
        .left_outer_join(Solvent, on=Solvent.product.in_(ids))
        .where(Studio.id == 1)
    )
)
PAINT = Product.alias()
NAMED = Prepared(
    lambda keys, same: (
        Product.select(
            *SELDOM,
            _has_sheet(lambda product: product == Product.id),
            *SHARES,
            *Product._meta.sorted_fields,
        )
        .left_outer_join(Solvent, on=Solvent.product == Product.id)
        .where(
            (Product.name_key.in_(keys) & ~Product.taken_back)
            | Product.id.in_(
                PAINT.select(PAINT.usual_reducer).where(PAINT.name_key.in_(same), ~PAINT.taken_back)
            )
        )
    )
)
FLAGS, OWN = len(SELDOM) + 1, len(SELDOM) + 1 + len(SHARES)
"""Where the solvent of a row of `NAMED` begins, and where the product itself does."""


class Noted(NamedTuple):
    """The solvents of some products, and whether the studio noted anything of five kinds.

    `choices` of rules, `silences` of them, `substances` of its own, products kept `apart` from each other, data
    `sheets` of these products.
    """

    choices: bool = True
    silences: bool = True
    substances: bool = True
    apart: bool = True
    sheets: bool = True
    solvents: Sequence[tuple[Any, ...]] = ()


ALL_NOTED = Noted()
KINDS_NOTED = """
    SELECT EXISTS (SELECT 1 FROM rule_choice), EXISTS (SELECT 1 FROM silence), EXISTS (SELECT 1 FROM own_substance)
"""


def kinds_noted() -> Noted:
    """Which rare kinds of things the studio noted at all; of pairs and data sheets it says that there may be some."""
    choices, silences, substances = map(bool, statements.rows(KINDS_NOTED)[0])
    return Noted(choices, silences, substances)


def noted(products: Iterable[int]) -> Noted:
    """What is noted of these products, of which there is at least one, by their numbers."""
    ids = list(products)
    return _noted(ABOUT.rows(ids, ids))


def named(names: Iterable[str]) -> tuple[dict[str, ProductRecord], Noted]:
    """The products whose whole name is among these and their usual reducers, by their folded names; what is noted."""
    keys = sorted({folded(name) for name in names})
    rows = NAMED.rows(keys, keys) if keys else []
    if not rows:
        return {}, ALL_NOTED
    found = [ProductRecord._make(row[OWN:]) for row in rows]
    return {row.name_key: row for row in found}, _noted(rows)


def _noted(rows: Sequence[tuple[Any, ...]]) -> Noted:
    choices, silences, substances, apart = map(bool, rows[0][: FLAGS - 1])
    sheets = any(row[FLAGS - 1] for row in rows)
    solvents = [row[FLAGS:OWN] for row in rows if row[FLAGS] is not None]
    return Noted(choices, silences, substances, apart, sheets, solvents)
