"""`ullage training`: people's trainings, and how long they hold."""

from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.language import _
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    training = commands.add_parser("training", help=_("who is trained for diisocyanates, and until when"))
    verbs = training.add_subparsers(dest="verb", required=True, metavar="VERB")
    add = command(
        verbs, "add", add_training, _("note that somebody was trained; a newer day replaces an older")
    )
    add.add_argument("name", help=_("who was trained"))
    add.add_argument("--on", required=True, metavar="DATE", help=_("the day on which it was completed"))
    add.add_argument("--until", metavar="DATE", help=_("the last day it holds; five years on if left out"))
    command(verbs, "list", list_trainings, _("list who is trained"), entries=("trainings",))
    drop = command(verbs, "drop", drop_training, _("take somebody's training out of the books"))
    drop.add_argument("name")


def add_training(args: Any, context: Context) -> Result:
    """`ullage training add`."""
    from stock.shelf import training  # loads the tables

    context.open()
    today = context.today()
    until = units.day(args.until, today) if args.until is not None else None
    found = training.note(args.name, units.day(args.on, today), until=until, today=today)
    return Result(found.as_json(), [_line(found)])


def list_trainings(args: Any, context: Context) -> Result:
    """`ullage training list`."""
    del args
    from stock.shelf import training  # loads the tables

    context.open()
    found = training.everything()
    lines = [_line(each) for each in found] or [_("Nobody is noted as trained")]
    return Result({"trainings": [each.as_json() for each in found]}, lines)


def drop_training(args: Any, context: Context) -> Result:
    """`ullage training drop`."""
    from stock.shelf import training  # loads the tables

    context.open()
    training.forget(args.name)
    return Result({"dropped": args.name}, [_("No training of {name} is noted any more", name=args.name)])


def _line(found: Any) -> str:
    return _(
        "{name}: {subject}, trained {trained_on}, holds until {until}",
        name=found.name,
        subject=found.subject,
        trained_on=show_day(found.trained_on),
        until=show_day(found.until),
    )
