"""Paths as people write them. Only files on a disk are opened, since reading a pipe or a device could never end."""

import errno
import os
import stat
from typing import TYPE_CHECKING, BinaryIO
from unicodedata import category

from stock.errors import BadInput
from stock.language import _

if TYPE_CHECKING:
    from pathlib import Path

AnyPath = str | os.PathLike[str]
ODD = {
    stat.S_IFDIR: _("a folder"),
    stat.S_IFIFO: _("a pipe"),
    stat.S_IFCHR: _("a device"),
    stat.S_IFBLK: _("a device"),
    stat.S_IFSOCK: _("a socket"),
}


def located(text: str) -> "Path":
    """A path as a person writes it; `~` is home.

    Raises:
        BadInput: it is empty, can be no path, or holds control characters.
    """
    if not text.strip():
        raise BadInput(_("that names no file or folder"), remedy=_("Write one, such as ~/paints.csv"))
    if any(category(letter) == "Cc" for letter in text):
        raise BadInput(
            _("the path holds a control character, such as a line break"), remedy=_("Type it again")
        )
    from pathlib import (
        Path,  # only for what a person types: its import takes longer than the rest of this module
    )

    try:
        return Path(text).expanduser()
    except RuntimeError:
        raise BadInput(
            _("~ stands for nobody's home there"), remedy=_("Write ~/ before a name, or / first")
        ) from None


def odd(path: AnyPath) -> str:
    """The kind of a thing at a path that is no file, as `a pipe`; empty for a file or an unused path.

    Raises:
        OSError: it can't be looked at.
    """
    try:
        return ODD.get(stat.S_IFMT(os.stat(path).st_mode), "")
    except (FileNotFoundError, NotADirectoryError):
        return ""


def opened(path: AnyPath, *, follow: bool = True) -> BinaryIO:
    """Open a file for reading without waiting for another process.

    Args:
        path: its path.
        follow: whether a link is followed; always on a system that can't refuse to.
    Raises:
        OSError: it can't be opened, or is no file that lies on a disk.
    """
    _refuse(odd(path))
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags | (0 if follow else getattr(os, "O_NOFOLLOW", 0)))
    try:
        _refuse(ODD.get(stat.S_IFMT(os.fstat(handle).st_mode), ""))  # it may be another file now
    except OSError:
        os.close(handle)
        raise
    return os.fdopen(handle, "rb")


def _refuse(kind: str) -> None:
    if kind:
        raise OSError(errno.EINVAL, _("it is {kind}", kind=kind))
