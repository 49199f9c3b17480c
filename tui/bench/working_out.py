"""What the Bench's threads read: a typed mix worked out, and the state of an open mix."""

from stock.errors import UllageError
from stock.store.connection import connection
from tui.bench.advice import advice_for
from tui.bench.messages import MixRead, Planned
from tui.bench.open_mix import state_of
from tui.dialogs.typed_mix import TypedMix, UnreadField, planned


def worked_out(typed_mix: TypedMix) -> Planned:
    """A typed mix with its plan, or why there is none, and with its advice."""
    plan = unread = None
    with connection():
        try:
            plan = planned(typed_mix)
        except UnreadField as error:
            unread = error
        return Planned(typed_mix, plan, advice_for(typed_mix), unread)


def looked_at(number: int) -> MixRead | None:
    """The state of an open mix; None where it was closed or undone a moment ago."""
    with connection():
        try:
            return MixRead(state_of(number))
        except UllageError:
            return None
