"""Which pages of a PDF are worth reading by rows and by place, which takes ten times as long as reading text."""

import re

from stock.datasheets.labels import label_of
from stock.datasheets.page_lines import tidied
from stock.datasheets.section_titles import heading

_WANTED = frozenset((1, 2, 3, 8, 9, 10, 14))
_CODES = re.compile(r"(?<![\d-])\d{2,7}-\d{2}-\d(?![\d-])|\b(?:EUH|H|P|GHS|UN ?)\d{2,4}")
WITHOUT_SECTIONS = 12
"""How many pages of a file without sections are read by place, too."""


def pages_with_figures(flow: list[tuple[int, str]]) -> dict[int, int | None]:
    """The pages that may contain a proposal, each with the section in which it begins.

    They are the first page, and pages of a wanted section with a code or a known label; if there are no sections, the
    first pages.
    """
    found: dict[int, int | None] = {1: None}
    section: int | None = None
    met: set[int] = set()
    for page, text in flow:
        begins, here, says = section, {section}, False
        lines = [tidied(each) for each in text.splitlines() if each.strip()]
        for line, following in zip(lines, [*lines[1:], ""], strict=False):
            number = heading(line, following)
            if number is not None:
                section = number
                met.add(number)
                here.add(number)
            else:
                says = says or label_of(line) is not None or _CODES.search(line) is not None
        if says and here & _WANTED:
            found.setdefault(page, begins)
    if len(met) < 4:
        return {page: None for page, _ in flow[:WITHOUT_SECTIONS]}
    return dict(sorted(found.items()))
