"""The commands and their options, found from the parsers themselves."""

import argparse
from collections.abc import Iterator
from typing import Any

from stock.cli.main import parser_for


def commands(parser: Any = None, words: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Each command's words, such as ("bottle", "count"), and its parser."""
    if parser is None:
        parser = parser_for(None)
    below = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not below:
        yield words, parser
    for action in below:
        for name, sub in action.choices.items():
            yield from commands(sub, (*words, name))


def options() -> Iterator[tuple[tuple[str, ...], Any, Any]]:
    """Each command's words, its parser, and each of its options and arguments that takes a value."""
    for words, parser in commands():
        for action in parser._actions:
            if action.nargs != 0:
                yield words, parser, action
