"""Proposals for the books from what the readers of a data sheet found, each with its line and whether it is sure.

A proposal is sure if nothing about it is doubtful, another reader of the file found the same, and none found
something else. If a field has several different values, none is sure.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from stock.datasheets import sheet_fields
from stock.datasheets.composition import NO_SHARE, composition
from stock.datasheets.found_values import FoundValue
from stock.datasheets.hazards import section_2, section_8, section_10, section_14
from stock.datasheets.identity import identity
from stock.datasheets.ingredient_figures import OF_AN_INGREDIENT, names_of, of_an_ingredient
from stock.datasheets.page_lines import SheetLine, SheetText
from stock.datasheets.properties import properties
from stock.datasheets.sections import Sections, parted
from stock.datasheets.storage_temperatures import storage_temperatures
from stock.datasheets.technical import lives, technical
from stock.language import _

TITLES = {
    "name": _("product name"), "maker": "maker", "revised_on": _("revised on"), "version": "version",
    "signal_word": _("signal word"),
    "h_statements": "H-statements", "p_statements": "P-statements", "pictograms": "pictograms", "solvent": "substance",
    "water": "water", "exposure_limit": _("exposure limit"), "gloves": "gloves", "eye_protection": _("eye protection"),
    "breathing_protection": _("breathing protection"), "flash_point": _("flash point"),
    "flash_point_method": _("flash point cup"), "boiling_point": _("boiling point"),
    "density": "density", "ph": "pH", "voc": "VOC", "solids": "solids", "incompatible": _("must not meet"),
    "un_number": _("UN number"), "transport_class": _("transport class"), "packing_group": _("packing group"),
    "reducer": "reducer", "dosing": "reduction", "pressure": "pressure", "mixing_ratio": _("mixing ratio"),
    "pot_life": _("pot life"), "store_at": _("kept at"),
    "sealed_life": _("good unopened"), "opened_life": _("good opened"), "touch_dry": _("touch dry"),
    "recoat": _("recoat after"),
    "through_dry": _("dry through"), "drying": "drying",
}  # fmt: skip
"""The titles of proposals for a person, in the order in which they are shown."""
LANGUAGE_LETTERS = 20_000
OF_SECTION_9 = ("flash_point", "flash_point_method", "boiling_point")
"""Figures that belong to an ingredient or a rule if they stand outside section 9."""
_ENDS = {"low": _("kept from"), "high": _("kept up to")}
READERS_DISAGREE = _("the readers of the file disagree")
ONE_READER = _("only one reader of the file found it")
DIFFERENT = _("the sheet prints several")
NO_SECTIONS = _("it stands outside the section where it belongs")
SEVERAL_PARTS = _("the sheet is of several components")
FROM_A_PICTURE = _("a machine read the words from a picture of the page")
NO_LANGUAGE = _("the sheet's language is none of those that are read")
_PART = re.compile(
    r"(?:^|[\s(,;/])(?:(?:part|component|komponente|composant|componente|partie|parte|comp\.)\s?(?P<letter>[a-d]|[1-4])"
    r"(?![\w.,])|"
    r"^(?P<kind>base|hardener|activator|stammlack|h[äa]rter|durcisseur|endurecedor|harz|resin)"
    r"(?: component| part)?\s*:?$)",
    re.IGNORECASE,
)
"""Words by which a sheet distinguishes the components of a kit."""
OUT_OF_ORDER = _("the sections were not read in order")
_OTHER_WORDS = {
    "it": "il della delle dei con per gli sono nel alla prodotto non",
    "nl": "het een van niet voor met zijn bij wordt gevaar geen",
    "pt": "os da das do dos não um uma em com produto pelo são ao",
    "sv": "och att inte är för vid som produkten ej av",
    "da": "og ikke er til ved af produktet fra som",
    "pl": "nie się jest oraz przy produktu nr dla od lub",
}
"""Short words of languages that aren't read; nothing is sure where they are more frequent than those of one that is."""
_LANGUAGE_WORDS = {
    "de": "und der die das nicht mit bei oder gefahr von für werden angaben",
    "fr": "et les des du un une pour avec sur est dans produit données",
    "es": "y los las del para con por está producto datos peligro un una",
    "en": "and the of not with for or by is data information",
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """One figure that a sheet seems to give, beside the words that it comes from.

    Attributes:
        name: the field.
        key: distinguishes several values of one field; empty for most fields.
        value: the text to book, as `entry.read` and `dosings.read` take it; None if the sheet gives only a bound, or a
            range for a field with one figure.
        shown: as a person reads it.
        sure: whether nothing speaks against it.
        doubts: the reasons against it.
        page, line, section: its place; page 0 if the file has no pages.
        words: the line as printed.
        figures: ends, unit, sign, cup and the like.
    """

    name: str
    key: str
    value: str | None
    shown: str
    sure: bool
    doubts: tuple[str, ...]
    page: int
    line: int
    section: int | None
    words: str
    figures: dict[str, object]

    @property
    def title(self) -> str:
        """The field's name for a person."""
        return _ENDS[self.key] if self.name == "store_at" else TITLES[self.name]

    @property
    def id(self) -> str:
        """The field of the record, with its key if there are several."""
        return f"{self.name}:{self.key}" if self.key else self.name

    @property
    def field(self) -> str:
        """Its name for scripts and `--take`: `flash_point_c`, `solvent:67-64-1`."""
        return sheet_fields.field(self.name, self.key, self.figures)

    def as_json(self) -> dict[str, Any]:
        """The proposal for scripts: `booked` is the value for the record, None if only the words are kept."""
        value = sheet_fields.value(self.name, self.value, self.figures)
        return {
            "field": self.field, **value._asdict(), "sure": self.sure, "page": self.page or None,
            "section": self.section, "text": self.words, "line": self.line, "shown": self.shown,
            "booked": self.value, "doubts": list(self.doubts),
            **({"figures": self.figures} if self.figures else {}),
        }  # fmt: skip


def propose(readings: Sequence[SheetText]) -> list[Proposal]:
    """The proposals of a file, in the order of `TITLES`; a figure that it calls unknown is no proposal.

    Args:
        readings: of one file by each reader; the first is the one whose lines are shown.
    """
    found = [list(_found_values(reading)) for reading in readings]
    names = list(TITLES)
    keys: dict[tuple[str, str], None] = {}
    for one in (each for every in found for each in every):
        keys.setdefault((one.name, one.key))
    each_field = (_one(name, key, [_of(each, name, key) for each in found]) for name, key in keys)
    proposals = [one for one in each_field if one is not None]
    return sorted(proposals, key=lambda each: names.index(each.name))


def _of(candidates: Iterable[FoundValue], name: str, key: str) -> list[FoundValue]:
    return [one for one in candidates if one.name == name and one.key == key]


def _one(name: str, key: str, by_reader: Sequence[Sequence[FoundValue]]) -> Proposal | None:
    """The proposal for one field from the readers' values; None if the sheet says only that it isn't known."""
    chosen_from = next((each for each in by_reader if any(one.known for one in each)), None)
    if chosen_from is None:
        return None
    known = [one for one in chosen_from if one.known]
    chosen = next((one for one in known if not one.doubts), known[0])
    doubts = [doubt for one in chosen_from if _same(one) == _same(chosen) for doubt in one.doubts]
    values = [{_same(one) for one in each if NO_SHARE not in one.doubts} for each in by_reader]
    if any(len(each) > 1 for each in values):
        doubts.append(DIFFERENT)
    if len(by_reader) > 1:
        others = [each for each in by_reader if each is not chosen_from]
        if chosen_from is not by_reader[0] or not any(others):
            doubts.append(ONE_READER)
        elif any(each and each != values[0] for each in values[1:]):
            doubts.append(READERS_DISAGREE)
        elif not any(_confirms(each, chosen) for each in others):
            doubts += [doubt for each in others for one in each for doubt in one.doubts] or [ONE_READER]
    doubts = list(dict.fromkeys(doubts))
    return Proposal(
        name=name, key=key, value=chosen.value, shown=chosen.shown, sure=not doubts, doubts=tuple(doubts),
        page=chosen.line.page, line=chosen.line.number, section=chosen.section, words=chosen.line.text,
        figures=chosen.figures,
    )  # fmt: skip


def _confirms(found: Sequence[FoundValue], chosen: FoundValue) -> bool:
    """Whether another reader found the same without a doubt."""
    return bool(found) and all(_same(one) == _same(chosen) and not one.doubts for one in found)


def _same(one: FoundValue) -> str:
    """The key by which two candidates count as the same value."""
    shown = (
        one.shown
        if one.value is None
        else f"{one.value} {one.figures.get('sign', '')} {one.figures.get('high', '')}"
    )
    return " ".join(shown.casefold().split())


def _found_values(reading: SheetText) -> Iterator[FoundValue]:
    text = " ".join(line.text for line in reading.lines)
    language = language_of(text)
    comma_decimal = {"en": None}.get(language, True)
    sections = parted(reading)
    safety = len(set(sections.numbers)) >= 4
    found = (
        _of_safety(reading, sections, language, comma_decimal)
        if safety
        else _of_technical(reading, language, comma_decimal)
    )
    doubts = [NO_LANGUAGE] if foreign(text) else []
    if reading.scanned:
        doubts.append(FROM_A_PICTURE)
    if safety and several_parts([line for number in (1, 2, 3, 9, 14) for line in sections.lines(number)]):
        doubts.append(SEVERAL_PARTS)
    for one in found:
        yield replace(one, doubts=(*one.doubts, *doubts)) if doubts else one


def several_parts(lines: Iterable[SheetLine]) -> bool:
    """Whether lines speak of two components of a kit, each under its own letter or name."""
    met = {
        (found["letter"] or found["kind"]).casefold()
        for line in lines
        for cell in line.cells
        for found in _PART.finditer(cell.text)
    }
    return len(met) > 1 or not met.isdisjoint("bcd234")


def _of_safety(
    reading: SheetText, sections: Sections, language: str, comma_decimal: bool | None
) -> Iterator[FoundValue]:
    heads = [*reading.running, *sections.lines(None)]
    substances = list(composition(sections.lines(3), comma_decimal=comma_decimal))
    nine = properties(sections.lines(9), 9, comma_decimal=comma_decimal)
    if of_an_ingredient(sections.lines(9), names_of(substances)):
        nine = (_doubted(one, OF_AN_INGREDIENT) for one in nine)
    found = [
        *identity(sections.lines(1), heads, 1, language=language),
        *section_2(sections.lines(2)),
        *substances,
        *(replace(one, section=7) for one in lives(sections.lines(7), comma_decimal=comma_decimal)),
        *storage_temperatures(sections.lines(7), 7, comma_decimal=comma_decimal),
        *section_8(sections.lines(8), comma_decimal=comma_decimal),
        *nine,
        *section_10(sections.lines(10)),
        *section_14(sections.lines(14)),
    ]
    if not any(one.name == "revised_on" for one in found):
        found += [
            one for one in identity(sections.lines(16), (), 16, language=language) if one.name == "revised_on"
        ]
    places = {(each.line.page, each.line.number): each.section for each in sections.placed}
    for one in found:
        if one.name == "revised_on":  # it may be in a page header, or in any section
            one = replace(one, section=places.get((one.line.page, one.line.number)))  # noqa: PLW2901
        yield one if sections.orderly else _doubted(one, OUT_OF_ORDER)


def _of_technical(reading: SheetText, language: str, comma_decimal: bool | None) -> Iterator[FoundValue]:
    lines = list(reading.lines)
    yield from identity(lines, reading.running, None, language=language)
    for one in properties(lines, None, comma_decimal=comma_decimal):
        # A flash point outside section 9 may be an ingredient's, or one of a rule for storing.
        yield _doubted(one, NO_SECTIONS) if one.name in OF_SECTION_9 else one
    yield from technical(lines, comma_decimal=comma_decimal)
    yield from storage_temperatures(lines, None, comma_decimal=comma_decimal)


def _doubted(one: FoundValue, doubt: str) -> FoundValue:
    return replace(one, doubts=(*one.doubts, doubt))


def language(readings: Sequence[SheetText]) -> str:
    """The language of a file: `en`, `de`, `fr` or `es`."""
    return language_of(" ".join(line.text for reading in readings[:1] for line in reading.lines))


def language_of(text: str) -> str:
    """`en`, `de`, `fr` or `es`, by the short words that stand most often."""
    counts = _counts(_words(text), _LANGUAGE_WORDS)
    return max(counts, key=lambda name: counts[name])


def foreign(text: str) -> bool:
    """Whether a text is in a language that isn't read: its short words stand oftener, or there are hardly any."""
    words = _words(text)
    most = max(_counts(words, _LANGUAGE_WORDS).values())
    many = sum(count for word, count in words.items() if len(word) > 1)
    return max(_counts(words, _OTHER_WORDS).values()) > most or (many > 300 and most < many / 80)


@lru_cache(maxsize=8)
def _words(text: str) -> Counter[str]:
    return Counter(re.findall(r"[^\W\d_]+", text[:LANGUAGE_LETTERS].lower()))


def _counts(words: Mapping[str, int], languages: Mapping[str, str]) -> dict[str, int]:
    return {name: sum(words.get(word, 0) for word in short.split()) for name, short in languages.items()}
