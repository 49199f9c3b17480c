"""Standard output and standard error: what a command says there, and what becomes of it where nobody can read it.

Standard output holds the answer and nothing else. Where it can't be written, what was booked stays booked: a line on
standard error says so, and the exit status is that of an errand that was done.
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
from stock.text import plain

LONGEST_LINE = 10_000
LONGEST_REFUSAL = 2_000


def prepare() -> None:
    """Have all three standard streams, closed ones too, and let each write every letter.

    A closed one gets its number back on /dev/null, so that no file of ours takes that number; what is written to a
    closed standard output fails, as on a full disk.
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


def give(result: Result, *, as_json: bool, booked: bool = False) -> int:
    """Print an answer to standard output; the exit status.

    Args:
        result: the answer.
        as_json: whether it is wanted for a script.
        booked: whether something of it is in the books already.
    """
    try:
        if result.text is not None:
            sys.stdout.flush()
            sys.stdout.buffer.write(
                result.text if isinstance(result.text, bytes) else result.text.encode(errors="replace")
            )
        elif as_json:
            print(unseen(json.dumps(result.answer, ensure_ascii=False)))
        else:
            for text in result.lines:
                print("\n".join(plain(line, LONGEST_LINE) for line in text.split("\n")))
        sys.stdout.flush()
    except OSError as error:
        return _not_given(error, result, as_json=as_json, booked=booked)
    return result.status


def _not_given(error: OSError, result: Result, *, as_json: bool, booked: bool) -> int:
    """Say what was done, since the answer can't; a reader of mere figures who left is left in peace."""
    _silence(sys.stdout)
    why = "standard output is closed" if error.errno == errno.EBADF else error.strerror
    why = "whoever read it has left" if isinstance(error, BrokenPipeError) else why
    if booked or result.made:
        first = plain(result.lines[0], LONGEST_LINE) if result.lines else ""
        said = f"{'it is booked' if booked else 'it is done'}, but the answer can't be written ({why})"
        remedy = "Don't do it again: it is in the books" if booked else "What was made stays"
        told = f"{said}: {first.removesuffix('.')}" if first else said
        refuse(UllageError(told, remedy=remedy, code="answer-lost"), as_json=as_json)
        return result.status
    if isinstance(error, BrokenPipeError):
        return result.status
    lost = UllageError(
        f"the answer can't be written ({why})",
        remedy="Free some room, or send it elsewhere",
        code="answer-lost",
    )
    return refuse(lost, as_json=as_json)


def refuse(error: UllageError, *, as_json: bool) -> int:
    """Print one line to standard error; the error's exit status."""
    if as_json:
        body = {"code": error.code, "message": error.message, "remedy": error.remedy, **error.data}
        tell(unseen(json.dumps({"error": body}, ensure_ascii=False)))
    else:
        lines = [f"  {plain(line, LONGEST_REFUSAL)}" for line in error.lines]
        tell("\n".join([f"ullage: {plain(str(error), LONGEST_REFUSAL)}", *lines]))
    return error.exit_status


def tell(line: str) -> None:
    """Print a line to standard error, if anybody can read it there."""
    try:
        print(line, file=sys.stderr)
        sys.stderr.flush()
    except OSError:
        _silence(sys.stderr)


def _silence(stream: IO[str]) -> None:
    """Let what is still in a stream that can't be written go nowhere, so that leaving does not stumble over it."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def unseen(said: str) -> str:
    """JSON whose control and direction characters are written as escapes: read back they are the same texts."""
    return re.sub("[\x7f-\U0010ffff]", lambda found: _escaped(found[0]), said)


def _escaped(letter: str) -> str:
    if plain(letter) == letter:
        return letter
    return "\\u007f" if letter == "\x7f" else json.dumps(letter)[1:-1]
