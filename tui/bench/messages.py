"""What the Bench's threads post to its screen."""

from typing import Any

from textual.message import Message

from tui.dialogs.typed_mix import TypedMix, UnreadField


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
