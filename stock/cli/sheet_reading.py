"""`ullage sheet read`: the proposals of a data sheet's file or a folder of them, and booking confirmed ones."""

from collections.abc import Iterator, Sequence
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.notation import show_day
from stock.remedies import Option, Remedy
from stock.text import plain

TRUST = _("Read by a program: compare each figure with the sheet. The sheet itself decides, never this list.")


def register(verbs: Any) -> None:
    """Add the parser among those of `ullage sheet`."""
    read = command(
        verbs,
        "read",
        read_sheet,
        _("propose figures from sheets' PDF, .docx or text files, and book those that you take"),
    )
    read.add_argument(
        "files", nargs="+", metavar="FILE|FOLDER", help=_("of several, whose each is is found by its name")
    )
    whose = read.add_mutually_exclusive_group()
    whose.add_argument("--product", help=_("whose sheet it is"))
    whose.add_argument("--line", help=_("the line whose sheet it is; its products follow"))
    read.add_argument("--role", help=_("add the product as this role, if the books have none of that name"))
    read.add_argument(
        "--take", action="append", nargs="+", metavar="all-sure|FIELD",
        help=_("what to book: all-sure for all that is, or fields as listed, such as flash_point_c or "
"solvent:67-64-1"),
    )  # fmt: skip
    read.add_argument("--title", help=_("what to call the sheet, if not by its kind"))
    read.add_argument("--revised", metavar="DATE", help=_("the day of its revision, where it isn't sure"))


def read_sheet(args: Any, context: Context) -> Result:
    """`ullage sheet read`."""
    from stock.datasheets import folder  # only this command reads files of sheets

    given = folder.located(args.files)
    several = not folder.one_file(given)
    if not several and args.take and args.product is None and args.line is None:
        raise BadInput(
            _("whose sheet it is wasn't said"),
            remedy=Remedy(_("Say it "), Option("product", "NAME"), _("; nothing was booked")),
        )
    if not args.take and ((args.role and not several) or args.title or args.revised):
        raise BadInput(
            _("nothing was taken"),
            remedy=Remedy(_("Take what is sure "), Option("take", "all-sure"), _("; nothing was booked")),
        )
    if several:
        from stock.cli import sheet_folder  # a folder is rare

        return sheet_folder.read(args, context, folder.gathered(given))
    return _one_file(args, context, given[0])


def _one_file(args: Any, context: Context, path: Any) -> Result:
    from stock.datasheets import files, proposals

    try:
        read = files.read(path)
    except UllageError as error:
        error.data = {**error.data, "file": plain(args.files[0], 200), "refused": plain(error.message, 300)}
        raise
    found = proposals.propose(read.readings)
    answer = as_json(read, found)
    if args.take:
        return _booked(args, context, answer, (read, found, [word for each in args.take for word in each]))
    return Result(answer, list(lines(read, found)))


def as_json(read: Any, found: Sequence[Any]) -> dict[str, Any]:
    """The proposals of a file for scripts."""
    from stock.datasheets import proposals

    return {
        "file": read.name, "sha256": read.sha256, "pages": read.pages or None,
        "language": proposals.language(read.readings), "complete": read.complete,
        "proposals": [one.as_json() for one in found], "refused": None,
    }  # fmt: skip


def lines(read: Any, found: Sequence[Any]) -> Iterator[str]:
    """The proposals as people read them, each beside its line."""
    sure = sum(one.sure for one in found)
    pages = _("{pages} pages, ", pages=read.pages) if read.pages else ""
    yield _(
        "{name}: {pages}{found} proposals, {sure} sure",
        name=read.name,
        pages=pages,
        found=len(found),
        sure=sure,
    ) + ("" if read.complete else _("; not all of it was read"))
    for one in found:
        doubts = f"  ({'; '.join(one.doubts)})" if one.doubts else ""
        yield f"  {'sure  ' if one.sure else 'unsure'}  {one.field}, {one.title}: {plain(one.shown, 160)}{doubts}"
        yield f"          {place(one)}: {plain(one.words, 160)}"
    yield TRUST if found else _("It proposes nothing: no figure stands behind a label that is known here")


def place(one: Any) -> str:
    """Where a proposal stands: `page 4, section 9`."""
    where = _("page {page}", page=one.page) if one.page else _("line {line}", line=one.line)
    return where if one.section is None else _("{where}, section {section}", where=where, section=one.section)


def _booked(args: Any, context: Context, answer: dict[str, Any], what: tuple[Any, Any, list[str]]) -> Result:
    """Book the taken figures for the product or the line."""
    from stock.datasheets import books  # loads the tables

    read, found, words = what
    context.open()
    revised = units.day(args.revised, context.today()) if args.revised else None
    confirmed = books.Confirmed(read, found, books.chosen(found, words), args.title or "", revised)
    if args.line is not None:
        done = books.take_for_line(confirmed, args.line)
    else:
        done = books.take(confirmed, args.product, role=args.role)
    said = [
        _(
            "{whose}: {title} of {revised_on}, {booked} figures booked",
            whose=done.whose,
            title=done.title,
            revised_on=show_day(done.revised_on),
            booked=len(done.booked),
        )
    ]
    if args.line is not None and done.products:
        said.append(_("  kept with {products}", products=", ".join(done.products)))
    elif args.line is not None:
        said.append(_("  kept until the line's first product comes"))
    if done.kept:
        titles = dict.fromkeys(one.title for one in found if one.field in done.kept)
        said.append(_("  kept as the sheet's words: {titles}", titles=", ".join(titles)))
    if done.left:
        said.append(_("  not taken: {left}", left=", ".join(done.left)))
    return Result(answer | {"taken": done.as_json()}, [*said, TRUST])
