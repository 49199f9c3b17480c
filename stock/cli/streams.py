"""Standard output and standard error, and the handling of errors when writing to them.

Standard output holds the answer and nothing else. If the answer can't be written, what was booked stays booked: a line
on standard error says so, and the exit status is that of success.
"""

import errno
import json
import os
import re
import sys
from contextlib import suppress
from typing import IO, Any

from stock.cli.frame import Result
from stock.errors import UllageError
from stock.language import _
from stock.text import plain

SCHEMA = 1
"""The number of the shape of all JSON answers; it is raised when a key goes or changes its meaning."""
LONGEST_LINE = 10_000
LONGEST_REFUSAL = 2_000


def prepare() -> None:
    """Open closed standard streams, and let each of them write every character.

    A closed stream gets its descriptor back on /dev/null, so that no file of ours takes that descriptor. Writing to a
    standard output that was closed still fails, as on a full disk.
    """
    for name, flags, mode in (
        ("stdin", os.O_RDONLY, "r"),
        ("stdout", os.O_RDONLY, "w"),
        ("stderr", os.O_WRONLY, "w"),
    ):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, flags), mode, encoding="utf-8"))
    for stream in (sys.stdout, sys.stderr):
        reconfigure: Any = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def write_answer(result: Result, *, as_json: bool, booked: bool = False) -> int:
    """Print an answer to standard output; return the exit status.

    Args:
        result: the answer.
        as_json: whether to print JSON.
        booked: whether the command has booked something.
    """
    try:
        if result.text is not None:
            _write_whole(result.text)
        elif as_json:
            for document in result.answer[result.entries] if result.entries else (result.answer,):
                print(escaped(json.dumps({"schema": SCHEMA, **document}, ensure_ascii=False)))
        else:
            for text in result.lines:
                print("\n".join(plain(line, LONGEST_LINE) for line in text.split("\n")))
        sys.stdout.flush()
    except OSError as error:
        return _answer_lost(error, result, as_json=as_json, booked=booked)
    return result.status


def write_now(line: str) -> None:
    """Print a line of an unfinished answer to standard output.

    Raises:
        OSError: it can't be written.
    """
    print(plain(line, LONGEST_LINE))
    sys.stdout.flush()


def _write_whole(text: str | bytes) -> None:
    """Write a file's content to standard output byte for byte, or as letters where that has no bytes beneath."""
    sys.stdout.flush()
    beneath = getattr(sys.stdout, "buffer", None)
    if beneath is None:
        sys.stdout.write(text if isinstance(text, str) else text.decode(errors="replace"))
    else:
        beneath.write(text if isinstance(text, bytes) else text.encode(errors="replace"))


def _answer_lost(error: OSError, result: Result, *, as_json: bool, booked: bool) -> int:
    """Report what was done, in place of the answer. Nothing is reported to a reader that left before mere figures."""
    _silence(sys.stdout)
    why = _("standard output is closed") if error.errno == errno.EBADF else error.strerror
    why = _("whoever read it has left") if isinstance(error, BrokenPipeError) else why
    if booked or result.made:
        first = plain(result.lines[0], LONGEST_LINE) if result.lines else ""
        message = _(
            "{booked}, but the answer can't be written ({why})",
            booked=_("it is booked") if booked else _("it is done"),
            why=why,
        )
        remedy = _("Don't do it again: it is in the books") if booked else _("What was made stays")
        if first:
            message += f": {first.removesuffix('.')}"
        refuse(UllageError(message, remedy=remedy, code="answer-lost"), as_json=as_json)
        return result.status
    if isinstance(error, BrokenPipeError):
        return result.status
    lost = UllageError(
        _("the answer can't be written ({why})", why=why),
        remedy=_("Free some room, or send it elsewhere"),
        code="answer-lost",
    )
    return refuse(lost, as_json=as_json)


def refuse(error: UllageError, *, as_json: bool) -> int:
    """Print an error to standard error, as one line and its details; return its exit status."""
    if as_json:
        body = {"code": error.code, "message": error.message, "remedy": error.remedy, **error.data}
        write_line(escaped(json.dumps({"error": body}, ensure_ascii=False)))
    else:
        lines = [f"  {plain(line, LONGEST_REFUSAL)}" for line in error.lines]
        write_line("\n".join([_("ullage: {error}", error=plain(str(error), LONGEST_REFUSAL)), *lines]))
    return error.exit_status


def write_line(line: str) -> None:
    """Print a line to standard error, if it can be written."""
    try:
        print(line, file=sys.stderr)
        sys.stderr.flush()
    except OSError:
        _silence(sys.stderr)


def _silence(stream: IO[str]) -> None:
    """Send what a broken stream still buffers to /dev/null, so that flushing it at exit does not fail."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def escaped(document: str) -> str:
    """A JSON text with its control and direction characters written as escapes."""
    if document.isascii() and "\x7f" not in document:
        return document
    # Written as a range from U+007F to the last character, the set would take 8 ms to compile.
    return re.sub("[^\x00-\x7e]", lambda found: _escaped(found[0]), document)


def _escaped(letter: str) -> str:
    if plain(letter) == letter:
        return letter
    return "\\u007f" if letter == "\x7f" else json.dumps(letter)[1:-1]
