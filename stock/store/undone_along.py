"""Infers, for older books, the undo with which each further undo was booked.

Books before schema 3 don't store it, but all undos of one errand have the same instant of booking to the microsecond.
"""

import json
from bisect import bisect
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from stock.store import triggers
from stock.store.orm import pw

Undo = tuple[int, int, str]
"""The number of an undo, of the booking it takes back, and when it was booked."""


def note(database: pw.Database) -> None:
    """Write for each undo the one with which it was booked; the table has no triggers afterwards."""

    def rows(query: str, *values: object) -> list[tuple[Any, ...]]:
        return list(database.execute_sql(query.replace("?", database.param), values).fetchall())

    mixes = dict(rows("SELECT id, mix_id FROM step UNION ALL SELECT id, mix_id FROM close"))
    answers = rows("SELECT answer FROM request WHERE key LIKE ? ORDER BY booking_id", "import %")
    imports = [(first, last) for (answer,) in answers for first, last in [json.loads(answer)["bookings"]]]
    undos = rows("SELECT id, undoes_id, booked_at FROM booking WHERE undoes_id IS NOT NULL ORDER BY id")
    found = leaders(undos, mixes, imports)
    triggers.drop(database, "booking")
    for undo, leader in found.items():
        rows("UPDATE booking SET with_undo_id = ? WHERE id = ? RETURNING id", leader, undo)


def leaders(
    undos: Iterable[Undo], mixes: Mapping[int, int], imports: Sequence[tuple[int, int]]
) -> dict[int, int]:
    """The requested undo of each undo that was booked with it.

    Args:
        undos: all undos of the books, in the order of their numbers.
        mixes: the mix of each step and each close.
        imports: the first and the last booking of each imported file, in order.
    """
    firsts = [first for first, _ in imports]
    roots: dict[int, int] = {}
    asked: dict[tuple[int, str], tuple[int, int]] = {}
    found = {}
    for undo, undoes, booked_at in undos:
        root = roots[undo] = roots.get(undoes, undoes)
        errand = mixes.get(root, root)
        at = bisect(firsts, errand) - 1
        group = (firsts[at] if at >= 0 and errand <= imports[at][1] else errand, booked_at)
        first = asked.get(group)
        if first is not None and first[1] != root:
            found[undo] = first[0]
        elif root not in mixes:  # nothing else is undone with a step or a close
            asked[group] = (undo, root)
    return found
