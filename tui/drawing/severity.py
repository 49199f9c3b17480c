"""The sign and the word of each severity, which is never shown by colour alone."""

from collections.abc import Sequence

from textual.content import Content

from stock.cautions.facts import NOT_TO_USE, Finding
from stock.language import _
from tui.drawing.sentences import by_keys
from tui.drawing.strips import shown

_WORDS = {"warn": _("Look out"), "note": _("Note")}
MARKS = {"stop": "✕", "warn": "!", "note": "·", "": ""}


def sign(finding: Finding) -> str:
    """The sign and the word of a finding, the same on every screen: `✕ Don't use`, `! Look out`."""
    stop = _("Don't use") if finding.action in NOT_TO_USE else _("Stop")
    return f"{MARKS[finding.grade]} {stop if finding.not_to_use else _WORDS[finding.severity]}"


def findings_text(findings: Sequence[Finding]) -> Content:
    """The cautions, each with its sign and word, its message, what to do, and its source."""
    parts: list[Content | tuple[str, str]] = []
    for finding in findings:
        parts += [
            (f"{sign(finding)}: ", f"bold ${finding.severity}"
             if finding.severity in ("stop", "warn") else "bold"),
            Content(f"{shown(finding.message)}.\n"),
            Content(_("  Do: {remedy}.\n", remedy=shown(by_keys(finding.remedy)))),
            (_("  Rule: {source}\n", source=shown(finding.source)), "$quiet"),
        ]  # fmt: skip
    return Content.assemble(*parts)
