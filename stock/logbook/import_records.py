"""The records that an imported file made, the facts that it corrected, and what it said about known bottles.

An import's bookings are undone by reversal. Its other effects are kept with it as one text, and follow its bookings:
while none of these stands, the products, lines, suppliers, places and jobs that it made are taken back unless something
else uses them, and the facts that it corrected are as they were before, unless somebody corrected them since.
"""

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from stock.shelf import taking_back
from stock.store.models import Bottle, Request
from stock.store.row_values import value_of

KEY = "records of import "
MADE = ("product", "line", "supplier", "place", "job")
"""Kinds of records that a file can make, in the order in which they are taken back."""


RecordChange = tuple[str, int, Mapping[str, Any], Mapping[str, Any]]
"""The kind of record, its number, and what was changed, before and after."""


@dataclass(slots=True)
class ImportRecords:
    """The effects of one file beside its bookings.

    `made` are numbers by the kind of record. `changed` are (kind, number or name, before, after): of a product or a
    supplier texts by field, of a bottle values by column. `said` are (bottle, microlitres left, place) of bottles that
    an earlier file had brought. `gone` says that all of it is taken back; `left` names the records that were not, by
    kind.
    """

    made: dict[str, list[int]] = field(default_factory=dict)
    changed: list[RecordChange] = field(default_factory=list)
    said: list[tuple[int, int, str]] = field(default_factory=list)
    gone: bool = False
    left: dict[str, list[int]] = field(default_factory=dict)

    def as_text(self) -> str:
        """The text in which it is kept."""
        return json.dumps({name: getattr(self, name) for name in ("made", "changed", "said", "gone", "left")})


def keep(number: int, records: ImportRecords) -> None:
    """Keep the effects of an import, if it had any; inside its transaction."""
    if records.made or records.changed or records.said:
        text = records.as_text()
        Request.insert(key=f"{KEY}{number}", kind="records", booking=number, answer=text).execute()


def of(number: int) -> ImportRecords:
    """The effects of an import; empty if it had none beside its bookings."""
    row = Request.get_or_none(Request.key == f"{KEY}{number}")
    return ImportRecords(**json.loads(row.answer)) if row is not None else ImportRecords()


def follow(number: int, *, stands: bool, replaced: bool = False) -> dict[str, list[str]]:
    """Take back an import's effects, or do them again, as its bookings were; inside the undo's transaction.

    Args:
        number: the import's.
        stands: whether its bookings stand now.
        replaced: whether the records that it made stay, because a corrected file is booked in its place.
    Returns:
        Names by `taken_back`, `kept` (made by it and used by something else) and `brought_back`.
    Raises:
        UllageError: a name is another record's by now.
    """
    records = of(number)
    names: dict[str, list[str]] = {"taken_back": [], "kept": [], "brought_back": []}
    if records.gone != stands:
        return names
    changed = records.changed if stands else reversed(records.changed)
    if stands:
        _bring_back(records, names)
    for kind, which, before, after in changed:
        _restore(kind, which, *((before, after) if stands else (after, before)))
    if replaced:
        records.left = {}
    elif not stands:
        _take_back(records, names)
    records.gone = not stands
    Request.update(answer=records.as_text()).where(Request.key == f"{KEY}{number}").execute()
    return names


def pass_on(numbers: Collection[int], records: ImportRecords) -> None:
    """Count the records that earlier imports made as made by the import that is booked in their place."""
    for number in numbers:
        for kind, made in of(number).made.items():
            own = records.made.setdefault(kind, [])
            own += [one for one in made if one not in own]


def _take_back(records: ImportRecords, names: Mapping[str, list[str]]) -> None:
    records.left = {}
    for kind in MADE:
        made = records.made.get(kind, [])
        going = set(made)
        # A record that stays may use other records of the file, so unused ones are looked for until none is found.
        while used := {one for one in going if taking_back.user_of(kind, one, going) is not None}:
            going -= used
        for one in made:
            if one in going:
                names["taken_back"].append(taking_back.take_back(kind, one))
            else:
                records.left.setdefault(kind, []).append(one)
                names["kept"].append(taking_back.name_of(kind, one))


def _bring_back(records: ImportRecords, names: Mapping[str, list[str]]) -> None:
    for kind in reversed(MADE):
        for one in records.made.get(kind, []):
            if one not in records.left.get(kind, ()):
                names["brought_back"].append(taking_back.bring_back(kind, one))


def _restore(kind: str, which: Any, now: Mapping[str, Any], wanted: Mapping[str, Any]) -> None:
    """Set back each value that is still as the import left it; a value that somebody corrected since stays."""
    if kind == "bottle":
        row = Bottle.get_by_id(which)
        still = {
            column: before
            for column, before in wanted.items()
            if _plain(value_of(row, column)) == now[column]
        }
        if still:
            Bottle.update(still).where(Bottle.id == which).execute()
        return
    from stock.shelf import record_changes  # only where a file changed records

    record_changes.restore(kind, which, now, wanted)


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value
