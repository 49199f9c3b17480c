"""Several data sheets at once: a folder of files, which product each is for, and booking all that is sure in one step.

Anything unsure is reported with its reason and left to be taken file by file: a sheet whose product isn't sure, an
unsure figure, a figure that differs from the record, an older revision. Each file is booked whole or not at all.
"""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from stock.datasheets import books, differences, files
from stock.datasheets.books import Confirmed, Taken
from stock.datasheets.files import SheetFile
from stock.datasheets.matching import KnownName, Match, SheetName, match
from stock.datasheets.proposals import Proposal, propose
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.shelf import line_sheets, lines, products
from stock.store import paths
from stock.store.connection import connection, reading
from stock.store.models import DataSheet, FigureSource, Product
from stock.text import folded, plain

KINDS = (".pdf", ".docx", ".txt", ".doc")
"""Name endings of the files that are read in a folder; a file that is named itself may have any."""
MOST_FILES = 500
AT_ONCE = min(4, os.cpu_count() or 1)
"""Files that are read at the same time, each in a process of its own."""


@dataclass(frozen=True, slots=True)
class FolderSheet:
    """One file of a folder: its proposals, its product or line, and the reason if it isn't booked with the others.

    Attributes:
        path, name: the file, and its name for people.
        sha256: of its content; empty if it couldn't be opened.
        file, proposals: None and empty if it wasn't read.
        match: the product or line that it seems to be for.
        refused: why it can't be read.
        known: why it need not be read: read before, or the same as another file.
        left: why it is not booked with the sure ones; empty if it is.
        differs: the record's differing values, by the proposal's field; those figures aren't taken with the others.
        taken: the figures that were booked.
    """

    path: Path
    name: str
    sha256: str = ""
    file: SheetFile | None = None
    proposals: tuple[Proposal, ...] = ()
    match: Match = field(default_factory=Match)
    refused: UllageError | None = None
    known: str = ""
    left: str = ""
    differs: dict[str, str] = field(default_factory=dict)
    taken: Taken | None = None

    @property
    def ready(self) -> bool:
        """Whether it is booked with all that are sure."""
        return self.file is not None and not self.left and self.taken is None

    @property
    def sure(self) -> list[Proposal]:
        """The figures that are booked with it."""
        return [one for one in self.proposals if one.sure and one.field not in self.differs]

    @property
    def open(self) -> int:
        """How many figures are left for a person to decide on."""
        return len(self.proposals) - len(self.sure)

    @property
    def state(self) -> str:
        """`taken`, `ready`, `known`, `unreadable` or `unsure`."""
        if self.taken is not None:
            return "taken"
        if self.refused is not None:
            return "unreadable"
        return "known" if self.known else "ready" if self.ready else "unsure"

    @property
    def why(self) -> str:
        """The reasons for or against booking it, in words."""
        if self.refused is not None:
            return plain(self.refused.message, 300)
        return self.known or self.left or self.match.why

    @property
    def day(self) -> date | None:
        """The day of its revision, if that is sure."""
        found = next((one for one in self.proposals if one.name == "revised_on" and one.sure), None)
        return date.fromisoformat(found.value) if found is not None and found.value is not None else None


def gathered(given: Sequence[Path]) -> list[Path]:
    """The named files, and all files of the named folders and their subfolders.

    Raises:
        BadInput: a folder that can't be read or has no file of these kinds, or more files than are read at once.
    """
    found: list[Path] = []
    for path in given:
        if not os.path.isdir(path):
            found.append(path)
            continue
        inside = sorted(_files_of(path))
        if not inside:
            raise BadInput(
                _("the folder {name} has no data sheet", name=plain(path.name, 80)),
                remedy=_(
                    "Name one with files that end in {kinds}; nothing was read", kinds=", ".join(KINDS[:-1])
                ),
            )
        found += inside
    found = list(dict.fromkeys(found))
    if len(found) > MOST_FILES:
        raise BadInput(
            _(
                "{found:,} files are more than the {most_files} that are read at once",
                found=len(found),
                most_files=MOST_FILES,
            ),
            remedy=_("Name a smaller folder; nothing was read"),
        )
    return found


def _files_of(folder: Path) -> Iterator[Path]:
    def refuse(error: OSError) -> None:
        raise BadInput(
            _(
                "the folder {name} can't be read ({strerror})",
                name=plain(folder.name, 80),
                strerror=error.strerror or error,
            ),
            remedy=_("Check that you may read it; nothing was read"),
        )

    for where, inside, names in os.walk(folder, onerror=refuse):
        inside[:] = [each for each in inside if not each.startswith(".")]
        for name in names:
            if name.casefold().endswith(KINDS) and not name.startswith((".", "~$")):
                yield Path(where) / name


def look(
    given: Sequence[Path],
    *,
    whose: KnownName | None = None,
    role: str | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> list[FolderSheet]:
    """Read all files and find the product or line of each; books nothing.

    Args:
        given: from `gathered`.
        whose: the product or line of all files; None to find it for each.
        role: the role of new products, which are made for sheets with a sure name that fits nothing in the books.
        on_progress: called with how many are read and how many there are.
    """
    with connection(), reading():
        known, read_before = _known(), _read_before()
    first: dict[str, str] = {}
    waiting: list[FolderSheet] = []
    for path in given:
        one = FolderSheet(path, plain(path.name, 80))
        try:
            one = replace(one, sha256=files.fingerprint(path))
        except UllageError as error:
            one = replace(one, refused=error)
        if one.sha256:
            same = first.setdefault(one.sha256, one.name)
            if one.sha256 in read_before:
                one = replace(one, known=_("read before for {whose}", whose=read_before[one.sha256]))
            elif same != one.name:
                one = replace(one, known=_("the same file as {same}", same=same))
        waiting.append(one)
    read: list[FolderSheet] = []
    with ThreadPoolExecutor(AT_ONCE) as pool:
        for at, one in enumerate(pool.map(_read, waiting), 1):
            read.append(one)
            if on_progress is not None:
                on_progress(at, len(waiting))
    with connection(), reading():
        return _judged([_matched(one, whose, known, role) for one in read], adds=role is not None)


def _known() -> list[KnownName]:
    """The products and lines of the books."""
    found = [KnownName(row.name, row.code, row.maker) for row in products.everything()]
    return found + [KnownName(row.name, "", row.maker, is_line=True) for row in lines.everything()]


def _read_before() -> dict[str, str]:
    """The product or line of each file from which figures were booked before."""
    rows = FigureSource.select(FigureSource.sha256, Product.name).join(Product).where(~Product.taken_back)
    found = {sha256: name for sha256, name in rows.distinct().tuples() if sha256}
    return found | line_sheets.files_waiting()


def _read(one: FolderSheet) -> FolderSheet:
    """A file with its proposals, or the reason why it can't be read; a file that need not be read stays as it is."""
    if one.refused is not None or one.known:
        return one
    try:
        file = files.read(one.path)
        return replace(one, file=file, proposals=tuple(propose(file.readings)))
    except UllageError as error:
        return replace(one, refused=error)


def _matched(
    one: FolderSheet, whose: KnownName | None, known: Iterable[KnownName], role: str | None
) -> FolderSheet:
    if one.file is None:
        return one
    if whose is not None:
        return replace(one, match=Match(whose.name, whose.is_line, True, _("as you said"), (whose.name,)))
    name = next((each for each in one.proposals if each.name == "name"), None)
    maker = next((each.value or "" for each in one.proposals if each.name == "maker"), "")
    named = SheetName(
        name.value or "" if name else "", name.sure if name else False, maker, Path(one.path.name).stem
    )
    found = match(named, known)
    if not found.candidates and role is not None and named.name_sure:
        found = Match(named.name, False, True, _("a new {role}, by its name", role=role), ())
    return replace(one, match=found)


def _judged(found: Sequence[FolderSheet], *, adds: bool) -> list[FolderSheet]:
    """Each file with its differences from the record and why it is left; of several revisions the newest stays."""
    newest: dict[tuple[str, str], FolderSheet] = {}
    for one in found:
        if one.file is not None and one.day is not None and one.match.sure:
            before = newest.get(_place(one))
            if before is None or before.day is None or one.day > before.day:
                newest[_place(one)] = one
    judged = []
    for one in found:
        if one.file is None:
            judged.append(one)
            continue
        judged_file = replace(one, left=_why_left(one, newest.get(_place(one))))
        if judged_file.match.name and not judged_file.left:
            differs = differences.from_record(
                judged_file.match.name, judged_file.proposals, is_line=judged_file.match.is_line, adds=adds
            )
            judged_file = replace(judged_file, differs=differs)
        judged.append(judged_file)
    return judged


def _place(one: FolderSheet) -> tuple[str, str]:
    return folded(one.match.name), books.kind(one.proposals)


def _why_left(one: FolderSheet, newest: FolderSheet | None) -> str:
    """Why a sheet isn't booked with the others; empty if it is."""
    if not one.proposals:
        return _("it proposes nothing")
    if not one.match.name or not one.match.sure:
        return one.match.why
    if one.day is None:
        return _("the day of its revision isn't sure")
    if not any(each.name not in books.OF_THE_SHEET for each in one.sure):
        return _("no figure of it is sure")
    if newest is not None and newest.name != one.name:
        same = _("has the same day") if newest.day == one.day else _("is newer")
        return _("{name} is for it, too, and {same}", name=newest.name, same=same)
    return _newer_in_books(one)


def _newer_in_books(one: FolderSheet) -> str:
    """A sentence that the books have this revision or a newer one; empty if they don't."""
    title = folded(books.kind(one.proposals))
    if one.match.is_line:
        row = lines.find(one.match.name)
        days = [
            (each.title, each.revised_on)
            for each in (*line_sheets.of_line(row.id), *line_sheets.waiting(row.id))
        ]
    else:
        days = list(
            DataSheet.select(DataSheet.title, DataSheet.revised_on)
            .join(Product)
            .where((Product.name_key == folded(one.match.name)) & ~DataSheet.withdrawn)
            .tuples()
        )
    last = max((day for name, day in days if folded(name) == title), default=None)
    if last is None or one.day is None or last < one.day:
        return ""
    return _("the books have its revision of {last}", last=last) + (
        "" if last == one.day else _(", which is newer")
    )


def book(
    found: Sequence[FolderSheet],
    *,
    role: str | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> list[FolderSheet]:
    """Book the sure figures of each sheet that is ready, oldest first; a refused file is left with its reason.

    Args:
        found: from `look`.
        role: of products that are made.
        on_progress: as in `look`.
    """
    ready = sorted((one for one in found if one.ready), key=lambda one: (one.day or date.min, one.name))
    done: dict[Path, FolderSheet] = {}
    for at, one in enumerate(ready, 1):
        done[one.path] = _booked(one, role)
        if on_progress is not None:
            on_progress(at, len(ready))
    return [done.get(one.path, one) for one in found]


def _booked(one: FolderSheet, role: str | None) -> FolderSheet:
    try:
        with connection(), reading():  # the record now has what earlier sheets of this run booked
            differs = differences.from_record(
                one.match.name, one.proposals, is_line=one.match.is_line, adds=role is not None
            )
        one = replace(one, differs=differs)
        assert one.file is not None
        confirmed = Confirmed(one.file, one.proposals, one.sure)
        if one.match.is_line:
            return replace(one, taken=books.take_for_line(confirmed, one.match.name))
        return replace(one, taken=books.take(confirmed, one.match.name, role=role))
    except UllageError as error:
        return replace(one, left=_("it was refused: {why}", why=plain(error.message, 200)))


def located(given: Sequence[str]) -> list[Path]:
    """Paths as a person wrote them.

    Raises:
        BadInput: one that can't be a path.
    """
    return [paths.located(text) for text in given]


def one_file(given: Sequence[Path]) -> bool:
    """Whether a single file is named, and no folder; a path that no disk can hold is no folder either."""
    return len(given) == 1 and not os.path.isdir(given[0])


def whose(product: str | None, line: str | None) -> KnownName | None:
    """The product or line that all sheets are for; None if none is named.

    Raises:
        NotFound, Ambiguous: it.
    """
    with connection(), reading():
        if line is not None:
            return KnownName(lines.find(line).name, is_line=True)
        return None if product is None else KnownName(products.find(product).name)
