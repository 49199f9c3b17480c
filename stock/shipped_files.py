"""Files that come with the program: tables of figures, lists of words, rules.

They are found without `pathlib`, whose import takes longer than most commands read them.
"""

import os

_HERE = os.path.dirname(os.path.abspath(__file__))


def path_of(*names: str) -> str:
    """The path of a file or folder in the package `stock`.

    Args:
        names: the folders that lead there, and its own name.
    """
    return os.path.join(_HERE, *names)


def text_of(*names: str) -> str:
    """The text of a file in the package `stock`, named as for `path_of`."""
    with open(path_of(*names), encoding="utf-8") as file:
        return file.read()
