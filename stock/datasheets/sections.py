"""The sixteen sections of a safety data sheet: which of them each line belongs to."""

import re
from itertools import pairwise

from stock.datasheets.page_lines import SheetLine, SheetText
from stock.datasheets.section_titles import heading
from stock.named_tuples import NamedTuple

_POINTS_ELSEWHERE = re.compile(
    r"\b(?:see|refer to|in|of|also|under|siehe|in|vgl\.?|gem[äa][sß]+|voir|cf\.?|à|la|selon|v[ée]ase|ver|"
    r"consulte|en)\s*$",
    re.IGNORECASE,
)


class Placed(NamedTuple):
    """A line and its section; None before the first heading."""

    line: SheetLine
    section: int | None
    heads: bool = False


class Sections(NamedTuple):
    """A reading's lines by section.

    Attributes:
        placed: every line in order.
        numbers: the numbers of the headings, in order.
        orderly: whether the numbers rise, as in a sheet that was read in the right order.
    """

    placed: tuple[Placed, ...]
    numbers: tuple[int, ...]
    orderly: bool

    def lines(self, *sections: int | None) -> list[SheetLine]:
        """The lines of some sections, without their headings."""
        return [each.line for each in self.placed if each.section in sections and not each.heads]


def parted(text: SheetText) -> Sections:
    """The lines by section."""
    placed: list[Placed] = []
    numbers: list[int] = []
    all_lines = text.lines
    page = 0
    section: int | None = None
    for at, line in enumerate(all_lines):
        if line.page > page + 1:  # the reader skipped pages
            section = text.begins.get(line.page, section)
        page = line.page
        following = all_lines[at + 1].text if at + 1 < len(all_lines) else ""
        before = all_lines[at - 1].text if at else ""
        number = heading(line.text, following)
        if number is not None and not _POINTS_ELSEWHERE.search(before):
            section = number
            if not numbers or numbers[-1] != number:
                numbers.append(number)
            placed.append(Placed(line, section, heads=True))
        else:
            placed.append(Placed(line, section))
    numbers = numbers[_contents(placed) :]
    return Sections(tuple(placed), tuple(numbers), numbers == sorted(numbers))


def _contents(placed: list[Placed]) -> int:
    """How many headings belong to a table of contents: they rise line by line, and then the first comes again."""
    heads = [(at, each.section or 0) for at, each in enumerate(placed) if each.heads]
    run = 0
    for (at, number), (next_at, next_number) in pairwise(heads):
        if next_at - at > 1 or next_number <= number:
            break
        run += 1
    again = run + 1 < len(heads) and heads[run + 1][1] <= heads[0][1]
    return run + 1 if run >= 7 and again else 0
