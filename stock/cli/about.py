"""The commands about the program itself: its help, its manual page, and completion in a shell."""

from argparse import ArgumentParser
from typing import Any

from stock.cli.frame import Context, Result, command
from stock.errors import BadInput
from stock.language import _
from stock.remedies import Do, Remedy
from stock.text import plain

SHELLS = {
    "bash": _("`ullage completion bash`, into ~/.local/share/bash-completion/completions/ullage"),
    "zsh": "`ullage completion zsh`, into _ullage in a folder of your $fpath",
    "fish": _("`ullage completion fish`, into ~/.config/fish/completions/ullage.fish"),
}


def register(commands: Any) -> None:
    """Add the parsers."""
    about = command(commands, "help", _help, _("the help of Ullage or of one command, or the manual page"))
    about.add_argument("words", nargs="*", metavar="COMMAND", help=_("as: bottle count"))
    about.add_argument("--man", action="store_true", help=_("the whole manual as a page for man(1)"))
    about.add_argument(
        "--shape",
        action="store_true",
        help=_("the JSON Schema of what the command, or every command, answers with --json"),
    )
    completion = command(
        commands, "completion", _completion, _("what a shell reads to complete commands, options and names"),
        epilog=_("Where it goes: ") + "; ".join(SHELLS.values()) + ".",
    )  # fmt: skip
    completion.add_argument("shell", choices=tuple(SHELLS), help=_("your shell"))


def _help(args: Any, context: Context) -> Result:
    del context
    from stock.cli.main import parser_for

    if args.man and args.shape:
        raise BadInput(
            _("the manual page and a shape are two answers"), remedy=_("Leave --man or --shape out")
        )
    if args.man:
        if args.words:
            raise BadInput(
                _("the manual page holds every command"), remedy=_("Leave the command or --man out")
            )
        from stock.cli.manual import page

        text = page(parser_for(None))
        return Result({"man": text}, text=text)
    parser = _parser_of(args.words)
    if args.shape:
        return _shape(args.words, parser)
    text = parser.format_help()
    return Result({"help": text}, text.rstrip().split("\n"))


def _shape(words: list[str], parser: ArgumentParser) -> Result:
    import json

    from stock.cli import shapes
    from stock.cli.answers import ANSWERS
    from stock.cli.main import below

    named = " ".join(words)
    if words and named not in ANSWERS:
        verbs = [f"{named} {verb}" for verb in below(parser)]
        raise BadInput(
            _("`{named}` has no answer in JSON of its own", named=named),
            remedy=_("Write one of {verbs}", verbs=", ".join(verbs))
            if verbs
            else _("Leave the command out to see what all others answer"),
        )
    document = shapes.answer(named) if words else shapes.every_answer()
    return Result({}, text=json.dumps(document, indent=2, ensure_ascii=False) + "\n")


def _parser_of(words: list[str]) -> ArgumentParser:
    """The parser of a command, by the words that name it.

    Raises:
        BadInput: no command is named so.
    """
    from stock.cli.main import below, parser_for, require_command

    if words:
        require_command(words[0])
    parser: ArgumentParser = parser_for(words[0] if words else None)
    for at, word in enumerate(words):
        commands = below(parser)
        if word not in commands:
            named = " ".join(words[:at])
            raise BadInput(
                _("`{named}` has no {word!r}", named=named, word=plain(word, 40)),
                remedy=_("Write one of {commands}", commands=", ".join(commands))
                if commands
                else Remedy(_("See "), Do("help", *words[:at])),
            )
        parser = commands[word]
    return parser


def _completion(args: Any, context: Context) -> Result:
    del context
    from stock.cli.completion import script

    text = script(args.shell)
    return Result({"shell": args.shell, "script": text}, text=text)
