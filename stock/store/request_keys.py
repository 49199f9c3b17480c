"""Keys that callers give their errands, so that a repeat gets the first answer and books nothing."""

import json
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.store.models import Request, database
from stock.store.orm import pw

LONGEST_KEY = 200


def answered(kind: str, key: str) -> dict[str, Any] | None:
    """The answer to the errand booked with this key, or None without one; called inside the errand's transaction.

    Raises:
        BadInput: the key is empty or too long, or was used for an errand of another kind.
    """
    if not key or len(key) > LONGEST_KEY:
        raise BadInput(
            _("a request key has 1 to {longest_key} letters", longest_key=LONGEST_KEY),
            remedy=_("Make a shorter one"),
        )
    if isinstance(database.obj, pw.PostgresqlDatabase):
        # Two equal requests at once: the second waits here for the first's answer. The lock is the studio's own,
        # and the transaction's, so that a pooler may give the next one another session.
        database.execute_sql("SELECT pg_advisory_xact_lock(hashtext(current_schema()), hashtext(%s))", (key,))
    row = Request.get_or_none(Request.key == key)
    if row is None:
        return None
    if row.kind != kind:
        raise BadInput(
            _("the request key was used for a {kind} before", kind=_(row.kind)),
            remedy=_("Make a new key for each errand"),
        )
    answer: dict[str, Any] = json.loads(row.answer)
    return answer


def remember(kind: str, key: str, booking: int, answer: dict[str, Any]) -> None:
    """Note the answer to an errand, for a repeat with the same key."""
    Request.insert(key=key, kind=kind, booking=booking, answer=json.dumps(answer)).execute()
