"""The shelf and the cautions as reports to hand to an inspector: places, classes, limits, sheets, findings."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from stock.cautions import books
from stock.cautions.facts import Finding, PlaceFacts
from stock.cautions.limits import BesideLimit, all_beside
from stock.cautions.rules import rule_book
from stock.cautions.stored_bottles import NOWHERE, StoredBottle
from stock.language import _
from stock.logbook.report import Cell, FlatColumn, FlatTable, Report, ReportTable
from stock.notation import show_day
from stock.shelf import sheets
from stock.shelf.bottles import BottleView, on_shelf
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.units import Microlitres, ml

SAFETY = _(
    "Figures are estimates from what was entered. The safety data sheet, local fire and "
    "environmental codes and licensed practice decide."
)
WORST = _("What is not noted of a product counts as the worse case, and is marked: as if.")
NOT_NOTED = _("not noted")
NO_SHEET = _("none on file")


def shelf_report(as_of: date | None = None) -> Report:
    """A day's shelf as a report: the bottles of each place with their classes, the limits, and the sheets on file."""
    from stock.cautions.findings import stored_bottles  # the rules are read only when asked

    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        shelf = on_shelf(as_of)
        facts = books.facts(as_of, shelf)
        views = {view.id: view for view in shelf}
        stored = sorted(stored_bottles(facts), key=_by_place)
        limits = all_beside(stored, rule_book(facts.rule_sets, facts.changes))
        on_file = _sheets_on_file(stored, day)
    return Report(
        title=_("Stock by place"),
        studio=studio.name,
        about=_("as of {day}", day=show_day(day)),
        tables=[*_bottles(stored, views), _limits(limits), on_file],
        notes=[WORST, SAFETY],
        subject="shelf",
        flat=lambda: _flat_bottles(stored, views, day),
    )


def _by_place(each: StoredBottle) -> tuple[bool, str, str, int]:
    return (each.place is NOWHERE, each.place.name.casefold(), each.product.name.casefold(), each.bottle.id)


def _classes(each: StoredBottle) -> tuple[str, str]:
    """The GHS category and the NFPA 30 class in words; if unknown, the worst one, marked as unknown."""
    found = each.found
    nfpa = max(found.nfpa_classes(), key=_gravity, default=None) or found.classes.nfpa
    ghs = _("category {category}", category=each.category) if each.category else "not flammable"
    return (
        _as_if(ghs, sure=found.known and len(set(found.categories())) <= 1),
        _as_if(nfpa or "none", sure=found.known and len(set(found.nfpa_classes())) <= 1),
    )


def _as_if(word: str, *, sure: bool) -> str:
    return word if sure or word in ("none", "not flammable") else _("as if {word}", word=word)


def _gravity(nfpa: str | None) -> int:
    order = ("IIIB", "IIIA", "II", "IC", "IB", "IA")
    return order.index(nfpa) if nfpa in order else -1


def _statements(each: StoredBottle) -> str:
    statements = each.product.h_statements
    return NOT_NOTED if statements is None else " ".join(statements) or "none"


def _state(view: BottleView) -> str:
    if view.state != "open":
        return _(view.state)
    return (
        _("open since {opened_on}", opened_on=show_day(view.opened_on))
        if view.opened_on
        else _("open since an unknown day")
    )


def _bottles(stored: Sequence[StoredBottle], views: dict[int, BottleView]) -> list[ReportTable]:
    """A table for each place, and one of their sums."""
    heads = (
        _("bottle"),
        _("product"),
        _("GHS"),
        _("NFPA 30"),
        _("hazard statements"),
        _("state"),
        _("good until"),
        _("size ml>"),
        _("left ml>"),
    )
    tables = []
    for place, each_here in groupby(stored, key=lambda each: each.place):
        here = list(each_here)
        rows: list[Sequence[Cell]] = []
        for each in here:
            view = views[each.bottle.id]
            rows.append(
                (
                    view.label, each.product.name, *_classes(each), _statements(each), _state(view),
                    show_day(view.good_until), ml(view.size_ul), ml(view.on_hand_ul),
                )
            )  # fmt: skip
        totals = (_("together {rows}", rows=len(rows)), *[None] * 7, _held(here))
        tables.append(ReportTable(_title(place), heads, rows, totals))
    whole = [("bottles", len(stored)), (_("left ml"), _held(stored))]
    return [*tables, ReportTable(_("Everything"), ("", _("together>")), whole)]


def _held(those: Sequence[StoredBottle]) -> float:
    return ml(Microlitres(sum(each.bottle.on_hand_ul for each in those)))


def _title(place: PlaceFacts) -> str:
    about = [place.kind.replace("_", " "), (place.premises or "").replace("_", " "), place.building]
    words = ", ".join(word for word in about if word)
    return f"{place.name} ({words})" if place.id else place.name


def _limits(limits: Sequence[BesideLimit]) -> ReportTable:
    rows: list[Sequence[Cell]] = [
        (
            one.where, one.what, one.held, one.limit, round(100 * one.times, 1), "over" if one.times > 1 else "within",
            one.source,
        )
        for one in limits
    ]  # fmt: skip
    heads = (_("where"), _("limit of"), _("held"), _("limit"), _("per cent>"), "", _("source"))
    return ReportTable(_("Quantities against limits"), heads, rows)


def _sheets_on_file(stored: Sequence[StoredBottle], day: date) -> ReportTable:
    """The sheets of the products on the shelf, and the products without one."""
    by_product = {each.product.name: each.product.id for each in stored}
    held = sheets.views(sorted(by_product.values()), as_of=day) if by_product else []
    rows: list[Sequence[Cell]] = []
    for name in sorted(by_product, key=str.casefold):
        mine = [one for one in held if one.product == name]
        rows += [
            (
                name,
                one.title,
                show_day(one.revised_on),
                _("in force") if one.in_force else _("replaced or withdrawn"),
            )
            for one in mine
        ] or [(name, NO_SHEET, None, None)]
    return ReportTable(_("Data sheets on file"), (_("product"), _("sheet"), _("revised"), ""), rows)


def _flat_bottles(stored: Sequence[StoredBottle], views: dict[int, BottleView], day: date) -> FlatTable:
    columns = (
        FlatColumn("as_of", "date", "the day"),
        FlatColumn("place", "string", "where it stands"),
        FlatColumn("bottle", "integer", "the bottle's number"),
        FlatColumn("label", "string", "what its label says"),
        FlatColumn("product", "string", "the product's name"),
        FlatColumn("role", "string", "what it is: paint, reducer, cleaner ..."),
        FlatColumn("ghs", "string", "how flammable by GHS; `as if` where it isn't known"),
        FlatColumn("nfpa_30", "string", "its class by NFPA 30"),
        FlatColumn("hazard_statements", "string", "of its safety sheet"),
        FlatColumn("state", "string", "sealed or open"),
        FlatColumn("good_until", "date", "the day until which it is good"),
        FlatColumn("size_ml", "number", "what the label says is in it"),
        FlatColumn("on_hand_ml", "number", "what is in it"),
        FlatColumn("owner", "string", "whose it is; empty for the studio's"),
    )
    rows: list[Sequence[Cell]] = []
    for each in stored:
        view = views[each.bottle.id]
        rows.append(
            (
                day.isoformat(), each.place.name, view.id, view.label, each.product.name, each.product.role,
                *_classes(each), _statements(each), view.state,
                view.good_until.isoformat() if view.good_until else None, ml(view.size_ul),
                ml(view.on_hand_ul), view.owner,
            )
        )  # fmt: skip
    return FlatTable("shelf", "What stands where", columns, rows, ("bottle",))


def caution_report(as_of: date | None = None, found: Sequence[Finding] | None = None) -> Report:
    """Every finding of a day with its remedy and the source of its rule, gravest first.

    Args:
        as_of: the day; today when None.
        found: its findings, where they are known already.
    """
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        findings = books.findings(as_of) if found is None else found
    rows: list[Sequence[Cell]] = [
        (each.severity, _about(each), each.message, str(each.remedy), f"{each.source} ({each.code})")
        for each in findings
    ]
    heads = (_("severity"), _("about"), _("why"), _("what to do"), _("source and rule"))
    return Report(
        title=_("Cautions"),
        studio=studio.name,
        about=_("as of {day}", day=show_day(day)),
        tables=[ReportTable(_("Findings"), heads, rows, (_("together {rows}", rows=len(rows)), *[None] * 4))],
        notes=[SAFETY],
        subject="cautions",
        flat=lambda: _flat_findings(findings, day),
    )


def _of_what(each: Finding) -> tuple[str, str, str]:
    bottles = each.bottles or ((each.bottle,) if each.bottle else ())
    return each.product or "", ", ".join(map(str, bottles)), each.place or ""


def _about(each: Finding) -> str:
    product, bottles, place = _of_what(each)
    since = _("since {since}", since=show_day(each.since)) if each.since else ""
    return ", ".join(
        word
        for word in (product, _("bottle {bottles}", bottles=bottles) if bottles else "", place, since)
        if word
    )


def _flat_findings(findings: Sequence[Finding], day: date) -> FlatTable:
    columns = (
        FlatColumn("as_of", "date", "the day"),
        FlatColumn("severity", "string", "stop, warn or note"),
        FlatColumn("rule", "string", "the rule's code"),
        FlatColumn("product", "string", "the product that it is about"),
        FlatColumn("bottles", "string", "the numbers of the bottles that it is about"),
        FlatColumn("place", "string", "the place that it is about"),
        FlatColumn("since", "date", "since when"),
        FlatColumn("why", "string", "what was found"),
        FlatColumn("what_to_do", "string", "the remedy"),
        FlatColumn("source", "string", "where the rule comes from"),
    )
    rows: list[Sequence[Cell]] = [
        (
            day.isoformat(), each.severity, each.code, *_of_what(each),
            each.since.isoformat() if each.since else None, each.message, str(each.remedy), each.source,
        )
        for each in findings
    ]  # fmt: skip
    return FlatTable("cautions", "Findings", columns, rows)
