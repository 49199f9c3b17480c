"""Which names match a few typed letters, and their order: one rule for every field and list.

The best match comes first: the whole name, a name that starts with what was typed, words of the name that start
with the typed words in their order, the same in any order, then letters inside words. Names that fit equally well
keep the order in which they were given, which is usually that of recent use.
"""

from collections.abc import Iterable, Sequence

WHOLE, START, WORDS_IN_ORDER, WORDS, INSIDE = range(5)
"""How well a name fits, best first."""


def fit(name: str, typed: str) -> int | None:
    """How well a name fits the typed text, from `WHOLE` to `INSIDE`; None if it doesn't or nothing was typed.

    Case and the number of spaces don't matter.
    """
    parts = typed.casefold().split()
    folded = " ".join(name.casefold().split())
    if not parts or any(part not in folded for part in parts):
        return None
    words = folded.split()
    together = " ".join(parts)
    if folded == together:
        return WHOLE
    if folded.startswith(together):
        return START
    if _start_words_in_order(parts, words):
        return WORDS_IN_ORDER
    if all(any(word.startswith(part) for word in words) for part in parts):
        return WORDS
    return INSIDE


def ranked(names: Iterable[str], typed: str) -> list[str]:
    """The names that fit the typed text, best match first; none if nothing was typed."""
    fitting = [(how, name) for name in names if (how := fit(name, typed)) is not None]
    return [name for _, name in sorted(fitting, key=lambda found: found[0])]


def _start_words_in_order(parts: Sequence[str], words: Sequence[str]) -> bool:
    rest = iter(words)
    return all(any(word.startswith(part) for word in rest) for part in parts)
