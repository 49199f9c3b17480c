"""Figures as data sheets print them: bounds, ranges, decimal commas, two units beside each other."""

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from stock.language import _
from stock.named_tuples import NamedTuple

NUMBER = r"(?:\d{1,3}(?:[ ,.']\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d+)?|[.,]\d+)"
_ABOUT = (
    r"ca\.?|circa|approx(?:\.|imately)?|about|around|"
    r"etwa|ungef[äa]hr|env(?:\.|iron)?|aprox(?:\.|imadamente)?|~|≈|±"
)
_MORE = (
    r"≥|>|more than|greater than|above|over|at least|from|min(?:imum|\.)?|m[íi]nimo|mind\.|"
    r"[üu]ber|mehr als|mindestens|ab|sup[ée]rieur(?:e)? [àa]|plus de|mayor (?:de|que)|superior a|m[áa]s de|desde"
)
_LESS = (
    r"≤|<|less than|below|under|up to|max(?:imum|imal|\.)?|m[áa]ximo|unter|weniger als|"
    r"bis zu|h[öo]chstens|inf[ée]rieur(?:e)? [àa]|"
    r"moins de|"
    r"jusqu'?[àa]|menor (?:de|que)|inferior a|menos de|hasta"
)
SIGN = rf"(?:{_ABOUT}|{_MORE}|{_LESS})"
_BETWEEN = r"(?:-|\.{2,3}|to|and|bis|und|[àa]|et|a|y|hasta)"
UNSURE_THOUSANDS = _("the comma or point may part thousands or decimals")


class Quantity(NamedTuple):
    """One figure or range.

    Attributes:
        low, high: the ends, equal for a plain figure; None on the open side of a bound.
        sign: "" exact, "~" about, "<" or ">" for a single bound.
        unit: the key of its unit.
        span: its place in the text.
        doubts: why it may be read wrongly.
    """

    low: Fraction | None
    high: Fraction | None
    sign: str
    unit: str
    span: tuple[int, int]
    doubts: tuple[str, ...] = ()

    @property
    def plain(self) -> bool:
        """Whether it is one exact figure."""
        return self.sign == "" and self.low == self.high

    def converted(self, convert: Callable[[Fraction], Fraction], unit: str) -> "Quantity":
        """The quantity in another unit."""
        low = None if self.low is None else convert(self.low)
        high = None if self.high is None else convert(self.high)
        return self._replace(low=low, high=high, unit=unit)


def number(text: str, *, comma_decimal: bool | None = None) -> tuple[Fraction, bool]:
    """A printed number, and whether its mark could separate thousands as well as decimals.

    Args:
        text: digits with blanks, points, commas or apostrophes, and a sign.
        comma_decimal: whether the sheet's language writes decimals with a comma; None where not known.
    """
    negative = text.strip().startswith("-")
    digits = re.sub(r"[ ']", "", text).lstrip("+-")
    marks = [mark for mark in digits if mark in ".,"]
    doubtful = False
    if len(set(marks)) == 2:
        last = max(digits.rfind("."), digits.rfind(","))
        digits = re.sub(r"[.,]", "", digits[:last]) + "." + digits[last + 1 :]
    elif len(marks) > 1:
        digits = re.sub(r"[.,]", "", digits)
    elif len(marks) == 1:
        whole, mark, decimals = digits.partition(marks[0])
        if len(decimals) == 3 and whole not in ("", "0"):
            doubtful = comma_decimal is None or (mark == ",") != comma_decimal
        digits = f"{whole or 0}.{decimals}"
    value = Fraction(digits)
    return (-value if negative else value), doubtful


def quantities(
    text: str, units: Mapping[str, str], *, comma_decimal: bool | None = None, unitless: str | None = None
) -> list[Quantity]:
    """Every figure with one of these units, in order.

    Args:
        text: tidied.
        units: the pattern of each unit by its key.
        comma_decimal: as for `number`.
        unitless: the key for figures without a unit, if they count.
    """
    found: list[Quantity] = []
    taken: list[tuple[int, int]] = []
    patterns = list(units.items()) + ([(unitless, "")] if unitless else [])
    for key, unit in patterns:
        for match in _pattern(unit).finditer(text):
            if any(match.start() < end and start < match.end() for start, end in taken):
                continue
            figure = _figure(match, key, comma_decimal)
            if figure is not None:
                found.append(figure)
                taken.append(figure.span)
    return sorted(found, key=lambda each: each.span)


_CACHE: dict[str, re.Pattern[str]] = {}


def _pattern(unit: str) -> re.Pattern[str]:
    if unit not in _CACHE:
        one = rf"(?:{unit})(?![A-Za-z])" if unit else ""
        first = rf"(?P<a>[-+]?{NUMBER})\s*{one and f'(?:{one})?'}"
        between = rf"(?:\s*{_BETWEEN}\s*(?P<upper>{SIGN})?\s*(?P<b>[-+]?{NUMBER}))?"
        _CACHE[unit] = re.compile(
            rf"(?<![\w.,/\-])(?:(?P<sign>{SIGN})\s*)?(?<![\d.,])(?P<dash>-\s+)?{first}{between}\s*{one}"
            + ("" if unit else r"(?![\w%°]|[.,]\d)"),
            re.IGNORECASE,
        )
    return _CACHE[unit]


def _figure(match: re.Match[str], key: str, comma_decimal: bool | None) -> Quantity | None:
    doubts = []
    first, doubtful = number(match["a"], comma_decimal=comma_decimal)
    sign = kind(match["sign"])
    if match["dash"]:
        doubts.append(_("the dash before the figure may be a minus sign"))
    second = None
    if match["b"] is not None:
        text = match["b"]
        # "10-20" has a range's dash: only a sign behind "to" or a second dash makes the upper end negative.
        second, also = number(text, comma_decimal=comma_decimal)
        doubtful = doubtful or also
    if doubtful:
        doubts.append(UNSURE_THOUSANDS)
    if second is None:
        low, high = {"<": (None, first), ">": (first, None)}.get(sign, (first, first))
        return Quantity(low, high, sign, key, match.span(), tuple(doubts))
    upper = kind(match["upper"])
    if (sign == "<") or (upper == ">") or second < first:
        doubts.append(_("the ends of the range are not in order"))
    return Quantity(
        min(first, second), max(first, second), "~" if sign == "~" else "", key, match.span(), tuple(doubts)
    )


_DANGLING = re.compile(r"(?:-|\.{2,3}|\b(?:to|and|bis|und|[àa]|et|y|hasta)|[<≤≥>])\s*$", re.IGNORECASE)


def goes_on(text: str) -> bool:
    """Whether a text breaks off within a range, whose other end is in another line."""
    return _DANGLING.search(text) is not None


def kind(sign: str | None) -> str:
    """The meaning of a printed sign: "" for none, "~", "<" or ">"."""
    if not sign:
        return ""
    if re.fullmatch(_MORE, sign, re.IGNORECASE):
        return ">"
    return "<" if re.fullmatch(_LESS, sign, re.IGNORECASE) else "~"


def without(text: str, figures: Sequence[Quantity]) -> str:
    """The text with the figures cut out."""
    left, at = "", 0
    for figure in sorted(figures, key=lambda each: each.span):
        left += text[at : figure.span[0]] + " "
        at = figure.span[1]
    return left + text[at:]


_UNKNOWN = re.compile(
    r"\b(?:not (?:yet )?(?:determined|applicable|available|known|tested|established|specified|measured|"
    r"relevant)|no (?:further |other )?(?:relevant )?(?:data|information)(?: (?:is )?(?:available|known))?|"
    r"undetermined|unknown|"
    r"n\s?[./]\s?(?:a|d)\b\.?|"
    r"n\.?\s?b\.|nicht (?:bestimmt|anwendbar|verf[üu]gbar|bekannt|relevant|ermittelt|gepr[üu]ft|festgelegt|"
    r"zutreffend)|"
    r"keine (?:weiteren )?(?:relevanten )?(?:daten|angaben?|informationen?)(?: (?:verf[üu]gbar|vorhanden))?|"
    r"(?:es liegen )?keine\b.{0,30}\bvor|unbekannt|"
    r"non (?:d[ée]termin[ée]e?s?|applicable|disponible|connue?|pertinente?|d[ée]finie?|test[ée]e?)|"
    r"pas (?:de donn[ée]es|d'autres informations(?: importantes)?)(?: disponibles?)?|"
    r"pas d[ée]termin[ée]e?|donn[ée]es? non disponibles?|aucune (?:donn[ée]e|information)(?: disponible)?|"
    r"inconnue?|"
    r"sans objet|no (?:determinad[oa]s?|aplicables?|disponibles?|conocid[oa]s?|relevantes?|establecid[oa]s?|"
    r"se (?:aplica|dispone)\b.*)|"
    r"no existen? (?:m[áa]s )?datos(?: relevantes)?(?: disponibles)?|sin datos(?: disponibles)?|"
    r"no hay (?:datos|informaci[óo]n)(?: disponibles?)?|desconocid[oa])",
    re.IGNORECASE,
)  # fmt: skip
_NOTHING = re.compile(r"^\W*-{1,3}\W*$")


def unknown(text: str) -> str | None:
    """The words by which a sheet says that a figure is unknown, or None. They never mean that there is none."""
    found = _UNKNOWN.search(text)
    if found is not None:
        return found[0]
    return "-" if _NOTHING.match(text) else None
