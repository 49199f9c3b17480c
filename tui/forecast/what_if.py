"""The assumptions that can be made on the Forecast, and their text."""

from stock.forecast.facts import WhatIf
from stock.language import _
from stock.named_tuples import NamedTuple
from tui.drawing.figures import count

USE_STEP = 10
LEAST_USE, MOST_USE = -90, 300
LATER = (0, 3, 7, 14, 28)
RISKS = (0.10, 0.05, 0.01)
MOST_BOTTLES = 5


class Assumptions(NamedTuple):
    """What is assumed differently from the books and settings.

    Attributes:
        use: per cent more (or less) use.
        later: days that every delivery comes later.
        bottles: additional bottles of each product.
        risk: chance of running dry that is accepted; None: the studio's own.
    """

    use: int = 0
    later: int = 0
    bottles: int = 0
    risk: float | None = None

    @property
    def plain(self) -> bool:
        """Whether nothing is assumed."""
        return self == Assumptions()

    def asked(self, risk: float) -> WhatIf:
        """The assumptions for the forecast; `risk` is the studio's own."""
        return WhatIf(
            risk=self.risk if self.risk is not None else risk,
            more_use=1 + self.use / 100,
            later_days=self.later,
            more_bottles=self.bottles,
        )

    def used(self, way: int) -> "Assumptions":
        """Ten per cent more use, or less."""
        return self._replace(use=min(max(self.use + way * USE_STEP, LEAST_USE), MOST_USE))

    def delayed(self) -> "Assumptions":
        """The next delay, or none after the longest."""
        return self._replace(later=LATER[(LATER.index(self.later) + 1) % len(LATER)])

    def served(self, risk: float) -> "Assumptions":
        """The next service: 90, 95, 99 %; `risk` is the studio's own."""
        now = self.risk if self.risk is not None else risk
        place = RISKS.index(now) if now in RISKS else 0
        following = RISKS[(place + 1) % len(RISKS)]
        return self._replace(risk=None if following == risk else following)

    def stocked(self) -> "Assumptions":
        """One bottle more, or none again."""
        return self._replace(bottles=(self.bottles + 1) % (MOST_BOTTLES + 1))

    def words(self, risk: float) -> str:
        """The assumptions in one line, or the keys that make them; `risk` is the studio's own."""
        service = _("{risk:.0%} sure", risk=1 - (self.risk if self.risk is not None else risk))
        if self.plain:
            return _("What if?  +/- use  l later deliveries  s {service}  b one bottle more", service=service)
        parts = [_("use {use:+d} %", use=self.use)] if self.use else []
        if self.later:
            parts.append(_("deliveries {later} later", later=count(self.later, "day")))
        if self.bottles:
            parts.append(_("{bottles} more of each", bottles=count(self.bottles, "bottle")))
        return _("What if: {value}.  0 as it is", value=", ".join([*parts, service]))
