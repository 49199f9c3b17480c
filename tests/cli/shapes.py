"""Every answer of a command that runs in a test is compared with the shape that scripts are promised."""

import functools
import json
from collections.abc import Sequence
from typing import Any

import jsonschema

from stock.cli import main as command_line
from stock.cli import shapes
from stock.cli.answers import ANSWERS
from stock.cli.main import below, parser_for
from stock.cli.streams import SCHEMA

WITHOUT = {"demo", "serve"}
"""Commands that show a screen, and answer with a story or nothing."""


class AnswersSeen:
    """What the commands answered since this began.

    Attributes:
        strange: the differences from their shapes, in words.
        commands: those that answered at all.
    """

    def __init__(self) -> None:
        self.strange: list[str] = []
        self.commands: set[str] = set()
        self._run = command_line.run

    def __call__(self, line: Sequence[str], context: Any) -> Any:
        """Run a command in the place of `run`, and compare its answer."""
        result = self._run(line, context)
        if result.answer and result.text is None:
            command = words(line)
            self.commands.add(command)
            if command in ANSWERS:
                self.strange += different(command, result.answer)
            elif command not in WITHOUT:
                self.strange.append(f"`ullage {command}` has no shape")
        return result


def different(command: str, answer: dict[str, Any]) -> list[str]:
    """How an answer differs from its shape; a key that the shape doesn't name is a difference, too."""
    whole = json.loads(json.dumps({"schema": SCHEMA, **answer}))
    return [
        f"`ullage {command}` {'/'.join(map(str, each.absolute_path))}: {each.message}"
        for error in validator(command).iter_errors(whole)
        for each in _innermost(error)
    ]


@functools.cache
def validator(command: str) -> jsonschema.Draft202012Validator:
    """What compares answers of one command with its shape, and takes no other key."""
    return jsonschema.Draft202012Validator(
        _closed(shapes.answer(command)), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )


def words(line: Sequence[str]) -> str:
    """The command that a line names, as `order list`; `--version` where it names none."""
    parser, found = _every_command(), []
    for word in line:
        commands = below(parser)
        if word in commands:
            parser = commands[word]
            found.append(word)
    named = " ".join(found) or "--version"
    return f"{named} show" if f"{named} show" in ANSWERS and named not in ANSWERS else named


@functools.cache
def _every_command() -> Any:
    return parser_for(None)


def _closed(schema: Any) -> Any:
    if isinstance(schema, list):
        return [_closed(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    closed = {key: _closed(each) for key, each in schema.items()}
    return {**closed, "additionalProperties": False} if "required" in schema else closed


def _innermost(error: Any) -> list[Any]:
    """Where several types were possible, why the answer is none of them."""
    return [each for within in error.context for each in _innermost(within)] or [error]


def missing(commands: set[str]) -> set[str]:
    """The commands with a shape that are not among these."""
    return set(ANSWERS) - commands
