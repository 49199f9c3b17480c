"""Writing the facts of an entry about a product or a line to its tables."""

from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf.entry import Entry
from stock.shelf.reactive import kept_groups, refuse_contradiction
from stock.shelf.shares import Share, refuse_overfull
from stock.store.models import (
    Line,
    LineNotWith,
    LinePack,
    LineSolvent,
    NotWith,
    Pack,
    Product,
    Solvent,
    Supplier,
)


class RecordTables(NamedTuple):
    """The tables of one kind of record: its own, those of its lists, and the column by which a list's rows name it."""

    record: Any
    pack: Any
    solvent: Any
    not_with: Any
    link: str

    def of(self, table: Any, number: int) -> Any:
        """The condition for a record's rows in one of its lists."""
        return getattr(table, self.link) == number


OF_PRODUCT = RecordTables(Product, Pack, Solvent, NotWith, "product")
OF_LINE = RecordTables(Line, LinePack, LineSolvent, LineNotWith, "line")


def write(tables: RecordTables, row: Any, entry: Entry) -> None:
    """Write the lists and names of an entry, which are not in the record's plain columns.

    Args:
        tables: those of products, or of lines.
        row: the record as it was before.
        entry: the facts given for it.
    Raises:
        BadInput: it may not meet itself.
        NotFound, Ambiguous: the usual reducer or a `not_with` names no single product.
    """
    from stock.shelf import suppliers  # only where a record is written
    from stock.shelf.products import find  # it writes through this module

    links: dict[str, Any] = {}
    if entry.supplier is not None:
        links["supplier"] = suppliers.named(entry.supplier) if entry.supplier.strip() else None
    if entry.usual_reducer is not None:
        links["usual_reducer"] = find(entry.usual_reducer) if entry.usual_reducer.strip() else None
    if links:
        tables.record.update(**links).where(tables.record.id == row.id).execute()
    _write_packs(tables, row.id, entry)
    if entry.solvents is not None:
        tables.solvent.delete().where(tables.of(tables.solvent, row.id)).execute()
        for share in entry.solvents:
            tables.solvent.create(**{tables.link: row.id}, **share._asdict())
    if entry.not_with is not None:
        tables.not_with.delete().where(tables.of(tables.not_with, row.id)).execute()
        for other in dict.fromkeys(find(name).id for name in entry.not_with):
            if tables.record is Product and other == row.id:
                raise BadInput(_("{name} can't be kept from itself", name=row.name), remedy=_("Leave it out"))
            tables.not_with.create(**{tables.link: row.id}, other=other)


def _write_packs(tables: RecordTables, number: int, entry: Entry) -> None:
    mine = tables.of(tables.pack, number)
    if entry.only_these_packs:
        tables.pack.delete().where(mine & tables.pack.size_ul.not_in(list(entry.packs))).execute()
    for size_ul, price in entry.packs.items():
        known = tables.pack.get_or_none(mine & (tables.pack.size_ul == size_ul))
        if known is None:
            tables.pack.create(**{tables.link: number}, size_ul=size_ul, price_minor=price)
        elif price is not None or entry.only_these_packs:
            tables.pack.update(price_minor=price).where(tables.pack.id == known.id).execute()


SHARE = (Solvent.name, Solvent.percent_milli, Solvent.basis, Solvent.low_milli)


def shares_of(tables: RecordTables, number: int) -> list[Share]:
    """A record's solvents, the largest share first."""
    table = tables.solvent
    query = table.select(*(getattr(table, column.name) for column in SHARE))
    rows = query.where(tables.of(table, number)).order_by(table.percent_milli.desc())
    return [Share(*row) for row in rows.tuples()]


def settle(tables: RecordTables, row: Any, groups: str | None) -> None:
    """Finish a written record: add the groups of its reactive solvents, and check that its composition is possible.

    Args:
        tables: those of products, or of lines.
        row: the record as it was before.
        groups: the groups given now; None if none were given.
    Raises:
        BadInput: solvents, water and solids make more than the whole, what makes it reactive would become unknown,
            or it is said to hold solvent and none.
    """
    record = tables.record
    now = (
        record.select(record.name, record.water_milli, record.solids_milli, record.no_solvent)
        .where(record.id == row.id)
        .get()
    )
    shares = shares_of(tables, row.id)
    refuse_overfull(shares, now.water_milli, now.solids_milli)
    kept = kept_groups(now.name, row.groups, groups, [share.name for share in shares])
    record.update(groups=kept).where(record.id == row.id).execute()
    if now.no_solvent:
        refuse_contradiction(now.name, kept.split())


def details(tables: RecordTables, number: int) -> dict[str, Any]:
    """The contents of a record's lists.

    Returns:
        `packs` [(microlitres, price in minor units or None)], `solvents` [(name, thousandths of a per cent,
        basis, low end or None)], `not_with` [names].
    """
    pack, not_with = tables.pack, tables.not_with
    packs = pack.select(pack.size_ul, pack.price_minor).where(tables.of(pack, number)).order_by(pack.size_ul)
    others = (
        Product.select(Product.name)
        .join(not_with, on=(not_with.other == Product.id))
        .where(tables.of(not_with, number))
        .order_by(Product.name_key)
    )
    return {
        "packs": list(packs.tuples()),
        "solvents": [tuple(share) for share in shares_of(tables, number)],
        "not_with": [name for (name,) in others.tuples()],
    }


def linked(row: Any) -> tuple[str, str]:
    """The names of a record's supplier and of its usual reducer; empty where there is none."""
    supplier = Supplier.get_by_id(row.supplier_id).name if row.supplier_id else ""
    reducer = Product.get_by_id(row.usual_reducer_id).name if row.usual_reducer_id else ""
    return supplier, reducer
