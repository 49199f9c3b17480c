"""Counting the queries a reader makes: one query too many a row is a failure, not a slow day."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def counted() -> Iterator[list[str]]:
    """Every statement run inside the block, in order; transaction words left out."""
    statements: list[str] = []

    class Ear(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            text = str(record.msg[0] if isinstance(record.msg, tuple) else record.msg)
            if text.lstrip().upper().startswith(("SELECT", "INSERT", "UPDATE", "DELETE", "WITH")):
                statements.append(text)

    logger, ear = logging.getLogger("peewee"), Ear()
    level = logger.level
    logger.addHandler(ear)
    logger.setLevel(logging.DEBUG)
    try:
        yield statements
    finally:
        logger.removeHandler(ear)
        logger.setLevel(level)
