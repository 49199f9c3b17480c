"""The file that holds what the user of this machine has set for all studios: where it stands, and its settings as read.

It knows no messages, so that the language of the messages can be read from it.
"""

import os

from stock.user_folders import CONFIG, user_folder

LARGEST = 100_000
"""More bytes than this are no file of settings."""


def path() -> str:
    """Where the file stands, or would."""
    return os.path.join(user_folder(CONFIG), "config.toml")


def text() -> str:
    """What the file holds; empty where there is none.

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
    """The settings of such a text.

    Raises:
        ValueError: it is no TOML.
    """
    if not written:
        return {}
    import tomli  # only where there is a file

    return tomli.loads(written)
