"""The day's backup, made by the dashboard, which may stay open for days."""

from typing import Any

from textual.app import App

from stock.errors import UllageError
from stock.exchange.backup import daily, due
from stock.language import _
from tui.widgets.shell import shell_of

GROUP = "backup"


def back_up_in_a_thread(app: App[Any]) -> None:
    """Back the books up in a thread, unless the day's backup is made or on its way."""
    if due(shell_of(app).address) and not any(
        one.group == GROUP and not one.is_finished for one in app.workers
    ):
        app.run_worker(lambda: _back_up(app), group=GROUP, thread=True, exit_on_error=False)


def _back_up(app: App[Any]) -> None:
    try:
        daily(shell_of(app).address)
    except UllageError as error:
        said = _("The day's backup could not be made: {after_booking}", after_booking=error.after_booking())
        app.call_from_thread(shell_of(app).announce, said)
