"""What the Bench's threads post to its screen, and what its key books."""

from typing import Any

from rich.cells import cell_len
from textual.message import Message

from stock.language import _
from tui.dialogs.typed_mix import TypedMix, UnreadField
from tui.drawing.strips import fit_middle


class Planned(Message):
    """A typed mix worked out: a plan with its advice, or why there is none."""

    def __init__(self, typed_mix: TypedMix, plan: Any, advice: Any, unread: UnreadField | None) -> None:
        super().__init__()
        self.typed_mix = typed_mix
        self.plan = plan
        self.advice = advice
        self.unread = unread

    def can_replace(self, message: Message) -> bool:
        """Only the newest typed mix is shown."""
        return isinstance(message, Planned)


class MixRead(Message):
    """The state of an open mix was read from the books."""

    def __init__(self, state: Any) -> None:
        super().__init__()
        self.state = state

    def can_replace(self, message: Message) -> bool:
        """Only the newest is shown."""
        return isinstance(message, MixRead)


class Booked(Message):
    """The mix is in the books."""

    def __init__(self, answer: Any) -> None:
        super().__init__()
        self.answer = answer


def what_is_booked(plan: Any, room: int) -> str:
    """What the key books: the first paint's name, and how many more; `it` without a plan.

    Args:
        plan: the planned mix, or None.
        room: cells for the words.
    """
    pours = plan.pours if plan is not None else ()
    names = list(dict.fromkeys(pour.product for pour in pours if pour.part != "reducer"))
    if not names:
        return _("it")
    more = f" +{len(names) - 1}" if len(names) > 1 else ""
    return fit_middle(names[0], min(cell_len(names[0]), max(6, room - len(more)))) + more
