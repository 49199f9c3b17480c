"""The fields in which a rule's figures are made tighter, each in its own unit."""

from collections.abc import Iterator, Mapping
from typing import Any

from stock.language import _
from tui.widgets.fields import Field


def figure_fields(rule: Any, now: Mapping[str, int] | None = None) -> Iterator[Field]:
    """A field for each figure of a rule that can be tightened.

    Args:
        rule: the rule of `stock.cautions`.
        now: the figures that the studio has tightened already.
    """
    from stock.cautions import rule_figures
    from stock.shelf.studio import settings

    measures = settings().measures
    for name, way in rule.tighter.items():
        found = rule_figures.unit_of(name)
        ships = name in rule.figures
        own = (
            rule_figures.shown(name, rule.figures[name], measures)
            if ships
            else _("each limit, in {unit}", unit=found.unit)
        )
        value = rule_figures.shown(name, now[name]) if now and name in now else ""
        yield Field(
            found.words[:1].upper() + found.words[1:], read=rule_figures.reader(name, measures, bare=True),
            blank=True, value=value, unit=found.unit, example=_("ships as {own}; only {way}", own=own,
            way=_(way)), id=f"figure-{name}",
        )  # fmt: skip
