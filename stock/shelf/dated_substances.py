"""The facts of the studio's own substances on past days: a change counts from the day on which it is made.

A filled-in unknown fact, and a new substance, count for every day that is not closed; a closed day keeps the facts that
it was closed with, as in `dated_facts`.
"""

import json
from datetime import date, timedelta
from typing import Any

from stock.shelf.studio import settings
from stock.store import closed_periods, models
from stock.store.models import OwnSubstance
from stock.store.row_values import values_of

_UNKNOWN = (None, "", False)


def keep(number: int, before: OwnSubstance | None, now: OwnSubstance | None) -> None:
    """Keep the facts of a substance from before a change; inside the transaction of the change.

    Args:
        number: the substance's.
        before: its row before; None if it is new.
        now: its row now; None if it was deleted.
    """
    was, is_ = ({} if row is None else _facts(row) for row in (before, now))
    if was == is_:
        return
    closed = closed_periods.closed_until()
    changed = {name for name, value in was.items() if value != is_.get(name)} if is_ else set()
    fills = not was or (bool(is_) and all(was[name] in _UNKNOWN for name in changed))
    until = closed if fills else settings().today() - timedelta(days=1)
    later = list(
        models.PastSubstance.select()
        .where(models.PastSubstance.number == number)
        .order_by(models.PastSubstance.until)
    )
    later = [row for row in later if until is not None and row.until >= until]
    if until is not None and not later:
        models.PastSubstance.create(number=number, until=until, facts=json.dumps(was, ensure_ascii=False))
    for row in later if fills else ():
        then = json.loads(row.facts)
        if row.until != until and then:
            then |= {name: is_[name] for name in changed if then[name] in _UNKNOWN}
            models.PastSubstance.update(facts=json.dumps(then)).where(
                models.PastSubstance.id == row.id
            ).execute()


def _facts(row: OwnSubstance) -> dict[str, Any]:
    return {name: held for name, held in values_of(row).items() if name != "id"}


def on(day: date) -> dict[int, OwnSubstance | None]:
    """The facts on a day of own substances that were changed since; None for one that was not there."""
    if day >= settings().today():
        return {}
    found: dict[int, OwnSubstance | None] = {}
    rows = (
        models.PastSubstance.select()
        .where(models.PastSubstance.until >= day)
        .order_by(models.PastSubstance.until)
    )
    for row in rows:
        if row.number not in found:
            facts = json.loads(row.facts)
            found[row.number] = OwnSubstance(id=row.number, **facts) if facts else None
    return found


def last_days(first: date, last: date) -> list[date]:
    """The days in a period on which a noted fact of a substance counted for the last time."""
    rows = models.PastSubstance.select(models.PastSubstance.until).where(
        models.PastSubstance.until.between(first, last)
    )
    return sorted({until for (until,) in rows.tuples()})
