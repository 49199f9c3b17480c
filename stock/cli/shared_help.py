"""The help that all commands share: the options of every line, the environment, and the exit statuses."""

import textwrap
from collections.abc import Iterable

from stock import language
from stock.language import _

GLOBAL_OPTIONS = (
    ("--studio", "PATH_OR_URL", _("the books: a file, or a PostgreSQL address")),
    ("--as-of", "DATE", _("read the books as they stood at the end of that day")),
    ("--json", "", _("answer with one JSON document")),
    ("--ndjson", "", _("answer with a JSON document for each entry of a list, a line each")),
)
"""Options that may stand anywhere on the line, each with the word for its value and its help."""
ABOUT_STUDIO = _(
    "Without --studio and ULLAGE_STUDIO the books are those of `ullage config set studio "
    "PATH`, else a file in your own folder for data."
)
ENVIRONMENT = (
    ("ULLAGE_STUDIO", _("The books, where --studio is not given.")),
    ("ULLAGE_THEME", _("The dashboard's colours, where --theme is not given.")),
    ("ULLAGE_LANGUAGE", _("The language of messages: {languages}.", languages=", ".join(language.LANGUAGES))),
    ("ULLAGE_SCALE", _("The port of this bench's scale, where --scale is not given.")),
    ("ULLAGE_PASSWORD", _("The password of `ullage serve`, where no file of one is named.")),
    ("ULLAGE_DEBUG", _("If set, a fault of the program itself is printed with its traceback.")),
    ("NO_COLOR", _("If set, the dashboard shows no colours.")),
)
EXIT_STATUSES = (
    (0, _("It was done.")),
    (
        1,
        _(
            "Something was found that a script should stop at, or a command failed after it had "
            "booked something."
        ),
    ),
    (2, _("The line, or what it asks for, was refused; nothing was booked.")),
    (3, _("The books could not be reached, or can't be read.")),
    (70, _("Ullage itself failed; what was not finished was not booked.")),
    (130, _("It was interrupted from the keyboard.")),
)


def foot() -> str:
    """The foot of the help: the options of every line, the environment, the exit statuses."""

    def rows(head: str, items: Iterable[tuple[str, str]]) -> str:
        indent = " " * 24
        lines = [
            textwrap.fill(text, 78, initial_indent=f"  {name:<22}", subsequent_indent=indent)
            for name, text in items
        ]
        return "\n".join([head, *lines])

    return "\n\n".join(
        (
            rows(
                _("anywhere on the line:"),
                ((f"{option} {value}".strip(), text) for option, value, text in GLOBAL_OPTIONS),
            ),
            rows("environment:", ENVIRONMENT),
            rows(_("exit status:"), ((str(number), text) for number, text in EXIT_STATUSES)),
            textwrap.fill(ABOUT_STUDIO, 78),
        )
    )
