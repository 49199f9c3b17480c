"""Logging of the web library and asyncio: one line for a fault of ours, nothing for a visitor's.

Anybody who can reach the port can send a request that can't be read; it is answered, and not logged.
"""

import logging
import os
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from aiohttp.http import HttpProcessingError

from tui.drawing.sentences import sentence_for

LOGGERS = ("aiohttp", "asyncio")
VISITORS = (HttpProcessingError, ConnectionError, TimeoutError)
"""Raised for a request that can't be read, or whose sender has gone."""


class OneLineHandler(logging.Handler):
    """Prints a fault as one sentence; with ULLAGE_DEBUG also its traceback.

    Args:
        print_line: prints for whoever started the server.
    """

    def __init__(self, print_line: Callable[[str], None]) -> None:
        super().__init__(logging.WARNING)
        self._print_line = print_line

    def emit(self, record: logging.LogRecord) -> None:
        error = record.exc_info[1] if record.exc_info else None
        if isinstance(error, VISITORS):
            return
        if isinstance(error, Exception):
            if os.environ.get("ULLAGE_DEBUG"):
                self._print_line("".join(traceback.format_exception(error)))
            self._print_line(sentence_for(error))
        else:
            self._print_line(record.getMessage())


@contextmanager
def logged_in_one_line(print_line: Callable[[str], None]) -> Iterator[None]:
    """Send everything that is logged meanwhile through `print_line`."""
    loggers = [logging.getLogger(name) for name in LOGGERS]
    before = [(logger.handlers, logger.propagate) for logger in loggers]
    for logger in loggers:
        logger.handlers, logger.propagate = [OneLineHandler(print_line)], False
    try:
        yield
    finally:
        for logger, (handlers, propagate) in zip(loggers, before, strict=True):
            logger.handlers, logger.propagate = handlers, propagate
