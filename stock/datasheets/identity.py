"""Section 1 and page headers: the product's name, its maker, the revision and its day."""

import re
from collections.abc import Iterator, Sequence
from datetime import date

from stock.datasheets.figures import unknown
from stock.datasheets.found_values import FoundValue
from stock.datasheets.labels import Labelled, begins_another, found_labels, goes_on_below, label_of
from stock.datasheets.page_lines import SheetLine
from stock.language import _

_MONTHS = {
    month: number
    for number, names in enumerate(
        (
            "january jan januar jänner janvier janv enero ene", "february feb februar février fevrier févr fév febrero",
            "march mar märz maerz mär mrz mars marzo", "april apr avril avr abril abr", "may mai mayo",
            "june jun juni juin junio",
            "july jul juli juillet juil julio", "august aug août aout agosto ago",
            "september sep sept septembre septiembre",
            "october oct oktober okt octobre octubre", "november nov novembre noviembre",
            "december dec dezember dez décembre déc diciembre dic",
        ),
        1,
    )
    for month in names.split()
}  # fmt: skip
_DAY = re.compile(
    r"(?<![\d.])(?:(?P<y1>(?:19|20)\d{2})[-/.](?P<m1>\d{1,2})[-/.](?P<d1>\d{1,2})|"
    r"(?P<a>\d{1,2})(?P<mark>[./-])\s?(?P<b>\d{1,2})[./-]\s?(?P<y2>\d{4})|"
    r"(?P<d3>\d{1,2})(?:st|nd|rd|th|"
    r"er)?[.\s-]*(?:de\s)?(?P<m3>[^\W\d]{3,10})\.?,?[\s-]*(?:de(?:l)?\s)?(?P<y3>(?:19|20)\d{2})|"
    r"(?P<m4>[^\W\d]{3,10})\.?\s(?P<d4>\d{1,2})(?:st|nd|rd|th)?,?\s(?P<y4>(?:19|20)\d{2}))(?!\d)",
    re.IGNORECASE,
)
_REVISED = re.compile(
    r"bearbeitungsdatum|revis(?:ion|ed)(?: date| on)?|date of (?:the )?(?:last )?revision|(?:überarbeitet|geändert|"
    r"aktualisiert)(?: am)?|überarbeitungsdatum|"
    r"revisionsdatum|date de (?:la )?(?:r[ée]vision|mise à jour)|revisi[óo]n|r[ée]vis[ée](?:e)?(?: le)?|"
    r"mise à jour(?: le)?|fecha de (?:la )?(?:[úu]ltima )?"
    r"(?:revisi[óo]n|actualizaci[óo]n)|revisado(?: el)?",
    re.IGNORECASE,
)
_ISSUED = re.compile(
    r"(?:date of )?issue(?:d)?(?: date| on)?|date of (?:issue|preparation)|prepar(?:ed|ation date)(?: on)?|"
    r"(?:ausgabe|ausstellungs|erstellungs)datum|"
    r"datum der ausgabe|erstellt(?: am)?|ausgestellt(?: am)?|date d'(?:[ée]mission|[ée]dition|"
    r"[ée]tablissement)|[ée]mis(?:e)?(?: le)?|"
    r"fecha de (?:emisi[óo]n|edici[óo]n|elaboraci[óo]n)|emitido(?: el)?|version date|stand",
    re.IGNORECASE,
)
_ELSEWHEN = re.compile(
    r"print|druck|imprim|impres|supersed|replac|previous|ersetzt|vorherig|letzten ausgabe|remplace|"
    r"pr[ée]c[ée]dent|sustituye|reemplaza|anterior|"
    r"next|first (?:issue|version)|erst(?:e|malige) ausgabe|premi[èe]re|primera",
    re.IGNORECASE,
)
_VERSION = re.compile(
    r"\b(?:versionsnummer|version|versión|fassung|revision(?: no\.?| number)?|rev(?:ision)?\.?(?: no\.?| nr\.?)?|"
    r"überarbeitung|édition|edición|révision n°|ausgabe)"
    r"\s*(?:no\.?|nr\.?|n°|nummer|number)?\s*[:#]?\s*(?P<version>\d{1,3}(?:[.,]\d{1,3})?)(?![\d./-])",
    re.IGNORECASE,
)
_OF_RULES = re.compile(
    r"\b(?:ghs|sgh|hazcom|hcs|osha|whmis|simdut|format|form|template|software|vorlage|"
    r"regulation|directive|verordnung|"
    r"richtlinie|r[èe]glement|directive|reglamento|directiva|norma?|standard|amend(?:ed|ing|ment)|ge[äa]ndert durch|"
    r"in der fassung|modifi[ée]|modificad[oa])\b[^:]{0,30}$|\b\d{2,4}/\d{2,4}\b(?!/)[^:]{0,40}$",
    re.IGNORECASE,
)
"""Words for other things that have a version or are revised: a rule, a form, a program."""
_NO_NAME = re.compile(
    r"various|mixture|preparation|substance|n/?a|none|"
    r"gemisch|zubereitung|verschiedene|m[ée]lange|pr[ée]paration|divers|"
    r"mezcla|preparado|varios|(?:as above|same(?: as)?|see|siehe|wie oben|s\.\s?o\.|voir|idem|v[ée]ase|ver|"
    r"mismo|date of)\b.{0,30}",
    re.IGNORECASE,
)
_PLACE = re.compile(
    r"\d|\b(?:street|road|lane|avenue|stra[sß]+e|weg|rue|calle|box|postfach)\b", re.IGNORECASE
)
AMBIGUOUS_DAY = _("day and month can be either way round")


def identity(
    lines: Sequence[SheetLine], running: Sequence[SheetLine], section: int | None, *, language: str
) -> Iterator[FoundValue]:
    """Name, maker, revision and day.

    Args:
        lines: those of section 1, or all of a technical sheet.
        running: the lines of page headers and footers, and those before the first section.
        section: 1, or None if the sheet has no sections.
        language: `en`, `de`, `fr` or `es`.
    """
    for name, found in found_labels(lines, ("name", "maker", "supplier")):
        one = _named(name, found, lines, section)
        if one is not None:
            yield one
    order = _order([*running, *lines]) if language == "en" else "day"
    yield from _days([*running, *lines], order)
    for line in [*running, *lines]:
        if (label_of(line.text) or ("",))[0] == "name":
            continue  # a product's name can contain a version
        for version in _VERSION.finditer(line.text):
            before = _nearby(line.text[: version.start()])
            if not _ELSEWHEN.search(before) and not _OF_RULES.search(before):
                text = version["version"].replace(",", ".")
                yield FoundValue("version", text, line, section, shown=text)


def _nearby(before: str) -> str:
    """The words before a label that may belong to it: not those in brackets, nor those before another day."""
    days = [each.end() for each in _DAY.finditer(before)]
    return re.sub(r"\([^()]*\)", " ", before[days[-1] :] if days else before)


def _named(name: str, found: Labelled, lines: Sequence[SheetLine], section: int | None) -> FoundValue | None:
    text = re.sub(r"^\(.*?\)\s*", "", found.text).strip(" :")
    if unknown(text) or not re.search(r"\w{2}", text) or len(text) > 80:
        return None
    if begins_another(text) or re.match(r"\d+\.\d", text) or _NO_NAME.fullmatch(text):
        return None
    doubts = [] if found.lone else [_("other words stand beside it")]
    if found.below and (re.search(r"identif", found.label, re.IGNORECASE) or len(found.line.cells) > 1):
        doubts.append(_("it stands below a heading, not beside a label"))
    beside = [cell.text for cell in found.line.cells if re.search(r"\w", cell.text)]
    if not found.below and (
        len(beside) > 2 or (len(beside) == 2 and beside[0].strip(" :") not in found.label)
    ):
        doubts.append(_("several cells stand beside the label"))
    if goes_on_below(lines, found) and (name == "name" or not re.search(r"\d", _below(lines, found))):
        doubts.append(_("it may go on in the next line"))
    if name == "supplier":
        doubts.append(_("a supplier, perhaps not the maker"))
    if name != "name":
        text = re.split(r"\s{2,}|,\s|;\s", text)[0]
        if _PLACE.search(text):
            doubts.append(_("perhaps an address"))
    return FoundValue(
        "name" if name == "name" else "maker", text, found.line, section, shown=text, doubts=tuple(doubts)
    )


def _below(lines: Sequence[SheetLine], found: Labelled) -> str:
    """The line below a maker; an address has figures."""
    at = lines.index(found.line) + 1
    return lines[at].text if at < len(lines) else ""


def _order(lines: Sequence[SheetLine]) -> str:
    """Whether the days of an English sheet begin with the `day` or the `month`, as a day above the twelfth shows."""
    pairs = [
        (int(found["a"]), int(found["b"]))
        for line in lines
        for found in _DAY.finditer(line.text)
        if found["y2"]
    ]
    first, second = any(a > 12 >= b for a, b in pairs), any(b > 12 >= a for a, b in pairs)
    return "" if first == second else "day" if first else "month"


def _days(lines: Sequence[SheetLine], order: str) -> Iterator[FoundValue]:
    """The day of the revision; the day of issue if no revision is dated."""
    revised = [one for line in lines for one in _dated(line, _REVISED, order)]
    yield from revised or [one for line in lines for one in _dated(line, _ISSUED, order)]


def _dated(line: SheetLine, label: re.Pattern[str], order: str) -> Iterator[FoundValue]:
    text = line.text
    for found in _DAY.finditer(text):
        before = _nearby(text[: found.start()])
        meant = list(label.finditer(before))
        if not meant or len(before) - meant[-1].end() > 40:
            continue
        elsewhen = list(_ELSEWHEN.finditer(before))
        if elsewhen:
            continue
        read = day(found, order)
        if read is None:
            continue
        when, doubtful = read
        doubts = (AMBIGUOUS_DAY,) if doubtful else ()
        if _OF_RULES.search(before[: meant[-1].start()]) and ":" not in before[meant[-1].end() :]:
            doubts = (*doubts, _("perhaps the day of a rule"))
        yield FoundValue("revised_on", when.isoformat(), line, None, shown=when.isoformat(), doubts=doubts)


def day(found: re.Match[str], order: str) -> tuple[date, bool] | None:
    """The day that was printed, and whether its figures could be the other way round; None for no day.

    Args:
        found: the match.
        order: whether the sheet writes the `day` or the `month` first; empty if that can't be told.
    """
    if found["y1"]:
        parts = int(found["y1"]), int(found["m1"]), int(found["d1"])
        return _made(*parts, doubtful=False)
    if found["y2"]:
        a, b, year = int(found["a"]), int(found["b"]), int(found["y2"])
        if b > 12 >= a or order == "month":
            return _made(year, a, b, doubtful=False)
        both = a <= 12 and a != b and order == "" and found["mark"] != "."
        return _made(year, b, a, doubtful=both)
    month = _MONTHS.get((found["m3"] or found["m4"]).casefold())
    if month is None:
        return None
    return _made(int(found["y3"] or found["y4"]), month, int(found["d3"] or found["d4"]), doubtful=False)


def _made(year: int, month: int, of_month: int, *, doubtful: bool) -> tuple[date, bool] | None:
    try:
        return date(year, month, of_month), doubtful
    except ValueError:
        return None
