"""The grammar of amounts that people write: one figure, one known unit, nothing else.

A figure is `8`, `1.5`, `.5`, `1/2` or `1 1/2`; where the studio writes a decimal comma, `1,5` too. Exponents, thousands
marks, sums and names are refused, and no text from a person or a file is ever evaluated. Every figure becomes an exact
fraction.
"""

import re
from decimal import Decimal
from fractions import Fraction
from typing import NoReturn

from stock import notation
from stock.errors import BadInput
from stock.language import _, ngettext
from stock.remedies import Do, Remedy
from stock.text import plain

LONGEST = 40
_FIGURE = r"(?a:(?:(\d+)[ ]+)?(\d+)/(\d+)|(\d+(?:\.\d+)?|\.\d+))"
_MARKED = r"(?a:(?<![\d.,])(\d*)([.,])(\d+)(?![\d.,]))"
_GROUPED = r"(?a:\d[.,]\d+[.,]\d)"
_EXPONENT = r"(?a:\d[eE][+-]?\d)"
_WORDS_FOR_NO_FIGURE = ("nan", "inf", "infinity", "-inf", "-nan", "+inf", "-infinity")


def refuse(what: str, text: str, why: str, accepted: str) -> NoReturn:
    """Refuse a text, saying what was wrong and what is accepted.

    Raises:
        BadInput: always.
    """
    raise BadInput(
        _("the {what} {text!r} {why}", what=what, text=plain(text, LONGEST), why=why),
        remedy=_("Write {accepted}", accepted=notation.example(accepted)),
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


def figure_and_unit(
    text: str, what: str, accepted: str, *, signed: bool = False, grouped: bool = True
) -> tuple[Fraction, str]:
    """Read one figure and the unit after it, which may be missing.

    Args:
        text: what was typed, e.g. `1 1/2 fl oz`.
        what: what an error calls it, e.g. "amount".
        accepted: what to write instead, e.g. "an amount with a unit, such as 8 ml".
        signed: whether a minus sign before the figure is read.
        grouped: whether three digits behind a mark could be thousands; not where a price always has three.
    Returns:
        The exact figure, and the unit in lower case, without points and with single blanks.
    Raises:
        BadInput: the text is not of the grammar.
    """
    tidied = tidy(text, what, accepted)
    tidied = _pointed(tidied, what, grouped=grouped)
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


def _pointed(tidied: str, what: str, *, grouped: bool) -> str:
    """The text with a point before its decimals, however the studio writes them.

    What is shown has no zero at its end, so a comma before `125` is the studio's own; before `500`, and a point before
    any three digits, it could be thousands. A program that is answered with points (`--json`) means
    decimals by a point.

    Raises:
        BadInput: a comma where the studio writes a point, or a mark that could stand between thousands.
    """
    if not notation.read().comma:
        if "," in tidied:
            bare = (
                _("{replace} or ", replace=tidied.replace(",", ""))
                if re.search(r"\d,\d{3}(\D|$)", tidied)
                else ""
            )
            raise BadInput(
                _("the {what} {tidied!r} has a comma", what=what, tidied=plain(tidied, LONGEST)),
                remedy=Remedy(
                    _(
                        "Write {bare}{replace}, with a point for the decimals only, or have commas read and "
                        "shown: ",
                        bare=bare,
                        replace=tidied.replace(",", "."),
                    ),
                    Do("studio change", "--decimal-mark", "comma"),
                ),
            )
        return tidied
    if re.search(_GROUPED, tidied):
        refuse(what, tidied, _("has more than one mark"), _("it without marks between thousands, as 1000,5"))
    for found in re.finditer(_MARKED, tidied):
        whole, mark, decimals = found.groups()
        thousands = grouped and len(decimals) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0"
        if thousands and (decimals[-1] == "0" if mark == "," else notation.shown().comma):
            one = f"{whole},{decimals.rstrip('0')}".rstrip(",")
            readings = [
                tidied[: found.start()] + each + tidied[found.end() :] for each in (one, whole + decimals)
            ]
            refuse(
                what,
                tidied,
                _("could be two figures"),
                _(
                    "{as_decimal}, or {as_thousands} for thousands",
                    as_decimal=readings[0],
                    as_thousands=readings[1],
                ),
            )
    return tidied.replace(",", ".")


def _fraction(found: re.Match[str], what: str, text: str, accepted: str) -> Fraction:
    whole, upper, lower, decimal = found.groups()
    if decimal is not None:
        return Fraction(decimal)
    if int(lower) == 0:
        refuse(what, text, _("divides by nothing"), accepted)
    return int(whole or 0) + Fraction(int(upper), int(lower))


def pointed(figure: Fraction | Decimal, digits: int = 3) -> str:
    """A figure with at most `digits` decimals and no trailing zeros, rounded half-even: `16.667`, `8`.

    It has a point in every studio: for machines, and for texts that are read exactly. People get `plain_figure`.
    """
    numerator, denominator = figure.as_integer_ratio()
    scaled, rest = divmod(abs(numerator) * 10**digits, denominator)
    if 2 * rest > denominator or (2 * rest == denominator and scaled % 2):
        scaled += 1
    whole, part = divmod(scaled, 10**digits)
    decimals = f"{part:0{digits}d}".rstrip("0") if part else ""
    return f"{'-' if scaled and numerator < 0 else ''}{whole}{'.' + decimals if decimals else ''}"


def plain_figure(figure: Fraction | Decimal, digits: int = 3) -> str:
    """A figure for a person, with at most `digits` decimals, no trailing zeros and the studio's decimal mark."""
    return notation.shown().figure(pointed(figure, digits))


def all_digits(figure: float | Fraction, digits: int) -> str:
    """A figure for a person with exactly so many decimals and the studio's decimal mark: `7.90`, `0.0`."""
    return notation.shown().figure(f"{figure:.{digits}f}")


def in_full(value: float | Fraction, digits: int = 3) -> str:
    """A figure for a person to read, with at most `digits` decimals and never an exponent: `1191.785`, `1200000`.

    A float is read as the decimal that Python prints for it, so a value exact to `digits` stays exact.
    """
    return plain_figure(Decimal(str(value)) if isinstance(value, float) else value, digits)


def in_figures(value: float | Fraction, digits: int = 3) -> str:
    """A figure for a person to read with its thousands apart: `1,191.785`."""
    whole, mark, decimals = in_full(value, digits).partition("," if notation.shown().comma else ".")
    sign = whole[: whole.startswith("-")]
    return f"{sign}{notation.in_thousands(int(whole.removeprefix(sign)))}{mark}{decimals}"


def exact(value: float | Fraction) -> Fraction:
    """A figure as a fraction; a float is the decimal that Python prints for it."""
    return Fraction(value if isinstance(value, Fraction) else str(value))


def in_short(millilitres: float | Fraction) -> str:
    """Millilitres rounded by their size: `228`, `41.5`, `0.05`; only an exact 0 becomes `0`."""
    figure = exact(millilitres)
    size = abs(figure)
    digits = 0 if size >= 100 else 1 if size >= 1 else 2 if size >= Fraction(1, 100) else 3
    return plain_figure(figure, digits)


def in_drops(drops: float | Fraction) -> str:
    """Drops as a hand counts them: `2 drops`, `about 10 drops` for 10.4 of them, `less than a drop`."""
    figure = exact(drops)
    whole = round(figure)
    if not whole:
        return _("less than a drop")
    # Volumes are rounded to a microlitre, up to a twentieth of a drop; nobody counts drops to better than 1 %.
    if abs(figure - whole) <= max(Fraction(1, 20), Fraction(whole, 100)):
        return ngettext("{number} drop", "{number} drops", whole)
    return ngettext("about {number} drop", "about {number} drops", whole)
