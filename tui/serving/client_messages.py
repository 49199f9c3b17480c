"""Reading what browsers send, without trusting it: what our page can't have sent is None."""

import json
from urllib.parse import parse_qs

MOST_CELLS = 1_000
"""The greatest width and height that a tab draws."""


def message(text: str) -> object:
    """A message over the socket; None where it isn't JSON, or is nested too deeply."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return None


def cells(text: str | int | None, usual: int) -> int:
    """A width or height in cells, limited to 1 to `MOST_CELLS`; `usual` where it isn't a number."""
    try:
        return max(1, min(MOST_CELLS, int(text or usual)))
    except ValueError:
        return usual


def password_in(form: bytes) -> str | None:
    """The password in the sign-in form, as browsers encode it (application/x-www-form-urlencoded, UTF-8)."""
    try:
        return parse_qs(form.decode(), keep_blank_values=True, max_num_fields=4).get("password", [None])[0]
    except ValueError:
        return None
