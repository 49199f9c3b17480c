"""What browsers send, read without trusting it: anything else than what our page can have meant is None."""

import json
from urllib.parse import parse_qs

MOST_CELLS = 1_000
"""The widest and highest window that a tab draws."""


def message(text: str) -> object:
    """A message over the socket; None where it is no JSON, or nested deeper than Python reads."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def cells(text: str | int | None, usual: int) -> int:
    """A width or height in cells, kept to what a window can have; `usual` where it is no number."""
    try:
        return max(1, min(MOST_CELLS, int(text or usual)))
    except ValueError:
        return usual


def password_in(form: bytes) -> str | None:
    """The password of the door's form, as browsers encode it (application/x-www-form-urlencoded, UTF-8)."""
    try:
        return parse_qs(form.decode(), keep_blank_values=True, max_num_fields=4).get("password", [None])[0]
    except ValueError:
        return None
