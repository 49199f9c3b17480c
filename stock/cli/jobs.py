"""`ullage job`, `cost`, `emissions`, `trace`: jobs, costs, emissions, and the use of a lot."""

from typing import TYPE_CHECKING, Any

from stock import units
from stock.cli.files import TABLE, writes
from stock.cli.frame import Context, Result, command, whole
from stock.cli.reports import report_lines, reported
from stock.cli.show import table
from stock.language import _
from stock.notation import show_day

if TYPE_CHECKING:
    from stock.logbook.months import Month


def register(commands: Any) -> None:
    """Add the parsers."""
    job = commands.add_parser("job", help=_("open, change, list, show or close jobs"))
    verbs = job.add_subparsers(dest="verb", required=True, metavar="VERB")
    adding = command(verbs, "add", add_job, _("open a job"))
    changing = command(verbs, "change", change_job, _("change a job, or open a closed one again"))
    showing = command(verbs, "show", show_job, _("a job's mixes and what it cost"))
    closing = command(verbs, "close", close_job, _("close a job: nothing later is booked to it"))
    listing = command(verbs, "list", list_jobs, _("jobs, open ones first"), entries=("jobs",))
    queue = command(verbs, "queue", queue_mixes, _("the mixes that a job still needs, in their order"))
    queue.add_argument("name")
    queue.add_argument("mixes", nargs="*", metavar="RECIPE=SIZE", help=_('more of them, as "Base=30ml"'))
    queue.add_argument("--drop", type=whole, metavar="NUMBER", help=_("take one out of the queue"))
    listing.add_argument("--all", action="store_true", help=_("also closed ones"))
    sheet = command(
        verbs, "sheet", show_sheet, _("what the customer gets: materials used and the price, without tax")
    )
    writes(sheet, ("--csv", TABLE), ("--page", _("also write a page to print (HTML)")))
    for parser in (adding, changing, showing, closing, sheet):
        parser.add_argument("name")
    for parser in (adding, changing):
        parser.add_argument("--customer")
        parser.add_argument("--due", metavar="DATE")
        parser.add_argument("--note")
    adding.add_argument("--on", metavar="DATE", help=_("the day it is opened; today if left out"))
    changing.add_argument("--hours", metavar="TIME", help=_("all hours worked on it, as 3.5 or 3:30"))
    changing.add_argument("--open", action="store_true", help=_("open it again"))
    changing.add_argument("--rename", help=_("its new name"))
    closing.add_argument("--on", metavar="DATE", help=_("the day it is closed; today if left out"))
    cost = command(commands, "cost", show_costs, _("what jobs cost in material, waste and washes shared out"))
    cost.add_argument("--job")
    emissions = command(commands, "emissions", show_emissions, _("what a month's mixes and washes emitted"))
    emissions.add_argument(
        "--year", action="store_true", help=_("the twelve months to this one, beside the studio's limit")
    )
    trace = command(commands, "trace", show_trace, _("which mixes and jobs a lot or a bottle went into"))
    trace.add_argument("--lot")
    trace.add_argument("--bottle")
    for parser in (cost, emissions):
        parser.add_argument("--month", metavar="2026-03")
    for parser in (cost, emissions, trace):
        writes(
            parser,
            ("--csv", TABLE),
            ("--page", _("also write a page to print (HTML)")),
        )


def _day(text: str | None, context: Context) -> Any:
    return units.day(text, context.today()) if text is not None else None


def add_job(args: Any, context: Context) -> Result:
    """`ullage job add`."""
    from stock.shelf import jobs  # loads the tables

    context.open()
    row = jobs.add(
        args.name,
        _day(args.on, context) or context.today(),
        customer=args.customer or "",
        due_on=_day(args.due, context),
        note=args.note or "",
    )
    return _answer(jobs.view(row), _("Job {name} is open", name=row.name))


def queue_mixes(args: Any, context: Context) -> Result:
    """`ullage job queue`."""
    from stock.bench import mix_queue  # loads the tables

    context.open()
    if args.drop is not None:
        mix_queue.drop(args.drop)
    entries = [mix_queue.read_entry(text) for text in args.mixes]
    waiting = mix_queue.append(args.name, entries) if entries else mix_queue.waiting(args.name)
    lines = [
        _("{number}. {words} (number {id})", number=number, words=each.words, id=each.id)
        for number, each in enumerate(waiting, 1)
    ]
    return Result(
        {"job": args.name, "waiting": [each.as_json() for each in waiting]},
        lines or [_("no mix waits for it")],
    )


def change_job(args: Any, context: Context) -> Result:
    """`ullage job change`."""
    from stock.shelf import jobs  # loads the tables

    context.open()
    row = jobs.change(
        args.name,
        customer=args.customer,
        due_on=_day(args.due, context),
        note=args.note,
        reopen=args.open,
        worked_min=jobs.minutes(args.hours) if args.hours is not None else None,
        rename=args.rename,
    )
    return _answer(jobs.view(row), _("Job {name} is changed", name=row.name))


def close_job(args: Any, context: Context) -> Result:
    """`ullage job close`."""
    from stock.shelf import jobs  # loads the tables

    context.open()
    row = jobs.close(args.name, _day(args.on, context) or context.today())
    return _answer(jobs.view(row), _("Job {name} is closed", name=row.name))


def _answer(view: Any, line: str) -> Result:
    return Result({"job": _json(view)}, [line])


def _json(view: Any) -> dict[str, Any]:
    return {
        "id": view.id,
        "name": view.name,
        "customer": view.customer,
        "opened_on": view.opened_on.isoformat(),
        "due_on": view.due_on.isoformat() if view.due_on else None,
        "closed_on": view.closed_on.isoformat() if view.closed_on else None,
        "note": view.note,
        "hours": view.worked_min / 60 if view.worked_min is not None else None,
    }


def list_jobs(args: Any, context: Context) -> Result:
    """`ullage job list`."""
    from stock.shelf import jobs  # loads the tables

    context.open()
    views = [view for view in jobs.everything(context.as_of()) if args.all or view.closed_on is None]
    rows = [(view.name, view.customer, view.opened_on, view.due_on, view.closed_on) for view in views]
    lines = (
        table((_("job"), _("customer"), _("opened"), _("due"), _("closed")), rows)
        if rows
        else [_("No job is open.")]
    )
    return Result({"jobs": [_json(view) for view in views]}, lines)


def show_job(args: Any, context: Context) -> Result:
    """`ullage job show`."""
    from stock.logbook import costs, job_price, tables  # loads the tables
    from stock.shelf import jobs

    context.open()
    as_of = context.as_of()
    view = jobs.view(jobs.find(args.name), as_of)
    spent = costs.read(job=view.name, as_of=as_of)
    head = [
        f"{view.name}{_(' for {customer}', customer=view.customer) if view.customer else ''}",
        _("  opened {opened_on}", opened_on=show_day(view.opened_on)) + (_(", due {due_on}",
        due_on=show_day(view.due_on)) if view.due_on else "")
        + (_(", closed {closed_on}", closed_on=show_day(view.closed_on)) if view.closed_on else ""),
    ]  # fmt: skip
    priced = job_price.read(view.name, as_of)
    answer = {"job": _json(view), "cost": tables.costs_json(spent), "price": job_price.price_json(priced)}
    price = job_price.price_table(priced)
    lines = [*report_lines(tables.cost_report(spent)), "", price.title]
    lines += table(price.heads, [*price.rows, price.totals or ()], most=60)
    if priced.missing:
        lines.append(
            _("Not in this price, because it is not known: {missing}.", missing=", ".join(priced.missing))
        )
    return Result(answer, [*head, *lines])


def show_sheet(args: Any, context: Context) -> Result:
    """`ullage job sheet`."""
    from stock.logbook import job_price  # loads the tables

    context.open()
    priced = job_price.read(args.name, context.as_of())
    answer = {
        "job": _json(priced.job),
        "price": job_price.price_json(priced)["price"],
        "missing": list(priced.missing),
    }
    return reported(answer, job_price.customer_sheet(priced), args, context)


def _month(args: Any, context: Context) -> "Month | None":
    from stock.logbook.months import month  # loaded with its command only

    return month(args.month, context.today()) if args.month is not None else None


def show_costs(args: Any, context: Context) -> Result:
    """`ullage cost`."""
    from stock.logbook import costs, tables  # loads the tables

    context.open()
    spent = costs.read(job=args.job, month=_month(args, context), as_of=context.as_of())
    return reported(tables.costs_json(spent), tables.cost_report(spent), args, context)


def show_emissions(args: Any, context: Context) -> Result:
    """`ullage emissions`."""
    from stock.logbook import emissions, tables  # loads the tables

    context.open()
    if args.year:
        from stock.logbook import emission_year

        year = emission_year.read(_month(args, context), context.as_of())
        return reported(emission_year.as_json(year), emission_year.report(year), args, context)
    emitted = emissions.read(_month(args, context), context.as_of())
    return reported(
        tables.emissions_json(emitted),
        tables.emission_report(emitted, every_month=args.month is None),
        args,
        context,
    )


def show_trace(args: Any, context: Context) -> Result:
    """`ullage trace`."""
    from stock.logbook import tables, trace  # loads the tables

    context.open()
    found = trace.trace(lot=args.lot, bottle=args.bottle, as_of=context.as_of())
    return reported(found.as_json(), tables.trace_report(found), args, context)
