"""Writing output files: never over the books, a backup or a device, and over other files only on request.

Every output of the commands and screens is written here. A file is replaced without a question if the same errand for
the same books wrote it and it hasn't changed since, which the errand's mark inside the file shows. Any other file is
replaced only on request; books, backups and devices never are.
"""

import os
import re
import secrets
import stat
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from unicodedata import normalize

from stock.errors import BadInput, UllageError
from stock.language import _
from stock.remedies import Option, Remedy
from stock.store import addresses, files, snapshots
from stock.text import plain

STANDARD_OUTPUT = Path("-")
BOOKS = "books"
LOGS = ("-wal", "-shm", "-journal")
"""Endings of the files that SQLite keeps beside a database; SQLite would play a stray one into it."""
MARK = "mark 0000000000000000-0000000000000000"
"""The placeholder for a file's mark in its text; the mark identifies the writer and contains a digest of the rest."""
PACKAGE = "datapackage.json"
"""The name of the file that describes the tables beside it and holds their seals."""
SEAL = "seal 0000000000000000-0000000000000000"
"""The placeholder for another file's seal, which identifies that file's writer and contains its digest."""
LARGEST_OF_OURS = 64_000_000
"""The largest size, in bytes, at which a file is checked for a mark; a larger one counts as somebody else's."""
_MARKS = re.compile(r"mark [0-9a-f]{16}-[0-9a-f]{16}")
_DEVICES = ("/dev/", "/proc/", "/sys/")
_NOT_DEVICES = ("/dev/shm/",)  # noqa: S108 - only compared
_KINDS = (
    (stat.S_ISCHR, _("is a device")), (stat.S_ISBLK, _("is a device")),
    (stat.S_ISFIFO, _("is a pipe")), (stat.S_ISSOCK, _("is a socket")),
)  # fmt: skip


class WouldOverwrite(UllageError):
    """The path of an output is in use; `replaceable` says whether a person may have the file replaced."""

    code = "would-overwrite"

    def __init__(self, path: Path, why: str, *, replaceable: bool = False) -> None:
        force = (_(", or replace it "), Option("force")) if replaceable else ()
        super().__init__(
            _("{path} {why}; nothing was written", path=plain(str(path), 1000), why=why),
            remedy=Remedy(_("Name another file"), *force),
        )
        self.path, self.why, self.replaceable = path, why, replaceable


@dataclass(frozen=True, slots=True)
class Output:
    """A text on its way to a file.

    Attributes:
        path: its path.
        text: its content, with `MARK` if its format can hold one.
        errand: its description, such as "costs as CSV, 2026-03"; a file of the same description may be replaced.
        seals: the files beside it whose format can hold no mark; its text has one `SEAL` for each.
    """

    path: Path
    text: str
    errand: str
    seals: "Sequence[Output]" = ()


def check(path: Path, books: str, *, errand: str, replace: bool = False, folder: bool = False) -> Path:
    """Refuse an output's path that is in use or that could be mistaken for part of the books.

    Args:
        path: the output's path.
        books: the address of the books in use; empty where there are none.
        errand: the output's description; `BOOKS` for books, such as a backup, which never replace anything.
        replace: whether a person asked for a file of somebody else's to be replaced.
        folder: whether a folder is written, which may exist.
    Returns:
        The file or folder that the path leads to.
    Raises:
        WouldOverwrite: see above.
        BadInput: the path can't be followed.
    """
    if path == STANDARD_OUTPUT:
        raise BadInput(
            _("- is standard output, and this can't be written there"), remedy=_("Name a file; ./- is one")
        )
    try:
        end = Path(os.path.realpath(path))
        _refuse_device(path, end)
        _refuse_books(path, end, books, other_books=errand == BOOKS)
        if folder and end.is_dir():
            return end
        if folder and end.exists():
            raise WouldOverwrite(path, _("is no folder"))
        if end.is_dir():
            raise WouldOverwrite(path, _("is a folder"))
        if os.path.lexists(path):
            _refuse_existing(path, end, books, errand, replace=replace)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error
    return end


def _refuse_device(path: Path, end: Path) -> None:
    """Refuse a path that is, leads to, or passes through a link to a device or a handle of a process."""
    given = os.path.abspath(path)
    for place in (given, str(end), *_links(given)):
        if place.startswith(_DEVICES) and not place.startswith(_NOT_DEVICES):
            raise WouldOverwrite(path, _("is a device"))
    with suppress(FileNotFoundError, NotADirectoryError):
        mode = os.stat(path).st_mode
        for is_kind, why in _KINDS:
            if is_kind(mode):
                raise WouldOverwrite(path, why)


def _links(given: str) -> list[str]:
    """The targets of a chain of links, in order."""
    found: list[str] = []
    while os.path.islink(given) and len(found) < 40:
        given = os.path.abspath(os.path.join(os.path.dirname(given), os.readlink(given)))
        found.append(given)
    return found


def _refuse_books(path: Path, end: Path, books: str, *, other_books: bool) -> None:
    """Refuse files of the books: by name, since some exist only at times; by identity, because of links; by content."""
    if books and not addresses.is_server(books):
        bases = {os.path.abspath(books), os.path.realpath(books)}
        for base in bases:
            for own in (base, *(base + ending for ending in LOGS)):
                if (
                    _same_name(str(end), own)
                    or _same_name(os.path.abspath(path), own)
                    or _same_file(end, own)
                ):
                    raise WouldOverwrite(path, _("belongs to the studio's books"))
            backups = os.path.realpath(snapshots.folder(base))
            within = not other_books and any(_same_name(str(each), backups) for each in (end, *end.parents))
            if within:
                raise WouldOverwrite(path, _("stands among the studio's backups"))
    for ending in LOGS:
        if end.name.endswith(ending) and _is_books(end.with_name(end.name.removesuffix(ending))):
            raise WouldOverwrite(path, _("belongs to a studio's books"))
    if _is_books(end):
        raise WouldOverwrite(path, _("holds a studio's books"))


def _same_name(one: str, other: str) -> bool:
    """Whether two paths may be one file on a system that ignores case, or blanks and points at the end."""
    first, second = (normalize("NFKC", path).casefold().rstrip(" .") for path in (one, other))
    return first == second


def _same_file(one: Path, other: str) -> bool:
    with suppress(OSError):
        return os.path.samefile(one, other)
    return False


def _is_books(path: Path) -> bool:
    with suppress(OSError):
        return path.is_file() and files.has_our_header(path) and not files.never_finished(path)
    return False


def _refuse_existing(path: Path, end: Path, books: str, errand: str, *, replace: bool) -> None:
    if replace:
        return
    if errand == BOOKS:
        raise WouldOverwrite(path, "exists")
    if path.is_symlink():
        raise WouldOverwrite(path, _("is a link to {end}", end=plain(str(end), 1000)), replaceable=True)
    if not os.access(end, os.W_OK) or not end.stat().st_mode & 0o222:  # for root everything is writable
        raise WouldOverwrite(path, _("exists and may only be read"), replaceable=True)
    if not _left_by(end, errand, books):
        raise WouldOverwrite(path, _("exists and is not what this wrote before"), replaceable=True)


def _left_by(end: Path, errand: str, books: str) -> bool:
    """Whether a file is unchanged since the same errand wrote it, by its mark or its seal in the package beside it."""
    if end.stat().st_size > LARGEST_OF_OURS:
        return False
    text = end.read_bytes().decode("utf-8", errors="replace")
    if _MARKS.search(text):
        return set(_MARKS.findall(text)) == {_mark(_MARKS.sub(MARK, text), errand, books)}
    package = package_left(end.parent, books)
    return package is not None and _seal(text, errand, books) in package


def package_left(folder: Path, books: str) -> str | None:
    """The description of a folder's tables, if reports of these books wrote it and it is unchanged; else None."""
    with suppress(OSError):
        text = (folder / PACKAGE).read_bytes()[:LARGEST_OF_OURS].decode("utf-8", errors="replace")
        if set(_MARKS.findall(text)) == {_mark(_MARKS.sub(MARK, text), PACKAGE, books)}:
            return text
    return None


def _seal(text: str, errand: str, books: str) -> str:
    return _mark(text, errand, books).replace("mark", "seal")


def _mark(text: str, errand: str, books: str) -> str:
    """The mark of a text that has `MARK` in it."""
    whose = addresses.shown(books) if addresses.is_server(books) else os.path.realpath(books)
    who = sha256(f"{errand}\n{whose}".encode("utf-8", errors="replace")).hexdigest()[:16]
    return f"mark {who}-{sha256(text.encode('utf-8', errors='replace')).hexdigest()[:16]}"


def marked(one: Output, books: str) -> str:
    """The text to write, with its mark and the seals of other files filled in."""
    text = one.text
    for other in one.seals:
        text = text.replace(SEAL, _seal(marked(other, books), other.errand, books), 1)
    return text.replace(MARK, _mark(text, one.errand, books))


def write(outputs: Sequence[Output], books: str, *, replace: bool = False) -> None:
    """Write files that only their owner may read, all or none; a replaced file keeps its mode and owner.

    Every file is complete on the disk under another name before the first gets its own.

    Args:
        outputs: the files.
        books: the address of the books that they describe.
        replace: whether somebody else's files may be replaced.
    Raises:
        WouldOverwrite: a file stands there that must not be replaced; nothing is written.
        BadInput: one can't be written, or two are one file.
    """
    ends = [check(one.path, books, errand=one.errand, replace=replace) for one in outputs]
    if len({os.path.normcase(end) for end in ends}) < len(ends):
        raise BadInput(_("two outputs can't go to one file"), remedy=_("Name another file for one of them"))
    parts: list[tuple[Output, Path, Path]] = []
    try:
        for one, end in zip(outputs, ends, strict=True):
            part = end.with_name(f".ullage-{secrets.token_hex(6)}.new")
            parts.append((one, end, part))
            _fill(part, end, marked(one, books))
        for one, end, part in parts:
            check(one.path, books, errand=one.errand, replace=replace)  # again, since writing took a while
            os.replace(part, end)
            snapshots.settled(end.parent)
    except OSError as error:
        raise _unwritable(parts[-1][0].path, error) from error
    finally:
        for __, ___, part in parts:
            with suppress(OSError):
                part.unlink(missing_ok=True)


def _fill(part: Path, end: Path, text: str) -> None:
    """Write a new file to the disk; its mode is the owner's alone, or that of the file it replaces."""
    flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(part, flags, 0o600), "wb") as file:
        file.write(text.encode("utf-8", errors="replace"))
        file.flush()
        os.fsync(file.fileno())
    with suppress(FileNotFoundError):
        before = os.stat(end)
        if hasattr(os, "chown"):
            with suppress(PermissionError):
                os.chown(part, before.st_uid, before.st_gid)
        part.chmod(stat.S_IMODE(before.st_mode))


def _unwritable(path: Path, error: OSError | ValueError) -> BadInput:
    why = getattr(error, "strerror", None) or str(error)
    return BadInput(
        _("{path} can't be written: {why}", path=plain(str(path), 1000), why=why),
        remedy=_("Name another file; nothing was written"),
    )
