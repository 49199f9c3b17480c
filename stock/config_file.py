"""The file that holds what the user of this machine has set for all studios: where it stands, and its settings as read.

It knows no messages, so that the language of the messages can be read from it.
"""

import os
import sys
from pathlib import Path

LARGEST = 100_000
"""More bytes than this are no file of settings."""


def path() -> Path:
    """Where the file stands, or would: in the platform's folder for settings.

    Every start asks. On Linux the folder is that of the XDG Base Directory Specification 0.8, which is two lines here
    and a fifth of a start where `platformdirs` is loaded for it; a test holds both to the same folder.
    """
    if sys.platform == "linux":
        folder = os.environ.get("XDG_CONFIG_HOME", "").strip() or os.path.expanduser("~/.config")
        return Path(folder, "ullage", "config.toml")
    from platformdirs import user_config_path  # on the other systems the folder is harder to know

    return user_config_path("ullage", appauthor=False) / "config.toml"


def text() -> str:
    """What the file holds; empty where there is none.

    Raises:
        OSError: it can't be read.
        UnicodeDecodeError: it is no text in UTF-8.
    """
    try:
        with path().open("rb") as file:
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
