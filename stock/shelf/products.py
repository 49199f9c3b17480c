"""Products: adding, changing, finding and showing them."""

from collections import namedtuple
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock.errors import BadInput
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import hazard_entry, names, ph
from stock.shelf.studio import settings
from stock.store import models
from stock.store.connection import connection, writing
from stock.store.models import Product, Supplier
from stock.store.prepared import Prepared
from stock.store.words import ROLES
from stock.text import folded
from stock.units import Microlitres

if TYPE_CHECKING:
    from stock.shelf.entry import Entry

    ProductRecord = Product
else:
    ProductRecord = namedtuple("ProductRecord", [each.column_name for each in Product._meta.sorted_fields])
    _(
        "A product's row as it was read, with every column: a tenth of the price of an object "
        "that could be changed."
    )

BY_KEYS = Prepared(lambda keys: Product.select().where(Product.name_key.in_(keys), ~Product.taken_back))
TWO_REDUCERS = Prepared(
    lambda: (
        Product.select()
        .where(Product.role == "reducer", Product.discontinued_on.is_null(), ~Product.taken_back)
        .limit(2)
    )
)
BY_NUMBER = Prepared(lambda ids: Product.select().where(Product.id.in_(ids)))


def add(given: Mapping[str, Any]) -> Product:
    """Add a product from the fields that `entry.read` takes; `name` and `role` must be among them.

    Raises:
        BadInput: a field can't be read, or name or role is missing.
        UllageError: a product of that name stands in the books already.
        NotFound, Ambiguous: the usual reducer or a `not_with` names no single product.
    """
    from stock.shelf.written import OF_PRODUCT, write  # only where a product is written

    with connection(), writing():
        entry = _read(given)
        role = entry.columns.get("role") or role_of_line(entry.line)
        if "name" not in entry.columns or role is None:
            raise BadInput(
                _("a product needs a name and a role"),
                remedy=_("Give both, or a line that says the role; nothing was added"),
            )
        columns = entry.columns | {"name_key": folded(entry.columns["name"]), "role": role}
        with names.free(
            Product, _("product"), columns, remedy=_("Correct that one instead; nothing was added")
        ):
            product = Product.create(**columns)
        write(OF_PRODUCT, product, entry)
        _settle(product, entry, fresh=True)
        return Product.get_by_id(product.id)


def add_like(like: str, given: Mapping[str, Any]) -> Product:
    """Add a product with another one's own facts, except its name, its colour and when it was discontinued.

    Args:
        like: the other product's name; if it belongs to a line, the new one does, too.
        given: fields that the new one has instead, as for `add`.
    Raises:
        BadInput, UllageError, NotFound, Ambiguous: as for `add`; `like` names no single product.
    """
    from stock.shelf.entry import parted  # only where a product is copied

    with connection(), writing():
        copied: dict[str, Any] = {
            key: parted(text) if key in ("packs", "solvent", "not_with") else text
            for key, text in texts_like(like).items()
        }
        said = {key: value for key, value in given.items() if value is not None}
        if "size" in said or "price" in said:
            copied.pop("packs", None)
        return add(copied | said)


def texts_like(name: str) -> dict[str, str]:
    """The texts that a product like another one starts with: the other's own facts, and the line of both.

    Raises:
        BadInput: it was mixed here.
        NotFound, Ambiguous: `name` means no single product.
    """
    from stock.shelf import inheritance, record_texts  # only where a product is copied

    with connection():
        row = find(name)
        if row.role == "mixed":
            raise BadInput(
                _("{name} was mixed here and can't be bought", name=row.name),
                remedy=_("Name a product that is sold"),
            )
        from_line = inheritance.inherited(row)
        texts = record_texts.product(row.name)
    own_always = ("name", "code", "color", "discontinued")
    return {key: text for key, text in texts.items() if text and key not in (*own_always, *from_line)}


def change(name: str, given: Mapping[str, Any], *, since: date | None = None) -> Product:
    """Change the given fields of a product, leaving the others as they are.

    Lists (`not_with`, `solvent`, `packs`) are replaced; `size` and `price` are added to the known packs. An emptied
    field becomes unknown, or, if the product belongs to a line, the line's again.

    Args:
        name: the product.
        given: fields, as `entry.read` takes them.
        since: the day from which they count, see `dated_facts`; today when None.
    Raises:
        NotFound, Ambiguous: `name` means no single product.
        BadInput: a field can't be read, or what makes it reactive would become unknown.
    """
    with connection(), writing():
        product = find(name)
        _change(product, _read(given), since)
        return Product.get_by_id(product.id)


def change_all(
    numbers: Iterable[int], given: Mapping[str, Any], *, since: date | None = None
) -> list[Product]:
    """Change the same fields of several products, all of them or none.

    Args:
        numbers: the products'.
        given: as for `change`, without a name.
        since: as for `change`.
    Raises:
        BadInput: as for `change`; the message names the product.
    """
    with connection(), writing():
        rows = list(Product.select().where(Product.id.in_(list(numbers))))
        for row in rows:
            try:
                _change(row, _read(given), since)
            except BadInput as refusal:
                said = refusal.message if row.name in refusal.message else f"{row.name}: {refusal.message}"
                raise BadInput(said, remedy=refusal.remedy or _("None of them was changed")) from None
        changed = Product.select().where(Product.id.in_([row.id for row in rows]))
        return list(changed.order_by(Product.name_key))


def _change(product: Product, entry: "Entry", since: date | None = None) -> None:
    from stock.shelf import dated_facts  # only where a product is written
    from stock.shelf.written import OF_PRODUCT, write

    if "name" in entry.columns:
        entry.columns["name_key"] = folded(entry.columns["name"])
    with dated_facts.changing([product.id], since):
        if entry.columns:
            with names.free(
                Product, _("product"), entry.columns, remedy=_("Nothing was changed"), but=product.id
            ):
                Product.update(**entry.columns).where(Product.id == product.id).execute()
        write(OF_PRODUCT, product, entry)
        _settle(product, entry)
    now = Product.get_by_id(product.id)
    hazard_entry.refuse_forgetting(product, now)
    ph.refuse_forgetting(product, now)


def _read(given: Mapping[str, Any]) -> "Entry":
    from stock.shelf import entry  # only where a product is written, names

    studio = settings()
    return entry.read(given, measures=studio.measures, currency=studio.currency, today=studio.today())


def role_of_line(name: str | None) -> str | None:
    """The role that a line gives its products: its own, or, if it has none, the common role of its products.

    None if there is no such line, or if its products have different roles.
    """
    row = models.Line.get_or_none(models.Line.name_key == folded(name)) if name and name.strip() else None
    if row is None or row.role is not None:
        return row.role if row is not None else None
    members = models.LineProduct.select(models.LineProduct.product).where(models.LineProduct.line == row)
    mine = Product.select(Product.role).where(Product.id.in_(members) & ~Product.taken_back)
    roles = {role for (role,) in mine.tuples()}
    return roles.pop() if len(roles) == 1 else None


def _settle(product: Product, entry: "Entry", *, fresh: bool = False) -> None:
    """Do what follows from an entry that was written; `product` is as it was before."""
    from stock.shelf import inheritance, line_sheets  # only where a product is written
    from stock.shelf.written import OF_PRODUCT, settle

    added = not entry.only_these_packs
    if entry.line is not None:
        line_sheets.leave(product.id)
    inheritance.belong(
        product.id,
        entry.line,
        entry.said,
        entry.emptied,
        packs_added=added and "packs" in entry.said,
        fresh=fresh,
    )
    touched = {"solvent", "water", "solids", "groups"} & (entry.said | entry.emptied)
    if touched:
        given = entry.columns.get("groups")
        if given == "" and inheritance.line_says(product.id, "groups"):
            given = None
        settle(OF_PRODUCT, product, given)
    if "role" in entry.emptied and not inheritance.line_says(product.id, "role"):
        raise BadInput(
            _("a product needs a role"),
            remedy=_("Write one of {roles}; nothing was changed", roles=", ".join(ROLES)),
        )
    inheritance.follow([product.id])
    if entry.line is not None:
        line_sheets.come(product.id)


def find(name: str, *, roles: Sequence[str] = ()) -> Product:
    """The product that a name, or a part of one, means.

    Args:
        name: compared without regard to case; a part is enough if only one product has it.
        roles: only products of these roles are looked at; all when empty.
    Raises:
        NotFound: none fits; the message names those that come closest.
        Ambiguous: several fit; the message lists them.
    """
    wanted = folded(name)
    if not wanted:
        raise BadInput(_("the product's name is empty"), remedy=_("Write a part of it"))
    with connection():
        exact = written_out([wanted]).get(wanted)
        if exact is not None and (not roles or exact.role in roles):
            return exact
        query = Product.select().where(~Product.taken_back).order_by(Product.name_key)
        rows = list(query.where(Product.role.in_(list(roles))) if roles else query)
    # A leftover has its paint's name in its own; a part of a name means the paint, not its leftovers.
    return names.find(
        rows,
        name,
        what=_(" or ").join(roles) or _("product"),
        several=_("products"),
        remedy=Remedy(_("Add it with "), Do("product add", "NAME", "--role", "ROLE")),
        prefer=lambda row: row.role != "mixed",
    )


def written_out(names: Iterable[str]) -> dict[str, Product]:
    """The products whose whole name is among these, by their folded name; one query."""
    keys = {folded(name) for name in names}
    return {row.name_key: row for row in BY_KEYS.instances(sorted(keys))} if keys else {}


def numbered(ids: Sequence[int]) -> dict[int, ProductRecord]:
    """Products by their numbers; one query."""
    return {row.id: row for row in BY_NUMBER.records(ProductRecord, list(ids))} if ids else {}


def reducer_of(paint: Product) -> ProductRecord | None:
    """A paint's reducer if none is named: its usual one, else the only one in the books.

    None if there are several reducers, because they are not alike.
    """
    if paint.usual_reducer_id is not None:
        return numbered([paint.usual_reducer_id])[paint.usual_reducer_id]
    known = TWO_REDUCERS.records(ProductRecord)
    return known[0] if len(known) == 1 else None


def everything() -> list[Product]:
    """All products with their usual reducer, by role and name; one query."""
    with connection():
        rows = list(Product.select().where(~Product.taken_back).order_by(Product.role, Product.name_key))
    by_number = {row.id: row for row in rows}
    for row in rows:
        if row.usual_reducer_id is not None:
            row.usual_reducer = by_number[row.usual_reducer_id]
    return rows


def with_suppliers() -> list[Product]:
    """`everything` with each product's supplier; two queries, because Peewee takes twice as long to read a join."""
    with connection():
        rows = everything()
        suppliers = {row.id: row for row in Supplier.select()}
    for row in rows:
        if row.supplier_id is not None:
            row.supplier = suppliers[row.supplier_id]
    return rows


def details(product: Product) -> dict[str, Any]:
    """The rows of a product's lists: packs, solvents and products that it may not meet, as in `written.details`."""
    from stock.shelf.written import OF_PRODUCT
    from stock.shelf.written import details as of_tables

    with connection():
        return of_tables(OF_PRODUCT, product.id)


def packs_of(ids: Sequence[int]) -> dict[int, list[tuple[Microlitres, int | None]]]:
    """The packs of some products, smallest first, as (microlitres, price in minor units or None); one query."""
    packs: dict[int, list[tuple[Microlitres, int | None]]] = {}
    rows = models.Pack.select(models.Pack.product, models.Pack.size_ul, models.Pack.price_minor).where(
        models.Pack.product.in_(list(ids))
    )
    with connection():
        for product, size_ul, price in rows.order_by(models.Pack.size_ul).tuples():
            packs.setdefault(product, []).append((size_ul, price))
    return packs


def gone(product: Product, day: date) -> bool:
    """Whether its maker had discontinued it by that day."""
    return product.discontinued_on is not None and product.discontinued_on <= day


def density_error(product: int, density_ug_per_ml: int | None) -> int | None:
    """The standard uncertainty of a product's density, if it was learnt by weighing and not changed since.

    Args:
        product: its number.
        density_ug_per_ml: its density now, micrograms a millilitre; None if it has none.
    """
    if density_ug_per_ml is None:
        return None
    with connection():
        row = (
            models.Weighing.select(models.Weighing.density_error_ug_per_ml)
            .where((models.Weighing.product == product) & (models.Weighing.gave == "density"))
            .where(models.Weighing.density_ug_per_ml == density_ug_per_ml)
            .order_by(models.Weighing.id.desc())
            .tuples()
            .first()
        )
    return row[0] if row else None
