"""Reading sections 2, 8, 10 and 14 of a product's safety data sheet into columns of the product.

A column that is None, or an empty text of sections 8 and 10, is unknown. An empty text of sections 2 and 14 means that
the sheet says there is none: no hazard statement, no pictogram, no dangerous goods in transport.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from stock.errors import BadInput
from stock.hazard_statements import NONE, read, read_pictograms
from stock.language import _
from stock.store.words import PACKING_GROUPS, SIGNAL_WORDS
from stock.text import note as clean_note

_UN_NUMBER = r"(?ai:(?:UN|ID)?\s*(\d{4}))"
TRANSPORT_CLASSES = (
    "1.1", "1.2", "1.3", "1.4", "1.5", "1.6", "2", "2.1", "2.2", "2.3", "3", "4.1", "4.2", "4.3", "5.1", "5.2", "6.1",
    "6.2", "7", "8", "9",
)  # fmt: skip
"""Classes and divisions of the UN Recommendations on the Transport of Dangerous Goods; ADR prints aerosols as 2."""
_CLASS = r"(?P<main>[\d.]+)\s*(?:\((?P<also>[\d.,\s+]+)\))?"
_ROMAN = {"1": "I", "2": "II", "3": "III"}
LONGEST = 300
"""The most letters of a text that is kept as printed."""


def _signal_word(text: str) -> str:
    word = text.strip().lower()
    if word not in SIGNAL_WORDS:
        raise BadInput(
            _("{text!r} is no signal word", text=text[:20]), remedy=_("Write danger, warning or none")
        )
    return word


def _un_number(text: str) -> str:
    if text.strip().lower() == NONE:
        return ""
    found = re.fullmatch(_UN_NUMBER, text.strip())
    if found is None:
        raise BadInput(
            _("{text!r} is no UN number", text=text[:20]),
            remedy=_(
                "Write its four digits, as 1263, or none where the sheet says that it is no dangerous goods"
            ),
        )
    return found[1]


def _transport_class(text: str) -> str:
    if text.strip().lower() == NONE:
        return ""
    found = re.fullmatch(_CLASS, text.strip())
    parts = [found["main"], *re.split(r"[,\s+]+", (found["also"] or "").strip())] if found else []
    words = [part for part in parts if part]
    if not words or any(word not in TRANSPORT_CLASSES for word in words):
        raise BadInput(
            _("{text!r} is no class of dangerous goods", text=text[:20]),
            remedy=_("Write it as 3, 2.1 or, with a subsidiary hazard, 3 (8); none where there is none"),
        )
    return words[0] + (f" ({', '.join(words[1:])})" if words[1:] else "")


def _packing_group(text: str) -> str:
    word = text.strip().upper()
    if word.casefold() == NONE:
        return ""
    group = _ROMAN.get(word, word)
    if group not in PACKING_GROUPS:
        raise BadInput(
            _("{text!r} is no packing group", text=text[:20]), remedy=_("Write I, II, III or none")
        )
    return group


def _as_printed(what: str) -> Callable[[str], str]:
    def keep(text: str) -> str:
        kept = clean_note(" ".join(text.split()))
        if len(kept) > LONGEST:
            raise BadInput(
                _("the {what} has {kept} letters", what=what, kept=len(kept)),
                remedy=_("Write what matters in at most {longest}", longest=LONGEST),
            )
        return kept

    return keep


def _words(read_words: Callable[[str], tuple[str, ...]]) -> Callable[[Any], str]:
    def kept(value: str | Sequence[str]) -> str:
        return " ".join(read_words(value if isinstance(value, str) else ", ".join(value)))

    return kept


def _p_statements(text: str) -> tuple[str, ...]:
    from stock import precautionary_statements  # only where they are noted

    return precautionary_statements.read(text)


READERS: Mapping[str, Callable[[Any], str]] = {
    "signal_word": _signal_word,
    "h_statements": _words(read),
    "p_statements": _words(_p_statements),
    "pictograms": _words(read_pictograms),
    "gloves": _as_printed(_("gloves' text")),
    "eye_protection": _as_printed(_("eye protection's text")),
    "breathing_protection": _as_printed(_("breathing protection's text")),
    "un_number": _un_number,
    "transport_class": _transport_class,
    "packing_group": _packing_group,
    "incompatible": _as_printed(_("incompatible materials' text")),
}
"""The reader of each field; the columns of `models.Product` have the same names."""

AS_PRINTED = ("gloves", "eye_protection", "breathing_protection", "incompatible")
"""Fields that keep the sheet's own words; an empty one is unknown."""


def column(key: str) -> Callable[[Any], dict[str, Any]]:
    """The function that reads a field into its column."""
    return lambda value: {key: READERS[key](value)}


FORGOTTEN: Mapping[str, dict[str, Any]] = {key: {key: "" if key in AS_PRINTED else None} for key in READERS}
"""The value that an empty text gives a field: unknown."""


KEPT_KNOWN = (
    "signal_word", "h_statements", "pictograms", "un_number", "transport_class", "packing_group", "incompatible",
)  # fmt: skip
"""Fields with a warning that can be corrected but not become unknown, because a caution depends on them."""


def refuse_forgetting(before: Any, now: Any) -> None:
    """Refuse an errand that makes a warning of the safety sheet unknown.

    Args:
        before, now: the product or the line as it was, and as it would be.
    Raises:
        BadInput: what was noted in one of the fields isn't known any more.
    """
    for key in KEPT_KNOWN:
        noted = getattr(before, key)
        if getattr(now, key) == FORGOTTEN[key][key] and noted and noted != NONE:
            raise BadInput(
                _(
                    "the {replace} {noted} of {name} can't become unknown",
                    replace=key.replace("_", " "),
                    noted=noted,
                    name=before.name,
                ),
                remedy=_("Write what the sheet says instead, or none; nothing was changed"),
            )


def protection(row: Any) -> str:
    """Section 8 in one line; empty if nothing of it is noted."""
    parts = (("gloves", row.gloves), ("eyes", row.eye_protection), ("breathing", row.breathing_protection))
    return "; ".join(f"{what}: {text}" for what, text in parts if text)


def written(row: Any) -> dict[str, str]:
    """The fields as a person would write them; empty if unknown, `none` if the sheet says that there is none."""
    texts = {}
    for key in READERS:
        value = getattr(row, key)
        texts[key] = NONE if value == "" and key not in AS_PRINTED else value or ""
    return texts


def as_json(row: Any) -> dict[str, Any]:
    """The fields for scripts: lists of words, None for what is not known, an empty list or text for none."""
    listed = ("h_statements", "p_statements", "pictograms")
    values = {key: getattr(row, key) for key in READERS}
    return {
        key: (value.split() if value is not None and key in listed else value or None)
        if key in listed or key in AS_PRINTED
        else value
        for key, value in values.items()
    }
