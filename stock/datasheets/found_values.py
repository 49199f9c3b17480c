"""What one reader found for one field: a value with the line that it came from and what is doubtful about it."""

from dataclasses import dataclass, field

from stock.datasheets.page_lines import SheetLine
from stock.language import _


@dataclass(frozen=True, slots=True)
class FoundValue:
    """One value found.

    Attributes:
        name: the field: `flash_point`, `solvent`, `un_number` …
        value: as `entry.read` takes it, or as text; None where the sheet says that it isn't known.
        line: where it was found.
        section: of a safety data sheet; None in a technical one.
        key: what tells several of one field apart, as a CAS number.
        shown: as a person reads it.
        figures: ends, unit, sign, cup and the like, for scripts.
        doubts: why it isn't sure; empty where nothing speaks against it.
        known: whether it says anything but that the sheet doesn't know it.
    """

    name: str
    value: str | None
    line: SheetLine
    section: int | None
    key: str = ""
    shown: str = ""
    figures: dict[str, object] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()
    known: bool = True


def not_known(
    name: str, words: str, line: SheetLine, section: int | None, *, doubts: tuple[str, ...] = ()
) -> FoundValue:
    """What a sheet says that it doesn't know; it proposes nothing, but makes a figure elsewhere doubtful."""
    return FoundValue(
        name, None, line, section, shown=_('not known ("{words}")', words=words), doubts=doubts, known=False
    )
