"""A value that one reader found for one field, with its line and its doubts."""

from dataclasses import dataclass, field

from stock.datasheets.page_lines import SheetLine
from stock.language import _


@dataclass(frozen=True, slots=True)
class FoundValue:
    """One value found.

    Attributes:
        name: the field: `flash_point`, `solvent`, `un_number` …
        value: as `entry.read` takes it, or as text; None if the sheet says that it isn't known.
        line: the line where it was found.
        section: of a safety data sheet; None in a technical one.
        key: distinguishes several values of one field, such as a CAS number.
        shown: as a person reads it.
        figures: ends, unit, sign, cup and the like, for scripts.
        doubts: why it isn't sure; empty if nothing speaks against it.
        known: False if the sheet says only that the figure is unknown.
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
    """A figure that the sheet says is unknown: it proposes nothing, but makes a figure elsewhere doubtful."""
    return FoundValue(
        name, None, line, section, shown=_('not known ("{words}")', words=words), doubts=doubts, known=False
    )
