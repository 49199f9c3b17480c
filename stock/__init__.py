"""The books, the bench and the forecast of a studio that sprays paint; for scripts, see `stock.api`.

What scripts use is loaded when it is asked for, so that a command loads only what it needs.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stock.api import AnswerTable, Books, UllageError, open_studio

__all__ = ["AnswerTable", "Books", "UllageError", "open_studio"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from stock import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
