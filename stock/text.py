"""Text from people, made safe once for every face: screens, commands, exports and labels."""

import unicodedata

from stock.errors import BadInput

_CONTROLS = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
SELECTORS = {ord("\ufe0e"): None, ord("\ufe0f"): None}
"""What asks for a sign as text or as emoji: terminals disagree how wide that makes it, so it is left out."""
LONGEST_NAME = 80
LONGEST_NOTE = 2_000


def plain(text: str, most: int = 200) -> str:
    """Text that can only be read: no control, direction or line characters, at most `most` letters.

    What may not stand is shown as U+FFFD, so that a person sees that something was there. Joined emoji
    are taken apart, which is acceptable on a label.
    """
    shown = "".join(
        "\ufffd" if unicodedata.category(letter) in _CONTROLS else letter
        for letter in text[:most].translate(SELECTORS)
    )
    return shown + "…" * (len(text) > most)


def name(text: str, *, what: str = "name", most: int = LONGEST_NAME) -> str:
    """A name as the books keep it: trimmed, runs of blanks made one, NFC.

    Args:
        text: what was typed.
        what: the word used in the refusal, e.g. "product name".
        most: the most letters it may have.
    Raises:
        BadInput: empty, longer than `most`, or holding control or direction characters.
    """
    cleaned = " ".join(unicodedata.normalize("NFC", text).split())
    if not cleaned:
        raise BadInput(f"the {what} is empty", remedy=f"Write 1 to {most} letters")
    if len(cleaned) > most:
        raise BadInput(f"the {what} has {len(cleaned)} letters", remedy=f"Write 1 to {most} letters")
    if not cleaned.isprintable() and any(unicodedata.category(letter) in _CONTROLS for letter in cleaned):
        raise BadInput(
            f"the {what} holds a control or direction character",
            remedy="Type it again with letters, digits, blanks and signs only",
        )
    return cleaned


def note(text: str) -> str:
    """A note as the books keep it: controls replaced, trimmed; may be empty.

    Raises:
        BadInput: longer than 2,000 letters.
    """
    cleaned = plain(text.strip(), LONGEST_NOTE + 1)
    if len(cleaned) > LONGEST_NOTE:
        raise BadInput(f"the note has {len(text.strip())} letters", remedy=f"Write at most {LONGEST_NOTE:,}")
    return cleaned


def not_text(error: UnicodeEncodeError) -> BadInput:
    """The refusal of a text that holds what no file or database can: bytes of a terminal that aren't UTF-8."""
    return BadInput(
        f"{plain(str(error.object), 40)!r} holds signs that are no letters",
        remedy="Type it anew, in a terminal that is set to UTF-8; nothing was booked",
    )


def folded(text: str) -> str:
    """The form in which names are compared: without regard to case and width of blanks."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
