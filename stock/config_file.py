"""The settings file of this machine's user: its path, its text, and its settings.

This module contains no messages, because the language of the messages is read from the file.
"""

import os

from stock.user_folders import CONFIG, user_folder

LARGEST = 100_000
"""A larger file, in bytes, is no file of settings."""


def path() -> str:
    """The path of the file, which may not exist."""
    return os.path.join(user_folder(CONFIG), "config.toml")


def text() -> str:
    """The text of the file; empty if there is none.

    Raises:
        OSError: it can't be read.
        UnicodeDecodeError: it is no text in UTF-8.
    """
    try:
        with open(path(), "rb") as file:
            return file.read(LARGEST).decode("utf-8")
    except (FileNotFoundError, NotADirectoryError):
        return ""


def settings(written: str) -> dict[str, object]:
    """The settings in the text of the file.

    Raises:
        ValueError: it is no TOML.
    """
    if not written:
        return {}
    import tomli  # only where there is a file

    return tomli.loads(written)
