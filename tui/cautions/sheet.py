"""One finding in full: why, since when, what to do, and the rule behind it with its figures."""

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.language import _
from tui.drawing.figures import short_day
from tui.drawing.sentences import by_keys
from tui.drawing.severity import sign
from tui.drawing.strips import shown
from tui.widgets.books_screen import words
from tui.widgets.overlay import OverlaySheet, ReadingOverlay


def about(finding: Finding) -> str:
    """The product, place or bottle that a finding concerns, in a few words; of several products the first."""
    what = finding.product or finding.place or _several(finding.others)
    return f"{what} · {finding.bottle}" if finding.bottle is not None else what


def _several(names: tuple[str, ...]) -> str:
    """`Flint Reducer +4`; the studio where no product is named."""
    if not names:
        return _("the studio")
    return names[0] if len(names) == 1 else f"{names[0]} +{len(names) - 1}"


def finding_text(finding: Finding) -> Content:
    """The finding in full, for under the list and for its sheet."""
    ink = f"bold ${finding.severity}" if finding.severity in ("stop", "warn") else "bold"
    return Content.assemble(
        (f"{sign(finding)}: ", ink),
        f"{shown(finding.message)}.\n",
        (_("Do    "), "$quiet"),
        f"{shown(by_keys(finding.remedy, 'cautions'))}.\n",
        (_("Rule  "), "$quiet"),
        f"{shown(finding.source)}",
    )


class FindingSheet(ReadingOverlay[None]):
    """Shows a finding with everything about its rule."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,enter", "dismiss", _("Close"))]

    def __init__(self, finding: Finding, safety: str) -> None:
        super().__init__()
        self._finding = finding
        self._safety = safety

    def compose(self) -> ComposeResult:
        """The finding, its rule, and who decides."""
        with OverlaySheet(id="sheet") as sheet:
            sheet.border_title = words(about(self._finding))
            sheet.border_subtitle = words(_("Esc  close"))
            yield Static(finding_text(self._finding), id="finding")
            yield Static(words("\n".join(self._places())), id="read")
            yield Static(words("\n".join(self._rule_lines())), id="rule")
            yield Static(words(self._safety), id="safety")

    def _places(self) -> list[str]:
        """Where its figures were read in data sheets."""
        from stock.cautions.read_from import in_words, read_from  # the books are open by now

        return [shown(text) for text in in_words(read_from([self._finding]).get(self._finding, ()))]

    def _rule_lines(self) -> list[str]:
        from stock.cautions import rule_figures
        from stock.cautions.rules import shipped
        from stock.shelf.studio import settings

        rule = shipped()[self._finding.code]
        lines = ["", _("Rule `{code}`", code=rule.code)]
        if self._finding.since is not None:
            lines.append(_("It applies since {since}.", since=short_day(self._finding.since)))
        measures = settings().measures
        lines += [f"  {rule_figures.in_words(name, value, measures)}" for name, value in rule.figures.items()]
        for limit in rule.limits:
            figures = rule_figures.limit_in_words(
                limit.figures, partial(rule_figures.in_words, measures=measures)
            )
            lines.append(f"  {limit.jurisdiction}: {limit.what} ({figures}); {limit.source}")
        return [*lines, ""]
