"""Text from people, cleaned once for all outputs: screens, commands, exports and labels."""

import unicodedata

from stock.errors import BadInput
from stock.language import _
from stock.notation import in_thousands

_CONTROLS = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
SELECTORS = {ord("\ufe0e"): None, ord("\ufe0f"): None}
"""Selectors of text or emoji style, which are dropped because terminals disagree about their effect on width."""
LONGEST_NAME = 80
LONGEST_NOTE = 2_000


def plain(text: str, most: int = 200) -> str:
    """The text without control, direction or line characters, cut to `most` letters.

    Each removed character is shown as U+FFFD, so that a person sees that something was there. Joined emoji
    come apart, which is acceptable on a label.
    """
    shown = "".join(
        "\ufffd" if unicodedata.category(letter) in _CONTROLS else letter
        for letter in text[:most].translate(SELECTORS)
    )
    return shown + "…" * (len(text) > most)


def name(text: str, *, what: str = _("name"), most: int = LONGEST_NAME) -> str:
    """A name as the books keep it: trimmed, with single blanks, in normal form C.

    Args:
        text: the typed text.
        what: its name in the error, e.g. "product name".
        most: the most letters it may have.
    Raises:
        BadInput: empty, longer than `most`, or holding control or direction characters.
    """
    cleaned = " ".join(unicodedata.normalize("NFC", text).split())
    if not cleaned:
        raise BadInput(_("the {what} is empty", what=what), remedy=_("Write 1 to {most} letters", most=most))
    if len(cleaned) > most:
        raise BadInput(
            _("the {what} has {cleaned} letters", what=what, cleaned=len(cleaned)),
            remedy=_("Write 1 to {most} letters", most=most),
        )
    if not cleaned.isprintable() and any(unicodedata.category(letter) in _CONTROLS for letter in cleaned):
        raise BadInput(
            _("the {what} holds a control or direction character", what=what),
            remedy=_("Type it again with letters, digits, blanks and signs only"),
        )
    return cleaned


def note(text: str) -> str:
    """A note as the books keep it: trimmed, control characters replaced; may be empty.

    Raises:
        BadInput: longer than 2,000 letters.
    """
    cleaned = plain(text.strip(), LONGEST_NOTE + 1)
    if len(cleaned) > LONGEST_NOTE:
        raise BadInput(
            _("the note has {text} letters", text=len(text.strip())),
            remedy=_("Write at most {longest_note}", longest_note=in_thousands(LONGEST_NOTE)),
        )
    return cleaned


def not_text(error: UnicodeEncodeError) -> BadInput:
    """The error for a text with invalid UTF-8, which no file or database can hold."""
    return BadInput(
        _("{object!r} holds bytes that are not UTF-8", object=plain(str(error.object), 40)),
        remedy=_("Type it anew, in a terminal that is set to UTF-8; nothing was booked"),
    )


def folded(text: str) -> str:
    """The form in which names are compared: case folded, with single blanks, in normal form KC."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
