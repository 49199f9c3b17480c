"""The grammar of amounts that people write: one figure, one known unit, nothing else.

A figure is `8`, `1.5`, `.5`, `1/2` or `1 1/2`. Exponents, thousands marks, sums and names are refused, and no text from
a person or a file is ever evaluated. Every figure becomes an exact fraction.
"""

import re
from fractions import Fraction
from typing import NoReturn

from stock.errors import BadInput
from stock.language import _, ngettext
from stock.text import plain

LONGEST = 40
_FIGURE = r"(?a:(?:(\d+)[ ]+)?(\d+)/(\d+)|(\d+(?:\.\d+)?|\.\d+))"
_EXPONENT = r"(?a:\d[eE][+-]?\d)"
_WORDS_FOR_NO_FIGURE = ("nan", "inf", "infinity", "-inf", "-nan", "+inf", "-infinity")


def refuse(what: str, text: str, why: str, accepted: str) -> NoReturn:
    """Refuse a text, saying what was wrong and what is accepted.

    Raises:
        BadInput: always.
    """
    raise BadInput(
        _("the {what} {text!r} {why}", what=what, text=plain(text, LONGEST), why=why),
        remedy=_("Write {accepted}", accepted=accepted),
    )


def tidy(text: str, what: str, accepted: str) -> str:
    """The text, trimmed and with single blanks.

    Raises:
        BadInput: empty, longer than 40 letters, or holding control or direction characters.
    """
    if len(text) > LONGEST:
        raise BadInput(
            _(
                "the {what} has {text} letters, at most {longest} are read",
                what=what,
                text=len(text),
                longest=LONGEST,
            ),
            remedy=_("Write {accepted}", accepted=accepted),
        )
    if plain(text, LONGEST) != text:
        refuse(what, text, _("holds a control or direction character"), accepted)
    tidied = " ".join(text.split())
    if not tidied:
        raise BadInput(_("the {what} is empty", what=what), remedy=_("Write {accepted}", accepted=accepted))
    return tidied


def figure_and_unit(text: str, what: str, accepted: str, *, signed: bool = False) -> tuple[Fraction, str]:
    """Read one figure and the unit after it, which may be missing.

    Args:
        text: what was typed, e.g. `1 1/2 fl oz`.
        what: what an error calls it, e.g. "amount".
        accepted: what to write instead, e.g. "an amount with a unit, such as 8 ml".
        signed: whether a minus sign before the figure is read.
    Returns:
        The exact figure, and the unit in lower case, without points and with single blanks.
    Raises:
        BadInput: the text is not of the grammar.
    """
    tidied = tidy(text, what, accepted)
    if "," in tidied:
        bare = (
            _("{replace} or ", replace=tidied.replace(",", ""))
            if re.search(r"\d,\d{3}(\D|$)", tidied)
            else ""
        )
        refuse(
            what,
            tidied,
            _("has a comma"),
            _(
                "{bare}{replace}, with a point for the decimals only",
                bare=bare,
                replace=tidied.replace(",", "."),
            ),
        )
    if tidied.casefold().split()[0] in _WORDS_FOR_NO_FIGURE:
        refuse(what, tidied, _("is not a figure"), accepted)
    if re.search(_EXPONENT, tidied):
        refuse(
            what,
            tidied,
            _("is written with an exponent"),
            _("the figure out in full; {accepted}", accepted=accepted),
        )
    sign = 1
    if tidied[0] in "-−+":
        if tidied[0] != "+" and not signed:
            refuse(what, tidied, _("is negative"), accepted)
        sign = 1 if tidied[0] == "+" else -1
        tidied = tidied[1:].lstrip()
    found = re.match(_FIGURE, tidied)
    if found is None:
        refuse(what, text, _("does not begin with a figure"), accepted)
    unit = tidied[found.end() :].strip()
    if unit[:1].isdigit() or unit[:1] in {"/", "*", "+", "-", ".", "^"}:
        refuse(what, text, _("holds more than one figure"), accepted)
    return sign * _fraction(found, what, text, accepted), " ".join(unit.casefold().replace(".", " ").split())


def _fraction(found: re.Match[str], what: str, text: str, accepted: str) -> Fraction:
    whole, upper, lower, decimal = found.groups()
    if decimal is not None:
        return Fraction(decimal)
    if int(lower) == 0:
        refuse(what, text, _("divides by nothing"), accepted)
    return int(whole or 0) + Fraction(int(upper), int(lower))


def plain_figure(figure: Fraction, digits: int = 3) -> str:
    """A figure with at most `digits` decimals and no trailing zeros, rounded half-even: `16.667`, `8`."""
    scaled = round(figure * 10**digits)
    whole, part = divmod(abs(scaled), 10**digits)
    decimals = f"{part:0{digits}d}".rstrip("0") if digits else ""
    return f"{'-' if scaled < 0 else ''}{whole}{'.' + decimals if decimals else ''}"


def in_full(value: float | Fraction, digits: int = 3) -> str:
    """A figure for a person to read, with at most `digits` decimals and never an exponent: `1191.785`, `1200000`.

    A float is read as the decimal that Python prints for it, so a value exact to `digits` stays exact.
    """
    return plain_figure(Fraction(value if isinstance(value, Fraction) else str(value)), digits)


def in_short(millilitres: float | Fraction) -> str:
    """Millilitres as an eye can tell them apart, rounded by their size: `228`, `41.5`, `0.05`; only `0` is nothing."""
    exact = Fraction(millilitres if isinstance(millilitres, Fraction) else str(millilitres))
    size = abs(exact)
    digits = 0 if size >= 100 else 1 if size >= 1 else 2 if size >= Fraction(1, 100) else 3
    return plain_figure(exact, digits)


def in_drops(drops: float | Fraction) -> str:
    """Drops as a hand counts them: `2 drops`, `about 10 drops` for 10.4 of them, `less than a drop`."""
    exact = Fraction(drops if isinstance(drops, Fraction) else str(drops))
    whole = round(exact)
    if not whole:
        return _("less than a drop")
    # A microlitre, to which volumes are rounded, is up to a twentieth of a drop.
    if abs(exact - whole) <= Fraction(1, 20):
        return ngettext("{number} drop", "{number} drops", whole)
    return ngettext("about {number} drop", "about {number} drops", whole)
