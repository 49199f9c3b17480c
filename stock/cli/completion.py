"""Completion in a shell: commands and options from the parsers, names from the books.

The shell runs `ullage` at each Tab, with the line in its environment, and reads the completions. Unreadable or missing
books give none: a Tab never prints an error.
"""

import argparse
from collections.abc import Callable, Iterable
from typing import Any

import argcomplete
from argcomplete.shell_integration import shellcode

from stock.cli.main import below, parser_for, usual_address
from stock.cli.shared_help import GLOBAL_OPTIONS

PRODUCTS, BOTTLES, PLACES, JOBS, RECIPES, SUPPLIERS = (
    "product",
    "bottle",
    "place",
    "job",
    "recipe",
    "supplier",
)
NAMES_OF = {
    "product": PRODUCTS,
    "with_": PRODUCTS,
    "usual_reducer": PRODUCTS,
    "not_with": PRODUCTS,
    "target_for": PRODUCTS,
    "bottle": BOTTLES,
    "from_": BOTTLES,
    "into": BOTTLES,
    "place": PLACES,
    "job": JOBS,
    "recipe": RECIPES,
    "supplier": SUPPLIERS,
    "basket": SUPPLIERS,
}
"""The kind of name that an argument takes, by the argument's name in the parsers."""
BEFORE_EQUALS = {"parts": PRODUCTS, "part": PRODUCTS, "lines": PRODUCTS, "packs": PRODUCTS}
"""The kind of name that stands before `=` in an argument."""
MOST_OFFERED = 500


def script(shell: str) -> str:
    """The script that a shell reads once, so that it asks `ullage` for completions.

    Args:
        shell: bash, zsh or fish.
    """
    return str(shellcode(["ullage"], shell=shell)).lstrip("\n")


def complete(output_stream: Any = None) -> None:
    """Write the completions of the line in the environment for the shell, and end the process.

    Raises:
        SystemExit: always.
    """
    parser = parser_for(None)
    _prepare(parser)
    argcomplete.autocomplete(parser, output_stream=output_stream, always_complete_options=False)


def _prepare(parser: argparse.ArgumentParser, words: tuple[str, ...] = ()) -> None:
    """Give a parser and all below it the options of every line, and each argument the names that complete it."""
    for action in parser._actions:
        named = NAMES_OF.get(action.dest)
        if action.dest == "name" and words[:1] and words[-1] != "add":
            named = words[0]
        if named is not None:
            action.completer = _names(named)  # type: ignore[attr-defined]  # argcomplete reads it there
        elif action.dest in BEFORE_EQUALS:
            action.completer = _names(BEFORE_EQUALS[action.dest], "=")  # type: ignore[attr-defined]
    for option, value, text in GLOBAL_OPTIONS:
        _add(parser, option, value, text)
    for name, one in below(parser).items():
        _prepare(one, (*words, name))


def _add(parser: argparse.ArgumentParser, option: str, value: str, text: str) -> None:
    if option in parser._option_string_actions:
        return
    if value:
        parser.add_argument(option, metavar=value, help=text, default=argparse.SUPPRESS)
    else:
        parser.add_argument(option, action="store_true", help=text, default=argparse.SUPPRESS)


def _names(of: str, ending: str = "") -> Callable[..., list[str]]:
    def offered(prefix: str, parsed_args: argparse.Namespace, **_: Any) -> list[str]:
        address = getattr(parsed_args, "studio", None) or usual_address()
        try:
            found = _in_books(of, address)
        except Exception:  # a Tab prints no error
            return []
        letters = prefix.casefold()
        return [name + ending for name in found if name.casefold().startswith(letters)][:MOST_OFFERED]

    return offered


def _in_books(of: str, address: str) -> Iterable[str]:
    """The names of one kind in the books, in alphabetical order."""
    from stock.store import models
    from stock.store.connection import connection, open_books

    open_books(address)
    with connection():
        if of == BOTTLES:
            on_shelf = models.Bottle.select(models.Bottle.id, models.Bottle.label).where(
                models.Bottle.discarded_on.is_null()
            )
            return [label or str(number) for number, label in on_shelf.order_by(models.Bottle.id).tuples()]
        table: Any = {
            PRODUCTS: models.Product, PLACES: models.Place, JOBS: models.Job, RECIPES: models.Recipe,
            SUPPLIERS: models.Supplier,
        }[of]  # fmt: skip
        return [name for (name,) in table.select(table.name).order_by(table.name).tuples()]
