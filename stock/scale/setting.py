"""Which scale this bench uses: a setting of the machine, not of the studio, which several benches share."""

import os
from pathlib import Path

from stock.errors import UllageError
from stock.scale.port import ScalePort, scale_port

VARIABLE = "ULLAGE_SCALE"
NONE = "none"
"""Given as a port, it means that no scale is used, whatever is kept."""


def kept_at() -> Path:
    """The file that keeps the port of this bench's scale: one line, beside the person's other settings."""
    from platformdirs import user_config_path  # only where a scale is asked for

    return user_config_path("ullage", appauthor=False) / "scale.txt"


def kept() -> str:
    """The port that is kept for this bench, as it was written; empty where none is."""
    try:
        return kept_at().read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def port_of_bench(given: str | None = None) -> ScalePort | None:
    """The scale to use: what was given, else the variable `ULLAGE_SCALE`, else what is kept; None without one.

    Raises:
        BadInput: the text names no port.
    """
    text = (given or os.environ.get(VARIABLE) or kept()).strip()
    return None if not text or text.lower() == NONE else scale_port(text)


def keep(text: str) -> Path:
    """Keep the port of this bench's scale; an empty text forgets it.

    Returns:
        The file in which it is kept.
    Raises:
        BadInput: the text names no port.
        UllageError: the file can't be written.
    """
    if text:
        scale_port(text)
    path = kept_at()
    try:
        if text:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f"{text}\n", encoding="utf-8")
        else:
            path.unlink(missing_ok=True)
    except OSError as error:
        raise UllageError(
            f"the scale's port can't be kept in {path} ({error.strerror})",
            remedy=f"Set the variable {VARIABLE} instead",
            code="not-kept",
        ) from error
    return path
