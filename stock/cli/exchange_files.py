"""`ullage export`, `import`, `labels`: files for other programs, from other programs, and for the bottles."""

import os
from collections.abc import Iterable
from typing import Any

from stock.cli.files import deliver, source, target, writes
from stock.cli.frame import Context, Result, command
from stock.cli.show import progress, table
from stock.errors import BadInput


def register(commands: Any) -> None:
    """Add the parsers."""
    export = command(commands, "export", write_out, "write the whole studio as a folder of CSV files")
    export.add_argument("folder", type=target, help="a new or empty folder")
    incoming = command(
        commands,
        "import",
        take_in,
        "take an exported folder into empty books, or a spreadsheet of stock or past mixes (CSV) into these",
    )
    incoming.add_argument("path", type=source, help="an exported folder, or a CSV file")
    incoming.add_argument("--dry-run", action="store_true", help="show what it would do and book nothing")
    incoming.add_argument("--kind", help="what the spreadsheet holds: stock or mixes")
    incoming.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="FIELD=HEAD",
        help="which column is meant; FIELD=- for none",
    )
    incoming.add_argument("--forget", action="store_true", help="guess the columns anew")
    incoming.add_argument("--encoding", help="as utf-8 or cp1252")
    incoming.add_argument("--delimiter", help="comma, semicolon, tab or bar")
    incoming.add_argument("--decimal", help="comma or point")
    incoming.add_argument("--days", help="dmy or mdy, for days such as 3/4/2026")
    incoming.add_argument("--unit", help="what a bare amount means, as ml")
    incoming.add_argument("--make", action="store_true", help="make products and places the books don't have")
    incoming.add_argument("--role", help="the role of products that are made from a file of stock")
    incoming.add_argument("--again", action="store_true", help="book a file that was booked before")
    labels = command(
        commands, "labels", draw_labels, "labels with a QR code for bottles, as SVG pages to print"
    )
    writes(labels, ("file", "as labels.svg; further pages get -2, -3 ..."))
    labels.add_argument(
        "--bottle", action="append", default=[], help="only these; all that hold something if left out"
    )
    labels.add_argument("--page", default="a4", help="a4 or letter")
    labels.add_argument("--label", default="60x25", metavar="MM", help="width and height of a label")


def write_out(args: Any, context: Context) -> Result:
    """`ullage export`."""
    from stock.exchange import folder  # loads the tables

    context.open()
    with progress() as on_progress:
        done = folder.export(context.address, str(args.folder), on_progress=on_progress)
    answer = {"folder": str(args.folder), "rows": dict(done.rows), "digest": done.digest}
    return Result(
        answer, [f"Wrote {done.total():,} rows of {len(done.rows)} tables to {args.folder}"], made=True
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
            [f"{package['title']}: {sum(rows.values()):,} rows of {len(rows)} tables; nothing was booked"],
        )
    with progress() as on_progress:
        done = folder.take_in(args.path, context.address, on_progress=on_progress)
    answer = {"folder": args.path, "rows": dict(done.rows), "digest": done.digest, "booked": True}
    lines = [
        f"Took in {done.total():,} rows of {len(done.rows)} tables",
        "They are as they were exported, row by row.",
    ]
    return Result(answer, lines, made=True)


def _sheet_in(args: Any, context: Context) -> Result:
    from stock.exchange import incoming  # loads the tables

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
    )
    with progress() as on_progress:
        made = incoming.plan(args.path, wishes, on_progress=on_progress)
        if args.dry_run:
            answer = made.as_json()
            return Result(answer, list(_plan_lines(answer)), 1 if answer["bad_count"] else 0)
        answer = incoming.book(made, on_progress=on_progress)
    return Result(answer, list(_booked_lines(answer)))


def _plan_lines(answer: dict[str, Any]) -> Iterable[str]:
    yield f"{answer['file']}: {answer['rows']:,} rows of {answer['kind']}; nothing was booked"
    how = f"{answer['encoding']}{' (a guess)' if answer['encoding_guessed'] else ''}, split at {answer['delimiter']!r}"
    yield f"  read as {how}, decimal {answer['decimal'] or 'not known'}, days {answer['days'] or 'not known'}"
    yield "  columns (remembered)" if answer["remembered"] else "  columns"
    yield from (f"    {line}" for line in table(("field", "their column"), answer["mapping"].items()))
    if answer["ignored"]:
        yield f"  left out: {', '.join(answer['ignored'])}"
    yield from _made_lines(answer, "would be made")
    for row in answer["bad_rows"]:
        yield f"  line {row['line']}: {row['reason']}"
    if answer["bad_count"] > len(answer["bad_rows"]):
        yield f"  and {answer['bad_count'] - len(answer['bad_rows']):,} more"
    yield (
        "It can't be booked like this." if answer["bad_count"] else "It can be booked: leave --dry-run away."
    )


def _made_lines(answer: dict[str, Any], verb: str) -> Iterable[str]:
    if answer["new_products"]:
        names = ", ".join(f"{one['product']} ({one['role']})" for one in answer["new_products"][:12])
        yield f"  products that {verb}: {len(answer['new_products'])}: {names}"
    if answer["new_places"]:
        yield f"  places that {verb}: {', '.join(answer['new_places'])}"


def _booked_lines(answer: dict[str, Any]) -> Iterable[str]:
    if answer.get("again"):
        yield f"{answer['file']} was booked before; nothing was booked now. To book it again: --again"
        return
    if answer["kind"] == "stock":
        deliveries = len(answer["deliveries"])
        bottles = "1 bottle" if answer["bottles"] == 1 else f"{answer['bottles']:,} bottles"
        yield f"Booked {bottles} in {deliveries:,} {'delivery' if deliveries == 1 else 'deliveries'}"
    else:
        yield f"Booked {answer['mixes']:,} past mixes, from {answer['bottles']:,} bottles that are empty now"
        yield "What stands on the shelf was not touched."
    yield f"To take the whole file back: `ullage undo import {answer['import']}`"
    yield from _made_lines(answer, "were made")


def draw_labels(args: Any, context: Context) -> Result:
    """`ullage labels`."""
    from stock.exchange import labels  # loads the tables
    from stock.shelf.bottles import numbered
    from stock.shelf.studio import settings
    from stock.store.outputs import STANDARD_OUTPUT

    context.open()
    numbers = [numbered(text).id for text in args.bottle] if args.bottle else None
    on = labels.paper(args.page, args.label)
    many, pages = labels.files(on, numbers, args.file, settings().measures)
    if args.file == STANDARD_OUTPUT and len(pages) > 1:
        raise BadInput(
            f"{len(pages)} pages can't go to standard output",
            remedy="Name a file, or fewer bottles with --bottle",
        )
    result = Result(
        {"labels": many, "files": [str(page.path) for page in pages]},
        [f"{many} labels on {len(pages)} page{'s' if len(pages) > 1 else ''}"],
    )
    return deliver(pages, result, context, args)
