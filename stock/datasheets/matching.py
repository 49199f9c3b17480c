"""Which product or line of the books a data sheet is for, by its name, its maker and a code, and how sure that is.

Only a whole name that no other maker contradicts, or a code beside a part of the name, is sure. Anything else is a
proposal for a person to decide on.
"""

import re
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher

from stock.language import _
from stock.named_tuples import NamedTuple

_LEGAL = {
    "ag", "bv", "co", "company", "corp", "corporation", "eurl", "gmbh", "group", "inc", "kg", "limited", "lda", "llc",
    "ltd", "nv", "oy", "plc", "pty", "sa", "sarl", "sas", "sl", "slu", "spa", "srl", "the", "und", "and", "et", "y",
}  # fmt: skip
"""Words of a maker's name that don't distinguish makers."""
_OF_SHEETS = {
    "sds", "msds", "tds", "safety", "technical", "data", "sheet", "sicherheitsdatenblatt", "fds", "fiche", "ficha",
    "en", "de", "fr", "es",
}  # fmt: skip
"""Words of a file's name that say only that it is a data sheet, and in which language."""
CLOSE = 0.85
"""Two names with at least this share of common letters may be the same, misspelt."""
SHORTEST_CODE = 3
MOST_CANDIDATES = 5


class KnownName(NamedTuple):
    """A product or a line of the books, with everything that a sheet could name it by."""

    name: str
    code: str = ""
    maker: str = ""
    is_line: bool = False


class SheetName(NamedTuple):
    """What a sheet says about its product; `name` is empty if it names none, `stem` is its file's name."""

    name: str
    name_sure: bool
    maker: str
    stem: str


class Match(NamedTuple):
    """The product or line that a sheet seems to be for.

    Attributes:
        name: of the product or line; empty if none fits, or if several fit equally.
        is_line: whether it is a line.
        sure: whether nothing speaks against it.
        why: the reason for the match, or for no match, in words.
        candidates: the names that fit, best first, at most five.
    """

    name: str = ""
    is_line: bool = False
    sure: bool = False
    why: str = _("nothing in the books is called like it")
    candidates: tuple[str, ...] = ()


def words(text: str) -> tuple[str, ...]:
    """The words of a name: letters and figures in lower case, without marks between them."""
    return tuple(re.findall(r"[^\W_]+", text.casefold()))


def match(sheet: SheetName, known: Iterable[KnownName]) -> Match:
    """The product or line that a sheet is for.

    Args:
        sheet: what it says.
        known: the products and lines of the books.
    """
    everyone = list(known)
    whole = [one for one in everyone if _same_name(sheet, one)]
    products = [one for one in whole if not one.is_line] or whole
    if len(products) == 1:
        return _by_name(sheet, products[0])
    if products:
        return Match(why=_("several are called so"), candidates=_names(products))
    return _by_code(sheet, everyone) or _by_words(sheet, everyone)


def _same_name(sheet: SheetName, one: KnownName) -> bool:
    """Whether both names have the same words, apart from the maker's."""
    mine = words(sheet.name)
    if not mine:
        return False
    makers = {*words(sheet.maker), *words(one.maker)}
    theirs = words(one.name)
    return mine == theirs or (
        (rest := [word for word in mine if word not in makers]) != []
        and rest == [word for word in theirs if word not in makers]
    )


def _by_name(sheet: SheetName, one: KnownName) -> Match:
    other = contradicts(sheet.maker, one.maker)
    doubts = [_("its maker is another")] if other else []
    if not sheet.name_sure:
        doubts.append(_("the sheet's name was not surely read"))
    return Match(
        one.name, one.is_line, not doubts, _(", but ").join([_("by its name"), *doubts]), (one.name,)
    )


def contradicts(maker: str, other: str) -> bool:
    """Whether two known makers' names have no distinguishing word in common."""
    first, second = (set(words(each)) - _LEGAL for each in (maker, other))
    return bool(first and second) and first.isdisjoint(second)


def _by_code(sheet: SheetName, everyone: Sequence[KnownName]) -> Match | None:
    """A match by the maker's code in the sheet's name or in the file's."""
    found = [
        one
        for one in everyone
        if len("".join(words(one.code))) >= SHORTEST_CODE
        and any(_holds(words(text), words(one.code)) for text in (sheet.name, sheet.stem))
    ]
    if len(found) != 1:
        return Match(why=_("several have that code"), candidates=_names(found)) if found else None
    [one] = found
    named = set(words(sheet.name)) & set(words(one.name)) - set(words(one.code))
    in_name = _holds(words(sheet.name), words(one.code))
    sure = sheet.name_sure and in_name and bool(named) and not contradicts(sheet.maker, one.maker)
    return Match(
        one.name, one.is_line, sure, _("by its code and name") if sure else _("by its code"), (one.name,)
    )


def _holds(text: Sequence[str], part: Sequence[str]) -> bool:
    """Whether words occur among others, together and in their order."""
    return any(tuple(text[at : at + len(part)]) == tuple(part) for at in range(len(text) - len(part) + 1))


def _by_words(sheet: SheetName, everyone: Sequence[KnownName]) -> Match:
    """A match by a name within the sheet's or the file's name, or by a nearly equal name; never sure."""
    ranked = sorted(
        ((score, one) for one in everyone if (score := _likeness(sheet, one)) > 0),
        key=lambda each: (-each[0], each[1].is_line, each[1].name),
    )
    if not ranked:
        return Match()
    best = [one for score, one in ranked if score == ranked[0][0]]
    names = _names([one for _, one in ranked])
    if len(best) > 1:
        return Match(why=_("several are called much like it"), candidates=names)
    return Match(best[0].name, best[0].is_line, False, _("its name is much like it"), names)


def _likeness(sheet: SheetName, one: KnownName) -> float:
    """The share of the names that is common, 0 to 1; 0 if it is too little."""
    theirs = words(one.name)
    best = 0.0
    for text in (words(sheet.name), tuple(word for word in words(sheet.stem) if word not in _OF_SHEETS)):
        if not text or not theirs:
            continue
        shorter, longer = sorted((theirs, text), key=len)
        if set(shorter) <= set(longer) and (len(shorter) > 1 or len("".join(shorter)) >= SHORTEST_CODE):
            best = max(best, len(shorter) / len(longer))
        ratio = SequenceMatcher(None, " ".join(theirs), " ".join(text)).ratio()
        best = max(best, ratio if ratio >= CLOSE else 0)
    return best


def _names(found: Sequence[KnownName]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.name for one in found))[:MOST_CANDIDATES]
