"""`ullage sheet read FOLDER`: the product of each file, and booking all sure figures in one step."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stock.cli.frame import Context, Result
from stock.cli.sheet_reading import TRUST
from stock.cli.show import progress, table
from stock.errors import BadInput
from stock.language import _
from stock.remedies import Do, Option, Remedy
from stock.text import plain

if TYPE_CHECKING:
    from stock.datasheets.folder import FolderSheet

ALL_SURE = "all-sure"
SIGNS = {
    "taken": _("booked"),
    "ready": _("sure"),
    "unsure": _("unsure"),
    "known": _("skipped"),
    "unreadable": _("not read"),
}


def read(args: Any, context: Context, files: Sequence[Path]) -> Result:
    """Read several files and find the product of each; with `--take all-sure` all sure figures are booked.

    Raises:
        BadInput: an option for a single file was given, or an unknown role.
    """
    from stock.datasheets import folder

    words = [word for each in args.take or () for word in each]
    if any(word != ALL_SURE for word in words) or args.title or args.revised:
        raise BadInput(
            _("single figures, a title and a day are those of one file"),
            remedy=Remedy(
                _("Name one file, or take of all "), Option("take", ALL_SURE), _("; nothing was booked")
            ),
        )
    if args.role is not None:
        from stock.shelf.entry import role_of

        role_of(args.role)
    context.open()
    whose = folder.whose(args.product, args.line)
    with progress() as on_progress:
        tell = None if on_progress is None else lambda done, of: on_progress(_("Reading"), done, of)
        found = folder.look(files, whose=whose, role=args.role, on_progress=tell)
        if words:
            tell = None if on_progress is None else lambda done, of: on_progress(_("Booking"), done, of)
            found = folder.book(found, role=args.role, on_progress=tell)
    answer = {"sheets": [_as_json(one) for one in found], "taken": bool(words)}
    return Result(answer, list(_lines(found, booked=bool(words))), entries="sheets")


def _as_json(one: "FolderSheet") -> dict[str, Any]:
    from stock.datasheets import proposals

    file = one.file
    return {
        "file": one.name, "sha256": one.sha256 or None, "pages": (file.pages or None) if file else None,
        "language": proposals.language(file.readings) if file else None, "complete": file.complete if file else False,
        "state": one.state, "why": one.why,
        "product": None if one.match.is_line else one.match.name or None,
        "line": one.match.name if one.match.is_line else None, "match_sure": one.match.sure,
        "candidates": list(one.match.candidates), "proposals": [each.as_json() for each in one.proposals],
        "sure": len(one.sure), "unsure": one.open, "differs": dict(one.differs),
        "refused": plain(one.refused.message, 300) if one.refused else None,
        "taken": one.taken.as_json() if one.taken else None,
    }  # fmt: skip


def _lines(found: Sequence["FolderSheet"], *, booked: bool) -> Iterator[str]:
    """A row for each file, and the remaining decisions with their commands."""
    counts = {state: sum(one.state == state for one in found) for state in SIGNS}
    yield _("{found} files: ", found=len(found)) + ", ".join(
        f"{many} {SIGNS[state]}" for state, many in counts.items() if many
    )
    rows = [
        [
            SIGNS[one.state], one.name, _("the line {name}",
            name=one.match.name) if one.match.is_line else one.match.name or "-",
            _("{sure} sure, {open} not", sure=len(one.sure), open=one.open) if one.file else "", one.why,
        ]
        for one in found
    ]  # fmt: skip
    yield from table(["", _("file"), _("for"), _("figures"), ""], rows, most=70)
    for one in found:
        for field, noted in one.differs.items():
            said = next(each.shown for each in one.proposals if each.field == field)
            yield _(
                "{sheet}: {field} is {said}, the record of {product} has {noted}",
                sheet=one.name,
                field=field,
                said=plain(said, 60),
                product=one.match.name,
                noted=plain(noted, 60),
            )
    left = next((one for one in found if one.state == "unsure" or (one.taken and one.open)), None)
    if counts["ready"] and not booked:
        yield str(Remedy(_("Book what is sure of them all "), Option("take", ALL_SURE)))
    if left is not None:
        read_one = Do("sheet read", str(left.path), "--product", left.match.name or "NAME", "--take", "FIELD")
        yield str(Remedy(_("The rest file by file: "), read_one))
    yield TRUST
