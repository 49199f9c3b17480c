"""Remarks on the opened books: oddities that hinder nothing.

A command prints each remark on stderr after its answer; the dashboard shows it on its screens.
"""

_noted: dict[str, None] = {}


def note(sentence: str) -> None:
    """Note a remark, a sentence without a full stop at its end; a repeated one is kept once."""
    _noted.setdefault(sentence)


def noted() -> list[str]:
    """The remarks noted since the books were opened."""
    return list(_noted)


def forget() -> None:
    """Forget all remarks, for when other books are opened."""
    _noted.clear()
