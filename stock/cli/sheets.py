"""`ullage sheet`: the makers' data sheets, revision by revision."""

from collections.abc import Iterable
from typing import Any

from stock import units
from stock.cli import sheet_reading
from stock.cli.frame import Context, Result, command
from stock.language import _
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    sheet = commands.add_parser("sheet", help=_("read, enter, list, correct and compare data sheets"))
    verbs = sheet.add_subparsers(dest="verb", required=True, metavar="VERB")
    sheet_reading.register(verbs)
    add = command(verbs, "add", add_sheet, _("enter a revision of a data sheet"))
    correct = command(
        verbs, "correct", correct_sheet, _("put an entry right; what is given replaces what stood")
    )
    for parser in (add, correct):
        parser.add_argument("product")
        parser.add_argument("--title", required=True)
        parser.add_argument("--revised", required=True, metavar="DATE")
        parser.add_argument(
            "--dosing", action="append", metavar="RANGE",
            help=_("as 'with=NAME needle<=0.18 low=20 high=30 step=5', in per cent of the paint"),
        )  # fmt: skip
        parser.add_argument("--source")
    add.add_argument("--withdrawn", action="store_true", help=_("the maker has withdrawn it"))
    add.add_argument(
        "--whole-line",
        action="store_true",
        help=_("it is of the product's whole line: kept with each product of it"),
    )
    add.add_argument("--replaces", metavar="TITLE", help=_("a sheet of another title that it stands for"))
    correct.add_argument("--withdrawn", choices=("yes", "no"))
    listing = command(
        verbs, "list", list_sheets, _("list a product's sheets, newest revision first"), entries=("sheets",)
    )
    listing.add_argument("product")
    compare = command(verbs, "compare", compare_sheets, _("what changed between two revisions"))
    compare.add_argument("product")
    compare.add_argument("--title")
    compare.add_argument("--older", metavar="DATE")
    compare.add_argument("--newer", metavar="DATE")


def add_sheet(args: Any, context: Context) -> Result:
    """`ullage sheet add`."""
    from stock.shelf import dosings, sheets  # loads the tables

    context.open()
    sheets.add(
        args.product,
        args.title,
        units.day(args.revised, context.today()),
        dosings=[dosings.read(text) for text in args.dosing or ()],
        withdrawn=args.withdrawn,
        source=args.source or "",
        replaces=args.replaces,
        whole_line=args.whole_line,
    )
    return _entered(args, context)


def correct_sheet(args: Any, context: Context) -> Result:
    """`ullage sheet correct`."""
    from stock.shelf import dosings, sheets  # loads the tables

    context.open()
    sheets.correct(
        args.product,
        args.title,
        units.day(args.revised, context.today()),
        dosings=[dosings.read(text) for text in args.dosing] if args.dosing is not None else None,
        withdrawn={"yes": True, "no": False, None: None}[args.withdrawn],
        source=args.source,
    )
    return _entered(args, context)


def _entered(args: Any, context: Context) -> Result:
    from stock.shelf import sheets  # loads the tables

    day = units.day(args.revised, context.today())
    found = next(each for each in sheets.listed(args.product) if each.revised_on == day)
    return Result(found.as_json(), list(sheet_lines(found)))


def list_sheets(args: Any, context: Context) -> Result:
    """`ullage sheet list`."""
    from stock.shelf import sheets  # loads the tables

    context.open()
    found = sheets.listed(args.product, as_of=context.as_of())
    lines = [line for each in found for line in sheet_lines(each)]
    return Result({"sheets": [each.as_json() for each in found]}, lines or [_("No sheet is entered")])


def sheet_lines(sheet: Any) -> Iterable[str]:
    """A sheet in lines."""
    from stock.shelf.dosings import words  # loads the tables

    state = ""
    if sheet.withdrawn:
        state = _(", withdrawn")
    elif sheet.replaced_by is not None:
        state = _(", replaced by the one of {replaced_by}", replaced_by=sheet.replaced_by)
    yield _(
        "{product}: {title}, revised {revised_on}{state}",
        product=sheet.product,
        title=sheet.title,
        revised_on=show_day(sheet.revised_on),
        state=state,
    )
    if sheet.source:
        yield f"  {sheet.source}"
    yield from (f"  {words(entry)}" for entry in sheet.dosings)


def compare_sheets(args: Any, context: Context) -> Result:
    """`ullage sheet compare`."""
    from stock.shelf import dosings, sheets  # loads the tables

    context.open()
    today = context.today()
    older, newer = sheets.two_revisions(
        sheets.listed(args.product, as_of=context.as_of()),
        title=args.title,
        older=units.day(args.older, today) if args.older else None,
        newer=units.day(args.newer, today) if args.newer else None,
    )
    changes = sheets.compare(older, newer)
    answer = {
        "older": {"title": older.title, "revised": older.revised_on.isoformat()},
        "newer": {"title": newer.title, "revised": newer.revised_on.isoformat()},
        "changes": [
            {
                "what": each.what,
                "before": dosings.as_json(each.before) if each.before else None,
                "after": dosings.as_json(each.after) if each.after else None,
            }
            for each in changes
        ],
    }
    head = _(
        "{title}: from {older} to {newer}",
        title=newer.title,
        older=show_day(older.revised_on),
        newer=show_day(newer.revised_on),
    )
    return Result(answer, [head, *(f"  {each.words}" for each in changes)])
