"""The hazard statements that a label and section 2 of a safety data sheet print: H225, H301+H311, H360FD, EUH066.

Each is a row of hazard_statements.csv: its text from annex III of Regulation (EC) 1272/2008 (CLP), the mildest signal
word and the pictograms that annex I prescribes with it (from memory), and its hazards in the words of the cautions.
`source` says where the text was seen. H227, H401 and H402 belong to the UN GHS, not to the EU.
"""

import re
from collections.abc import Iterable
from functools import lru_cache

from stock import shipped_files
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple

NONE = "none"
PICTOGRAMS = {
    "GHS01": "exploding bomb", "GHS02": "flame", "GHS03": "flame over circle", "GHS04": "gas cylinder",
    "GHS05": "corrosion", "GHS06": "skull and crossbones", "GHS07": "exclamation mark", "GHS08": "health hazard",
    "GHS09": "environment",
}  # fmt: skip
"""The pictograms of annex V of the same regulation, by number."""

HAZARD_GROUPS = (
    "sensitiser", "respiratory_sensitiser", "cmr", "corrosive", "corrosive_to_metals", "toxic", "gas_under_pressure",
    "water_reactive", "acid_reactive", "self_heating", "aquatic", "drying_oil", "lead", "chromate", "cadmium",
)  # fmt: skip
"""Words for the hazards of a product that a studio can note where it has no sheet at hand; `cmr` is carcinogenic,
mutagenic or toxic to reproduction."""

_JOINED = r"\s*\+\s*"
_BETWEEN = r"[\s,;]+"


class Statement(NamedTuple):
    """One hazard statement; `signal` is empty where annex I prescribes none or it differs by category."""

    code: str
    text: str
    signal: str
    pictograms: tuple[str, ...]
    hazards: tuple[str, ...]
    source: str


@lru_cache(maxsize=1)
def statements() -> dict[str, Statement]:
    """Every statement by its code."""
    import csv  # only for a product with statements

    text = shipped_files.text_of("hazard_statements.csv")
    return {
        row["code"]: Statement(
            code=row["code"],
            text=_(row["text"]),
            signal=row["signal"],
            pictograms=tuple(row["pictograms"].split()),
            hazards=tuple(row["hazards"].split()),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


@lru_cache(maxsize=1)
def _by_folded() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for code in statements():
        found[code.casefold()] = (*found.get(code.casefold(), ()), code)
    return found


def read(text: str) -> tuple[str, ...]:
    """The statements listed in a text, each once, in its order; none for the word `none`.

    `H301+311` and `h311 + h301` are read as H301+H311.

    Args:
        text: codes between blanks, commas or semicolons.
    Raises:
        BadInput: one of them is no hazard statement, or could be two that differ in capital letters.
    """
    written = re.sub(_JOINED, "+", text.strip())
    if written.casefold() == NONE:
        return ()
    words = [word for word in re.split(_BETWEEN, written) if word]
    return tuple(dict.fromkeys(_statement(word) for word in words))


def _statement(word: str) -> str:
    joined = _joined(word)
    if joined in statements():
        return joined
    found = _by_folded().get(joined.casefold(), ())
    if len(found) == 1:
        return found[0]
    if found:
        raise BadInput(
            _("{word!r} could be {found}", word=word[:20], found=_(" or ").join(found)),
            remedy=_("Write its letters as the sheet prints them"),
        )
    raise BadInput(_("there is no hazard statement {word!r}", word=word[:20]), remedy=_nearest(joined))


def _joined(word: str) -> str:
    """The normal form of a combined statement: an H before each number, the lowest number first."""
    parts = word.split("+")
    if len(parts) == 1:
        return word[:1].upper() + word[1:] if word[:1] in "hH" else word
    codes = [part.upper() if part[:1] in "hH" else f"H{part}" for part in parts]
    return "+".join(sorted(codes))


def _nearest(word: str) -> str:
    """A remedy with the statements that begin alike."""
    for letters in range(len(word) - 1, 2, -1):
        alike = [code for code in statements() if code.casefold().startswith(word[:letters].casefold())]
        if alike:
            shown = ", ".join(alike[:6])
            return _(
                "There are {shown}; copy it from section 2 of the safety data sheet, or write none",
                shown=shown,
            )
    return _("Copy it from section 2 of the safety data sheet, as H225, H301+H311 or EUH066, or write none")


def read_pictograms(text: str) -> tuple[str, ...]:
    """The pictograms listed in a text by number or name, each once: `GHS02, exclamation mark`; none for `none`.

    Raises:
        BadInput: one of them is no pictogram.
    """
    if text.strip().casefold() == NONE:
        return ()
    said = {each: code for code, name in PICTOGRAMS.items() for each in (name, code.casefold())}
    longest_first = sorted(said, key=len, reverse=True)
    left = " ".join(word for word in re.split(_BETWEEN, text.casefold()) if word)
    found = []
    while left:
        word = next((each for each in longest_first if f"{left} ".startswith(f"{each} ")), None)
        if word is None:
            known = ", ".join(f"{code} {name}" for code, name in PICTOGRAMS.items())
            raise BadInput(
                _("{left!r} is no pictogram", left=left[:20]),
                remedy=_("Write some of {known}, or none", known=known),
            )
        found.append(said[word])
        left = left[len(word) :].strip()
    return tuple(dict.fromkeys(found))


def hazards_of(codes: Iterable[str]) -> frozenset[str]:
    """The hazards of some statements, in the words of the CSV column; unknown codes are ignored."""
    known = statements()
    return frozenset(hazard for code in codes if code in known for hazard in known[code].hazards)


def text_of(codes: Iterable[str]) -> str:
    """Statements with their texts, one sentence each: `H317 May cause an allergic skin reaction.`."""
    known = statements()
    return " ".join(f"{code} {known[code].text}." if code in known else f"{code}." for code in codes)
