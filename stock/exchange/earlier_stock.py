"""The bottles that imported files brought, as those files last described them."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from stock.logbook import import_records, imports
from stock.store.models import Bottle, BottleChange, Movement, Place, Product
from stock.units import Microlitres


@dataclass(slots=True)
class CameBefore:
    """A bottle of an earlier import, as its file last described it, and as the books have it now.

    `left_ul` and `place` (its name, empty for none) are from the file; the other columns are from the books.
    `changed` names the columns that were booked on it since.
    """

    bottle: int
    number: int
    product: str
    size_ul: Microlitres
    left_ul: Microlitres
    place: str
    label: str | None
    lot: str
    on_hand_ul: Microlitres
    place_now: str
    received_on: date
    discarded_on: date | None
    opened_on: date | None
    opened_unknown: bool
    best_before: date | None
    price_minor: int | None
    owner: str
    changed: frozenset[str] = frozenset()


def of_imports() -> tuple[dict[int, tuple[str, str]], list[CameBefore]]:
    """The files of stock whose import stands (name and sheet by import), and every bottle that they brought."""
    files, found = {}, {}
    firsts: dict[int, str | None] = {}
    changed: dict[int, set[str]] = defaultdict(set)
    for bottle, column in BottleChange.select(BottleChange.bottle, BottleChange.field).distinct().tuples():
        changed[bottle].add(column)
    places = dict(Place.select(Place.id, Place.name).tuples())
    for file in sorted(imports.files(), key=lambda one: one.number):
        if file.kind != "stock" or not file.stands:
            continue
        files[file.number] = file.name, file.sheet
        one = imports.numbered(file.number)
        made = Bottle.delivery.between(one.first, one.last)
        moved = BottleChange.select(BottleChange.bottle, BottleChange.before).join(Bottle)
        for bottle, before in (
            moved.where(made & (BottleChange.field == "place")).order_by(BottleChange.id).tuples()
        ):
            firsts.setdefault(bottle, before)
        rows = (
            Bottle.select(Bottle, Product.name_key, Movement.change_ul)
            .join(Product)
            .switch(Bottle)
            .join(Movement, on=(Movement.bottle == Bottle.id))
            .where(made & (Movement.kind == "received"))
            .order_by(Bottle.id)
        )
        for row in rows.objects():
            now = places.get(row.place_id, "")
            place = places.get(int(firsts[row.id] or 0), "") if row.id in firsts else now
            found[row.id] = CameBefore(
                row.id, file.number, row.name_key, row.size_ul, row.change_ul, place, row.label, row.lot,
                row.on_hand_ul, now, row.received_on, row.discarded_on, row.opened_on, row.opened_unknown,
                row.best_before, row.price_minor, row.owner, frozenset(changed.get(row.id, ())),
            )  # fmt: skip
        for bottle, left_ul, place in import_records.of(file.number).said:
            if bottle in found:
                found[bottle].left_ul, found[bottle].place = Microlitres(left_ul), place
    return files, list(found.values())
