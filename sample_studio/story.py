"""The grammar of the sample studio's story, one event a line.

A line is a day, a time of day, a verb, its objects, and the verb's own words in any order::

    -412 14:10 mix "Harbour Blue=8ml" reduce 20% with "Eddy Reducer" needle 0.35 step 5% outcome good

The day counts from the day on which the studio is loaded: -1 is yesterday, so that nothing lies in the future.
Names of more than one word are in double quotes. A bottle is written as its product's name and its number in the
order of receipt: `"Gannet White #3"`. Nothing is computed here: amounts, days and names are read by
`story_booker`.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import time

from stock.errors import BadInput


@dataclass(frozen=True, slots=True)
class VerbForm:
    """The grammar of a verb: the least and the most objects, and the words that may follow."""

    about: tuple[int, int]
    words: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    """Words that may be repeated."""
    needed: tuple[str, ...] = ()
    """Words that must be there."""


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One line of the story: what was done, with what, how and when."""

    where: str
    """File and line, for a refusal."""
    days_ago: int
    at: time
    verb: str
    about: tuple[str, ...]
    words: dict[str, tuple[str, ...]]

    def word(self, name: str) -> str | None:
        """The value of a word, or None where the line doesn't have it."""
        values = self.words.get(name)
        return values[0] if values else None


VERBS = {
    "job": VerbForm((1, 1), ("for", "due")),
    "finished": VerbForm((1, 1)),
    "receive": VerbForm((2, 2), ("count", "lot", "best-before", "made", "opened", "container", "place")),
    "open": VerbForm((1, 1)),
    "unlabelled": VerbForm((1, 1)),
    "move": VerbForm((1, 1), ("to",), needed=("to",)),
    "count": VerbForm((2, 2)),
    "discard": VerbForm((1, 1), ("because",)),
    "tested": VerbForm((1, 1), ("until", "note"), needed=("until",)),
    "decant": VerbForm((2, 2), ("into",)),
    "frozen": VerbForm((1, 1), ("at",), needed=("at",)),
    "mix": VerbForm(
        (1, 6),
        ("reduce", "with", "needle", "job", "step", "outcome", "keep", "throw", "place", "note"),
        again=("step",),
    ),
    "wash": VerbForm((1, 1)),
    "order": VerbForm((1, 6), ("from", "expected", "as"), needed=("as",)),
    "arrive": VerbForm((1, 7), ("lot", "best-before", "place")),
    "cancel": VerbForm((1, 7)),
    "plan": VerbForm((2, 2), ("on", "job"), needed=("on",)),
    "undo": VerbForm((1, 1)),
}

UNKNOWN = "unknown"
"""In the place of the day on which a bottle was opened."""
DAYS = ("best-before", "made", "opened", "expected", "on", "due", "until")
"""Words whose value is a day, as days before (-) or after (+) today."""

_TOKEN = re.compile(r'\s*(?:"([^"]*)"|([^\s"]+))')
_DAY = re.compile(r"-[1-9]\d{0,4}", re.ASCII)
_ANY_DAY = re.compile(r"[-+]\d{1,5}", re.ASCII)
_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)", re.ASCII)


def read(name: str, lines: Iterable[str]) -> Iterator[StoryLine]:
    """Read the lines of one file in their order; blank lines and lines that begin with `#` are skipped.

    Args:
        name: the file's name, for refusals.
        lines: its lines.
    Raises:
        BadInput: a line that doesn't follow the grammar, or that goes back in time; names file and line.
    """
    before: tuple[int, time] | None = None
    for number, line in enumerate(lines, 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        event = _story_line(f"{name} line {number}", line)
        moment = (event.days_ago, event.at)
        if before is not None and (-moment[0], moment[1]) < (-before[0], before[1]):
            raise _refusal(
                event.where, "goes back in time", "Write what happened in the order in which it happened"
            )
        before = moment
        yield event


def _story_line(where: str, line: str) -> StoryLine:
    tokens = _tokens(where, line)
    if len(tokens) < 4:
        raise _refusal(where, "is too short", "Write a day, a time, a verb and its object")
    day, hour, verb, *rest = tokens
    if not _DAY.fullmatch(day):
        raise _refusal(where, f"has the day {day!r}", "Write the days before today, such as -41")
    if not _TIME.fullmatch(hour):
        raise _refusal(where, f"has the time {hour!r}", "Write hours and minutes, such as 14:10")
    if verb not in VERBS:
        raise _refusal(where, f"has the verb {verb!r}", f"Write one of {', '.join(VERBS)}")
    about, words = _parts(where, verb, rest)
    return StoryLine(where, -int(day), time.fromisoformat(hour), verb, about, words)


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
        nobody_knows = (token, value) == ("opened", UNKNOWN)
        if token in DAYS and not nobody_knows and not _ANY_DAY.fullmatch(value):
            raise _refusal(
                where, f"has the day {value!r} after {token!r}", "Write days from today, such as +9"
            )
        words[token] = (*words.get(token, ()), value)
    least, most = form.about
    if not least <= len(about) <= most:
        allowed = f"{least}" if least == most else f"{least} to {most}"
        raise _refusal(
            where, f"has {len(about)} objects", f"{verb} takes {allowed}, then {_listed(form.words)}"
        )
    missing = [word for word in form.needed if word not in words]
    if missing:
        raise _refusal(where, f"does not say {missing[0]!r}", f"{verb} needs it")
    return tuple(about), words


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(words) if words else "no further words"


def _refusal(where: str, what: str, remedy: str) -> BadInput:
    return BadInput(f"{where} {what}; nothing was loaded", remedy=remedy)
