"""Lines: a maker's families of products, whose common facts are entered once.

`inheritance` passes them on to the products.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import dated_facts, hazard_entry, inheritance, names, ph
from stock.shelf.entry import Entry, read
from stock.shelf.studio import settings
from stock.shelf.written import OF_LINE, settle, write
from stock.store.connection import connection, writing
from stock.store.line_fields import FIELDS
from stock.store.models import Dosing, Line, LineProduct, Product
from stock.store.orm import pw
from stock.text import folded

KEYS = ("name", "size", "price", "note", *FIELDS)
"""The keys that `add` and `change` take, as `entry.read` does."""


def add(given: Mapping[str, Any]) -> Line:
    """Add a line from the fields that `entry.read` takes; `name` must be among them.

    Raises:
        BadInput: a field can't be read, or can't be a line's.
        UllageError: a line of that name stands in the books already.
        NotFound, Ambiguous: the usual reducer or a `not_with` names no single product.
    """
    with connection(), writing():
        entry = _read(given)
        if "name" not in entry.columns:
            raise BadInput(_("a line needs a name"), remedy=_("Give it; nothing was added"))
        columns = entry.columns | {"name_key": folded(entry.columns["name"])}
        with names.free(Line, _("line"), columns, remedy=_("Correct that one instead; nothing was added")):
            line = Line.create(**columns)
        write(OF_LINE, line, entry)
        settle(OF_LINE, line, entry.columns.get("groups"))
        return Line.get_by_id(line.id)


def change(name: str, given: Mapping[str, Any], *, since: date | None = None) -> Line:
    """Change the given fields of a line; its products follow in the same transaction, except in their own fields.

    Args:
        name: the line.
        given: fields, as `entry.read` takes them.
        since: the day from which they count for its products, see `dated_facts`; today when None.
    Raises:
        NotFound, Ambiguous: `name` means no single line.
        BadInput: a field can't be read, or contradicts what a product of the line says; nothing is changed.
        UllageError: another line has the new name, or `since` is closed.
    """
    with connection(), writing():
        line = find(name)
        entry = _read(given)
        if "role" in entry.emptied and line.role is not None:
            raise BadInput(_("a line's role can't become unknown again"), remedy=_("Write another role"))
        if "name" in entry.columns:
            entry.columns["name_key"] = folded(entry.columns["name"])
        if entry.columns:
            with names.free(Line, _("line"), entry.columns, remedy=_("Nothing was changed"), but=line.id):
                Line.update(**entry.columns).where(Line.id == line.id).execute()
        if "name" in entry.columns:
            _rename_in_dosings(line.name, entry.columns["name"])
        write(OF_LINE, line, entry)
        settle(OF_LINE, line, entry.columns.get("groups"))
        now = Line.get_by_id(line.id)
        hazard_entry.refuse_forgetting(line, now)
        ph.refuse_forgetting(line, now)
        members = inheritance.members(line.id)
        with dated_facts.changing(members, since):
            inheritance.follow(members)
        return Line.get_by_id(line.id)


def _rename_in_dosings(before: str, now: str) -> None:
    """Rename the line in the ranges of sheets, which name it."""
    for number, text in Dosing.select(Dosing.id, Dosing.for_line).where(Dosing.for_line != "").tuples():
        if folded(text) == folded(before):
            Dosing.update(for_line=now).where(Dosing.id == number).execute()


def _read(given: Mapping[str, Any]) -> Entry:
    strange = [key for key, value in given.items() if value is not None and key not in KEYS]
    if strange:
        raise BadInput(
            _("a line has no {replace} of its own", replace=strange[0].replace("_", " ")),
            remedy=_("Give it to its products; nothing was changed"),
        )
    studio = settings()
    entry = read(given, measures=studio.measures, currency=studio.currency, today=studio.today())
    if entry.columns.get("role") == "mixed":
        raise BadInput(_("what is mixed here belongs to no line"), remedy=_("Write another role"))
    return entry


def find(name: str) -> Line:
    """The line that a name, or a part of one, means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    return names.find(
        everything(),
        name,
        what=_("line"),
        several=_("lines"),
        remedy=Remedy(_("Add it with "), Do("line add", "NAME")),
    )


def everything() -> list[Line]:
    """All lines by name."""
    with connection():
        return list(Line.select().where(~Line.taken_back).order_by(Line.name_key))


def sizes() -> dict[int, int]:
    """How many products each line has, by its number; one query."""
    counted = LineProduct.select(LineProduct.line, pw.fn.COUNT(LineProduct.product)).join(Product)
    with connection():
        return dict(counted.where(~Product.taken_back).group_by(LineProduct.line).tuples())


def products_of(line: Line) -> list[tuple[Product, frozenset[str]]]:
    """A line's products by name, each with its own fields; two queries."""
    with connection():
        numbers = inheritance.members(line.id)
        own = inheritance.belongings(numbers)
        rows = {row.id: row for row in Product.select().where(Product.id.in_(numbers))} if numbers else {}
        return [(rows[number], own[number].own) for number in numbers]
