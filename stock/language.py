"""The language of messages. English is their source; another language is looked up in its catalogue by GNU gettext.

The language is chosen once, when this module is imported and before any message is made: by ULLAGE_LANGUAGE, else by
the setting `language` of this machine's user, else it is English. So a message that is a constant of a module is in
the chosen language too. What scripts read (the keys and words of JSON, columns of tables, commands and their options)
is the same in every language.
"""

import os
from collections.abc import Callable

from stock import config_file
from stock.shipped_files import path_of

VARIABLE, SETTING = "ULLAGE_LANGUAGE", "language"
SOURCE = "en"
LANGUAGES = {SOURCE: "English", "de": "Deutsch"}
"""The available languages: their own names by ISO 639-1 code."""
CATALOGUES = path_of("catalogues")


def _unchanged(message: str) -> str:
    return message


def _source_plural(one: str, many: str, number: int) -> str:
    return one if number == 1 else many


_message: Callable[[str], str] = _unchanged
_plural: Callable[[str, str, int], str] = _source_plural


def _(message: str, /, **values: object) -> str:
    """A message in the chosen language.

    Args:
        message: the English message, a constant, so that it can be collected; its placeholders are names in braces
            for `str.format`.
        values: the values.
    """
    translated = _message(message) if message else ""  # gettext keeps the head of its catalogue under nothing
    return translated.format(**values) if values else translated


def ngettext(one: str, many: str, number: int, /, **values: object) -> str:
    """A message about a number of things, in the chosen language's form for that number.

    Args:
        one: the English message about one thing; it may name `number`.
        many: the English message about another number of things.
        number: how many there are.
        values: further values that the message names.
    """
    return _plural(one, many, number).format(number=number, **values)


def within(message: str) -> str:
    """A message with a capital first letter for use inside a sentence: lower case in English, unchanged in German."""
    return message[:1].lower() + message[1:] if CHOSEN == SOURCE else message


def N_(message: str) -> str:  # noqa: N802 - the name that tools which collect messages know
    """Mark a word for translation and return it unchanged; it is a key in the code and translated when it is shown."""
    return message


def use(message: Callable[[str], str], plural: Callable[[str, str, int], str]) -> None:
    """Use these two functions for messages from now on; must run before modules with messages are imported."""
    global _message, _plural
    _message, _plural = message, plural


def chosen() -> str:
    """The chosen code, which may be unknown; English if nothing is chosen or the choice can't be read."""
    named = os.environ.get(VARIABLE)
    if named:
        return named
    try:
        setting = config_file.settings(config_file.text()).get(SETTING)
    except (OSError, ValueError):  # the error is reported when the whole file is read
        return SOURCE
    return setting if isinstance(setting, str) and setting else SOURCE


def _use_chosen() -> None:
    if CHOSEN == SOURCE or CHOSEN not in LANGUAGES:
        return
    import gettext  # only where another language is spoken

    catalogue = gettext.translation("ullage", CATALOGUES, [CHOSEN])
    use(catalogue.gettext, catalogue.ngettext)


CHOSEN = chosen()
"""The code chosen at the program's start; `config.require_language` refuses an unknown one."""
_use_chosen()
