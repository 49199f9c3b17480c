"""`ullage backup`, `restore`, `copy`: backups of the whole studio, and moving it."""

import sys
from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from stock.cli.files import address, source, target
from stock.cli.frame import Context, Result, command
from stock.cli.show import progress, table
from stock.errors import BadInput
from stock.language import _
from stock.notation import in_thousands, show_minute


def register(commands: Any) -> None:
    """Add the parsers."""
    backup = command(
        commands, "backup", back_up, _("back the studio up while it is in use, and look at the backup")
    )
    backup.add_argument(
        "path",
        nargs="?",
        type=target,
        help=_("a new file or folder; beside the books if left out; - is standard output"),
    )
    restore = command(
        commands,
        "restore",
        put_back,
        _("put a backup in the place of the books; without PATH: list the backups"),
    )
    restore.add_argument("path", nargs="?", type=source, help=_("the backup"))
    restore.add_argument(
        "--dry-run", action="store_true", help=_("show what would be lost and change nothing")
    )
    restore.add_argument("--yes", action="store_true", help=_("don't ask"))
    copy = command(
        commands, "copy", copy_to, _("copy the studio to another file or server and prove both equal")
    )
    copy.add_argument("url", type=address, help=_("a file or postgresql://... where no books stand"))


def back_up(args: Any, context: Context) -> Result:
    """`ullage backup`."""
    from stock.exchange import backup  # loads the tables
    from stock.store.outputs import STANDARD_OUTPUT

    if args.path == STANDARD_OUTPUT:
        return _to_standard_output(context)
    made = backup.make(context.address, None if args.path is None else str(args.path))
    answer = {"backup": str(made.path), "bytes": made.size_bytes, "bookings": made.bookings, "checked": True}
    return Result(
        answer,
        [
            _(
                "Backed up and checked: {path} ({bookings} bookings, {size_bytes} bytes)",
                path=made.path,
                bookings=made.bookings,
                size_bytes=in_thousands(made.size_bytes),
            )
        ],
        made=True,
    )


def _to_standard_output(context: Context) -> Result:
    """Write the backup to standard output, for another program such as one that encrypts it."""
    from stock.exchange import backup  # loads the tables

    if context.json or sys.stdout.isatty():
        where = _("a terminal") if not context.json else _("where the JSON goes")
        raise BadInput(
            _("a backup can't be written to {where}", where=where),
            remedy=_("Name a file, or send it to a program"),
        )
    with TemporaryDirectory() as folder:
        made = backup.make(context.address, str(Path(folder) / "backup.ullage"))
        return Result({}, text=made.path.read_bytes())


def put_back(args: Any, context: Context) -> Result:
    """`ullage restore`."""
    from stock.exchange import backup  # loads the tables
    from stock.logbook.proof import prove  # loads the tables
    from stock.store import file_checks  # loads the tables

    if args.path is None:
        return _backups(context.address)
    path: Path = args.path
    file_checks.require(path)
    lost = backup.loss(path, context.address)
    answer = {"backup": str(path), "lost": lost.as_json(), "restored": False, "kept": None}
    if args.dry_run or not _agreed(args, context, lost):
        return Result(answer, [_("Nothing was restored."), *_loss_lines(lost, _("would be"))])
    answer["kept"] = kept = backup.restore(path, context.address)
    answer["restored"] = True
    context.open()
    proof = prove()
    answer["ok"] = not proof.problems
    lines = [
        _(
            "Restored {path}: {bottles} bottles, {movements} movements, {mixes} mixes",
            path=path,
            bottles=proof.bottles,
            movements=proof.movements,
            mixes=proof.mixes,
        )
    ]
    lines += _loss_lines(lost, "were") if lost else []
    lines += [_("What stood there before is kept: {kept}", kept=kept)] if kept else []
    return Result(answer, [*lines, *proof.problems], 0 if not proof.problems else 1, made=True)


def _agreed(args: Any, context: Context, lost: Any) -> bool:
    """Whether to go on; only a person at a terminal is asked."""
    if args.yes or context.json or not lost or sys.stdin is None or not sys.stdin.isatty():
        return True
    question = "\n".join(
        [*_loss_lines(lost, _("would be")), _("What stands there now is kept beside it. Restore? [y/N] ")]
    )
    return input(question).strip().lower() in ("y", "yes")


def _loss_lines(lost: Any, verb: str) -> Iterable[str]:
    if not lost.readable:
        yield _("The present books can't be read; it is not known what {verb} lost", verb=verb)
        return
    if not lost:
        yield _("Nothing would be lost: the backup holds all that the books hold")
        return
    count = sum(lost.bookings.values())
    kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(lost.bookings.items()))
    yield _(
        "Booked since the backup, and {verb} lost: {count}{kinds}",
        verb=verb,
        count=count,
        kinds=f" ({kinds})" if kinds else "",
    )
    for number, kind, at in lost.newest:
        yield f"  {kind} {number}, {show_minute(at)} UTC"
    for name, changed in lost.rows.items():
        yield _(
            "  {replace}: {changed} entered or changed since", replace=name.replace("_", " "), changed=changed
        )


def _backups(address: str) -> Result:
    """List the backups beside a file of books, and whether each can be used."""
    from stock.exchange import backup  # loads the tables
    from stock.store import file_checks, snapshots  # loads the tables

    rows, listed = [], []
    for one in snapshots.listing(address):
        good = not file_checks.problems(one.path)
        lost = sum(backup.loss(one.path, address).bookings.values()) if good else None
        listed.append(
            {"path": str(one.path), "kind": one.kind, "at": f"{one.at:%Y-%m-%dT%H:%M:%SZ}", "good": good,
             "bookings_since": lost}
        )  # fmt: skip
        since = _("can't be used") if lost is None else _("{lost} booked since", lost=lost)
        rows.append((show_minute(one.at), one.kind, since, one.path))
    lines = table((_("made (UTC)"), _("why"), "", _("restore with: `ullage restore PATH`")), rows, most=200)
    return Result({"backups": listed}, lines if rows else [_("There are no backups beside these books.")])


def copy_to(args: Any, context: Context) -> Result:
    """`ullage copy`."""
    from stock.exchange import copying  # loads the tables
    from stock.store.addresses import shown  # loads the tables

    context.open()
    with progress() as on_progress:
        copied = copying.copy(context.address, args.url, on_progress=on_progress)
    answer = {
        "from": shown(context.address), "to": shown(args.url), "equal": True, "digest": copied.digest,
        "rows": dict(copied.rows),
    }  # fmt: skip
    lines = [
        _(
            "Copied {total} rows of {rows} tables to {url}",
            total=in_thousands(copied.total()),
            rows=len(copied.rows),
            url=shown(args.url),
        ),
        _("Both were read anew and are equal, row by row. The original stays as it is."),
    ]
    return Result(answer, lines, made=True)
