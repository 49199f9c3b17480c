"""Costs, emissions and traces as reports: their columns, totals and rules."""

from collections.abc import Iterable, Sequence
from typing import Any

from stock.cautions.regulated import Compared
from stock.cautions.voc import Content
from stock.grammar import in_full
from stock.language import _
from stock.logbook import flat_tables
from stock.logbook.costing import NO_JOB, RULE, JobCost
from stock.logbook.costs import CostsRead
from stock.logbook.emissions import RULES, Emissions, monthly
from stock.logbook.report import Cell, Report, ReportTable
from stock.logbook.trace import Trace
from stock.money import minor_digits, money_figure
from stock.notation import show_day
from stock.shelf.studio import settings
from stock.units import Microlitres, ml

FIGURES = ("material", "washes", "share", "total")


def grams(value: float | None) -> float | None:
    """A mass in grams or a content in g/L to a hundredth; None stays."""
    return None if value is None else round(value, 2)


def cost_report(costs: CostsRead) -> Report:
    """The costs by job; of a single job also mix by mix."""
    studio = settings()
    heads = (
        _("job"),
        _("mixes>"),
        _("material>"),
        _("washes>"),
        _("waste share>"),
        _("total {currency}>", currency=costs.currency),
    )
    rows: list[Sequence[Cell]] = [
        (job.name or NO_JOB, len(job.mixes), *_money(costs, (job.total(figure) for figure in FIGURES)))
        for job in costs.costs.jobs
    ]
    totals: Sequence[Cell] = (
        _("together"),
        sum(len(job.mixes) for job in costs.costs.jobs),
        *_money(costs, (costs.costs.total(figure) for figure in FIGURES)),
    )
    tables = [ReportTable(_("Jobs"), heads, rows, totals)]
    if costs.job is not None or costs.month is not None:
        tables += [_mixes_of(job, costs) for job in costs.costs.jobs]
    notes = [RULE]
    if costs.costs.unshared:
        amount = f"{money_figure(costs.costs.unshared, costs.currency)} {costs.currency}"
        notes.append(
            _("Waste of months without a priced mix, which is shared out to no mix: {amount}.", amount=amount)
        )
    if costs.costs.written_off:
        amount = f"{money_figure(costs.costs.written_off, costs.currency)} {costs.currency}"
        notes.append(_("Written off, because it was spilled, leaked or dried out: {amount}.", amount=amount))
    if costs.unpriced:
        unpriced = ", ".join(f"{name} ({in_full(ml(Microlitres(ul)))} ml)" for name, ul in costs.unpriced)
        notes.append(
            _(
                "The price of these is unknown, so they count as nothing and the real costs are higher "
                "than shown: {unpriced}.",
                unpriced=unpriced,
            )
        )
    subject = f"{costs.job or _('All jobs')}, {costs.month or _('all months')}"
    return Report(
        title=_("Material costs"),
        studio=studio.name,
        about=_("{subject}, as of {as_of}", subject=subject, as_of=show_day(costs.as_of)),
        tables=tables,
        notes=notes,
        subject=subject,
        flat=lambda: flat_tables.costed(costs),
    )


def _money(costs: CostsRead, figures: Iterable[int]) -> tuple[str, ...]:
    return tuple(money_figure(figure, costs.currency) for figure in figures)


def _mixes_of(job: JobCost, costs: CostsRead) -> ReportTable:
    rows: list[Sequence[Cell]] = [
        (show_day(mix.made.day), mix.made.mix, *_money(costs, (getattr(mix, figure) for figure in FIGURES)))
        for mix in job.mixes
    ]
    heads = (
        _("day"),
        _("mix>"),
        _("material>"),
        _("washes>"),
        _("waste share>"),
        _("total {currency}>", currency=costs.currency),
    )
    totals: Sequence[Cell] = (
        _("together"),
        len(job.mixes),
        *_money(costs, (job.total(figure) for figure in FIGURES)),
    )
    return ReportTable(_("Mixes of {name}", name=job.name or NO_JOB), heads, rows, totals)


def costs_json(costs: CostsRead) -> dict[str, Any]:
    """The answer of `ullage cost`; money in the currency's main unit."""
    scale = 10 ** minor_digits(costs.currency)

    def figures(row: Any) -> dict[str, float]:
        return {figure: row(figure) / scale for figure in FIGURES}

    return {
        "as_of": costs.as_of.isoformat(),
        "month": str(costs.month) if costs.month else None,
        "currency": costs.currency,
        "jobs": [
            {
                "job": job.name,
                **figures(job.total),
                "mixes": [
                    {
                        "mix": mix.made.mix,
                        "day": mix.made.day.isoformat(),
                        **{figure: getattr(mix, figure) / scale for figure in FIGURES},
                    }
                    for mix in job.mixes
                ],
            }
            for job in costs.costs.jobs
        ],
        "total": costs.costs.total() / scale,
        "unshared": costs.costs.unshared / scale,
        "written_off": costs.costs.written_off / scale,
        "unpriced": [{"bottle": name, "volume_ml": ml(Microlitres(ul))} for name, ul in costs.unpriced],
        "rule": RULE,
    }


def emission_report(emissions: Emissions, *, every_month: bool = False) -> Report:
    """A month's emissions by product, and each mix as applied.

    Args:
        emissions: the month's.
        every_month: whether the flat table holds every month until then, and not that one alone.
    """
    studio = settings()
    kinds = (
        (_("mixes"), emissions.coatings),
        (_("washes"), emissions.cleaning),
        *([(_("spilled, leaked, dried out"), emissions.losses)] if emissions.losses.volume_ml else []),
        (_("together"), emissions.everything),
    )
    emitted = [
        (
            name, grams(held.volume_ml), grams(held.us_g), grams(held.actual), grams(held.less_water),
            grams(held.eu_g), grams(held.ready_to_use),
        )
        for name, held in kinds
    ]  # fmt: skip
    heads = (
        "", _("ml>"), _("US: g emitted>"), _("US: g/L as applied>"), _("US: g/L less water, exempt>"),
        _("EU: g emitted>"),
        _("EU: g/L ready to use>"),
    )  # fmt: skip
    return Report(
        title=_("Emissions of volatile organic compounds"),
        studio=studio.name,
        about=_("{month}, as of {as_of}", month=emissions.month, as_of=show_day(emissions.as_of)),
        tables=[ReportTable(_("Emitted"), heads, emitted), _by_product(emissions), _as_applied(emissions)],
        notes=[
            *(f"{word[:1].upper()}{word[1:]}" for word in _assumed(emissions)),
            *_exempt(emissions),
            *RULES,
        ],
        subject=_("every month") if every_month else str(emissions.month),
        flat=lambda: flat_tables.emitted(monthly(emissions.as_of) if every_month else [emissions]),
    )


def _by_product(emissions: Emissions) -> ReportTable:
    heads = (
        _("product"), _("role"), _("sprayed ml>"), _("washed with ml>"), _("lost ml>"), _("US: g>"), _("EU: g>"),
        _("water ml>"), _("exempt ml>"),
        _("taken at its worst"),
    )  # fmt: skip
    rows: list[Sequence[Cell]] = [
        (
            line.product, line.role, ml(line.sprayed_ul), ml(line.washed_ul),
            ml(line.lost_ul),
            grams(line.held.us_g),
            grams(line.held.eu_g), grams(line.held.water_ml), grams(line.held.exempt_ml), "; ".join(line.held.assumed),
        )
        for line in emissions.lines
    ]  # fmt: skip
    return ReportTable(_("Products"), heads, rows)


def _as_applied(emissions: Emissions) -> ReportTable:
    heads = (
        _("day"),
        _("mix>"),
        _("what"),
        _("ml>"),
        _("US: g/L less water, exempt>"),
        _("EU: g/L ready to use>"),
        _("limits"),
    )
    rows: list[Sequence[Cell]] = [
        (
            show_day(one.day), one.mix, one.what, grams(one.held.volume_ml), grams(one.held.less_water),
            grams(one.held.ready_to_use), "; ".join(map(_beside, one.compared)),
        )
        for one in emissions.mixes
    ]  # fmt: skip
    return ReportTable(_("Mixes as applied"), heads, rows)


def _beside(each: Compared) -> str:
    """A content beside its limit: `over: 455.2 g/L of VOC without its water, topcoat 420 (eu:topcoat)`."""
    word = "over" if each.over else "within"
    return _(
        "{over_or_within}: {content}, {limit} for {category} ({code})",
        over_or_within=word,
        content=each.words,
        limit=each.category.limit,
        category=each.category.name,
        code=each.category.word,
    )


def _exempt(emissions: Emissions) -> list[str]:
    """The names of the solvents that the American figures leave out."""
    names = list(dict.fromkeys(name for line in emissions.lines for name in line.held.exempt))
    return (
        [_("Left out of the US figures by 40 CFR 51.100(s): {names}.", names=", ".join(names))]
        if names
        else []
    )


def _assumed(emissions: Emissions) -> list[str]:
    worst: dict[str, list[str]] = {}
    for line in emissions.lines:
        for word in line.held.assumed:
            worst.setdefault(word, []).append(line.product)
    return [f"{word} ({', '.join(products)})." for word, products in worst.items()]


def _content_json(held: Content) -> dict[str, Any]:
    return {
        "volume_ml": grams(held.volume_ml),
        "us": {
            "emitted_g": grams(held.us_g),
            "actual_g_per_l": grams(held.actual),
            "less_water_and_exempt_g_per_l": grams(held.less_water),
        },
        "eu": {"emitted_g": grams(held.eu_g), "ready_to_use_g_per_l": grams(held.ready_to_use)},
    }


def emissions_json(emissions: Emissions) -> dict[str, Any]:
    """The answer of `ullage emissions`."""
    return {
        "month": str(emissions.month),
        "as_of": emissions.as_of.isoformat(),
        **_content_json(emissions.everything),
        "coatings": _content_json(emissions.coatings),
        "cleaning": _content_json(emissions.cleaning),
        "losses": _content_json(emissions.losses),
        "products": [
            {
                "product": line.product,
                "role": line.role,
                "sprayed_ml": ml(line.sprayed_ul),
                "washed_ml": ml(line.washed_ul),
                "lost_ml": ml(line.lost_ul),
                "us_g": grams(line.held.us_g),
                "eu_g": grams(line.held.eu_g),
                "water_ml": grams(line.held.water_ml),
                "exempt_ml": grams(line.held.exempt_ml),
                "exempt": list(line.held.exempt),
                "assumed": list(line.held.assumed),
            }
            for line in emissions.lines
        ],
        "limits": [
            {
                "mix": one.mix,
                "category": each.category.word,
                "limit": each.category.limit,
                "unit": "percent" if each.category.by_weight else "g_per_l",
                "figure": None if each.figure is None else grams(each.figure),
                "over": each.over,
            }
            for one in emissions.mixes
            for each in one.compared
        ],
        "assumed": _assumed(emissions),
        "rules": list(RULES),
    }


def trace_report(trace: Trace) -> Report:
    """Where a lot went."""
    bottles = [
        (
            one.id,
            one.product,
            ml(one.size_ul),
            ml(one.on_hand_ul),
            _(one.state),
            one.place,
            one.through,
        )
        for one in trace.bottles
    ]
    mixes = [
        (
            show_day(one.day), one.id, one.job, one.customer, one.outcome, ml(one.volume_ul),
            " ".join(map(str, one.bottles)),
        )
        for one in trace.mixes
    ]  # fmt: skip
    jobs = [(job, " ".join(map(str, numbers))) for job, numbers in trace.jobs.items()]
    notes = [
        _(
            "Followed through bottles it was decanted into, mixes, jars kept of them, and mixes from "
            "those jars. What was undone is not included."
        )
    ]
    if trace.washed_ul:
        notes.append(_("{washed_ul} ml of it were used to wash.", washed_ul=in_full(ml(trace.washed_ul))))
    return Report(
        title=_("Trace of {about}", about=trace.about),
        studio=settings().name,
        about=_("as of {as_of}", as_of=show_day(trace.as_of)),
        tables=[
            ReportTable(
                _("Bottles"),
                (
                    _("bottle>"),
                    _("product"),
                    _("size ml>"),
                    _("on hand ml>"),
                    _("state"),
                    _("place"),
                    _("through"),
                ),
                bottles,
            ),
            ReportTable(
                _("Mixes"),
                (
                    _("day"),
                    _("mix>"),
                    _("job"),
                    _("customer"),
                    _("outcome"),
                    _("ml of it>"),
                    _("from bottles"),
                ),
                mixes,
            ),
            ReportTable(_("Jobs"), (_("job"), _("mixes")), jobs),
        ],
        notes=notes,
        flat=lambda: flat_tables.traced(trace),
    )
