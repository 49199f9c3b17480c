"""Sections 2, 8, 10 and 14: hazards, protection, exposure limits, incompatible materials, transport."""

import re
from collections.abc import Iterator, Mapping, Sequence

from stock.datasheets.figures import number, unknown
from stock.datasheets.found_values import FoundValue, not_known
from stock.datasheets.labels import Labelled, begins_another, found_labels, goes_on_below
from stock.datasheets.page_lines import SheetLine
from stock.datasheets.share_basis import CAS
from stock.grammar import pointed
from stock.hazard_statements import statements
from stock.language import _
from stock.substance_table import Row, row_of, rows_by_name

H_CODE = re.compile(
    r"(?<![A-Za-z0-9])(?:EUH\s?\d{3}[A-Z]?|H\s?[234]\d{2}(?:FD|Fd|fD|"
    r"[iDdFf])?(?:\s?\+\s?H\s?[234]\d{2})*)(?![0-9A-Za-z])"
)
P_CODE = re.compile(r"(?<![A-Za-z0-9])P\s?[1-5]\d{2}(?:\s?\+\s?P\s?[1-5]\d{2})*(?![0-9A-Za-z])")
PICTOGRAM = re.compile(r"(?<![A-Za-z0-9])GHS\s?-?\s?(0[1-9])(?![0-9])")
_DANGER = re.compile(r"\b(?:danger|gefahr|peligro)\b", re.IGNORECASE)
_WARNING = re.compile(r"\b(?:warning|achtung|attention|atenci[óo]n|avertissement)\b", re.IGNORECASE)
_NO_WORD = re.compile(
    r"\b(?:none|no signal word|keine?|kein signalwort|aucune?|pas de mention|ninguna?)\b", re.IGNORECASE
)
_NOT_IT = re.compile(
    r"\b(?:not|no longer|no|without|nicht|"
    r"kein\w*|ohne|ne|n'|pas|non|sans|sin|component\w*|ingredient\w*|bestandteil\w*|"
    r"inhaltsstoff\w*|composant\w*|old|former(?:ly)?|previous(?:ly)?|replaced|superseded|deleted|until|bisher\w*|alte?|"
    r"fr[üu]her\w*|vormals|bislang|ersetzt|gestrichen|ancien\w*|pr[ée]c[ée]de\w*|auparavant|anterior\w*|antes|"
    r"antigu\w*|previa\w*)\b",
    re.IGNORECASE,
)
_GARBLED = re.compile(
    r"(?<![A-Za-z0-9])(?:EU)?H\s?(?:[234]\d?$|(?!\d{3})(?=[OISZlB|]{0,2}\d)[\dOISZlB|]{3}(?![0-9A-Za-z]))"
)
"""A code with figures that were read as letters, or one that breaks off at the end of its line."""
_DENIES = re.compile(
    r"\s*\((?=[^\W\d]{3})|\W{0,3}(?:is|are|does|do|was|were|n'est|ne|no|not|ist|wird|entf[äa]llt)\b",
    re.IGNORECASE,
)
_LABEL = re.compile(
    r"label(?:ling)? elements|kennzeichnungselemente|[ée]l[ée]ments d'[ée]tiquetage|elementos de la etiqueta|\b2\.2\b|"
    r"hazard statements?\s*(?::|$)|gefahrenhinweise|mentions? de danger|indicaci[óo]n(?:es)? de peligro",
    re.IGNORECASE,
)
_SMALL = re.compile(r"\b125\s?ml\b|reduced label|small pack", re.IGNORECASE)
OTHERWISE = _("words beside a code say something else of it")
NO_CODE = _("a code beside it can't be read")
PARTS_DIFFER = _("the classification and the label differ")
LONGEST_TEXT = 200
CUT = _("a longer text: read it on the sheet")


def section_2(lines: Sequence[SheetLine]) -> Iterator[FoundValue]:
    """The signal word, the statements and the pictograms of the mixture."""
    for __, found in found_labels(lines, ("signal_word",)):
        one = _signal_word(found)
        if one is not None:
            yield one
    for name, pattern in (("h_statements", H_CODE), ("p_statements", P_CODE)):
        yield from _codes(name, pattern, lines)
    pictograms = [(f"GHS{found[1]}", line) for line in lines for found in PICTOGRAM.finditer(line.text)]
    if pictograms:
        codes = sorted({code for code, _ in pictograms})
        yield FoundValue("pictograms", " ".join(codes), pictograms[0][1], 2, shown=" ".join(codes))


def _signal_word(found: Labelled) -> FoundValue | None:
    text = found.text
    words = {
        "danger": bool(_DANGER.search(text)),
        "warning": bool(_WARNING.search(text)),
        "none": bool(_NO_WORD.search(text)),
    }
    said = [word for word, there in words.items() if there]
    if not said:
        no_word = unknown(text)
        return not_known("signal_word", no_word, found.line, 2) if no_word else None
    doubts = []
    if len(said) > 1 or len(text.split()) > 3 or not found.lone:
        doubts.append(_("other words stand beside it"))
    if said[0] == "none":
        doubts.append(_("read from words; compare with the sheet"))
    return FoundValue("signal_word", said[0], found.line, 2, shown=said[0], doubts=tuple(doubts))


def _codes(name: str, pattern: re.Pattern[str], lines: Sequence[SheetLine]) -> Iterator[FoundValue]:
    """One list of all codes, with the first line that has one."""
    found: dict[str, SheetLine] = {}
    parts: dict[bool, set[str]] = {False: set(), True: set()}
    doubts: tuple[str, ...] = ()
    on_label = False
    for line, text in _unbroken(lines):
        if name == "h_statements" and _GARBLED.search(text):
            doubts = (NO_CODE,)
        on_label = on_label or _LABEL.search(text) is not None
        for each in pattern.finditer(text):
            code = re.sub(r"\s", "", each[0])
            found.setdefault(code, line)
            parts[on_label].add(code)
            if name == "h_statements" and code not in statements():
                doubts = (NO_CODE,)
            if name == "h_statements" and (_denied(text, each) or _SMALL.search(text)):
                doubts = (OTHERWISE,)
    if name == "h_statements":
        found = {code: line for code, line in found.items() if code in statements()}
        classes, label = (
            {code for code in part if not code.startswith("EUH")} for part in (parts[False], parts[True])
        )
        if classes and label and classes != label:
            doubts = (*doubts, PARTS_DIFFER)
        if not found:
            found, doubts = _by_their_words(lines), (_("read from its words; the sheet prints no codes"),)
    if found:
        codes = sorted(found)
        first = next(iter(found.values()))
        places = {code: {"page": line.page, "line": line.number} for code, line in found.items()}
        yield FoundValue(
            name,
            " ".join(codes),
            first,
            2,
            doubts=doubts,
            shown=" ".join(codes),
            figures={"codes": codes, "places": places},
        )


def _denied(text: str, code: re.Match[str]) -> bool:
    """Whether the sentence around a code says that it doesn't apply, or that it belongs to something else."""
    before = re.split(r"[.;]\s|\s{2,}", H_CODE.sub(".  ", text[: code.start()]))[-1]
    return _NOT_IT.search(before) is not None or _DENIES.match(text[code.end() :]) is not None


def _unbroken(lines: Sequence[SheetLine]) -> Iterator[tuple[SheetLine, str]]:
    """Each line with its text; one that ends in a plus sign also has the next one's, for a code broken in two."""
    at = 0
    while at < len(lines):
        line, text = lines[at], lines[at].text
        while text.endswith("+") and at + 1 < len(lines):
            at += 1
            text = f"{text} {lines[at].text}"
        yield line, text
        at += 1


def _by_their_words(lines: Sequence[SheetLine]) -> dict[str, SheetLine]:
    """Hazard statements by their English words, which fill a line or cell in sheets of the USA that print no codes."""
    words = {_plain(each.text): code for code, each in statements().items()}
    found: dict[str, SheetLine] = {}
    for line in lines:
        for cell in line.cells:
            code = words.get(_plain(cell.text))
            if code is not None:
                found.setdefault(code, line)
    return found


def _plain(text: str) -> str:
    return text.casefold().replace("vapor", "vapour").strip(" .·•-*")


def section_8(lines: Sequence[SheetLine], *, comma_decimal: bool | None) -> Iterator[FoundValue]:
    """Protection as printed, and the limits of exposure."""
    yield from _texts(lines, ("gloves", "eye_protection", "breathing_protection"), 8)
    yield from _limits(lines, comma_decimal)


def section_10(lines: Sequence[SheetLine]) -> Iterator[FoundValue]:
    """The incompatible materials, as printed."""
    yield from _texts(lines, ("incompatible",), 10)


def _texts(lines: Sequence[SheetLine], names: tuple[str, ...], section: int) -> Iterator[FoundValue]:
    """Texts as printed, one a field; a text that breaks off at the end of its line is unsure."""
    said: dict[str, list[FoundValue]] = {}
    for name, found in found_labels(lines, names):
        goes_on = goes_on_below(lines, found)
        below = found.after or (
            lines[lines.index(found.line) + 1].text if goes_on and found.line != lines[-1] else ""
        )
        text = f"{found.text} {below}".strip(" :")
        if not re.search(r"[^\W\d]{3}", text):
            continue
        no_words = unknown(text)
        if no_words is not None and len(text) < len(no_words) + 4:
            said.setdefault(name, []).append(not_known(name, no_words, found.line, section))
            continue
        whole = found.lone and len(text) <= LONGEST_TEXT and below == "" and not goes_on
        shown = text[:LONGEST_TEXT].strip()
        doubts = () if whole else (CUT,)
        if _NOTHING.search(text):
            doubts = (*doubts, _("it may say that there is none"))
        one = FoundValue(name, shown, found.line, section, shown=shown, doubts=doubts)
        # The gloves' material says more than that gloves are worn.
        said.setdefault(name, []).insert(0 if _MATERIAL.search(found.label) else len(said.get(name, ())), one)
    for several in said.values():
        yield several[0]


_NOTHING = re.compile(
    r"\b(?:none?|not|nicht|kein\w*|aucun\w*|pas|sin|ningun[oa]?|entf[äa]llt|sans|rien)\b", re.IGNORECASE
)
_MATERIAL = re.compile(r"material|mat[ée]riau", re.IGNORECASE)


_LIMIT = re.compile(
    r"(?P<value>\d[\d.,]*(?:\s\d{3})*)\s*(?P<unit>ppm|ml\s?/\s?m\s?3|cm\s?3\s?/\s?m\s?3|mg\s?/\s?m\s?3)",
    re.IGNORECASE,
)
_SHORT = re.compile(
    r"\b(?:stel|short[ -]?term|15[ -]?min|kurzzeit\w*|kzw|court terme|vle-?ct|vlct|corta duraci[óo]n|vla-ec|"
    r"st|spitzenbegrenzung)\b",
    re.IGNORECASE,
)
_LONG = re.compile(
    r"\b(?:twa|long[ -]?term|8[ -]?(?:h|hours?|stunden|heures|horas)|agw|langzeit\w*|mak|pel|tlv|wel|rel|"
    r"vme|vlep?-?8h|valeur moyenne|vla-ed|"
    r"ioelv|oel|diaria)\b",
    re.IGNORECASE,
)
_DERIVED = re.compile(r"\b(?:dnel|pnec|dmel|biolog|bgw|bei|idlh)", re.IGNORECASE)
_CEILING = re.compile(r"\b(?:ceiling|c\b(?=\s*\d)|plafond|techo)", re.IGNORECASE)


def _limits(lines: Sequence[SheetLine], comma_decimal: bool | None) -> Iterator[FoundValue]:
    """Limits in the air, by the substance named in the row or above it; derived no-effect levels are not limits."""
    substance: str | None = None
    unknown_one: dict[str, str] = {}
    derived = False
    names = rows_by_name()
    for line in lines:
        named = _substance(line, names)
        substance = named or substance
        if named:
            unknown_one = _not_in_the_table(line)
        if _DERIVED.search(line.text):
            derived = True
        elif named or _LONG.search(line.text):
            derived = False
        if derived or substance is None:
            continue
        found = list(_LIMIT.finditer(line.text))
        if not found:
            continue
        both = bool(_SHORT.search(line.text)), bool(_LONG.search(line.text))
        span = (
            "ceiling"
            if _CEILING.search(line.text)
            else {(True, False): "short term", (False, True): "8 hours"}.get(both, "")
        )
        doubts = [] if span else [_("it isn't said plainly for how long")]
        if named is None:
            doubts.append(_("the substance stands on another line"))
        if len(set(CAS.findall(line.text))) > 1:
            doubts.append(_("several substances stand on one line"))
        if len({each["unit"].casefold() for each in found}) < len(found):
            doubts.append(_("several limits stand beside each other"))
        values = [number(each["value"], comma_decimal=comma_decimal) for each in found]
        if any(doubtful for _, doubtful in values):
            doubts.append(_("the comma or point may part thousands or decimals"))
        parts = [
            f"{pointed(value, 4)} {''.join(each['unit'].split())}"
            for (value, _), each in zip(values, found, strict=True)
        ]
        text = f"{', '.join(parts)}" + (f" ({span})" if span else "")
        yield FoundValue(
            "exposure_limit", f"{substance}: {text}", line, 8, key=f"{substance} {span}", shown=f"{substance}: {text}",
            figures={"substance": substance, "span": span or None, "values": parts, **unknown_one},
            doubts=tuple(doubts),
        )  # fmt: skip


def _substance(line: SheetLine, names: Mapping[str, Row]) -> str | None:
    for cas in CAS.findall(line.text):
        row = row_of(cas)
        if row is not None:
            return row["name"]
        return cas
    for cell in line.cells[:2]:
        name = re.sub(r"\(.*?\)", "", cell.text).split(":")[0].strip().casefold()
        if name in names:
            return names[name]["name"]
    return None


def _not_in_the_table(line: SheetLine) -> dict[str, str]:
    """The CAS number and the printed name of a line's substance, if the table of substances doesn't have it."""
    numbers = CAS.findall(line.text)
    if len(set(numbers)) != 1 or row_of(numbers[0]) is not None:
        return {}
    names = [CAS.sub(" ", cell.text).strip(" :;,()") for cell in line.cells]
    named = next(
        (name for name in names if re.search(r"[^\W\d]{3}", name) and not _LIMIT.search(name)), numbers[0]
    )
    return {"cas": numbers[0], "name": named}


_MODES = re.compile(
    r"\b(?:adr|rid|adn|adnr|imdg|iata|icao|dot|tdg|mfag|ti|land|sea|air|road|rail|inland|see|luft|"
    r"stra[sß]+e|route|mer|carretera|mar|aire?|class|"
    r"klasse|classe|clase|un|onu|id|dgr|code|cargo|transport)\b|[/()\[\]:;,.*\-]",
    re.IGNORECASE,
)
_UN = re.compile(r"(?<!\d)(?:UN|ONU|ID|NA)?\s?-?\s?(\d{4})(?!\d)", re.IGNORECASE)
_UN_MARKED = re.compile(r"\b(?:UN|ONU)\s?-?\s?(\d{4})(?!\d)", re.IGNORECASE)
_CLASS = re.compile(r"(?<![\d.])([1-9](?:\.[1-6][A-S]?)?)(?![\d.])")
_GROUP = re.compile(r"(?<![A-Za-z])(III|II|I)(?![A-Za-z])")
_NO_DANGER = re.compile(
    r"not (?:regulated|classified|dangerous|restricted|subject)|no(?:n)? dangerous|kein gefahrgut|"
    r"nicht (?:als )?gefahrgut|unterliegt nicht|"
    r"non (?:r[ée]glement[ée]|dangereu|soumis|class[ée])|no (?:regulado|peligros|clasificad|sujeto)|"
    r"mercanc[íi]a no peligrosa",
    re.IGNORECASE,
)
_TRANSPORT = {"un_number": _UN, "transport_class": _CLASS, "packing_group": _GROUP}


def section_14(lines: Sequence[SheetLine]) -> Iterator[FoundValue]:
    """UN number, class and packing group, if all modes of transport agree."""
    labelled: set[str] = set()
    for name, found in found_labels(lines, (*_TRANSPORT, "shipping_name")):
        text = " ".join([found.text, *_more(lines, found)])
        if name == "shipping_name":
            continue
        if _NO_DANGER.search(text):
            yield FoundValue(
                name,
                "none",
                found.line,
                14,
                shown=_("not dangerous goods"),
                doubts=(_("read from words; compare with the sheet"),),
            )
            labelled.add(name)
            continue
        values = [each.upper() for each in _TRANSPORT[name].findall(_bare(name, text))]
        if not values:
            no_figure = unknown(text)
            if no_figure:
                labelled.add(name)
                yield not_known(name, no_figure, found.line, 14)
            continue
        labelled.add(name)
        rest = _MODES.sub(" ", _TRANSPORT[name].sub(" ", _bare(name, text)))
        doubts = []
        if len(set(values)) > 1:
            doubts.append(_("several stand there"))
        if re.search(r"\w", rest) or not found.lone:
            doubts.append(_("other words stand beside it"))
        yield FoundValue(name, values[0], found.line, 14, shown=values[0], doubts=tuple(doubts))
    if "un_number" not in labelled:
        found_numbers = [(each, line) for line in lines for each in _UN_MARKED.findall(line.text)]
        if found_numbers:
            unlabelled = (_("no label stands before it"),)
            yield FoundValue(
                "un_number",
                found_numbers[0][0],
                found_numbers[0][1],
                14,
                shown=found_numbers[0][0],
                doubts=unlabelled,
            )


def _bare(name: str, text: str) -> str:
    return re.sub(r"\b1[0-9]\.\d\b", " ", text) if name == "transport_class" else text


def _more(lines: Sequence[SheetLine], found: Labelled) -> Iterator[str]:
    """The lines below a label that list modes of transport."""
    start = lines.index(found.line) + 1 if found.line in lines else found.at + 1
    for line in lines[start : start + 6]:
        modes = re.match(r"(?:adr|rid|adn|imdg|iata|icao|dot|tdg)\b", line.text, re.IGNORECASE)
        if modes is None and begins_another(line.text):
            return
        if modes is None:
            return
        yield line.text
