"""The manual page, in the mdoc language of man(1), made from the parsers of the commands."""

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from stock import clock
from stock.cli.main import below
from stock.cli.shared_help import ABOUT_STUDIO, ENVIRONMENT, EXIT_STATUSES, GLOBAL_OPTIONS

NAME = "ullage"


def page(parser: argparse.ArgumentParser) -> str:
    """The page of a parser and of every command below it.

    Args:
        parser: the parser of all commands.
    """
    commands = below(parser)
    lines = [
        f".Dd {clock.now():%B} {clock.now().day}, {clock.now():%Y}",
        f".Dt {NAME.upper()} 1",
        ".Os",
        ".Sh NAME",
        f".Nm {NAME}",
        ".Nd the books, the bench and the forecast of a studio that sprays paint",
        ".Sh SYNOPSIS",
        f".Nm {NAME}",
        f".Nm {NAME}",
        ".Ar command",
        ".Op Ar argument ...",
        ".Sh DESCRIPTION",
        *_sentences(parser.description or ""),
        *_sentences(ABOUT_STUDIO),
        ".Pp",
        "Accepted anywhere on the line:",
        *_list((option, value, text) for option, value, text in GLOBAL_OPTIONS),
        ".Sh COMMANDS",
        *(line for name, one in commands.items() for line in _command(one, (name,))),
        ".Sh ENVIRONMENT",
        ".Bl -tag -width Ds",
        *(line for name, text in ENVIRONMENT for line in (f".It Ev {name}", *_sentences(text))),
        ".El",
        ".Sh EXIT STATUS",
        ".Bl -tag -width Ds",
        *(line for number, text in EXIT_STATUSES for line in (f".It {number}", *_sentences(text))),
        ".El",
    ]
    return "\n".join(lines) + "\n"


def _command(parser: argparse.ArgumentParser, words: Sequence[str]) -> Iterator[str]:
    """The part about one command, and about those below it."""
    deeper = below(parser)
    if not deeper:
        yield f".Ss {' '.join(words)}"
        yield from _sentences(parser.description or "")
        yield ".Pp"
        yield f".Nm {NAME} {' '.join(words)}"
        actions = [action for action in parser._actions if action.dest != "help"]
        for action in actions:
            yield _usage(action)
        yield from _list((_names(action), _value(action), _help_of(parser, action)) for action in actions)
        if parser.epilog:
            yield ".Pp"
            yield from _sentences(parser.epilog)
    for name, one in deeper.items():
        yield from _command(one, (*words, name))


def _usage(action: argparse.Action) -> str:
    value = _value(action)
    if not action.option_strings:
        needed = action.nargs not in ("?", "*")
        return f".Ar {_plain(value)}" if needed else f".Op Ar {_plain(value)}"
    flag = f"Fl {_plain(action.option_strings[-1][1:])}" + (f" Ar {_plain(value)}" if value else "")
    return f".{flag}" if action.required else f".Op {flag}"


def _names(action: argparse.Action) -> str:
    return ", ".join(action.option_strings)


def _value(action: argparse.Action) -> str:
    """The word for an option's value; empty for a switch."""
    if action.nargs == 0:
        return ""
    if isinstance(action.metavar, str):
        return action.metavar
    if action.choices is not None:
        return "|".join(str(one) for one in action.choices)
    return action.dest.rstrip("_").replace("_", "-")


def _help_of(parser: argparse.ArgumentParser, action: argparse.Action) -> str:
    return (action.help or "") % {**vars(action), "prog": parser.prog} if action.help else ""


def _list(items: Any) -> Iterator[str]:
    """A list of options or arguments, each with its value's word and its sentence."""
    found = list(items)
    if not found:
        return
    yield ".Bl -tag -width Ds"
    for names, value, text in found:
        flags = " , ".join(f"Fl {_plain(name[1:])}" for name in names.split(", ") if name)
        yield ".It " + " ".join(filter(None, (flags, f"Ar {_plain(value)}" if value else "")))
        yield from _sentences(text)
    yield ".El"


def _sentences(text: str) -> Iterator[str]:
    """A text in lines of at most 78 letters, each sentence on lines of its own as mdoc wants it."""
    import textwrap

    for sentence in " ".join(text.split()).replace(". ", ".\n").split("\n"):
        for line in textwrap.wrap(sentence, 74, break_long_words=False, break_on_hyphens=False):
            yield _plain(line, start=True)


def _plain(text: str, *, start: bool = False) -> str:
    """A text escaped for roff, so that it contains no escapes and no request at a line's start."""
    safe = text.replace("\\", "\\e").replace("-", "\\-")
    if start and safe.startswith((".", "'")):
        return "\\&" + safe
    return safe
