"""The weight on the scale, live: it is asked for a few times a second, however often the scale sends."""

from typing import TYPE_CHECKING

from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from stock.language import _
from stock.units import Milligrams
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import shown
from tui.widgets.shell import shell_of

if TYPE_CHECKING:
    from stock.scale.listening import HeardScale
    from stock.scale.standing_still import StandingWeight

EVERY_S = 0.1
LIFTED = 5
"""A change of more digits than this is no noise: something was put on the scale or taken off it."""
NO_SCALE = _("No scale is set on this bench. Set where it is plugged in under Scale in the settings (key ,).")


class LiveWeight(Widget):
    """A line with what the scale shows, whether it stands still, or why there is nothing."""

    DEFAULT_CSS = "LiveWeight { height: auto; min-height: 1; margin-top: 1; }"

    class Changed(Message):
        """The scale shows something else, or stands still now."""

        def can_replace(self, message: Message) -> bool:
            """Only the newest matters."""
            return isinstance(message, LiveWeight.Changed)

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name for it
        super().__init__(id=id)
        self.heard: HeardScale | None = None

    def on_mount(self) -> None:
        self._ask()
        self.set_interval(EVERY_S, self._ask)

    def _ask(self) -> None:
        scale = shell_of(self).scale
        heard = scale.start().heard() if scale is not None else None
        if heard is None or self.heard is None or self._looks(heard) != self._looks(self.heard):
            changed = heard is not None or self.heard is not None
            self.heard = heard
            if changed:
                self.refresh(layout=True)
                self.post_message(self.Changed())

    @staticmethod
    def _looks(heard: "HeardScale") -> tuple[object, ...]:
        reading = heard.reading
        shows = None if reading is None else (reading.mass_mg, reading.refused, reading.unit)
        return str(heard.trouble or ""), shows, heard.weight

    @property
    def standing_weight(self) -> "StandingWeight | None":
        """The weight that stands still now."""
        return self.heard.weight if self.heard is not None else None

    @property
    def live_mg(self) -> Milligrams | None:
        """The weight that the scale shows now, standing still or not."""
        return (
            self.heard.reading.mass_mg if self.heard is not None and self.heard.reading is not None else None
        )

    @property
    def resolution_mg(self) -> Milligrams:
        """The last digit of the scale; 1 before the first reading."""
        reading = self.heard.reading if self.heard is not None else None
        return Milligrams(max(1, reading.resolution_mg if reading is not None else 1))

    def why_none(self) -> str:
        """Why no weight stands still, as a sentence."""
        if self.heard is None:
            return NO_SCALE
        if self.heard.trouble is not None:
            return sentence_for(self.heard.trouble)
        if self.heard.reading is None:
            return _("The scale sends nothing: press its print key, or set it to sending by itself.")
        if self.heard.reading.mass_mg is None:
            return f"{self.heard.reading.refused[:1].upper()}{self.heard.reading.refused[1:]}."
        return _("The weight doesn't stand still yet.")

    def render(self) -> Content:
        heard = self.heard
        if (
            heard is None
            or heard.trouble is not None
            or heard.reading is None
            or heard.reading.mass_mg is None
        ):
            return Content.assemble((shown(f"! {self.why_none()}"), "$warn"))
        weight = Content.assemble((shown(heard.reading.words), "bold"))
        if heard.weight is not None:
            return Content.assemble(_("On the scale: "), weight, "   ", (_("● stands still"), "$good"))
        return Content.assemble(_("On the scale: "), weight, "   ", (_("○ moves"), "$quiet"))
