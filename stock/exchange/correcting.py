"""Booking the corrections of a sheet that was imported before: counts, moves and facts of its bottles."""

from stock.exchange.import_plan import ImportPlan
from stock.exchange.known_rows import Correction
from stock.logbook.import_records import ImportRecords
from stock.shelf import counts, handling
from stock.store.models import Bottle

REASON = "corrected"


def book(made: ImportPlan, records: ImportRecords) -> None:
    """Book the corrections of a plan, each as an errand of its own kind, and note them; inside `writing()`.

    Raises:
        UllageError: as the errands themselves.
    """
    for one in made.corrections:
        _book(one)
        if one.facts:
            before, after = ({column: pair[at] for column, pair in one.facts.items()} for at in (0, 1))
            Bottle.update(after).where(Bottle.id == one.bottle).execute()
            records.changed.append(("bottle", one.bottle, before, after))
        if one.left is not None or one.place is not None:
            records.said.append((one.bottle, *one.said()))


def _book(one: Correction) -> None:
    if one.left is not None:
        counts.count(str(one.bottle), one.measured_ul(), reason=REASON)
    if one.place is not None and not one.stands_there:
        handling.move_bottle(str(one.bottle), one.place[1] or None)
