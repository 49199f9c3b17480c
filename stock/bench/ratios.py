"""Cautions about a mix's proportions: more reducer than a sheet allows, water as reducer, too much hardener.

The range of a hardener is a dosing of its own sheet, in per cent of the paint. Beyond it the film stays soft or
becomes brittle and more isocyanate may remain in the air, so more hardener than the sheet allows is a `stop`.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction

from stock.cautions.facts import Finding
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import sheets
from stock.shelf.dosings import DosingEntry, show_range
from stock.shelf.products import everything
from stock.shelf.sheets import SheetView
from stock.store.models import Product, Solvent
from stock.text import folded
from stock.units import plain_figure

PRACTICE = _("common practice, no source")
WATER_MILLI = 95_000
Best = tuple[SheetView, DosingEntry] | None
"""The range that applies, and its sheet."""


def findings(
    parts: Sequence[tuple[int, str, int]],
    rows: Mapping[int, Product],
    *,
    as_of: date,
    with_sheets: bool = True,
) -> list[Finding]:
    """Findings about the proportions of a mix.

    Args:
        parts: (product's number, part, microlitres) of each pour.
        rows: the products by number.
        as_of: the day of the mix; sheets after it are left out.
        with_sheets: whether any of the products may have a data sheet.
    """
    paint_ul = sum(volume for _, part, volume in parts if part == "paint")
    judged: dict[int, tuple[str, int]] = {}
    for number, part, volume in parts:
        if part in ("reducer", "hardener"):
            judged[number] = (part, judged.get(number, (part, 0))[1] + volume)
    if not paint_ul or not judged:
        return []
    main = max((part for part in parts if part[1] == "paint"), key=lambda part: part[2])[0]
    noted = sheets.views([main, *judged], as_of=as_of) if with_sheets else []
    in_force = [sheet for sheet in noted if sheet.in_force]
    found: list[Finding] = []
    for number, (part, volume) in judged.items():
        ranges = [*_about(in_force, rows[number], rows[main]), *_about(in_force, rows[main], rows[number])]
        judge = _reducer if part == "reducer" else _hardener
        found += judge(rows[number], rows[main], Fraction(100 * volume, paint_ul), _best(ranges))
    return found


def _reducer(reducer: Product, paint: Product, percent: Fraction, best: Best) -> Iterable[Finding]:
    if reducer.role == "cleaner" and best is None:
        yield _finding(
            "cleaner-as-reducer",
            _(
                "{name} is a cleaner, and no sheet of {name2} or of its own allows it as a reducer",
                name=reducer.name,
                name2=paint.name,
            ),
            _("Use the paint's own reducer; if a sheet does allow it, enter that sheet's range"),
            _("what is unknown counts as the worse case: a rule of this program"),
            reducer.name,
        )
    if (reducer.water_milli or 0) >= WATER_MILLI and not Solvent.select().where(
        Solvent.product == reducer.id
    ).exists():
        yield _finding(
            "water-as-reducer",
            _(
                "{name} is almost pure water: paint thinned with it adheres less well and dries unevenly",
                name=reducer.name,
            ),
            _("Use the paint's own reducer, or try it on a test card and stay at the low end"),
            PRACTICE,
            reducer.name,
        )
    if best is not None and percent * 1_000 > best[1].high_milli:
        sheet, entry = best
        yield _finding(
            "beyond-range",
            _(
                "{percent} % {name} is beyond the {low_milli} of its sheet",
                percent=plain_figure(percent, 1),
                name=reducer.name,
                low_milli=show_range(entry.low_milli, entry.high_milli),
            ),
            _("Start lower and go up in steps; try it on a test card first"),
            _("{title} of {revised_on}", title=sheet.title, revised_on=show_day(sheet.revised_on)),
            reducer.name,
        )


def _hardener(hardener: Product, paint: Product, percent: Fraction, best: Best) -> Iterable[Finding]:
    share = plain_figure(percent, 1)
    if best is None:
        yield _finding(
            "hardener-ratio-unknown",
            _(
                "no sheet gives the ratio of {name} to {name2}; the mix has {share} % of the paint",
                name=hardener.name,
                name2=paint.name,
                share=share,
            ),
            Remedy(
                _("Enter its ratio: "),
                Do(
                    "sheet add",
                    hardener.name,
                    "--title",
                    "TITLE",
                    "--revised",
                    "DATE",
                    "--dosing",
                    "low=25 high=25",
                ),
            ),
            _("what is unknown counts as the worse case: a rule of this program"),
            hardener.name,
        )
        return
    sheet, entry = best
    allowed, source = (
        show_range(entry.low_milli, entry.high_milli),
        _("{title} of {revised_on}", title=sheet.title, revised_on=show_day(sheet.revised_on)),
    )
    if percent * 1_000 > entry.high_milli:
        yield _finding(
            "hardener-past-ratio",
            _(
                "{share} % {name} is beyond its ratio of {allowed} of the paint: more stays unbound in "
                "the film and in the mist",
                share=share,
                name=hardener.name,
                allowed=allowed,
            ),
            _("Take less hardener or more paint"),
            source,
            hardener.name,
            severity="stop",
        )
    elif percent * 1_000 < entry.low_milli:
        yield _finding(
            "hardener-short",
            _(
                "{share} % {name} is below its ratio of {allowed} of the paint: the film may stay soft",
                share=share,
                name=hardener.name,
                allowed=allowed,
            ),
            _("Take more hardener or less paint"),
            source,
            hardener.name,
        )


def reducers_for(paint: Product, *, as_of: date) -> list[str]:
    """The names of what a paint may be thinned with: all reducers, and cleaners that a sheet in force allows.

    Args:
        paint: the paint.
        as_of: the day; sheets after it are left out.
    """
    reducers = [row for row in everything() if row.role in ("reducer", "cleaner")]
    cleaners = [row for row in reducers if row.role == "cleaner"]
    sheets_of = [
        each for each in sheets.views([paint.id, *(row.id for row in cleaners)], as_of=as_of) if each.in_force
    ]
    allowed = {
        row.name
        for row in cleaners
        if any(True for _ in (*_about(sheets_of, row, paint), *_about(sheets_of, paint, row)))
    }
    return [row.name for row in reducers if row.role == "reducer" or row.name in allowed]


def _about(
    in_force: Sequence[SheetView], owner: Product, other: Product
) -> Iterable[tuple[int, SheetView, DosingEntry]]:
    """Ranges of one product's sheets that apply to the other, with how specific they are (0 most)."""
    for sheet in in_force:
        if sheet.product != owner.name:
            continue
        for entry in sheet.dosings:
            named = folded(entry.with_product) if entry.with_product else None
            if named == folded(other.name):
                yield 0, sheet, entry
            elif named is None and entry.for_line and folded(entry.for_line) == folded(other.line):
                yield 1, sheet, entry
            elif named is None and not entry.for_line and owner.role in ("reducer", "hardener"):
                yield 2, sheet, entry


def _best(about: Sequence[tuple[int, SheetView, DosingEntry]]) -> Best:
    """Among the most specific ranges, the one with the highest end, because the needle is not considered here."""
    if not about:
        return None
    level = min(each[0] for each in about)
    _, sheet, entry = max((each for each in about if each[0] == level), key=lambda each: each[2].high_milli)
    return sheet, entry


def _finding(
    code: str, message: str, remedy: str, source: str, product: str, *, severity: str = "warn"
) -> Finding:
    return Finding(
        code=code, severity=severity, product=product, bottle=None, place=None, since=None, message=message,
        remedy=remedy, source=source, action="dont_mix" if severity == "stop" else "take_care",
    )  # fmt: skip
