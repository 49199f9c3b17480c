"""Headings for lists of findings: by action, and for missing facts by the product's line."""

from __future__ import annotations

from collections.abc import Sequence

from stock.cautions.facts import Finding
from stock.cautions.missing import of_a_record
from stock.language import _
from stock.named_tuples import NamedTuple

HEADINGS = {
    "dont_mix": _("Don't mix"),
    "throw_away": _("Throw away, or test first"),
    "move": _("Move"),
    "use_first": _("Use first"),
    "find_out": _("Find out"),
    "take_care": _("Take care"),
}
"""The actions of findings, in words."""

NO_LINE = _("no line")


class ListedFindings(NamedTuple):
    """Findings under one heading, with the heading's words and what it counts."""

    words: str
    unit: str
    findings: tuple[Finding, ...]


def under_headings(found: Sequence[Finding]) -> list[ListedFindings]:
    """Findings under headings by action, in the order of their first finding.

    Missing facts of products come after everything else to find out: a heading for each line, products without a line
    last, one row for each product.

    Args:
        found: gravest first.
    """
    listed: list[ListedFindings] = []
    for action in dict.fromkeys(each.action for each in found):
        mine = [each for each in found if each.action == action]
        others = tuple(each for each in mine if not of_a_record(each))
        listed += [ListedFindings(HEADINGS[action], "finding", others)] * bool(others)
        missing = [each for each in mine if of_a_record(each)]
        for line in sorted({each.line for each in missing}, key=lambda line: (not line, line)):
            rows = tuple(each for each in missing if each.line == line)
            listed.append(ListedFindings(_("Fill in: {line}", line=line or NO_LINE), "product", rows))
    return listed


def beside_its_name(finding: Finding) -> str:
    """The message without the name of its subject, for a row that shows the name already."""
    name = finding.product or finding.place
    if not name:
        return finding.message
    rest = finding.message.removeprefix(f"{name} ").replace(f": {name}. ", ": ", 1)
    return rest[:1].upper() + rest[1:]
