"""Products: adding, changing, finding and showing them."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock.errors import BadInput
from stock.remedies import Do, Remedy
from stock.shelf import names
from stock.shelf.reactive import kept_groups, refuse_contradiction
from stock.shelf.studio import settings
from stock.store.connection import connection, writing
from stock.store.models import NotWith, Pack, Product, Solvent, Supplier
from stock.store.prepared import Prepared
from stock.text import folded

if TYPE_CHECKING:
    from stock.shelf.entry import Entry

BY_KEYS = Prepared(lambda keys: Product.select().where(Product.name_key.in_(keys)))
TWO_REDUCERS = Prepared(
    lambda: Product.select().where(Product.role == "reducer", Product.discontinued_on.is_null()).limit(2)
)
BY_NUMBER = Prepared(lambda ids: Product.select().where(Product.id.in_(ids)))


def add(given: Mapping[str, Any]) -> Product:
    """Add a product from the fields that `entry.read` takes; `name` and `role` must be among them.

    Raises:
        BadInput: a field can't be read, or name or role is missing.
        UllageError: a product of that name stands in the books already.
        NotFound, Ambiguous: the usual reducer or a `not_with` names no single product.
    """
    with connection(), writing():
        entry = _read(given)
        if "name" not in entry.columns or "role" not in entry.columns:
            raise BadInput("a product needs a name and a role", remedy="Give both; nothing was added")
        columns = entry.columns | {"name_key": folded(entry.columns["name"])}
        with names.free(Product, "product", columns, remedy="Correct that one instead; nothing was added"):
            product = Product.create(**columns)
        _write(product, entry)
        return Product.get_by_id(product.id)


def change(name: str, given: Mapping[str, Any]) -> Product:
    """Change the given fields of a product, leaving the others as they are.

    Lists (`not_with`, `solvent`, `packs`) replace what stood; `size` and `price` are added to the packs known.

    Raises:
        NotFound, Ambiguous: `name` means no single product.
        BadInput: a field can't be read, or what makes it reactive would become unknown.
    """
    with connection(), writing():
        product = find(name)
        entry = _read(given)
        if "name" in entry.columns:
            entry.columns["name_key"] = folded(entry.columns["name"])
        if entry.columns:
            with names.free(Product, "product", entry.columns, remedy="Nothing was changed", but=product.id):
                Product.update(**entry.columns).where(Product.id == product.id).execute()
        _write(product, entry)
        return Product.get_by_id(product.id)


SHARE = (Solvent.name, Solvent.percent_milli, Solvent.basis, Solvent.low_milli)


def _read(given: Mapping[str, Any]) -> "Entry":
    from stock.shelf import entry  # only where a product is written, names

    studio = settings()
    return entry.read(given, measures=studio.measures, currency=studio.currency, today=studio.today())


def _write(product: Product, entry: "Entry") -> None:
    from stock.shelf import suppliers  # only where a product is written

    links: dict[str, Any] = {}
    if entry.supplier is not None:
        links["supplier"] = suppliers.named(entry.supplier) if entry.supplier.strip() else None
    if entry.usual_reducer is not None:
        links["usual_reducer"] = find(entry.usual_reducer) if entry.usual_reducer.strip() else None
    if links:
        Product.update(**links).where(Product.id == product.id).execute()
    if entry.only_these_packs:
        others = (Pack.product == product) & Pack.size_ul.not_in(list(entry.packs))
        Pack.delete().where(others).execute()
    for size_ul, price in entry.packs.items():
        known = Pack.get_or_none((Pack.product == product) & (Pack.size_ul == size_ul))
        if known is None:
            Pack.create(product=product, size_ul=size_ul, price_minor=price)
        elif price is not None or entry.only_these_packs:
            Pack.update(price_minor=price).where(Pack.id == known.id).execute()
    if entry.solvents is not None:
        Solvent.delete().where(Solvent.product == product).execute()
        for share in entry.solvents:
            Solvent.create(product=product, **share._asdict())
    if entry.solvents is not None or not {"water_milli", "solids_milli"}.isdisjoint(entry.columns):
        _refuse_overfull(product)
    if entry.solvents is not None or "groups" in entry.columns:
        _keep_groups(product, entry.columns.get("groups"))
    if entry.not_with is not None:
        NotWith.delete().where(NotWith.product == product).execute()
        for other in dict.fromkeys(find(name).id for name in entry.not_with):
            if other == product.id:
                raise BadInput(f"{product.name} can't be kept from itself", remedy="Leave it out")
            NotWith.create(product=product, other=other)


def _refuse_overfull(product: Product) -> None:
    """Solvents, water and solids as they now stand must not make more than the whole."""
    from stock.shelf.shares import Share, refuse_overfull  # only where a product is written

    now = Product.select(Product.water_milli, Product.solids_milli).where(Product.id == product.id).get()
    shares = Solvent.select(*SHARE).where(Solvent.product == product)
    refuse_overfull([Share(*row) for row in shares.tuples()], now.water_milli, now.solids_milli)


def _keep_groups(product: Product, given: str | None) -> None:
    """What makes it reactive stays among its groups; `product` is as it was before."""
    names = [row.name for row in Solvent.select(Solvent.name).where(Solvent.product == product)]
    kept = kept_groups(product.name, product.groups, given, names)
    Product.update(groups=kept).where(Product.id == product.id).execute()
    now = Product.select(Product.name, Product.no_solvent).where(Product.id == product.id).get()
    if now.no_solvent:
        refuse_contradiction(now.name, kept.split())


def find(name: str, *, roles: Sequence[str] = ()) -> Product:
    """The product that a name, or a part of one, means.

    Args:
        name: compared without regard to case; a part is enough where only one product has it.
        roles: only products of these roles are looked at; all when empty.
    Raises:
        NotFound: none fits; the message names those that come closest.
        Ambiguous: several fit; the message lists them.
    """
    wanted = folded(name)
    if not wanted:
        raise BadInput("the product's name is empty", remedy="Write a part of it")
    with connection():
        exact = written_out([wanted]).get(wanted)
        if exact is not None and (not roles or exact.role in roles):
            return exact
        query = Product.select().order_by(Product.name_key)
        rows = list(query.where(Product.role.in_(list(roles))) if roles else query)
    # A leftover is named after what went into it; a part of a name means the paint, not its leftovers.
    return names.find(
        rows,
        name,
        what=" or ".join(roles) or "product",
        several="products",
        remedy=Remedy("Add it with ", Do("product add", "NAME", "--role", "ROLE")),
        prefer=lambda row: row.role != "mixed",
    )


def written_out(names: Iterable[str]) -> dict[str, Product]:
    """The products whose whole name is among these, by their folded name; one query."""
    keys = {folded(name) for name in names}
    return {row.name_key: row for row in BY_KEYS.instances(sorted(keys))} if keys else {}


def numbered(ids: Sequence[int]) -> dict[int, Product]:
    """Products by their numbers; one query."""
    return {row.id: row for row in BY_NUMBER.instances(list(ids))} if ids else {}


def reducer_of(paint: Product) -> Product | None:
    """What a paint is cut with where nobody says: its usual reducer, else the only one the books know.

    Of two reducers none is chosen, for they are not alike; None then.
    """
    if paint.usual_reducer_id is not None:
        return numbered([paint.usual_reducer_id])[paint.usual_reducer_id]
    known = TWO_REDUCERS.instances()
    return known[0] if len(known) == 1 else None


def everything() -> list[Product]:
    """All products with their usual reducer, by role and name; one query."""
    with connection():
        rows = list(Product.select().order_by(Product.role, Product.name_key))
    by_number = {row.id: row for row in rows}
    for row in rows:
        if row.usual_reducer_id is not None:
            row.usual_reducer = by_number[row.usual_reducer_id]
    return rows


def with_suppliers() -> list[Product]:
    """The same with each one's supplier; two queries, for a join of the tables takes Peewee twice as long to read."""
    with connection():
        rows = everything()
        suppliers = {row.id: row for row in Supplier.select()}
    for row in rows:
        if row.supplier_id is not None:
            row.supplier = suppliers[row.supplier_id]
    return rows


def details(product: Product) -> dict[str, Any]:
    """What a product's own tables hold: packs, solvents and what it may not meet.

    Returns:
        `packs` [(microlitres, price in minor units or None)], `solvents` [(name, thousandths of a per cent,
        basis, low end or None)], `not_with` [names].
    """
    with connection():
        packs = (
            Pack.select(Pack.size_ul, Pack.price_minor).where(Pack.product == product).order_by(Pack.size_ul)
        )
        solvents = (
            Solvent.select(*SHARE).where(Solvent.product == product).order_by(Solvent.percent_milli.desc())
        )
        others = (
            Product.select(Product.name)
            .join(NotWith, on=(NotWith.other == Product.id))
            .where(NotWith.product == product)
            .order_by(Product.name_key)
        )
        return {
            "packs": list(packs.tuples()),
            "solvents": list(solvents.tuples()),
            "not_with": [name for (name,) in others.tuples()],
        }


def packs_of(ids: Sequence[int]) -> dict[int, list[tuple[int, int | None]]]:
    """The packs of some products, smallest first, as (microlitres, price in minor units or None); one query."""
    packs: dict[int, list[tuple[int, int | None]]] = {}
    rows = Pack.select(Pack.product, Pack.size_ul, Pack.price_minor).where(Pack.product.in_(list(ids)))
    with connection():
        for product, size_ul, price in rows.order_by(Pack.size_ul).tuples():
            packs.setdefault(product, []).append((size_ul, price))
    return packs


def gone(product: Product, day: date) -> bool:
    """Whether its maker had discontinued it by that day."""
    return product.discontinued_on is not None and product.discontinued_on <= day
