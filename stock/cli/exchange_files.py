"""`ullage export`, `import`, `labels`: files for and from other programs, and labels for bottles."""

import os
from typing import Any

from stock.cli.files import deliver, source, target, writes
from stock.cli.frame import Context, Result, command
from stock.cli.show import progress
from stock.errors import BadInput
from stock.language import _, ngettext
from stock.notation import in_thousands
from stock.remedies import Option, Remedy
from stock.text import plain


def register(commands: Any) -> None:
    """Add the parsers."""
    export = command(commands, "export", write_out, _("write the whole studio as a folder of CSV files"))
    export.add_argument("folder", type=target, help=_("a new or empty folder"))
    incoming = command(
        commands,
        "import",
        take_in,
        _(
            "take an exported folder into empty books, or a spreadsheet of stock or past mixes into "
            "these (CSV, .xlsx, .ods)"
        ),
    )
    incoming.add_argument("path", type=source, help=_("an exported folder, a CSV file or a workbook"))
    incoming.add_argument("--dry-run", action="store_true", help=_("show what it would do and book nothing"))
    incoming.add_argument("--kind", help=_("what the spreadsheet holds: stock, mixes, products or terms"))
    incoming.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="FIELD=HEAD",
        help=_("which column is meant; FIELD=- for none"),
    )
    incoming.add_argument("--forget", action="store_true", help=_("guess the columns anew"))
    incoming.add_argument("--encoding", help=_("as utf-8 or cp1252"))
    incoming.add_argument("--delimiter", help=_("comma, semicolon, tab or bar"))
    incoming.add_argument("--decimal", help=_("comma or point"))
    incoming.add_argument("--days", help=_("dmy or mdy, for days such as 3/4/2026"))
    incoming.add_argument("--unit", help=_("what a bare amount means, as ml"))
    incoming.add_argument(
        "--make", action="store_true", help=_("make products and places the books don't have")
    )
    incoming.add_argument("--role", help=_("the role of products that are made from a file of stock"))
    incoming.add_argument("--head", type=_line, metavar="ROW", help=_("the row that holds the heads"))
    incoming.add_argument("--sheet", metavar="NAME", help=_("which sheet of a workbook"))
    incoming.add_argument(
        "--answer", action="append", default=[], metavar="QUESTION=READING",
        help=_("which reading is meant of what can be read in two ways"),
    )  # fmt: skip
    incoming.add_argument(
        "--take", action="append", default=[], type=_line, metavar="ROW",
        help=_("read this row, though it looks like a title or a total"),
    )  # fmt: skip
    incoming.add_argument(
        "--take-good", action="store_true", help=_("book the good rows without the bad ones")
    )
    writes(incoming, ("--bad-to", _("a file for the bad rows, to mend and import again")))
    incoming.add_argument("--again", action="store_true", help=_("book a file that was booked before"))
    labels = command(
        commands,
        "labels",
        draw_labels,
        _("labels with a QR code for bottles, as SVG pages or a PDF to print"),
    )
    writes(labels, ("file", _("as labels.svg, of which further pages get -2, -3 ..., or labels.pdf")))
    labels.add_argument(
        "--bottle", action="append", default=[], help=_("only these; all that hold something if left out")
    )
    labels.add_argument("--page", help=_("a4 or letter; by the studio's setting"))
    labels.add_argument(
        "--label", default="60x25", metavar="MM", help=_("width and height of a label, from 15x15")
    )


def _line(text: str) -> int:
    """The type of an option that names a row of a file.

    Raises:
        BadInput: no number from 1.
    """
    if not (text.isascii() and text.isdigit() and int(text[:9]) > 0 and len(text) < 10):
        raise BadInput(_("{text!r} is no row", text=plain(text, 20)), remedy=_("Write its number, from 1"))
    return int(text)


def write_out(args: Any, context: Context) -> Result:
    """`ullage export`."""
    from stock.exchange import folder  # loads the tables

    context.open()
    with progress() as on_progress:
        done = folder.export(context.address, str(args.folder), on_progress=on_progress)
    answer = {"folder": str(args.folder), "rows": dict(done.rows), "digest": done.digest}
    return Result(
        answer,
        [
            _(
                "Wrote {total} rows of {rows} tables to {folder}",
                total=in_thousands(done.total()),
                rows=len(done.rows),
                folder=args.folder,
            )
        ],
        made=True,
    )


def take_in(args: Any, context: Context) -> Result:
    """`ullage import`."""
    args.path = str(args.path)
    if os.path.isdir(args.path):
        return _folder_in(args, context)
    return _sheet_in(args, context)


def _folder_in(args: Any, context: Context) -> Result:
    from stock.exchange import folder  # loads the tables

    if args.dry_run:
        package = folder.description(args.path)
        rows = {name: count for name, (count, _) in package["digests"].items()}
        answer = {"folder": args.path, "title": package["title"], "rows": rows, "booked": False}
        return Result(
            answer,
            [
                _(
                    "{title}: {values} rows of {rows} tables; nothing was booked",
                    title=package["title"],
                    values=in_thousands(sum(rows.values())),
                    rows=len(rows),
                )
            ],
        )
    with progress() as on_progress:
        done = folder.take_in(args.path, context.address, on_progress=on_progress)
    answer = {"folder": args.path, "rows": dict(done.rows), "digest": done.digest, "booked": True}
    lines = [
        _("Took in {total} rows of {rows} tables", total=in_thousands(done.total()), rows=len(done.rows)),
        _("They are as they were exported, row by row."),
    ]
    return Result(answer, lines, made=True)


def _sheet_in(args: Any, context: Context) -> Result:
    from stock.cli import import_lines  # only for a spreadsheet
    from stock.exchange import incoming  # loads the tables
    from stock.exchange.badrows import BadRows

    context.open()
    wishes = incoming.Wishes(
        kind=args.kind,
        maps=tuple(args.map),
        encoding=args.encoding,
        delimiter=args.delimiter,
        decimal=args.decimal,
        days=args.days,
        unit=args.unit,
        make=args.make,
        role=args.role,
        recall=not args.forget,
        again=args.again,
        head=args.head,
        sheet=args.sheet,
        answers=tuple(args.answer),
        take=tuple(args.take),
        take_good=args.take_good,
    )
    with progress() as on_progress:
        made = incoming.plan(args.path, wishes, on_progress=on_progress)
        kept = _keep_bad_rows(made, args, context)
        if args.dry_run:
            answer = made.as_json()
            stops = answer["bad_count"] or answer["questions"]
            return Result(answer, [*import_lines.planned(answer), *kept], 1 if stops else 0, made=bool(kept))
        try:
            answer = incoming.book(made, on_progress=on_progress)
        except BadRows as error:
            if kept:
                error.remedy = Remedy(
                    _(
                        "They are in {bad_to}; nothing was booked: mend them, or book the others ",
                        bad_to=plain(str(args.bad_to)),
                    ),
                    Option("take-good"),
                )
            raise
    return Result(answer, [*import_lines.booked(answer), *kept], made=bool(kept))


def _keep_bad_rows(made: Any, args: Any, context: Context) -> list[str]:
    """Write the bad rows to the file of `--bad-to` before anything is booked; returns the line about it."""
    if args.bad_to is None or not made.bad:
        return []
    from stock.exchange import bad_file  # loads the tables
    from stock.store import outputs

    outputs.write([bad_file.output(made, args.bad_to)], context.address, replace=args.force)
    return [
        _(
            "Bad rows are in {bad_to}: {reasons}, each with its reason",
            bad_to=plain(str(args.bad_to)),
            reasons=in_thousands(len(made.bad.reasons)),
        )
    ]


def draw_labels(args: Any, context: Context) -> Result:
    """`ullage labels`."""
    from stock.exchange import labels  # loads the tables
    from stock.shelf.bottles import numbered
    from stock.shelf.studio import settings
    from stock.store.outputs import STANDARD_OUTPUT

    context.open()
    numbers = [numbered(text).id for text in args.bottle] if args.bottle else None
    on = labels.paper(args.page or settings().sheet, args.label)
    many, pages = labels.files(on, numbers, args.file, settings().measures)
    if args.file == STANDARD_OUTPUT and len(pages) > 1:
        raise BadInput(
            _("{pages} pages can't go to standard output", pages=len(pages)),
            remedy=_("Name a file, or fewer bottles with --bottle"),
        )
    result = Result(
        {"labels": many, "files": [str(page.path) for page in pages]},
        [
            ngettext(
                "{many} labels on {number} page", "{many} labels on {number} pages", len(pages), many=many
            )
        ],
    )
    if args.file.suffix.lower() == ".pdf" and (missing := labels.letters_missing(numbers)):
        result = result._replace(lines=[missing, *result.lines])
    return deliver(pages, result, context, args)
