"""What went wrong, as one sentence for a person: the one place where errors become words."""

from stock.errors import UllageError
from stock.text import plain


def sentence_for(error: BaseException) -> str:
    """A sentence that says what happened and what to do; never a traceback.

    Refusals of the books say it themselves. Anything else is a fault of the program, and says so.
    """
    if isinstance(error, UllageError):
        said = plain(str(error), 600)
        said = said[:1].upper() + said[1:]
        return said if said.endswith((".", "!", "?", "…")) else said + "."
    if isinstance(error, MemoryError):
        return "There is not enough memory to go on. Close something and start again; the books are whole."
    kind = type(error).__name__
    return plain(
        f"Something went wrong in the program ({kind}: {error}). The books are whole: what was not booked "
        "before is not booked. Start it again; with ULLAGE_DEBUG=1 it tells more.",
        600,
    )
