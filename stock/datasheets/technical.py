"""A technical sheet: reduction by needle, reducer, pressure, mixing ratio, times of drying, pot life and lives."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from stock.datasheets.figures import Quantity, goes_on, quantities, unknown, without
from stock.datasheets.found_values import FoundValue, not_known
from stock.datasheets.labels import Labelled, found_labels, label_of
from stock.datasheets.page_lines import SheetLine
from stock.grammar import pointed
from stock.language import _

TIMES: Mapping[str, str] = {
    "min": r"min(?:ute)?[ns]?\.?|minutos?",
    "h": r"h(?:ours?|rs?|eures?|oras?)?\.?|std\.?|stunden?|heures?|horas?",
    "days": r"days?|tagen?|tage|tag|jours?|d[íi]as?|d",
    "weeks": r"weeks?|wochen?|semaines?|semanas?",
    "months": r"months?|monaten?|monate?|mois|mes(?:es)?",
    "years": r"years?|jahren?|jahre?|ans?|ann[ée]es?|a[ñn]os?",
}
_ROOM = (
    r"(?:\(|\[)?\s*(?:(?:at|@|bei|[àa]|between|zwischen|entre)\s*)?-?\d+(?:[.,]\d+)?(?:\s*°\s?[CF])?"
    r"(?:\s*(?:-|to|and|bis|und|[àa]|et|y)\s*\d+)?\s*°\s?[CF](?:\s*/\s*-?\d+\s*°\s?F)?"
    r"(?:\s*(?:/|,|and|und|et|y)?\s*\d+\s*%\s*(?:r\.?\s?h\.?|r\.?\s?f\.?|hr|lf)?)?\s*(?:\)|\])?"
)
_FILL = re.compile(
    r"\b(?:approx|about|ca|after|nach|apr[èe]s|tras|despu[ée]s de|unopened|sealed|unge[öo]ffnet(?:en)?|"
    r"in (?:the )?(?:original|unopened)|original|"
    r"(?:closed )?containers?|gebinden?|originalgebinden?|im|in|from|manufacture|ab|herstellung|"
    r"herstelldatum|from (?:date of )?manufacture|"
    r"d'origine|non ouvert|ferm[ée]|dans|en|verschlossen(?:en)?|"
    r"emballage|sin abrir|envase|original(?:es)?|cerrado|date of|the|at|"
    r"bei|[àa]|per|max|up to)\b",
    re.IGNORECASE,
)
_OPENED = re.compile(
    r"\b(?:once|after|when) open|nach (?:dem )?[öo]ffn|nach anbruch|apr[èe]s ouverture|una vez abiert|"
    r"tras (?:la )?apertura|despu[ée]s de abi",
    re.IGNORECASE,
)
_PRESSURES = {"bar": r"bar", "psi": r"psi", "kPa": r"kpa", "MPa": r"mpa"}
_PER_BAR = {
    "bar": Fraction(1),
    "psi": Fraction(6_894_757, 100_000_000),
    "kPa": Fraction(1, 100),
    "MPa": Fraction(10),
}
"""Bar in one of each; a pound-force per square inch is 6894.757 Pa."""
_NEEDLE = re.compile(
    r"(?P<sign>≤|<|≥|>)?\s*(?P<a>\d[.,]\d{1,2})\s*(?:mm)?\s*(?:(?:-|to|bis|[àa]|"
    r"a)\s*(?P<b>\d[.,]\d{1,2}))?\s*mm\b",
    re.IGNORECASE,
)
_PERCENT = {"%": r"%"}
_RATIO = re.compile(r"(?<![\d:])\d{1,3}(?:[.,]\d+)?(?:\s*:\s*\d{1,3}(?:[.,]\d+)?){1,2}(?![\d:])")
_BY = {
    "volume": re.compile(r"volum|vol", re.IGNORECASE),
    "weight": re.compile(r"weight|gewicht|poids|peso|mass", re.IGNORECASE),
}
_WITH = re.compile(r"\b(?:with|mit|avec|con)\s+(?:the\s+)?(?P<name>[^\W\d][^,;.()%]{2,40})", re.IGNORECASE)
_DOSED = re.compile(
    r"\b(?:by vol(?:ume)?|vol|of the paint|of paint|recommended|approx|about|ca|with|mit|avec|con|de|to|bis|[àa])\b",
    re.IGNORECASE,
)
_NOT_ONE_NAME = re.compile(
    r"\b(?:or|oder|ou|o|and|und|et|none|not?|do|don't|see|any|keine?r?|nicht|siehe|aucun|pas|voir|ning[úu]n\w*|hardener|h[äa]rter|"
    r"needle|pressure|reduction|paint)\b|[(/\d]",
    re.IGNORECASE,
)
WORDS = _("the words beside the figure were not understood")
SEVERAL = _("several figures stand there")
DRYING = ("touch_dry", "recoat", "through_dry", "drying")


def technical(lines: Sequence[SheetLine], *, comma_decimal: bool | None) -> Iterator[FoundValue]:
    """The values that a technical sheet gives for working with the product, in order."""
    yield from lives(lines, comma_decimal=comma_decimal)
    for name, found in found_labels(lines, DRYING):
        yield from _time(name, found, comma_decimal)
    for __, found in found_labels(lines, ("pressure",)):
        yield from _pressure(found, comma_decimal)
    for __, found in found_labels(lines, ("mixing_ratio",)):
        yield from _ratio(found)
    for __, found in found_labels(lines, ("reducer",)):
        if _is_name(found.text):
            doubts = [] if found.lone and not found.after else [_("a name may go on in the next line")]
            if _NOT_ONE_NAME.search(found.text):
                doubts.append(_("perhaps several, or none"))
            yield FoundValue("reducer", found.text, found.line, None, shown=found.text, doubts=tuple(doubts))
    yield from _dosings(lines, comma_decimal)


def _is_name(text: str) -> bool:
    """Whether a text may name a reducer."""
    return (
        2 < len(text) < 60 and re.search(r"[^\W\d]{3}", text) is not None and not re.search(r"\d\s*%|:", text)
    )


def lives(lines: Sequence[SheetLine], *, comma_decimal: bool | None) -> Iterator[FoundValue]:
    """How long a product is good unopened, opened and mixed; a safety sheet may say it in section 7."""
    for name, found in found_labels(lines, ("pot_life", "shelf_life", "opened_life")):
        yield from _time(name, found, comma_decimal)


def _time(name: str, found: Labelled, comma_decimal: bool | None) -> Iterator[FoundValue]:
    text = re.sub(_ROOM, " ", found.text, flags=re.IGNORECASE)
    figures = quantities(text, TIMES, comma_decimal=comma_decimal)
    if not figures:
        words = unknown(found.text)
        if words is not None:
            yield not_known(_life_of(name, found.label + " " + found.text), words, found.line, None)
        return
    if name == "shelf_life" and len(figures) == 2 and _OPENED.search(text):
        opened = _OPENED.search(text)
        assert opened is not None
        for figure in figures:
            nearer = figure.span[1] <= opened.start()
            yield _timed("sealed_life" if nearer else "opened_life", figure, found, [SEVERAL])
        return
    rest = _FILL.sub(" ", _OPENED.sub(" ", without(text, figures)))
    doubts = [doubt for figure in figures for doubt in figure.doubts]
    if len(figures) > 1 or quantities(found.after, TIMES):
        doubts.append(SEVERAL)
    if re.search(r"\w{2}", rest) or not found.lone:
        doubts.append(WORDS)
    yield _timed(_life_of(name, found.label + " " + text), figures[0], found, doubts)


def _life_of(name: str, text: str) -> str:
    if name == "shelf_life":
        return (
            "opened_life"
            if _OPENED.search(text) or re.search(r"\bopened\b(?<!unopened)", text)
            else "sealed_life"
        )
    return name


def _timed(name: str, figure: Quantity, found: Labelled, doubts: Sequence[str]) -> FoundValue:
    end = figure.low if figure.low is not None else figure.high
    assert end is not None
    own = [*doubts, *((WORDS,) if goes_on(found.text) else ())]
    if figure.sign in ("<", ">"):
        own.append(_("a bound is printed, not a figure"))
    if figure.sign == "~":
        own.append(_("printed as about"))
    ends = " to ".join(dict.fromkeys(pointed(each) for each in (figure.low, figure.high) if each is not None))
    shown = f"{ends} {figure.unit}"
    value = f"{pointed(end)} {figure.unit}"
    return FoundValue(
        name, value if name in ("opened_life", "sealed_life", "pot_life") else shown, found.line, None, shown=shown,
        figures={"low": _float(figure.low), "high": _float(figure.high), "unit": figure.unit},
        doubts=tuple(dict.fromkeys(own)),
    )  # fmt: skip


def _float(figure: Fraction | None) -> float | None:
    return None if figure is None else float(round(figure, 4))


def _in_bar(figure: Quantity) -> Quantity:
    return figure.converted(lambda value: value * _PER_BAR[figure.unit], "bar")


def pressures(text: str, comma_decimal: bool | None) -> tuple[Quantity | None, list[Quantity], bool]:
    """The pressure of a text in bar, the figures as printed, and whether two units beside each other agree."""
    figures = quantities(text, _PRESSURES, comma_decimal=comma_decimal)
    if not figures:
        return None, [], True
    in_bar = [_in_bar(figure) for figure in figures]
    first = next((one for one, raw in zip(in_bar, figures, strict=True) if raw.unit == "bar"), in_bar[0])
    agree = all(
        a is not None and b is not None and abs(a - b) <= Fraction(15, 100)
        for one in in_bar
        for a, b in ((one.low, first.low), (one.high, first.high))
        if a is not None or b is not None
    )
    return first, figures, agree


def _pressure(found: Labelled, comma_decimal: bool | None) -> Iterator[FoundValue]:
    one, figures, agree = pressures(found.text, comma_decimal)
    if one is None:
        return
    doubts = [doubt for figure in figures for doubt in figure.doubts]
    if not agree or quantities(found.after, _PRESSURES):
        doubts.append(SEVERAL)
    if re.search(r"\w{2}", without(found.text, figures)) or not found.lone or one.sign:
        doubts.append(WORDS)
    ends = " to ".join(dict.fromkeys(pointed(each, 2) for each in (one.low, one.high) if each is not None))
    yield FoundValue(
        "pressure", f"{ends} bar", found.line, None, shown=f"{ends} bar",
        figures={"low": _float(one.low), "high": _float(one.high), "unit": "bar"}, doubts=tuple(doubts),
    )  # fmt: skip


def _ratio(found: Labelled) -> Iterator[FoundValue]:
    ratios = [re.sub(r"\s", "", each[0]) for each in _RATIO.finditer(found.text)]
    if not ratios:
        return
    said = f"{found.label} {found.text}"
    by = [name for name, pattern in _BY.items() if pattern.search(said)]
    doubts = []
    if len(set(ratios)) > 1 or len(by) > 1:
        doubts.append(SEVERAL)
    if not by:
        doubts.append(_("whether by volume or by weight isn't said"))
    text = ratios[0] + (_(" by {by}", by=by[0]) if by else "")
    yield FoundValue(
        "mixing_ratio",
        text,
        found.line,
        None,
        shown=text,
        figures={"by": by[0] if by else None},
        doubts=tuple(doubts),
    )


def _dosings(lines: Sequence[SheetLine], comma_decimal: bool | None) -> Iterator[FoundValue]:
    """Reduction by needle: a line with a needle and a range, or the text behind a label for reduction."""
    behind = {found.at: found for _, found in found_labels(lines, ("reduction",))}
    reducers = {
        found.text
        for _, found in found_labels(lines, ("reducer",))
        if _is_name(found.text) and not _NOT_ONE_NAME.search(found.text)
    }
    reducer = next(iter(reducers)) if len(reducers) == 1 else None
    table: set[str] = set()
    units: list[str] = []
    for at, raw in enumerate(lines):
        line = _with_units(raw, units)
        heads = [label[0] for cell in line.cells if (label := label_of(cell.text))]
        if heads and label_of(line.text):
            table = set(heads) if {"reduction", "needle"} & set(heads) else set()
            units = [_unit_of_column(cell.text) for cell in line.cells] if len(table) > 1 else []
        needles = list(_NEEDLE.finditer(line.text))
        text = behind[at].text if at in behind else line.text
        shares = quantities(text, _PERCENT, comma_decimal=comma_decimal)
        if len(needles) == 1 and len(shares) == 1 and (table or at in behind):
            doubts = () if at in behind or "reduction" in table else (WORDS,)
            if not _understood(text, named="reducer" in table):
                doubts = (WORDS,)
            of_row = _named_in(line) if "reducer" in table else reducer
            one = _dosing(line, shares[0], needles[0], text=text, reducer=of_row, doubts=doubts)
            yield replace(one, line=raw)
        elif at in behind and not needles and shares and not _NEEDLE.search(behind[at].line.text):
            below = lines[at + 1].text if at + 1 < len(lines) else ""
            doubts = (SEVERAL,) if len(shares) > 1 or quantities(below, _PERCENT) else ()
            if not _understood(text, named=False):
                doubts = (*doubts, WORDS)
            yield _dosing(behind[at].line, shares[0], None, text=text, reducer=reducer, doubts=doubts)


_COLUMN_UNIT = re.compile(r"(?:[(\[]|\bin\s|,)\s*(?:in\s)?(mm|%|psi|bar|kpa|mpa)\s*[)\]]?\s*$", re.IGNORECASE)
_BARE_CELL = re.compile(
    r"[<≤≥>~]?\s*\d+(?:[.,]\d+)?(?:\s*(?:-|to|bis|[àa])\s*\d+(?:[.,]\d+)?)?", re.IGNORECASE
)


def _unit_of_column(head: str) -> str:
    """The unit behind the label in a column's head; empty if there is none."""
    found = _COLUMN_UNIT.search(head)
    return found[1] if found is not None else ""


def _with_units(line: SheetLine, units: Sequence[str]) -> SheetLine:
    """A row of a table whose bare figures have the units of their columns."""
    if not any(units) or len(line.cells) != len(units):
        return line
    return line._replace(
        cells=tuple(
            cell._replace(text=f"{cell.text} {unit}") if unit and _BARE_CELL.fullmatch(cell.text) else cell
            for cell, unit in zip(line.cells, units, strict=True)
        )
    )


def _named_in(line: SheetLine) -> str | None:
    """The reducer's name in a row of a table: its only cell of words."""
    names = [
        cell.text
        for cell in line.cells
        if re.search(r"[^\W\d]{3}", cell.text) and not re.search(r"\d", cell.text)
    ]
    return names[0] if len(names) == 1 else None


def _understood(text: str, *, named: bool) -> bool:
    """Whether only its needle, a pressure, and a reducer's name after `with` stand beside a share.

    Args:
        text: the text behind the label, or the row of a table.
        named: whether the table has a column for the reducer's name.
    """
    figures = [*quantities(text, _PERCENT), *quantities(text, _PRESSURES)]
    rest = _DOSED.sub(" ", _WITH.sub(" ", _NEEDLE.sub(" ", without(text, figures))))
    return not re.search(r"\d", rest) and (named or not re.search(r"[^\W\d]", rest))


def _dosing(
    line: SheetLine,
    share: Quantity,
    needle: re.Match[str] | None,
    *,
    text: str,
    reducer: str | None,
    doubts: tuple[str, ...],
) -> FoundValue:
    low, high = share.low, share.high
    if low is None or high is None:
        doubts = (*doubts, _("a bound is printed, not a figure"))
        low, high = (Fraction(0), high) if low is None else (low, low)
    assert high is not None
    if goes_on(text) or goes_on(line.text):
        doubts = (*doubts, WORDS)
    given = {"low": pointed(low), "high": pointed(high)}
    if needle is not None:
        given["needle"] = _needle(needle)
    named = _WITH.search(text)
    if named is not None:
        reducer = named["name"].strip()
    pressure, __, agree = pressures(line.text, None)
    if pressure is not None and agree and pressure.low is not None and pressure.high is not None:
        given["pressure"] = f"{pointed(pressure.low, 2)}..{pointed(pressure.high, 2)} bar"
    if re.search(r"parts|teile|of the mix|weight|gewicht|poids|peso", text, re.IGNORECASE):
        doubts = (*doubts, _("perhaps not per cent of the paint's volume"))
    order = ("low", "high", "pressure")
    sign = "" if needle is None else given["needle"] if given["needle"][0] in "<>" else f"={given['needle']}"
    value = " ".join(
        ([f"needle{sign}"] if needle else []) + [f"{key}={given[key]}" for key in order if key in given]
    )
    shown = (
        _("{low} to {high} %", low=given["low"], high=given["high"])
        + (_(", needle {needle} mm", needle=given["needle"]) if needle else "")
        + (_(", with {reducer}", reducer=reducer) if reducer else "")
    )
    return FoundValue(
        "dosing", value, line, None, key=given.get("needle", ""), shown=shown,
        figures={**given, "with": reducer}, doubts=(*doubts, *share.doubts),
    )  # fmt: skip


def _needle(found: re.Match[str]) -> str:
    a = found["a"].replace(",", ".")
    sign = {"≤": "<=", "<": "<=", "≥": ">=", ">": ">=", None: ""}[found["sign"]]
    return f"{sign}{a}" if found["b"] is None else f"{a}..{found['b'].replace(',', '.')}"
