"""What is odd about the books that were opened and hinders nothing: noted once, and told by whatever face is open.

A command prints each on stderr behind its answer; the dashboard shows it on Today.
"""

_noted: dict[str, None] = {}


def note(sentence: str) -> None:
    """Have something told, once, however often it is met. A sentence without a full stop at its end."""
    _noted.setdefault(sentence)


def told() -> list[str]:
    """Everything noted since the books were opened."""
    return list(_noted)


def forget() -> None:
    """Other books are opened."""
    _noted.clear()
