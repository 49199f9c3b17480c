"""The rows of a file that can't be imported: all are listed with line and reason, and nothing is booked."""

from dataclasses import dataclass, field

from stock.errors import UllageError
from stock.language import _
from stock.notation import in_thousands
from stock.text import plain

MOST_LISTED = 100


@dataclass(frozen=True, slots=True)
class BadRow:
    """A refused line of a file, the reason, and the head of the column concerned, if there is one."""

    file: str
    line: int
    reason: str
    column: str = ""

    def __str__(self) -> str:
        column = _(", column {column}", column=plain(self.column, 40)) if self.column else ""
        return _(
            "{file} line {line}{column}: {reason}",
            file=plain(self.file, 100),
            line=self.line,
            column=column,
            reason=plain(self.reason, 300),
        )


class BadRows(UllageError):
    """A file with rows that can't be taken in; `rows` holds the first hundred, `more` says how many follow."""

    code = "bad-rows"

    def __init__(self, rows: list[BadRow], more: int = 0, count: int | None = None) -> None:
        """`rows` are the bad cells to list, `more` the number of others, `count` the number of rows if it differs."""
        count = len(rows) + more if count is None else count
        super().__init__(
            _(
                "{count} {row_or_rows} can't be taken in{colon}{first}",
                count=in_thousands(count),
                row_or_rows=_("row") if count == 1 else _("rows"),
                colon=": " if count == 1 else _(", the first: "),
                first=rows[0],
            ),
            remedy=_("Nothing was booked; correct them and import again"),
        )
        self.rows = rows
        self.lines = [str(row) for row in rows] if len(rows) > 1 else []
        if more:
            self.lines.append(_("and {more} more", more=in_thousands(more)))
        self.data = {
            "bad_rows": [
                {"file": row.file, "line": row.line, "column": row.column or None, "reason": row.reason}
                for row in rows
            ],
            "bad_count": count,
        }


@dataclass(slots=True)
class Sieve:
    """Keeps the first hundred bad rows of an import and counts the others."""

    rows: list[BadRow] = field(default_factory=list)
    more: int = 0

    reasons: dict[int, str] = field(default_factory=dict)
    """The reason of every bad row, by its line."""

    def refuse(self, file: str, line: int, error: UllageError, column: str = "") -> None:
        """Note a bad row."""
        before = f"{self.reasons[line]}; " if line in self.reasons else ""
        self.reasons[line] = before + error.sentence
        if len(self.rows) < MOST_LISTED:
            self.rows.append(BadRow(file, line, error.sentence, column))
        else:
            self.more += 1

    def __bool__(self) -> bool:
        return bool(self.rows)

    def stop(self) -> None:
        """Refuse the file if any row was refused.

        Raises:
            BadRows: with the first hundred and their number.
        """
        if self.rows:
            raise BadRows(self.rows, self.more, len(self.reasons))
