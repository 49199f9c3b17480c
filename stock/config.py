"""The settings of this machine's user for all studios, in one TOML file.

An option on the line overrides an environment variable, the variable overrides the file, and the file overrides the
built-in value.
"""

import os
from collections.abc import Mapping
from pathlib import Path

from stock import config_file, language
from stock.config_file import path
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.remedies import Do, Remedy
from stock.text import plain

STUDIO, THEME, MEASURES, SCALE, LANGUAGE = "studio", "theme", "measures", "scale", language.SETTING
VARIABLES: Mapping[str, str] = {
    STUDIO: "ULLAGE_STUDIO",
    THEME: "ULLAGE_THEME",
    MEASURES: "",
    SCALE: "ULLAGE_SCALE",
    LANGUAGE: language.VARIABLE,
}
"""Each key of the file with the environment variable that overrides it; empty if there is none."""
THEMES = ("lamp", "daylight", "terminal")
"""The dashboard's themes."""


def read() -> dict[str, str]:
    """The settings of the file; empty where there is none.

    Raises:
        BadInput: it is no TOML, or a setting that we read is no text.
    """
    try:
        found = config_file.settings(_text())
    except ValueError as error:
        raise _damaged(str(error)) from error
    for key in VARIABLES:
        if not isinstance(found.get(key, ""), str):
            raise _damaged(_("{key} is not a text between quotes", key=key))
    return {key: str(found[key]) for key in VARIABLES if found.get(key)}


def value(key: str) -> str:
    """A setting's value without an option on the line: the environment's, else the file's; empty without either.

    Raises:
        BadInput: the file can't be read.
    """
    variable = VARIABLES[key]
    return (os.environ.get(variable) if variable else None) or read().get(key, "")


def require_theme(name: str) -> None:
    """Refuse a name that is no theme.

    Raises:
        BadInput: it is none; names those that there are.
    """
    if name not in THEMES:
        raise BadInput(
            _("there is no theme {name!r}", name=plain(name, 40)),
            remedy=_("Write one of {themes}", themes=", ".join(THEMES)),
        )


def require_language(code: str) -> None:
    """Refuse a code of which there is no language.

    Raises:
        BadInput: there is none; names those that there are.
    """
    if code not in language.LANGUAGES:
        known = ", ".join(f"{each} ({name})" for each, name in language.LANGUAGES.items())
        raise BadInput(
            _("there is no language {code!r}", code=plain(code, 40)),
            remedy=_("Write one of {known}", known=known),
        )


def change(key: str, to: str) -> Path:
    """Set one setting in the file, or remove it if `to` is empty; the rest of the file stays as it is.

    Returns:
        The file.
    Raises:
        BadInput: no such setting, or the file that stands there can't be read.
        UllageError: the file can't be written.
    """
    if key not in VARIABLES:
        raise BadInput(
            _("{key!r} is no setting", key=plain(key, 40)),
            remedy=_("Write one of {variables}", variables=", ".join(VARIABLES)),
        )
    read()  # a file that can't be read is not written over
    lines = [line for line in _text().splitlines() if line.partition("=")[0].strip() != key]
    if to:
        lines.insert(0, f"{key} = {_quoted(to)}")
    file = Path(path())
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_suffix(".new")
        beside.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
        os.replace(beside, file)
    except OSError as error:
        raise UllageError(
            _("{file} can't be written ({strerror})", file=plain(str(file)), strerror=error.strerror),
            remedy=_("Check the rights of its folder"),
            code="not-kept",
        ) from error
    return file


def _text() -> str:
    try:
        return config_file.text()
    except (OSError, UnicodeDecodeError) as error:
        raise _damaged(getattr(error, "strerror", None) or _("it is no text in UTF-8")) from error


def _damaged(why: str) -> BadInput:
    return BadInput(
        _("the settings in {path} can't be read: {why}", path=plain(path()), why=plain(why, 100)),
        remedy=Remedy(
            _("Correct that file, or delete it and set what you need again: "), Do("config set", "--help")
        ),
        code="bad-config",
    )


def _quoted(text: str) -> str:
    """A text as a basic string of TOML: what JSON escapes, TOML escapes alike."""
    import json

    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
