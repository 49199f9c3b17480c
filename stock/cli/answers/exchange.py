"""Answers about backups, copies, exports, imports and labels."""

from typing import NotRequired, TypedDict

from stock.cli.answers.parts import Instant, Quantity, Rows


class BackupShape(TypedDict):
    """A backup that was made and looked at."""

    backup: str
    bytes: int
    bookings: int
    checked: bool


class KeptBackupShape(TypedDict):
    """A backup beside the books; `bookings_since` is None where it can't be used."""

    path: str
    kind: str
    at: Instant
    good: bool
    bookings_since: int | None


class BackupsShape(TypedDict):
    """The backups beside the books."""

    backups: list[KeptBackupShape]


class LostBookingShape(TypedDict):
    """A booking that the backup doesn't have."""

    id: int
    kind: str
    at: Instant


class LossShape(TypedDict):
    """What stands in the books and not in the backup."""

    readable: bool
    bookings: dict[str, int]
    newest: list[LostBookingShape]
    changed_rows: Rows


class RestoredShape(TypedDict):
    """A backup that was put back, or would be; `kept` is where the books before it are."""

    backup: str
    lost: LossShape
    restored: bool
    kept: str | None
    ok: NotRequired[bool]


CopiedShape = TypedDict("CopiedShape", {"from": str, "to": str, "equal": bool, "digest": str, "rows": Rows})
"""Books that were copied and compared row by row."""


class ExportedShape(TypedDict):
    """Books that were written as a folder of tables."""

    folder: str
    rows: Rows
    digest: str


class ImportedFolderShape(TypedDict):
    """An exported folder that came in, or would."""

    folder: str
    title: NotRequired[str]
    rows: Rows
    digest: NotRequired[str]
    booked: bool


class BadCellShape(TypedDict):
    """What can't be taken in, and why."""

    line: int
    column: str | None
    reason: str


class NewProductShape(TypedDict):
    """A product that an import makes."""

    product: str
    role: str | None


class KeptFieldShape(TypedDict):
    """What the books say otherwise than the file; the books' word stays."""

    product: NotRequired[str]
    supplier: NotRequired[str]
    field: str
    books: str
    file: str


class ImportedProductShape(TypedDict):
    """The bottles of one product in a file; money in the studio's currency."""

    product: str
    bottles: int
    volume_ml: Quantity
    value: Quantity
    without_price: int


class RowNotTakenShape(TypedDict):
    """A row that is no row of ours, and why."""

    row: int
    reason: str


class QuestionShape(TypedDict):
    """What can be read in several ways, and the rows that it concerns."""

    id: str
    about: str
    readings: list[str]
    rows: list[int]
    row_count: int


class CorrectionShape(TypedDict):
    """What a corrected row changes of the bottle that it gave before."""

    row: int
    bottle: int
    product: str
    changes: list[str]


class GoneBottleShape(TypedDict):
    """A bottle that an earlier state of the file gave and this one doesn't name; it stays or goes with its import."""

    bottle: int
    product: str
    on_hand_ml: Quantity


ImportShape = TypedDict(
    "ImportShape",
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
        "bad_rows": list[BadCellShape],
        "bad_count": int,
        "new_products": list[NewProductShape],
        "changed_products": list[str],
        "kept": list[KeptFieldShape],
        "new_places": list[str],
        "new_suppliers": list[str],
        "changed_suppliers": list[str],
        "currency": str,
        "bottles": int,
        "volume_ml": Quantity,
        "value": Quantity,
        "without_price": int,
        "by_product": list[ImportedProductShape],
        "not_taken": list[RowNotTakenShape],
        "not_taken_count": int,
        "questions": list[QuestionShape],
        "corrections": list[CorrectionShape],
        "corrected": int,
        "gone": list[GoneBottleShape],
        "gone_count": int,
        "takes_back": list[int],
        "takes_back_bottles": int,
        "booked": bool,
        "deliveries": NotRequired[list[int]],
        "delivery": NotRequired[int],
        "mixes": NotRequired[int],
        "products": NotRequired[int],
        "suppliers": NotRequired[int],
        "changed": NotRequired[int],
        "import": NotRequired[int | None],
        "bookings": NotRequired[list[int]],
        "again": NotRequired[bool],
    },
)
"""A file that came in, or what of it would."""


class LabelsShape(TypedDict):
    """Labels that were drawn, and the files they are in."""

    labels: int
    files: list[str]
