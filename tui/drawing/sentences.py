"""What went wrong, as one sentence for a person: the one place where errors become words.

What `stock` says names commands, for its words are the command's answer, too. On a screen a key does it, so
the screens tell the key instead.
"""

import re
from functools import lru_cache

from stock.errors import BooksUnreachable, UllageError
from stock.text import plain

COMMAND = re.compile(r"`ullage ([^`]+)`|`(--with [^`]+)`")
KEYS = (
    ("bottle discard", "d on the Shelf"),
    ("bottle move", "m on the Shelf"),
    ("bottle change", "k on the Shelf"),
    ("undo", "u in the Logbook, on {kind} {number}"),
    ("cautions --moves", "w on the Cautions"),
    ("cautions --explain", "Enter on the Cautions"),
    ("caution-rule", "y on the Cautions"),
    ("product change", "e in the Records"),
    ("product add", "n in the Records"),
    ("place change", "e in the Records"),
    ("place add", "n in the Records"),
    ("sheet", "s in the Records"),
    ("job change", "d in the Records"),
    ("job add", "n in the Records"),
    ("order list", "i on the Forecast"),
    ("receive", "r on the Shelf"),
    ("logbook", "the Logbook"),
    ("shelf", "the Shelf"),
    ("restore", "y in the Logbook"),
    ("backup", "y in the Logbook"),
    ("check", "y in the Logbook"),
    ("viscosity", "v on the Bench"),
    ("--with", "the Bench's field Reducer"),
)
"""The first words of a command, and the key that does the same."""
OPTIONS = (
    (" with --reason", ""), (" with --supplier", ""), ("--reason", "the reason"), ("--month", "the month"),
    ("Name one with --with, or set it", "Name one in the field Reducer, or set it"),
    (", or let it be made with --make", ", or let new names be made"),
    (", or say --role paint", ", or name a new role"),
    (" with --encoding,", ","), (" with --decimal comma or --decimal point", ": comma or point"),
    (" with --days dmy or --days mdy", ": dmy or mdy"), (": --studio NEW_FILE;", ", opened anew;"),
    (", or name others with --bottle", ", or name others"),
)  # fmt: skip


HERE = {
    "cautions": (
        ("bottle discard", "d"),
        ("bottle move", "m"),
        ("cautions --moves", "w"),
        ("product change", "f"),
        ("place change", "f"),
    )
}
"""The keys of a screen that does it itself."""


def by_keys(text: str, screen: str = "") -> str:
    """The same words with the key that does it in the place of each command; `screen` is where they are read."""
    return _by_keys(text, screen) if "`" in text or " --" in text else text


@lru_cache(maxsize=512)
def _by_keys(text: str, screen: str) -> str:
    for option, said in OPTIONS:
        text = text.replace(option, said)
    return COMMAND.sub(lambda found: _key(found, screen), text)


def _key(found: re.Match[str], screen: str) -> str:
    command = found[1] or found[2]
    for first, key in (*HERE.get(screen, ()), *KEYS):
        if command == first or command.startswith(first + " "):
            parts = command.split()
            kind, number = (parts[1], parts[2]) if first == "undo" and len(parts) > 2 else ("", "")
            return key.format(kind=kind.replace("_", " "), number=number)
    return found[0]


def sentence_for(error: BaseException) -> str:
    """A sentence that says what happened and what to do; never a traceback.

    Refusals of the books say it themselves. Anything else is a fault of the program, and says so.
    """
    if isinstance(error, UllageError):
        said = plain(str(error), 600)
        if not isinstance(error, BooksUnreachable):  # no screen stands then: the command is what helps
            said = by_keys(said)
        said = said[:1].upper() + said[1:]
        return said if said.endswith((".", "!", "?", "…")) else said + "."
    if isinstance(error, MemoryError):
        return "There is not enough memory to go on. Close something and start again; the books are whole."
    kind = type(error).__name__
    return plain(
        f"Something went wrong in the program ({kind}: {error}). The books are whole: what was not booked "
        "before is not booked. Start it again; with ULLAGE_DEBUG=1 it tells more.",
        600,
    )
