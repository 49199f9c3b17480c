"""Section 9: flash point, boiling point, density, pH, VOC and solids of the mixture.

A figure is sure only if every word beside it is understood. An ingredient's name, an open cup or a second figure
makes it unsure.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial

from stock.datasheets.figures import UNSURE_THOUSANDS, Quantity, goes_on, quantities, unknown, without
from stock.datasheets.found_values import FoundValue, not_known
from stock.datasheets.labels import Labelled, found_labels
from stock.datasheets.methods import CUPS, FIRE_POINT, METHOD, OPEN_CUP, words_left
from stock.datasheets.page_lines import Cell, SheetLine
from stock.grammar import pointed
from stock.language import _
from stock.named_tuples import NamedTuple

CELSIUS = r"°\s?C|deg(?:rees?|\.)?\s?C(?:elsius)?|grad\s?C(?:elsius)?|C"
FAHRENHEIT = r"°\s?F|deg(?:rees?|\.)?\s?F(?:ahrenheit)?|F"
TEMPERATURES = {"C": CELSIUS, "F": FAHRENHEIT}
DENSITIES = {
    "g/ml": r"g\s?/\s?(?:cm\s?3|cc|ml|cm\^3)|g\s?cm-3|kg\s?/\s?(?:l|dm\s?3|lt?r?)|g·cm-3",
    "kg/m3": r"kg\s?/\s?m\s?3|g\s?/\s?l|kg\s?m-3",
    "lb/gal": r"(?:lbs?|pounds?)\.?\s?(?:/|per)\s?(?:us\s?)?gal(?:lon)?\.?(?:\s?\(us\))?|ppg",
}
POUND_PER_GALLON = Fraction(45_359_237, 100_000_000) / Fraction(3_785_411_784, 1_000_000_000)
"""Kilograms a litre in one pound per US gallon: 0.45359237 kg and 3.785411784 l, both exact by definition."""
_ROOM = (
    r"(?:\(|\[)?\s*(?:(?:at|@|bei|[àa]|y)\s*)?-?\d+(?:[.,]\d+)?\s*(?:°|deg(?:rees?|\.)?)\s?C"
    r"(?:\s*(?:/|\()?\s*-?\d+(?:[.,]\d+)?\s*°\s?F\)?)?\s*(?:\)|\])?"
)
_AIR = (
    r"(?:\(|\[)?\s*(?:(?:at|@|bei|[àa])\s*)?(?:101[ .,]?3\d*([.,]\d+)?\s*k?pa|1[ .,]?01[35]?(?:[.,]\d+)?\s*"
    r"(?:hpa|mbar|bar)|"
    r"1[ .,]?000\s*(?:hpa|mbar)|760\s*(?:mm\s?hg|torr)|1\s*(?:atm|bar))\b\s*(?:\)|\])?"
)
"""The air pressure at sea level; a figure measured at it needs no doubt."""
_VOLUME = re.compile(r"\bvol(?!at)|\bv\s?/\s?v\b", re.IGNORECASE)
_WEIGHT = re.compile(
    r"\b(?:by weight|wt\.?|w\s?/\s?w|gew(?:\.|ichts?)?|(?:en|de|in) (?:poids|peso|masse)|m\s?/\s?m)(?!\w)",
    re.IGNORECASE,
)
_SCATTER = re.compile(r"(?<=\d)\s*(?:±|\+\s?/?\s?-)\s*\d+(?:[.,]\d+)?")
"""A tolerance beside a figure, which is not the figure itself."""
_NO_FLASH = re.compile(
    r"\b(?:none|no flash point|does not flash|non[ -]?flammable|not flammable|kein(?:en)? flammpunkt|"
    r"keine[rn]?|nicht (?:brennbar|"
    r"entz[üu]ndbar|entz[üu]ndlich)|pas de point d'?\s?[ée]clair|aucun|ininflammable|non inflammable|"
    r"no inflamable|ninguno|"
    r"sin punto de inflamaci[óo]n)\b",
    re.IGNORECASE,
)
NOT_ONE = _("the line says more than one figure")
MORE_WORDS = _("the words beside the figure were not understood")
NO_UNIT = _("no unit is printed")
_AT_MOST = re.compile(r"\bm[aá]x|h[öo]chst|\bmaxi", re.IGNORECASE)
OPEN = _("measured in an open cup, which reads higher than a closed one")
ABOUT = _("printed as about")
ODD = _("an unlikely figure")


class Kind(NamedTuple):
    """How one property is read: its units, its likely ends in the first of them, conditions beside it."""

    units: Mapping[str, str]
    likely: tuple[int | Fraction, int | Fraction]
    aside: str


TEMPERATURE = Kind(TEMPERATURES, (-60, 500), _AIR)
KINDS: Mapping[str, Kind] = {
    "flash_point": TEMPERATURE,
    "boiling_point": TEMPERATURE,
    "density": Kind(DENSITIES, (Fraction(1, 2), 5), _ROOM),
    "relative_density": Kind(DENSITIES, (Fraction(1, 2), 5), _ROOM),
    "solids": Kind({"%": r"%"}, (0, 100), _ROOM),
    "water": Kind({"%": r"%"}, (0, 100), _ROOM),
    "voc": Kind({"g/l": r"g\s?/\s?l(?:t?r)?", "%": r"%", "lb/gal": DENSITIES["lb/gal"]}, (0, 1_500), _ROOM),
}


def properties(
    lines: Sequence[SheetLine], section: int | None, *, comma_decimal: bool | None
) -> Iterator[FoundValue]:
    """The properties found in some lines, in order.

    Args:
        lines: those of section 9, or all of a technical sheet.
        section: 9, or None where the sheet has no sections.
        comma_decimal: whether its language writes decimals with a comma.
    """
    labelled = list(found_labels(lines, (*KINDS, "ph")))
    by_weight = any(name == "solids" and not _by_volume(found) for name, found in labelled)
    read_ones: list[tuple[str, FoundValue]] = []
    for name, found in labelled:
        if name == "solids" and by_weight and _by_volume(found):
            continue  # the record has the solids by weight, which the sheet gives too
        read_one = _ph if name == "ph" else partial(_property, name)
        one = read_one(found, section, comma_decimal)
        if one is not None:
            above = lines[found.at - 1].text if found.at else ""
            if one.known and _torn(found, above, KINDS.get(name)):
                one = replace(one, doubts=tuple(dict.fromkeys((*one.doubts, MORE_WORDS))))
            read_ones.append((name, one))
    with_density = any(
        name == "density" and one.known and NO_UNIT not in one.doubts for name, one in read_ones
    )
    open_cup = any(OPEN_CUP.search(line.text) and not FIRE_POINT.search(line.text) for line in lines)
    for name, one in read_ones:
        if with_density and (name == "relative_density" or (name == "density" and NO_UNIT in one.doubts)):
            continue  # it gives the same in another way: how much heavier than water
        if open_cup and section is not None and name == "flash_point" and one.known:
            one = replace(one, doubts=tuple(dict.fromkeys((*one.doubts, OPEN))))  # noqa: PLW2901
        yield one
        yield from _method(one)


def _torn(found: Labelled, above: str, kind: Kind | None) -> bool:
    """Whether a narrow column broke a value into several lines around its label: a half above, or a unit alone."""
    units = "|".join(kind.units.values()) if kind is not None else ""
    alone = units and re.fullmatch(rf"(?:{units})", found.text.strip(), re.IGNORECASE)
    half = goes_on(above) and re.search(r"\d|^\W+$", above) is not None
    return half or re.fullmatch(r"\W*[\d.,]+\W*", above) is not None or bool(alone)


def _by_volume(found: Labelled) -> bool:
    return _VOLUME.search(f"{found.label} {found.text}") is not None


def _method(flash_point: FoundValue) -> Iterator[FoundValue]:
    """The cup in which a flash point was measured; as sure as its line is."""
    cup = flash_point.figures.get("cup")
    if flash_point.name == "flash_point" and cup is not None:
        doubts = tuple(doubt for doubt in flash_point.doubts if doubt not in (OPEN, ABOUT))
        if flash_point.figures["cups"] != 1:
            doubts = (*doubts, NOT_ONE)
        method = f"{cup} cup"
        yield FoundValue(
            "flash_point_method", method, flash_point.line, flash_point.section, shown=method, doubts=doubts
        )


def _property(
    name: str, found: Labelled, section: int | None, comma_decimal: bool | None
) -> FoundValue | None:
    kind = KINDS[name]
    field = "density" if name == "relative_density" else name
    no_figure = unknown(found.text)
    figures = read(found, kind, comma_decimal)
    if not figures and no_figure is None and found.after:  # the value was broken in two
        words = found.line._replace(cells=(*found.line.cells, Cell(found.after)))
        found = found._replace(text=f"{found.text} {found.after}", after="", line=words)
        figures = read(found, kind, comma_decimal)
    if not figures:
        if name == "flash_point" and no_figure is None and _NO_FLASH.search(found.text):
            return FoundValue(
                field,
                "none",
                found.line,
                section,
                shown="none",
                doubts=(_("read from words; compare with the sheet"),),
            )
        return _not_known(field, found, section, no_figure)
    figures = [_decided(figure) for figure in figures]
    doubts = [doubt for figure in figures for doubt in figure.doubts]
    one = common(figures, kind)
    if one is None:
        doubts.append(NOT_ONE)
        one = _printed_first(figures, kind)
    doubts += _doubts(name, found, figures, kind, one)
    if no_figure is not None or goes_on(found.text):
        doubts.append(MORE_WORDS)
    return _found_value(field, one, found, section, doubts=doubts)


def _decided(figure: Quantity) -> Quantity:
    """A density's 1,025 has decimals in g/ml, where a thousand is no density."""
    if figure.unit != "g/ml" or not all(
        end is None or Fraction(1, 2) < end < 9 for end in (figure.low, figure.high)
    ):
        return figure
    return figure._replace(doubts=tuple(doubt for doubt in figure.doubts if doubt != UNSURE_THOUSANDS))


def _not_known(field: str, found: Labelled, section: int | None, words: str | None) -> FoundValue | None:
    if words is None:
        return None
    doubts = (NOT_ONE,) if re.search(r"\d", found.after) else ()
    return not_known(field, words, found.line, section, doubts=doubts)


def read(found: Labelled, kind: Kind, comma_decimal: bool | None) -> list[Quantity]:
    """The figures behind a label; the unit may be in the label's brackets."""
    text = re.sub(kind.aside, _blanks, found.text, flags=re.IGNORECASE) if kind.aside else found.text
    text = _SCATTER.sub(_blanks, text)
    figures = quantities(text, kind.units, comma_decimal=comma_decimal)
    if figures:
        return figures
    for key, unit in kind.units.items():
        named = rf"(?:in\s+)?(?:{unit})\s*"
        in_label = re.match(
            rf"(?:[(\[]\s*{named}[)\]]|,?\s*{named}(?![)\]]))\s*:?\s*(?=\D*\d)", text, re.IGNORECASE
        )
        if in_label:
            rest = " " * in_label.end() + text[in_label.end() :]
            return quantities(rest, {}, comma_decimal=comma_decimal, unitless=key)
    if "g/ml" in kind.units:
        return [
            figure._replace(doubts=(*figure.doubts, NO_UNIT))
            for figure in quantities(text, {}, comma_decimal=comma_decimal, unitless="g/ml")
        ]
    return []


def _blanks(found: re.Match[str]) -> str:
    return " " * len(found[0])


def common(figures: Sequence[Quantity], kind: Kind) -> Quantity | None:
    """The figure that these quantities print in several units, in the kind's first unit; None if they differ."""
    in_one = [in_first_unit(figure, kind) for figure in figures]
    printed = (each for raw, each in zip(figures, in_one, strict=True) if raw.unit == next(iter(kind.units)))
    first = next(printed, in_one[0])
    for other in in_one:
        if other.unit != first.unit or other.sign != first.sign:
            return None
        for a, b in ((other.low, first.low), (other.high, first.high)):
            if (a is None) != (b is None):
                return None
            # The second unit is rounded to its own whole or to two digits.
            if (
                a is not None
                and b is not None
                and abs(a - b) > max(Fraction(6, 10), abs(b) / 100) * _slack(kind)
            ):
                return None
    return first


def _slack(kind: Kind) -> Fraction:
    """What counts as one: a degree, a gram a litre, or a thirtieth of a gram a millilitre."""
    return Fraction(1, 30) if "g/ml" in kind.units else Fraction(1)


def in_first_unit(figure: Quantity, kind: Kind) -> Quantity:
    """Degrees Celsius of Fahrenheit, grams a millilitre of the other densities, grams a litre of a VOC."""
    if figure.unit == "F":
        return figure.converted(lambda value: (value - 32) * Fraction(5, 9), "C")
    if figure.unit == "kg/m3":
        return figure.converted(lambda value: value / 1_000, "g/ml")
    if figure.unit == "lb/gal" and "g/l" in kind.units:
        return figure.converted(lambda value: value * POUND_PER_GALLON * 1_000, "g/l")
    if figure.unit == "lb/gal":
        return figure.converted(lambda value: value * POUND_PER_GALLON, "g/ml")
    return figure


def _printed_first(figures: Sequence[Quantity], kind: Kind) -> Quantity:
    """The first quantity in the kind's first unit, else the first of all."""
    return next(
        (raw for raw in figures if raw.unit == next(iter(kind.units))), in_first_unit(figures[0], kind)
    )


def _doubts(
    name: str, found: Labelled, figures: Sequence[Quantity], kind: Kind, one: Quantity
) -> Iterator[str]:
    text = found.text
    if re.search(kind.aside, text, re.IGNORECASE):
        text = re.sub(kind.aside, _blanks, text, flags=re.IGNORECASE)
    rest = without(text, figures)
    if name in ("solids", "water"):
        rest = _WEIGHT.sub(" ", rest)
    if name == "flash_point" and OPEN_CUP.search(f"{found.text} {found.after}"):
        yield OPEN
    if name == "relative_density":
        yield _("relative to water, not a density")
    if one.sign == "~" or _SCATTER.search(found.text):
        yield ABOUT
    if name not in ("boiling_point", "water") and one.sign == "" and one.low != one.high:
        yield _("a range is printed")
    if not _likely(one, kind):
        yield ODD
    if name == "voc" and one.sign == "<" and re.search(r"\d", found.text) and _AT_MOST.search(found.text):
        yield _("perhaps a limit for such products, not what this one holds")
    after = re.sub(kind.aside, " ", found.after, flags=re.IGNORECASE)
    if any(found.text.count(left) != found.text.count(right) for left, right in ("()", "[]")):
        yield MORE_WORDS  # the text continues elsewhere
    if (
        words_left(rest, kind.units.values())
        or not found.lone
        or words_left(re.sub(r"\d+", " ", after), kind.units.values())
    ):
        yield MORE_WORDS
    if _another_figure(found.after, kind):
        yield NOT_ONE


def _another_figure(after: str, kind: Kind) -> bool:
    text = re.sub(kind.aside, " ", after, flags=re.IGNORECASE)
    return bool(quantities(text, kind.units))


def _likely(figure: Quantity, kind: Kind) -> bool:
    low, high = kind.likely
    return all(low <= end <= high for end in (figure.low, figure.high) if end is not None)


def _found_value(
    field: str, one: Quantity, found: Labelled, section: int | None, *, doubts: Iterable[str]
) -> FoundValue:
    end = one.low if one.low is not None else one.high
    assert end is not None
    texts = _texts(one)
    figures: dict[str, object] = {
        "low": _number(one.low), "high": _number(one.high), "sign": one.sign, "unit": UNITS.get(one.unit, one.unit)
    }  # fmt: skip
    cup = ""
    if field == "flash_point":
        beside = f"{found.text} {found.after}"
        cups = [cup for cup, words in CUPS.items() if words.search(beside)]
        cup = cups[0] if cups else ""
        figures |= {"cup": cup or None, "cups": len(cups)}
    shown = f"{texts} {UNITS.get(one.unit, one.unit)}" + (_(", {cup} cup", cup=cup) if cup else "")
    digits = 4 if field == "density" else 3
    value: str | None = pointed(end, digits) + (one.unit if one.unit in ("C", "%") else "")
    if field == "voc":
        value = f"{texts} {one.unit}"
    elif one.sign in ("<", ">") or (field == "water" and one.low != one.high):
        value = None  # a bound is no figure, and a range of water no share
    return FoundValue(
        field, value, found.line, section, shown=shown, figures=figures, doubts=tuple(dict.fromkeys(doubts))
    )


UNITS = {"C": "°C", "g/ml": "g/ml"}


def _texts(one: Quantity) -> str:
    sign = {"<": "< ", ">": "> ", "~": "about ", "": ""}[one.sign]
    ends = [pointed(end, 4) for end in (one.low, one.high) if end is not None]
    return sign + " to ".join(dict.fromkeys(ends))


def _number(figure: Fraction | None) -> float | None:
    return None if figure is None else float(round(figure, 4))


_DILUTED = re.compile(
    r"[(\[]?\s*(?:(?:at|bei|[àa]|in)\s*)?\d[\d.,]*\s*(?:%|g\s?/\s?l|g/100\s?ml)(?:\s*(?:h2o|water|wasser|eau|agua|aq\.?|"
    r"solution|l[öo]sung))*\s*[)\]]?",
    re.IGNORECASE,
)
IN_WATER = _("measured in a dilution, not in the product")


def _ph(found: Labelled, section: int | None, comma_decimal: bool | None) -> FoundValue | None:
    diluted = _DILUTED.search(found.text) is not None
    text = METHOD.sub(" ", re.sub(_ROOM, " ", _DILUTED.sub(" ", found.text), flags=re.IGNORECASE))
    kind = Kind({}, (0, 14), "")
    figures = quantities(text, {}, comma_decimal=comma_decimal, unitless="ph")
    if not figures:
        return _not_known("ph", found, section, unknown(found.text))
    one = figures[0]
    doubts = [doubt for figure in figures for doubt in figure.doubts]
    if diluted:
        doubts.append(IN_WATER)
    if len(figures) > 1:
        doubts.append(NOT_ONE)
    if one.sign == "~":
        doubts.append(ABOUT)
    if not _likely(one, kind):
        doubts.append(ODD)
    if words_left(without(text, figures), ()) or unknown(found.text) or not found.lone or goes_on(text):
        doubts.append(MORE_WORDS)
    # Of a dilution the product's own pH lies further out, so only the words are kept.
    value = (
        None
        if diluted or not _likely(one, kind)
        else _texts(one._replace(sign="" if one.sign == "~" else one.sign))
    )
    return FoundValue(
        "ph", value, found.line, section, shown=_texts(one),
        figures={"low": _number(one.low), "high": _number(one.high), "sign": one.sign},
        doubts=tuple(dict.fromkeys(doubts)),
    )  # fmt: skip
