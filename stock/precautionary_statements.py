"""The precautionary statements that a label and section 2 of a safety data sheet print: P210, P305+P351+P338.

The texts of precautionary_statements.csv are those of annex IV of Regulation (EC) 1272/2008 (CLP), from memory and not
compared with the regulation; `…` and `/` mark words that the maker chooses. The text of a combined statement is that of
its parts, one after the other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from stock import shipped_files
from stock.errors import BadInput
from stock.hazard_statements import NONE
from stock.language import _

SOURCE = _("texts of CLP annex IV, from memory")
_JOINED = re.compile(r"\s*\+\s*")
_BETWEEN = re.compile(r"[\s,;]+")
_FORM = re.compile(r"P[1-5]\d\d(\+P[1-5]\d\d){0,3}", re.ASCII)


@lru_cache(maxsize=1)
def texts() -> dict[str, str]:
    """The text of every single statement, by its code."""
    import csv  # only for a product with statements

    table = shipped_files.text_of("precautionary_statements.csv")
    return {row["code"]: _(row["text"]) for row in csv.DictReader(table.splitlines())}


def text_of(codes: Iterable[str]) -> str:
    """Statements with their texts, whole sentences: `P305+P351+P338 IF IN EYES: Rinse cautiously ...`."""
    return " ".join(f"{code} {_text(code)}" for code in codes)


def _text(code: str) -> str:
    known = texts()
    return " ".join(known.get(part, _("({part}: as its label says)", part=part)) for part in code.split("+"))


def read(text: str) -> tuple[str, ...]:
    """The precautionary statements listed in a text, each once, in its order; none for the word `none`.

    Only their form is checked, because labels also print statements of other editions and countries.

    Raises:
        BadInput: one of them has another form.
    """
    written = _JOINED.sub("+", text.strip()).upper()
    if written.casefold() == NONE:
        return ()
    words = list(dict.fromkeys(word for word in _BETWEEN.split(written) if word))
    for word in words:
        if not _FORM.fullmatch(word):
            raise BadInput(
                _("{word!r} is no precautionary statement", word=word[:20]),
                remedy=_("Write P and three digits, as P210 or P305+P351+P338, or none"),
            )
    return tuple(words)
