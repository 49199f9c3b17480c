"""The Bench's page: what it says about a typed mix, or about an open mix."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stock.language import _
from tui.bench.advice import MixAdvice, advice_lines, more_lines
from tui.bench.bottle_board import drawn
from tui.bench.open_mix import OpenMixState, lines_of
from tui.dialogs.typed_mix import UnreadField
from tui.drawing.bottle import Inks, Line, Run
from tui.drawing.mix import everything
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import wrapped

EMPTY = (
    _("Type a few letters of a paint, an amount, a needle."),
    _(
        "Before anything is booked, this page shows where to start thinning, how far to go and "
        "in what steps, what the mix takes from which bottles, and every caution."
    ),
)


def queue_texts(queue: Sequence[Any]) -> list[str]:
    """For each job that needs mixes: which is next, and what follows."""
    of_jobs: dict[str, list[str]] = {}
    for each in queue:
        of_jobs.setdefault(each.job, []).append(each.words)
    return [
        _("Next for {job}: {mixes}. Esc, then x fills in the form.", job=job, mixes=_(", then ").join(mixes))
        for job, mixes in of_jobs.items()
    ]


@dataclass(frozen=True, slots=True)
class MixPage:
    """How the page is laid out.

    Args:
        width: its cells.
        tall: whether there is room to draw the bottles.
        inks: their colours.
        drops_milli: the studio's drops a millilitre, thousandths.
    """

    width: int
    tall: bool
    inks: Inks
    drops_milli: int

    def of_mix(self, state: OpenMixState) -> list[Line]:
        return lines_of(state, self.width, self.drops_milli)

    def of_wish(
        self,
        plan: Any,
        advice: MixAdvice | None,
        unread: UnreadField | None,
        *,
        typed: bool,
        queue: Sequence[Any] = (),
    ) -> list[Line]:
        """The mix in the form.

        Args:
            plan: the planned mix, if it can be made.
            advice: the advice, if the form names a paint.
            unread: why there is no plan.
            typed: whether the field that can't be read has a text in it.
            queue: the mixes that jobs still need; an empty form shows them.
        """
        if plan is None and advice is None and unread is None:
            texts = [*EMPTY, *queue_texts(queue)]
            return [(Run(line, "quiet"),) for text in texts for line in wrapped(text, self.width)]
        reduction = plan.reduction if plan is not None else None
        now = float(reduction.percent_of_paint) if reduction is not None else 0.0
        lines: list[Line] = []
        if (
            plan is None and unread is not None and typed
        ):  # in a low window it must not stand beneath the advice
            lines += [*self._refusal(unread, typed=True), ()]
        if advice is not None:
            lines += [*advice_lines(advice, self.width, now or None), ()]
        if plan is not None:
            lines += self._plan(plan)
        elif unread is not None and not typed:
            lines += self._refusal(unread, typed=False)
        if advice is not None:
            lines += [(), *more_lines(advice, self.width)]
        return lines

    def _plan(self, plan: Any) -> Sequence[Line]:
        lines = everything(plan, self.width, self.inks, self.drops_milli)
        return [*drawn(plan, self.width, self.inks), (), *lines] if self.tall else lines

    def _refusal(self, unread: UnreadField, *, typed: bool) -> list[Line]:
        ink = "stop" if typed else "quiet"
        lines: list[Line] = [(Run(_("Nothing can be booked yet."), "ink", None, bold=True),)]
        return lines + [(Run(text, ink),) for text in wrapped(sentence_for(unread.error), self.width)]
