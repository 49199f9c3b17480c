"""`ullage sheet read`: what a data sheet's file proposes, and booking what is confirmed of it."""

from collections.abc import Iterator, Sequence
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.errors import BadInput, NotFound
from stock.remedies import Do, Option, Remedy
from stock.text import plain

TRUST = "Read by a program: compare each figure with the sheet. The sheet itself decides, never this list."


def register(verbs: Any) -> None:
    """Add the parser among those of `ullage sheet`."""
    read = command(
        verbs,
        "read",
        read_sheet,
        "propose figures from a sheet's PDF, .docx or text file, and book those that you take",
    )
    read.add_argument("file", metavar="FILE")
    whose = read.add_mutually_exclusive_group()
    whose.add_argument("--product", help="whose sheet it is")
    whose.add_argument("--line", help="the line whose products it is for")
    read.add_argument("--role", help="add the product as this role, if the books have none of that name")
    read.add_argument(
        "--take", action="append", nargs="+", metavar="sure|FIELD",
        help="what to book: sure for all that is sure, or fields as listed, such as flash_point or solvent:67-64-1",
    )  # fmt: skip
    read.add_argument("--title", help="what to call the sheet, if not by its kind")
    read.add_argument("--revised", metavar="DATE", help="the day of its revision, where it isn't sure")


def read_sheet(args: Any, context: Context) -> Result:
    """`ullage sheet read`."""
    from stock.datasheets import files, proposals  # only this command reads files of sheets
    from stock.store import paths

    if args.take and args.product is None and args.line is None:
        raise BadInput(
            "whose sheet it is wasn't said",
            remedy=Remedy("Say it ", Option("product", "NAME"), "; nothing was booked"),
        )
    if not args.take and (args.role or args.title or args.revised):
        raise BadInput(
            "nothing was taken",
            remedy=Remedy("Take what is sure ", Option("take", "sure"), "; nothing was booked"),
        )
    read = files.read(paths.located(args.file))
    found = proposals.propose(read.readings)
    answer: dict[str, Any] = {
        "file": read.name, "sha256": read.sha256, "pages": read.pages or None, "complete": read.complete,
        "proposals": [one.as_json() for one in found],
    }  # fmt: skip
    if args.take:
        words = [word for several in args.take for word in several]
        return _booked(args, context, answer, (read, found, words))
    return Result(answer, list(lines(read, found)))


def lines(read: Any, found: Sequence[Any]) -> Iterator[str]:
    """The proposals as people read them, each beside its line."""
    sure = sum(one.sure for one in found)
    pages = f"{read.pages} pages, " if read.pages else ""
    yield f"{read.name}: {pages}{len(found)} proposals, {sure} sure" + (
        "" if read.complete else "; not all of it was read"
    )
    for one in found:
        doubts = f"  ({'; '.join(one.doubts)})" if one.doubts else ""
        yield f"  {'sure  ' if one.sure else 'unsure'}  {one.title}: {plain(one.shown, 160)}{doubts}"
        yield f"          {place(one)}: {plain(one.words, 160)}"
    yield TRUST if found else "It proposes nothing: no figure stands behind a label that is known here"


def place(one: Any) -> str:
    """Where a proposal stands: `page 4, section 9`."""
    where = f"page {one.page}" if one.page else f"line {one.line}"
    return where if one.section is None else f"{where}, section {one.section}"


def _booked(args: Any, context: Context, answer: dict[str, Any], what: tuple[Any, Any, list[str]]) -> Result:
    """Book what was taken for the product, or for each product of the line."""
    from stock.datasheets import books  # loads the tables
    from stock.store.connection import writing

    read, found, words = what
    context.open()
    taken = books.chosen(found, words)
    revised = units.day(args.revised, context.today()) if args.revised else None
    with writing():
        done = [
            books.take(read, found, taken, product=name, role=args.role, title=args.title, revised_on=revised)
            for name in _names(args)
        ]
    answer |= {"taken": [one.as_json() for one in done]}
    said: list[str] = []
    for one in done:
        said.append(f"{one.product}: {one.title} of {one.revised_on}, {len(one.booked)} figures booked")
        if one.kept:
            said.append(f"  kept as the sheet's words: {', '.join(books.titles(one.kept))}")
        if one.left:
            said.append(f"  not taken: {', '.join(one.left)}")
    return Result(answer, [*said, TRUST])


def _names(args: Any) -> list[str]:
    """The products that a sheet is for."""
    if args.product is not None:
        return [args.product]
    from stock.shelf import products
    from stock.text import folded

    of_line = [
        row.name for row in products.everything() if row.line and folded(row.line) == folded(args.line)
    ]
    if not of_line:
        raise NotFound(
            f"no product is of the line {plain(args.line, 40)}",
            remedy=Remedy(Do("product list"), " shows them; nothing was booked"),
        )
    return of_line
