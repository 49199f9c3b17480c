"""Text cells that a spreadsheet can't execute, and that are restored unchanged.

A cell that begins with = + - @ (also after blanks, also on an inner line, also in their full width) gets an
apostrophe before it; quoting alone does not help. A cell that began with an apostrophe gets another, so that
taking one away always restores the original. Only text is treated so: numbers stay numbers.
"""

import re
from collections.abc import Callable

_RUNS = re.compile(r"[\s\u00a0\u200b\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20\u2212|%]|[\t\r\n]")
_LINE = re.compile(r"(\r\n|\r|\n)")


def harmless(text: str) -> str:
    """The cell as it is written: each line that a spreadsheet could run has an apostrophe before it."""
    return _each_line(text, _guarded)


def restored(cell: str) -> str:
    """The original text of a cell that `harmless` wrote; an unguarded cell stays as it is."""
    return _each_line(cell, _bare) if "'" in cell else cell


def _each_line(text: str, work: Callable[[str], str]) -> str:
    parts = _LINE.split(text)
    parts[0::2] = [work(part) for part in parts[0::2]]
    return "".join(parts)


def _guarded(line: str) -> str:
    return f"'{line}" if line.startswith("'") or _RUNS.match(line) else line


def _bare(line: str) -> str:
    guarded = line.startswith("'") and (line[1:].startswith("'") or _RUNS.match(line[1:]))
    return line[1:] if guarded else line
