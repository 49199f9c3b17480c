"""The words in which the sample studio's story is told, one happening a line.

A line is a day, a time of day, a verb, what it is about, and the verb's own words in any order::

    -412 14:10 mix "Harbour Blue=8ml" reduce 20% with "Eddy Reducer" needle 0.35 step 5% outcome good

The day counts from the day the studio is loaded: -1 is yesterday, so that nothing told lies in the future.
Names of more than one word stand in double quotes; a bottle is its product's name and which of its bottles
it is, in the order in which they came: `"Gannet White #3"`. Nothing is computed here: amounts, days and
names are read by whoever books them.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import time

from stock.errors import BadInput


@dataclass(frozen=True, slots=True)
class Form:
    """What a verb is told with: the least and most things it is about, and the words that may follow."""

    about: tuple[int, int]
    words: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    """Those of its words that may stand more than once."""
    needed: tuple[str, ...] = ()
    """Those of its words that may not be missing."""


@dataclass(frozen=True, slots=True)
class Happening:
    """One line of the story: what was done, to what, how and when."""

    where: str
    """File and line, for a refusal."""
    days_ago: int
    at: time
    verb: str
    about: tuple[str, ...]
    words: dict[str, tuple[str, ...]]

    def word(self, name: str) -> str | None:
        """The one value of a word, or None where the line hasn't it."""
        values = self.words.get(name)
        return values[0] if values else None


VERBS = {
    "job": Form((1, 1), ("for", "due")),
    "finished": Form((1, 1)),
    "receive": Form((2, 2), ("count", "lot", "best-before", "made", "opened", "container", "place")),
    "open": Form((1, 1)),
    "move": Form((1, 1), ("to",), needed=("to",)),
    "count": Form((2, 2)),
    "discard": Form((1, 1), ("because",)),
    "decant": Form((2, 2), ("into",)),
    "frozen": Form((1, 1), ("at",), needed=("at",)),
    "mix": Form(
        (1, 6),
        ("reduce", "with", "needle", "job", "step", "outcome", "keep", "throw", "place", "note"),
        again=("step",),
    ),
    "wash": Form((1, 1)),
    "order": Form((1, 6), ("from", "expected", "as"), needed=("as",)),
    "arrive": Form((1, 7), ("lot", "best-before", "place")),
    "cancel": Form((1, 7)),
    "plan": Form((2, 2), ("on", "job"), needed=("on",)),
    "undo": Form((1, 1)),
}

DAYS = ("best-before", "made", "opened", "expected", "on", "due")
"""Words whose value is a day, as days before (-) or after (+) today."""

_TOKEN = re.compile(r'\s*(?:"([^"]*)"|([^\s"]+))')
_DAY = re.compile(r"-[1-9]\d{0,4}", re.ASCII)
_ANY_DAY = re.compile(r"[-+]\d{1,5}", re.ASCII)
_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)", re.ASCII)


def read(name: str, lines: Iterable[str]) -> Iterator[Happening]:
    """The happenings of one file, in the order told; blank lines and lines that begin with `#` are skipped.

    Args:
        name: the file's name, for refusals.
        lines: its lines.
    Raises:
        BadInput: a line that isn't of the grammar, or that goes back in time; names file and line.
    """
    before: tuple[int, time] | None = None
    for number, line in enumerate(lines, 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        told = _happening(f"{name} line {number}", line)
        moment = (told.days_ago, told.at)
        if before is not None and (-moment[0], moment[1]) < (-before[0], before[1]):
            raise _refusal(told.where, "goes back in time", "Tell what happened in the order it happened")
        before = moment
        yield told


def _happening(where: str, line: str) -> Happening:
    tokens = _tokens(where, line)
    if len(tokens) < 4:
        raise _refusal(where, "is too short", "Write a day, a time, a verb and what it is about")
    day, hour, verb, *rest = tokens
    if not _DAY.fullmatch(day):
        raise _refusal(where, f"has the day {day!r}", "Write the days before today, such as -41")
    if not _TIME.fullmatch(hour):
        raise _refusal(where, f"has the time {hour!r}", "Write hours and minutes, such as 14:10")
    if verb not in VERBS:
        raise _refusal(where, f"has the verb {verb!r}", f"Write one of {', '.join(VERBS)}")
    about, words = _parts(where, verb, rest)
    return Happening(where, -int(day), time.fromisoformat(hour), verb, about, words)


def _tokens(where: str, line: str) -> list[str]:
    tokens, at = [], 0
    text = line.rstrip()
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            raise _refusal(where, "has a quotation mark that is not closed", 'Close it with "')
        tokens.append(found[1] if found[1] is not None else found[2])
        at = found.end()
    return tokens


def _parts(where: str, verb: str, tokens: list[str]) -> tuple[tuple[str, ...], dict[str, tuple[str, ...]]]:
    form = VERBS[verb]
    about: list[str] = []
    words: dict[str, tuple[str, ...]] = {}
    rest = iter(tokens)
    for token in rest:
        if token not in form.words:
            if words:
                raise _refusal(where, f"has the word {token!r}", f"{verb} knows {_listed(form.words)}")
            about.append(token)
            continue
        if token in words and token not in form.again:
            raise _refusal(where, f"says {token!r} twice", "Say it once")
        value = next(rest, None)
        if value is None:
            raise _refusal(where, f"ends at {token!r}", f"Write what comes after {token}")
        if token in DAYS and not _ANY_DAY.fullmatch(value):
            raise _refusal(
                where, f"has the day {value!r} after {token!r}", "Write days from today, such as +9"
            )
        words[token] = (*words.get(token, ()), value)
    least, most = form.about
    if not least <= len(about) <= most:
        wanted = f"{least}" if least == most else f"{least} to {most}"
        raise _refusal(
            where, f"is about {len(about)} things", f"{verb} is about {wanted}, then {_listed(form.words)}"
        )
    missing = [word for word in form.needed if word not in words]
    if missing:
        raise _refusal(where, f"does not say {missing[0]!r}", f"{verb} needs it")
    return tuple(about), words


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(words) if words else "no further words"


def _refusal(where: str, what: str, remedy: str) -> BadInput:
    return BadInput(f"{where} {what}; nothing was loaded", remedy=remedy)
