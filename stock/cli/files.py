"""Options that name a file or folder, and answers that are written to files; `-` is standard output."""

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stock.cli.frame import Context, Result
from stock.errors import BadInput
from stock.language import _

if TYPE_CHECKING:
    from pathlib import Path

    from stock.store.outputs import Output

TABLE = _(
    "also write one table for other programs, all months unless one is named, and datapackage.json beside it"
)
"""The help of every report's --csv."""


def source(text: str) -> "Path":
    """The type of an option that names a file to read.

    Raises:
        BadInput: the text can't be a path.
    """
    from stock.store.paths import located  # loads the tables

    return located(text)


def target(text: str) -> "Path":
    """The type of an option that names a file to write.

    Raises:
        BadInput: the text can't be a path.
    """
    return source(text)


def address(text: str) -> str:
    """The type of an option that names books: a server's address, or a file to be made.

    Raises:
        BadInput: the text can't be a path.
    """
    from stock.store.addresses import is_server  # loads the tables

    return text if is_server(text) else str(source(text))


def writes(parser: Any, *options: tuple[str, str]) -> None:
    """Add options, or one argument, that name files to write, and `--force`, which lets them replace other files.

    Args:
        parser: a command's parser.
        options: the name and the description of each.
    """
    for name, description in options:
        wanted: dict[str, Any] = {"metavar": "FILE"} if name.startswith("-") else {}
        parser.add_argument(
            name,
            type=target,
            help=_("{description}; - is standard output", description=description),
            **wanted,
        )
        if name == "--page":
            parser.add_argument(
                "--paper", metavar="SIZE", help=_("of the page: a4 or letter; by the studio's setting")
            )
    parser.add_argument("--force", action="store_true", help=_("replace a file that something else wrote"))


def deliver(
    outputs: "Sequence[Output]", result: Result, context: Context, args: argparse.Namespace
) -> Result:
    """Write the outputs of a command and add a line with their paths; an output on standard output replaces the lines.

    Raises:
        BadInput: more than one thing would go to standard output, or a file can't be written.
        WouldOverwrite: a path is in use; nothing was written.
    """
    if not outputs:
        return result
    from stock.store import outputs as files  # loads the tables

    shown = [one for one in outputs if one.path == files.STANDARD_OUTPUT]
    if len(shown) > 1 or (shown and context.json):
        both = _("--json and a file") if context.json else _("two files")
        raise BadInput(
            _("{both} can't both go to standard output", both=both),
            remedy=_("Name a file for one of them; nothing was written"),
        )
    written = [one for one in outputs if one.path != files.STANDARD_OUTPUT]
    files.write(written, context.address, replace=args.force)
    if shown:
        return result._replace(made=bool(written), text=files.marked(shown[0], context.address))
    paths = ", ".join(str(one.path) for one in written)
    return result._replace(made=True, lines=[*result.lines, _("Written to {paths}", paths=paths)])
