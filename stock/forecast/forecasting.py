"""The forecasts of many products at once, worked out from their facts."""

from collections.abc import Sequence
from datetime import date
from functools import cache

from stock.forecast import changes, packs
from stock.forecast.amounts import Amounts, believe_amounts
from stock.forecast.baskets import Basket, BasketLine, Terms, basket
from stock.forecast.facts import ENOUGH_EVENTS, NONE, OWN, POOLED, Facts, FanDay, Forecast, WhatIf
from stock.forecast.mixes_left import Stock
from stock.forecast.ordering import LeadTime, OrderBy, order_by
from stock.forecast.priors import Outlook, StudioPriors
from stock.forecast.runout import HORIZON, Supply, chances, first_day, sprays
from stock.forecast.usable import StockBottle, Usable, usable
from stock.forecast.use_history import Floats
from stock.language import _
from stock.notation import show_day
from stock.units import Microlitres, show_money, show_volume

_SURE = 3.0  # a bottle counts as never going bad if three of them are used up within its opened life
_LONGEST_LIFE = 728
_COARSE = 3
_LINES = 5  # orders seldom have more lines that share the shipping: common practice, no source

AS_NOW = WhatIf()


def forecasts(
    priors: StudioPriors,
    products: Sequence[Facts],
    what_if: WhatIf = AS_NOW,
    *,
    due_within: int | None = None,
) -> list[Forecast]:
    """Forecast these products.

    Args:
        priors: the studio's priors, learnt from all its products.
        products: the products to forecast.
        what_if: the target and the assumptions.
        due_within: only the products to order within so many days; all when None.
    Returns:
        One forecast for each of these products, in the same order.
    """
    if not products:
        return []
    outlook = _outlook(priors, products, what_if)
    stocks = [
        _usable(each, float(daily), what_if) for each, daily in zip(products, outlook.daily_ul(), strict=True)
    ]
    alone = [
        Supply(stock, Microlitres(0), each.planned) for each, stock in zip(products, stocks, strict=True)
    ]
    coming = [Microlitres(sum(ul for _, ul in each.coming)) for each in products]
    both = [supply._replace(coming_ul=ul) for supply, ul in zip(alone, coming, strict=True)]
    ordered = [row for row, ul in enumerate(coming) if ul]
    now = chances(outlook, alone)
    short = now.short
    if ordered:
        short = short.copy()
        short[ordered] = chances(_only(outlook, ordered), [both[row] for row in ordered]).short
    abandoned = outlook.abandoned().tolist()
    order_by = [
        _when(facts, short[row], abandoned[row], priors, what_if) for row, facts in enumerate(products)
    ]
    asked = [row for row, when in enumerate(order_by) if due_within is None or _is_due(when, due_within)]
    singles = {row: believe_amounts(products[row].history.singles_ul, priors.singles_ul) for row in asked}
    left = sprays([_spray_stock(products[row], singles[row], stocks[row]) for row in asked])
    return [
        _completed(
            Forecast(
                facts=products[row],
                today=date.fromordinal(priors.today),
                usable_ul=Microlitres(stocks[row].now_ul),
                usual_ul=_usual(products[row], singles[row]),
                sprays=mixes_left,
                runs_out=_runs_out(now.empty[row], outlook.amounts[row] is not None),
                order_by=order_by[row],
                order=None,
                limited_by=_limit(products[row], stocks[row]),
                basis=_basis(products[row], outlook.amounts[row]),
                abandoned=abandoned[row],
            ),
            outlook,
            row,
            both[row],
            what_if,
        )
        for row, mixes_left in zip(asked, left, strict=True)
    ]


def _is_due(when: OrderBy | None, days: int) -> bool:
    return when is not None and when.day <= days


def baskets_of(products: Sequence[Forecast]) -> list[Basket]:
    """The next order to each supplier, soonest first; products without a supplier make one order together."""
    lines: dict[str, list[BasketLine]] = {}
    terms: dict[str, Terms] = {}
    for each in products:
        if each.order_by is None or each.order is None:
            continue
        supplier = each.facts.supplier or ""
        choice = each.order
        lines.setdefault(supplier, []).append(
            BasketLine(
                each.facts.product, choice.pack.size_ul, choice.count, choice.cost_minor, each.order_by.day
            )
        )
        terms[supplier] = each.facts.terms or Terms()
    found = [basket(supplier, waiting, terms[supplier]) for supplier, waiting in lines.items()]
    return sorted((each for each in found if each), key=lambda each: (each.day, each.supplier))


def fan(priors: StudioPriors, facts: Facts, days: int, what_if: WhatIf = AS_NOW) -> list[FanDay]:
    """What is left of one product week by week, for the picture; what is on order doesn't count.

    Args:
        priors: the studio's priors.
        facts: the product.
        days: how many days ahead, up to two years.
        what_if: as in `forecasts`.
    """
    outlook = _outlook(priors, [facts], what_if)
    stock = _usable(facts, outlook.daily_of(0), what_if)
    steps = Supply(stock, Microlitres(0), facts.planned).steps()
    whole = min(days, HORIZON)
    spaced = sorted(
        {*range(0, whole + 1, max(7, whole // 182 * 7)), *(day for day, _ in steps if day <= whole)}
    )
    picture = []
    for day in spaced:
        level = max([ul for start, ul in steps if start <= day][-1], 0.0)
        total = outlook.total(0, day)
        low, middle, high = (0.0, 0.0, 0.0) if total is None else total.quantiles((0.1, 0.5, 0.9))
        picture.append(FanDay(day, *(max(level - used, 0.0) for used in (high, middle, low))))
    return picture


def _outlook(priors: StudioPriors, products: Sequence[Facts], what_if: WhatIf) -> Outlook:
    outlook = priors.outlook([each.history for each in products])
    if what_if.more_use == 1:
        return outlook
    more = what_if.more_use
    return outlook._replace(
        amounts=tuple(each and each._replace(points_ul=each.points_ul * more) for each in outlook.amounts),
        usual_day_ul=tuple(each * more for each in outlook.usual_day_ul),
    )


def _only(outlook: Outlook, rows: Sequence[int]) -> Outlook:
    return outlook._replace(
        belief=outlook.belief[list(rows)],
        amounts=tuple(outlook.amounts[row] for row in rows),
        usual_day_ul=tuple(outlook.usual_day_ul[row] for row in rows),
    )


def _usable(facts: Facts, daily_ul: float, what_if: WhatIf) -> Usable:
    bottles = list(facts.bottles)
    if what_if.more_bottles:
        size = min((pack.size_ul for pack in facts.packs if pack.size_ul > 0), default=Microlitres(0))
        size = size or max((each.on_hand_ul for each in bottles), default=Microlitres(0))
        bottles += [StockBottle(size, False, facts.sealed_days, facts.opened_days)] * what_if.more_bottles
    return usable(bottles, daily_ul)


def _usual(facts: Facts, amounts: Amounts | None) -> Microlitres | None:
    own = facts.history.usual_ul
    return own if own is not None else None if amounts is None else Microlitres(round(amounts.mean_ul))


def _limit(facts: Facts, stock: Usable) -> str | None:
    usual = facts.usual_reducer
    return usual.reducer if usual is not None and usual.usable_ul / usual.share < stock.now_ul else None


def _spray_stock(facts: Facts, amounts: Amounts | None, stock: Usable) -> Stock | None:
    """The stock that can be sprayed: all of it, or the part for which there is reducer."""
    usual = _usual(facts, amounts)
    if amounts is None or not usual:
        return None
    reach = float(stock.now_ul)
    if facts.usual_reducer is not None:
        reach = min(reach, facts.usual_reducer.usable_ul / facts.usual_reducer.share)
    return Stock(amounts, usual, reach)


def _runs_out(empty: Floats, has_amounts: bool) -> tuple[int | None, int | None, int | None]:
    if not has_amounts and empty[0] < 1:
        return None, None, None
    return first_day(empty, 0.1), first_day(empty, 0.5), first_day(empty, 0.9)


def _basis(facts: Facts, amounts: Amounts | None) -> str:
    if facts.history.events >= ENOUGH_EVENTS:
        return OWN
    return NONE if amounts is None else POOLED


def _when(
    facts: Facts, short: Floats, abandoned: float, priors: StudioPriors, what_if: WhatIf
) -> OrderBy | None:
    """The order-by day; None for a product never used, most likely abandoned, or no longer made.

    A planned use counts whatever the use history says, because the job will need it.
    """
    today = date.fromordinal(priors.today)
    if facts.discontinued_on is not None and facts.discontinued_on <= today:
        return None
    if not facts.planned and (not facts.history.events or abandoned > 0.5):
        return None
    lead = facts.lead
    if what_if.later_days:
        later = tuple((days + what_if.later_days, chance) for days, chance in lead.chances)
        lead = LeadTime(later, lead.seen, lead.assumed)
    found = order_by(short, lead, today=today, target=what_if.risk, order_days=facts.order_days)
    if found is None or facts.discontinued_on is None:
        return found
    return found._replace(day=min(found.day, (facts.discontinued_on - today).days))


def _completed(forecast: Forecast, outlook: Outlook, row: int, supply: Supply, what_if: WhatIf) -> Forecast:
    facts = forecast.facts
    today = outlook.priors.today
    change = changes.change(facts.history, today)
    dying = changes.dying(facts.history, today, abandoned=forecast.abandoned, held_ul=facts.on_hand_ul)
    order = _order(forecast, outlook, row, supply, what_if)
    whole = forecast._replace(change=change, dying=dying, order=order)
    return whole._replace(remarks=tuple(_remarks(whole)))


def _order(
    forecast: Forecast, outlook: Outlook, row: int, supply: Supply, what_if: WhatIf
) -> packs.PackChoice | None:
    """The packs to order.

    They last until this delivery comes, with the chance that the target requires. Over the days that the order should
    last, an even chance is enough, because another order can be placed on any day.
    """
    facts, when = forecast.facts, forecast.order_by
    if when is None:
        return None
    comes = round(when.day + facts.lead.mean + what_if.later_days)
    least = _lacking(outlook, row, supply, [(comes, 1 - what_if.risk), (comes + what_if.cover_days, 0.5)])
    planned = sum(ul for _, ul in facts.planned)
    daily = outlook.daily_of(row) or planned / HORIZON
    terms = facts.terms
    cheapest = min((each.price_minor for each in facts.packs if each.price_minor is not None), default=0)
    need = packs.Need(
        least_ul=least,
        daily_ul=daily,
        used_opened=float,
        sealed_days=facts.sealed_days,
        shipping_minor=(terms.shipping_minor or 0) // min(max(facts.shared_by, 1), _LINES) if terms else 0,
        dry_minor=(terms.shipping_minor if terms else None) or cheapest,
        dry_risk=min(when.risk, what_if.risk),
    )
    if forecast.basis == POOLED and not planned:  # too little history to order for stock: one usual mix
        need = need._replace(least_ul=float(forecast.usual_ul or 1), shipping_minor=0, dry_minor=0)
    return packs.choose(facts.packs, _within_life(need, facts, outlook, row), any_size=what_if.any_size)


def _lacking(outlook: Outlook, row: int, supply: Supply, periods: Sequence[tuple[int, float]]) -> float:
    """Microlitres that are missing for each of these periods (days, chance that the stock must last)."""
    ends = [min(days, HORIZON) for days, _ in periods]
    levels = [[ul for day, ul in supply.steps() if day <= end][-1] for end in ends]
    totals = outlook.totals(row, ends)
    used = (
        [float(total.quantiles((chance,))[0]) for total, (_, chance) in zip(totals, periods, strict=True)]
        if totals
        else [0.0] * len(periods)
    )
    return max(ul - level for ul, level in zip(used, levels, strict=True))


def _within_life(need: packs.Need, facts: Facts, outlook: Outlook, row: int) -> packs.Need:
    """The need, with the volume of a bottle that is used within its opened life, if that life is short."""
    largest = max((each.size_ul for each in facts.packs), default=0)
    if facts.opened_days is None or need.daily_ul * facts.opened_days > _SURE * largest:
        return need
    total = outlook.total(row, min(facts.opened_days, _LONGEST_LIFE), fine=_COARSE)
    if total is None:
        return need
    middle = float(total.quantiles((0.5,))[0]) + sum(
        ul for day, ul in facts.planned if day <= facts.opened_days
    )
    return need._replace(used_opened=cache(total.expected_up_to), largest_ul=middle)


def _remarks(forecast: Forecast) -> list[str]:
    """What a person should know about the forecast, the most important first."""
    facts, remarks = forecast.facts, []
    if forecast.basis == NONE:
        remarks.append(_("Not enough history: the studio has not mixed anything yet"))
    elif not facts.history.events:
        remarks.append(_("Not enough history: never mixed; the figures come from your other products"))
    elif forecast.basis == POOLED:
        remarks.append(
            _(
                "Mixed on only {events}: the figures come mostly from your other products",
                events=_days(facts.history.events),
            )
        )
    if forecast.change is not None:
        remarks.append(_sentence(forecast.change.words(forecast.today)))
    if forecast.dying is not None:
        remarks.append(_dying(forecast.dying, facts, forecast.today))
    if forecast.abandoned > 0.5 and facts.history.events:
        remarks.append(
            _(
                "Most likely no longer used ({abandoned:.0%}), so there is no day to order",
                abandoned=forecast.abandoned,
            )
        )
    if facts.discontinued_on is not None:
        gone = facts.discontinued_on <= forecast.today
        remarks.append(
            _(
                "Discontinued since {discontinued_on}: no more can be ordered",
                discontinued_on=show_day(facts.discontinued_on),
            )
            if gone
            else _(
                "Discontinued from {discontinued_on} on: that is the last day to order",
                discontinued_on=show_day(facts.discontinued_on),
            )
        )
        if facts.instead:
            remarks.append(_("Used in its place: {instead}", instead=facts.instead))
    if forecast.limited_by:
        remarks.append(
            _("The reducer limits it: {limited_by} runs out first", limited_by=forecast.limited_by)
        )
    remarks += _order_remarks(forecast)
    return remarks


def _dying(dying: changes.DyingStock, facts: Facts, today: date) -> str:
    since = (
        _("since it came")
        if dying.last_used is None
        else _("since {last_used}", last_used=changes.day_words(dying.last_used, today))
    )
    worth = (
        ""
        if facts.worth_minor is None
        else _(" worth {worth_minor}", worth_minor=show_money(facts.worth_minor, facts.currency))
    )
    volume = show_volume(dying.held_ul, facts.measures)
    return _(
        "Dying stock: not used {since}, for {quiet_days}; {volume}{worth} left",
        since=since,
        quiet_days=_days(dying.quiet_days),
        volume=volume,
        worth=worth,
    )


def _order_remarks(forecast: Forecast) -> list[str]:
    facts, when, order, remarks = forecast.facts, forecast.order_by, forecast.order, []
    if when is not None and when.late:
        remarks.append(_late(forecast.usable_ul, when.risk))
    if when is not None and facts.lead.assumed:
        remarks.append(_("The lead time is unknown: 7 days are assumed"))
    if when is not None and order is None:
        remarks.append(_("The pack sizes are unknown, so there is no proposal how much to order"))
    if order is not None and order.cost_minor is None:
        remarks.append(_("The price of that size is unknown"))
    if order is not None and order.too_big:
        remarks.append(_("Even the smallest bottle holds more than is used within its opened life"))
    return remarks


def _late(usable_ul: Microlitres, risk: float) -> str:
    if usable_ul <= 0:
        return _(
            "Order now: nothing usable is left, and {risk:.0%} is the chance that it is needed "
            "before a delivery",
            risk=risk,
        )
    return _("Order now: {risk:.0%} chance of running dry before a delivery", risk=risk)


def _days(number: int) -> str:
    return _("1 day") if number == 1 else _("{number} days", number=number)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
