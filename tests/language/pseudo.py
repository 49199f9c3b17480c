"""Ullage in a language that nobody speaks: `python -m tests.language.pseudo WORDS` is `ullage WORDS` in it.

Each letter of a message has an accent and each vowel stands twice. What is still in plain letters on a screen was left
out of the catalogue or is a name; what is cut off would be cut off in a language with longer words.
"""

import re
import sys

from stock import language

PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
ACCENTED = "áḃćďéḟǵĥíĵķĺḿńóṕɋŕśţúṽẃẋýźÁḂĆĎÉḞǴĤÍĴĶĹḾŃÓṔꝖŔŚŢÚṼẂẊÝŹ"
_LETTERS = str.maketrans(PLAIN, ACCENTED)
_KEPT = re.compile(r"(\{[^{}]*\}|`[^`]*`|\x1b\[K)")
"""Values that are filled in, and what is typed."""


def pseudo(message: str) -> str:
    """A message with accents and longer by its vowels."""
    return "".join(
        part if _KEPT.fullmatch(part) else re.sub("([aeiou])", r"\1\1", part).translate(_LETTERS)
        for part in _KEPT.split(message)
    )


def speak() -> None:
    """Let every message from now on be in it; to be called before a module with messages is imported."""
    language.use(pseudo, lambda one, many, number: pseudo(one if number == 1 else many))


if __name__ == "__main__":
    speak()
    from tui.__main__ import main

    sys.exit(main())
