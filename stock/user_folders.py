"""The folders of this machine's user for the program's files: settings, books, drafts.

platformdirs knows these folders. On Linux they are named by a variable or lie in the home folder, so the library, whose
import takes a twentieth of a command's time, is not used there.
"""

import os
import sys

CONFIG, DATA, STATE = "config", "data", "state"
ON_LINUX = {
    CONFIG: ("XDG_CONFIG_HOME", ".config"),
    DATA: ("XDG_DATA_HOME", ".local/share"),
    STATE: ("XDG_STATE_HOME", ".local/state"),
}
"""For each kind of folder the variable that names it and its default in the home (XDG Base Directory, 0.8)."""


def user_folder(kind: str) -> str:
    """The path of the program's own folder of a kind, which may not exist yet.

    Args:
        kind: `CONFIG`, `DATA` or `STATE`.
    """
    if sys.platform == "linux":
        variable, in_home = ON_LINUX[kind]
        named, home = os.environ.get(variable, ""), os.environ.get("HOME", "")
        if os.path.isabs(named):
            return os.path.join(named, "ullage")
        if os.path.isabs(home):
            return os.path.join(home, in_home, "ullage")
    from platformdirs import PlatformDirs

    folders = PlatformDirs("ullage", appauthor=False)
    if kind == CONFIG:
        return folders.user_config_dir
    return folders.user_data_dir if kind == DATA else folders.user_state_dir
