"""Answers about backups, copies, exports, imports and labels, and the shape of every error."""

from typing import NotRequired, TypedDict

from stock.cli.answers.parts import Instant, Quantity, Rows


class Backup(TypedDict):
    """A backup that was made and looked at."""

    backup: str
    bytes: int
    bookings: int
    checked: bool


class KeptBackup(TypedDict):
    """A backup beside the books; `bookings_since` is None where it can't be used."""

    path: str
    kind: str
    at: Instant
    good: bool
    bookings_since: int | None


class Backups(TypedDict):
    """The backups beside the books."""

    backups: list[KeptBackup]


class LostBooking(TypedDict):
    """A booking that the backup doesn't have."""

    id: int
    kind: str
    at: Instant


class Loss(TypedDict):
    """What stands in the books and not in the backup."""

    readable: bool
    bookings: dict[str, int]
    newest: list[LostBooking]
    changed_rows: Rows


class Restored(TypedDict):
    """A backup that was put back, or would be; `kept` is where the books before it are."""

    backup: str
    lost: Loss
    restored: bool
    kept: str | None
    ok: NotRequired[bool]


Copied = TypedDict("Copied", {"from": str, "to": str, "equal": bool, "digest": str, "rows": Rows})
"""Books that were copied and compared row by row."""


class Exported(TypedDict):
    """Books that were written as a folder of tables."""

    folder: str
    rows: Rows
    digest: str


class ImportedFolder(TypedDict):
    """An exported folder that came in, or would."""

    folder: str
    title: NotRequired[str]
    rows: Rows
    digest: NotRequired[str]
    booked: bool


class BadCell(TypedDict):
    """What can't be taken in, and why."""

    line: int
    column: str | None
    reason: str


class NewProduct(TypedDict):
    """A product that an import makes."""

    product: str
    role: str | None


class KeptField(TypedDict):
    """What the books say otherwise than the file; the books' word stays."""

    product: str
    field: str
    books: str
    file: str


class ImportedProduct(TypedDict):
    """The bottles of one product in a file; money in the studio's currency."""

    product: str
    bottles: int
    volume_ml: Quantity
    value: Quantity
    without_price: int


class RowNotTaken(TypedDict):
    """A row that is no row of ours, and why."""

    row: int
    reason: str


class Question(TypedDict):
    """What can be read in several ways, and the rows that it concerns."""

    id: str
    about: str
    readings: list[str]
    rows: list[int]
    row_count: int


Import = TypedDict(
    "Import",
    {
        "file": str,
        "kind": str,
        "mapping": dict[str, str],
        "remembered": bool,
        "ignored": list[str],
        "encoding": str,
        "encoding_guessed": bool,
        "delimiter": str | None,
        "sheet": str | None,
        "head": int,
        "decimal": str | None,
        "days": str | None,
        "rows": int,
        "bad_rows": list[BadCell],
        "bad_count": int,
        "new_products": list[NewProduct],
        "changed_products": list[str],
        "kept": list[KeptField],
        "new_places": list[str],
        "currency": str,
        "bottles": int,
        "volume_ml": Quantity,
        "value": Quantity,
        "without_price": int,
        "by_product": list[ImportedProduct],
        "not_taken": list[RowNotTaken],
        "not_taken_count": int,
        "questions": list[Question],
        "booked": bool,
        "deliveries": NotRequired[list[int]],
        "delivery": NotRequired[int],
        "mixes": NotRequired[int],
        "import": NotRequired[int | None],
        "bookings": NotRequired[list[int]],
        "again": NotRequired[bool],
    },
)
"""A file that came in, or what of it would."""


class Labels(TypedDict):
    """Labels that were drawn, and the files they are in."""

    labels: int
    files: list[str]


class Refusal(TypedDict):
    """What was wrong, and what to do. Some errors have further keys."""

    code: str
    message: str
    remedy: str


class Error(TypedDict):
    """What stands on standard error when a command is refused; standard output is then empty."""

    error: Refusal
