"""The day's backup of a dashboard that stays open for days."""

from typing import TYPE_CHECKING

from stock.errors import UllageError
from stock.exchange.backup import daily, due

if TYPE_CHECKING:
    from tui.app import Ullage

GROUP = "backup"


def keep_day(app: "Ullage") -> None:
    """Back the books up in a thread, when the first booking of a day was seen; on later ones a look at a folder."""
    if due(app.address) and not any(one.group == GROUP and not one.is_finished for one in app.workers):
        app.run_worker(lambda: _back_up(app), group=GROUP, thread=True, exit_on_error=False)


def _back_up(app: "Ullage") -> None:
    try:
        daily(app.address)
    except UllageError as error:
        app.call_from_thread(app.tell, f"The day's backup could not be made: {error}")
