"""The names of products, suppliers, places, jobs and recipes: finding by a part of a name, and unique names.

Names that differ only in letter case and spacing are the same (`text.folded`).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

from stock.errors import Ambiguous, BadInput, NotFound, UllageError
from stock.language import _
from stock.remedies import Remedy
from stock.store.models import database
from stock.store.orm import pw
from stock.text import folded, plain
from stock.text import name as clean_name

Row = TypeVar("Row")
MOST_CHOICES = 8
"""The most names that a refusal lists if several fit."""
MOST_NEAREST, ALIKE = 5, 0.65
"""The most names that a refusal lists if none fits, and how similar their spelling must be."""


def columns(what: str, text: str) -> dict[str, str]:
    """The columns of a row that gets this name.

    Args:
        what: what has the name, for example "job".
        text: the name as a person wrote it.
    Raises:
        BadInput: an unusable name.
    """
    cleaned = clean_name(text, what=_("{what}'s name", what=what))
    return {"name": cleaned, "name_key": folded(cleaned)}


@contextmanager
def free(
    table: Any, what: str, name: dict[str, Any], remedy: str, *, but: int | None = None
) -> Iterator[None]:
    """Write a row with this name inside the block; refused if another row has it, or if another bench takes it first.

    Args:
        table: the row's table.
        what: what has the name, for example "job".
        name: the row's columns, `name` and `name_key` among them; without them nothing is refused.
        remedy: what to do if the name is taken.
        but: the number of the row that is renamed.
    Raises:
        UllageError: the name is taken.
    """
    key = name.get("name_key")
    if key is None:
        yield
        return
    taken = table.get_or_none((table.name_key == key) & (table.id != (but or 0)))
    if taken is not None:
        raise _taken(what, taken.name, remedy)
    try:
        with database.atomic():  # on a server a refused row would abort the whole transaction
            yield
    except pw.IntegrityError:
        if table.get_or_none((table.name_key == key) & (table.id != (but or 0))) is None:
            raise
        raise _taken(what, name["name"], remedy) from None


def _taken(what: str, name: str, remedy: str) -> UllageError:
    return UllageError(
        _("there is a {what} called {name} already", what=what, name=name), remedy=remedy, code="exists"
    )


def found_or_made(table: Any, what: str, text: str, **others: Any) -> Any:
    """The row of exactly that name, made with `others` if there is none; inside a transaction.

    If two benches make it at once, the second waits for the first and takes its row.

    Raises:
        BadInput: an unusable name.
    """
    name = columns(what, text)
    row = table.get_or_none(table.name_key == name["name_key"])
    if row is None:
        table.insert(**name, **others).on_conflict_ignore().execute()
        row = table.get(table.name_key == name["name_key"])
    return row


def find(
    rows: Sequence[Row],
    text: str,
    *,
    what: str,
    several: str,
    remedy: Remedy | str,
    prefer: Callable[[Row], bool] = lambda _: True,
) -> Row:
    """The row with this name, or else the only row whose name contains it.

    Args:
        rows: rows with a `name`, in the order in which a refusal lists them.
        text: a name or a part of one, as a person wrote it.
        what: what is looked for, for example "job".
        several: its plural.
        remedy: what to do if no name is similar.
        prefer: which rows take precedence if several match by a part of their name.
    Raises:
        BadInput: the name is empty.
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    wanted = folded(text)
    if not wanted:
        raise BadInput(_("the {what}'s name is empty", what=what), remedy=_("Write a part of it"))
    keys = [folded(row.name) for row in rows]  # type: ignore[attr-defined]
    for row, key in zip(rows, keys, strict=True):
        if key == wanted:
            return row
    fitting = [row for row, key in zip(rows, keys, strict=True) if wanted in key]
    fitting = [row for row in fitting if prefer(row)] or fitting
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise Ambiguous(
            _(
                "{count} {several} fit {text!r}: {fitting}",
                count=len(fitting),
                several=several,
                text=plain(text, 40),
                fitting=listed(fitting),
            ),
            remedy=_("Write more of the name; nothing was booked"),
        )
    said = plain(text, 40)
    close = _nearest(wanted, [(key, row) for key, row in zip(keys, rows, strict=True) if prefer(row)])
    if close:
        names = ", ".join(row.name for row in close)  # type: ignore[attr-defined]
        raise NotFound(
            _("no {what} is called {text!r}", what=what, text=said),
            remedy=_("The nearest in the books: {names}", names=names),
        )
    if rows:
        raise NotFound(
            _("no {what} is called {text!r}, and no name comes near it", what=what, text=said), remedy=remedy
        )
    raise NotFound(_("no {what} is called {text!r}", what=what, text=said), remedy=remedy)


def _nearest(wanted: str, rows: Iterable[tuple[str, Row]]) -> list[Row]:
    """The rows with the most similar names, nearest first; at most `MOST_NEAREST`."""
    words = wanted.split()
    near = [
        (alike, key, row)
        for key, row in rows
        if (alike := _alike(words, key)) >= ALIKE or any(word in key for word in words)
    ]
    return [row for *_score, row in sorted(near, key=lambda one: (-one[0], one[1]))[:MOST_NEAREST]]


def _alike(words: Sequence[str], name: str) -> float:
    """How similar the words' spelling is to a name's, 0 to 1."""
    from difflib import SequenceMatcher  # seldom

    parts = name.split()
    best = [max((SequenceMatcher(None, word, part).ratio() for part in parts), default=0.0) for word in words]
    return sum(best) / len(best)


def listed(rows: Sequence[Any]) -> str:
    """The first names of these rows, and how many more there are."""
    more = _(" and {rows} more", rows=len(rows) - MOST_CHOICES) if len(rows) > MOST_CHOICES else ""
    return ", ".join(row.name for row in rows[:MOST_CHOICES]) + more
