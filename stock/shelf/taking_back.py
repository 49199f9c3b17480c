"""Records that were made by mistake: taken back, so that no list shows them, or deleted if nothing needs them.

The ledger is append-only, so a product whose bottles came by a delivery that is undone stays in its table, marked and
under another name; its own name is free again, and it can be brought back. A product that no row of the ledger ever
named is deleted with all its facts.
"""

from collections.abc import Callable, Collection, Mapping
from typing import Any

from stock.errors import UllageError
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import line_sheets, products
from stock.shelf.bottles import label_of
from stock.store.connection import connection, writing
from stock.store.models import (
    Bottle,
    CupTime,
    DataSheet,
    Dosing,
    FigureSource,
    Invoice,
    Job,
    Line,
    LineNotWith,
    LineProduct,
    Mix,
    NotWith,
    Order,
    OrderLine,
    Pack,
    PastFacts,
    Place,
    PlannedMix,
    PlannedUse,
    Product,
    Recipe,
    RecipePart,
    Silence,
    Solvent,
    Supplier,
    Undone,
    Weighing,
)
from stock.store.orm import pw
from stock.text import folded

TABLES: Mapping[str, Any] = {
    "product": Product, "line": Line, "supplier": Supplier, "place": Place, "job": Job,
}  # fmt: skip
OWN = (FigureSource, PastFacts, Pack, Solvent, LineProduct, Silence, CupTime)
"""Tables of a product's own facts, which are deleted with it."""
LASTING = (Bottle, OrderLine, PlannedUse, Weighing)
"""Tables whose rows stay, even if undone: a product that one of them names is marked, not deleted."""


def _standing(booking: "pw.Field") -> "pw.Expression":
    expression: pw.Expression = booking.not_in(Undone.select(Undone.booking))
    return expression


def _first(query: Any) -> Any:
    row = query.tuples().first()
    return row[0] if row is not None else None


def _user_of_product(number: int, going: Collection[int]) -> str | None:
    """The other users of a product, in words."""
    bottle = _first(Bottle.select(Bottle.id).where((Bottle.product == number) & _standing(Bottle.delivery)))
    if bottle is not None:
        return _("bottle {bottle}", bottle=label_of(bottle))
    order = _first(
        OrderLine.select(OrderLine.order).where((OrderLine.product == number) & _standing(OrderLine.order))
    )
    if order is not None:
        return _("order {order}", order=order)
    plan = _first(
        PlannedUse.select(PlannedUse.id).where((PlannedUse.product == number) & _standing(PlannedUse.id))
    )
    if plan is not None:
        return _("planned use {plan}", plan=plan)
    others = ~Product.taken_back & Product.id.not_in([number, *going])
    named: tuple[tuple[str, Any], ...] = (
        ("recipe", RecipePart.select(Recipe.name).join(Recipe).where(RecipePart.product == number)),
        ("product", Product.select(Product.name).where((Product.usual_reducer == number) & others)),
        ("line", Line.select(Line.name).where((Line.usual_reducer == number) & ~Line.taken_back)),
        (
            "product",
            NotWith.select(Product.name)
            .join(Product, on=(NotWith.product == Product.id))
            .where((NotWith.other == number) & others),
        ),
        (
            "line",
            LineNotWith.select(Line.name).join(Line).where((LineNotWith.other == number) & ~Line.taken_back),
        ),
        (
            _("data sheet"),
            Dosing.select(DataSheet.title)
            .join(DataSheet)
            .join(Product)
            .where((Dosing.with_product == number) & others),
        ),
    )
    for what, query in named:
        name = _first(query)
        if name is not None:
            return f"{what} {name}"
    title = line_sheets.waiting_for(number)
    return None if title is None else _("data sheet {title}", title=title)


def _user_of_line(number: int, going: Collection[int]) -> str | None:
    del going
    mine = LineProduct.select(Product.name).join(Product)
    name = _first(mine.where((LineProduct.line == number) & ~Product.taken_back))
    return _("product {name}", name=name) if name is not None else None


def _user_of_supplier(number: int, going: Collection[int]) -> str | None:
    del going
    for what, query in (
        ("product", Product.select(Product.name).where((Product.supplier == number) & ~Product.taken_back)),
        ("line", Line.select(Line.name).where((Line.supplier == number) & ~Line.taken_back)),
        ("order", Order.select(Order.id).where((Order.supplier == number) & _standing(Order.id))),
        ("invoice", Invoice.select(Invoice.number).where(Invoice.supplier == number)),
    ):
        name = _first(query)
        if name is not None:
            return f"{what} {name}"
    return None


def _user_of_place(number: int, going: Collection[int]) -> str | None:
    del going
    bottle = _first(Bottle.select(Bottle.id).where((Bottle.place == number) & _standing(Bottle.delivery)))
    return _("bottle {bottle}", bottle=label_of(bottle)) if bottle is not None else None


def _user_of_job(number: int, going: Collection[int]) -> str | None:
    del going
    mix = _first(Mix.select(Mix.id).where((Mix.job == number) & _standing(Mix.id)))
    if mix is not None:
        return _("mix {mix}", mix=mix)
    plan = _first(
        PlannedUse.select(PlannedUse.id).where((PlannedUse.job == number) & _standing(PlannedUse.id))
    )
    if plan is not None:
        return _("planned use {plan}", plan=plan)
    queued = _first(PlannedMix.select(PlannedMix.id).where(PlannedMix.job == number))
    if queued is not None:
        return _("queued mix {queued}", queued=queued)
    row = Job.get_by_id(number)
    noted = row.customer or row.note or row.due_on or row.closed_on or row.worked_min
    return _("what is noted of it") if noted else None


USERS: Mapping[str, Callable[[int, Collection[int]], str | None]] = {
    "product": _user_of_product, "line": _user_of_line, "supplier": _user_of_supplier, "place": _user_of_place,
    "job": _user_of_job,
}  # fmt: skip


def user_of(kind: str, number: int, going: Collection[int] = ()) -> str | None:
    """The first user found of a record, in words; None if nothing uses it.

    Args:
        kind: a key of `TABLES`.
        number: the record's.
        going: records of that kind that are removed with it and don't count as users.
    """
    return USERS[kind](number, going)


def name_of(kind: str, number: int) -> str:
    """A record's name, without the mark for being taken back."""
    row = TABLES[kind].get_by_id(number)
    return str(row.name).removesuffix(_mark(number)) if row.taken_back else str(row.name)


def _mark(number: int) -> str:
    return _(" (taken back {number})", number=number)


def take_back(kind: str, number: int) -> str:
    """Mark a record as taken back: no list shows it, and its name is free; returns the name. Inside `writing()`."""
    table = TABLES[kind]
    name = name_of(kind, number)
    marked = name + _mark(number)
    table.update(taken_back=True, name=marked, name_key=folded(marked)).where(table.id == number).execute()
    return name


def bring_back(kind: str, number: int) -> str:
    """Remove the mark again; returns the name. Inside `writing()`.

    Raises:
        UllageError: another record has its name by now.
    """
    table, name = TABLES[kind], name_of(kind, number)
    if table.select().where((table.name_key == folded(name)) & (table.id != number)).exists():
        raise UllageError(
            _("there is another {kind} called {name} by now", kind=kind, name=name),
            remedy=_("Give that one another name first; nothing was booked"),
            code="exists",
        )
    table.update(taken_back=False, name=name, name_key=folded(name)).where(table.id == number).execute()
    return name


def delete_product(name: str) -> dict[str, Any]:
    """Delete a product that was entered by mistake and never used, with all its facts.

    Returns:
        `{"product", "deleted": True}`.
    Raises:
        UllageError: something uses it; the message names what.
        NotFound, Ambiguous: the product.
    """
    with connection(), writing():
        row = products.find(name)
        user = user_of("product", row.id)
        if user is not None:
            raise UllageError(
                _("{name} is in use: {user}", name=row.name, user=user),
                remedy=Remedy(
                    _("One that is no longer sold is discontinued: "),
                    Do("product change", row.name, "--discontinued"),
                    _("; nothing was deleted"),
                ),
                code="in-use",
            )
        if any(table.select().where(table.product == row.id).exists() for table in LASTING):
            take_back("product", row.id)
        else:
            _delete(row.id)
        return {"product": row.name, "deleted": True}


def _delete(number: int) -> None:
    for table in OWN:
        table.delete().where(table.product == number).execute()
    Silence.delete().where(Silence.other == number).execute()
    NotWith.delete().where((NotWith.product == number) | (NotWith.other == number)).execute()
    sheets = DataSheet.select(DataSheet.id).where(DataSheet.product == number)
    Dosing.delete().where(Dosing.sheet.in_(sheets)).execute()
    # Notes about it in records that were taken back are removed; records on a list are not.
    Dosing.update(with_product=None).where(Dosing.with_product == number).execute()
    LineNotWith.delete().where(LineNotWith.other == number).execute()
    for table in (Product, Line):
        table.update(usual_reducer=None).where(table.usual_reducer == number).execute()
    DataSheet.update(superseded_by=None).where(DataSheet.superseded_by.in_(sheets)).execute()
    DataSheet.delete().where(DataSheet.product == number).execute()
    Product.delete().where(Product.id == number).execute()
