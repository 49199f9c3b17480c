"""The forecast of many products at once: facts in, sentences and figures out."""

from collections.abc import Sequence
from datetime import date

from stock.forecast import changes, packs
from stock.forecast.amounts import Amounts, believe_amounts
from stock.forecast.baskets import Basket, BasketLine, Terms, basket
from stock.forecast.facts import ENOUGH_EVENTS, NONE, OWN, POOLED, Facts, FanDay, Forecast, WhatIf
from stock.forecast.habit import Floats
from stock.forecast.mixes_left import Stock
from stock.forecast.ordering import LeadTime, OrderBy, order_by
from stock.forecast.pool import Outlook, Pool
from stock.forecast.runout import HORIZON, Supply, chances, first_day, sprays
from stock.forecast.usable import Held, Usable, usable
from stock.units import show_money, show_volume

_SURE = 3.0  # a bottle used up three times over within its opened life never goes bad
_LONGEST_LIFE = 728
_COARSE = 3
_LINES = 5  # an order seldom shares its shipping among more lines: common practice, no source

AS_NOW = WhatIf()


def forecasts(pool: Pool, products: Sequence[Facts], what_if: WhatIf = AS_NOW) -> list[Forecast]:
    """Forecast these products.

    Args:
        pool: the studio's priors, learnt from all its products.
        products: those asked for.
        what_if: the target and what to assume otherwise than it is.
    Returns:
        One forecast each, in the same order.
    """
    if not products:
        return []
    outlook = _outlook(pool, products, what_if)
    stocks = [
        _usable(each, float(daily), what_if) for each, daily in zip(products, outlook.daily_ul(), strict=True)
    ]
    alone = [Supply(stock, 0, each.planned) for each, stock in zip(products, stocks, strict=True)]
    coming = [sum(ul for _, ul in each.coming) for each in products]
    both = [supply._replace(coming_ul=ul) for supply, ul in zip(alone, coming, strict=True)]
    ordered = [row for row, ul in enumerate(coming) if ul]
    now = chances(outlook, alone)
    short = now.short
    if ordered:
        short = short.copy()
        short[ordered] = chances(_only(outlook, ordered), [both[row] for row in ordered]).short
    abandoned = outlook.abandoned().tolist()
    singles = [believe_amounts(each.habit.singles_ul, pool.singles_ul) for each in products]
    left = sprays([_spray_stock(*each) for each in zip(products, singles, stocks, strict=True)])
    return [
        _told(
            Forecast(
                facts=facts,
                today=date.fromordinal(pool.today),
                usable_ul=stocks[row].now_ul,
                usual_ul=_usual(facts, singles[row]),
                sprays=left[row],
                runs_out=_runs_out(now.empty[row], outlook.amounts[row] is not None),
                order_by=_when(facts, short[row], abandoned[row], pool, what_if),
                order=None,
                limited_by=_limit(facts, stocks[row]),
                basis=_basis(facts, outlook.amounts[row]),
                abandoned=abandoned[row],
            ),
            outlook,
            row,
            both[row],
            what_if,
        )
        for row, facts in enumerate(products)
    ]


def baskets_of(told: Sequence[Forecast]) -> list[Basket]:
    """The next order to each supplier, soonest first; products without a supplier make one of their own."""
    lines: dict[str, list[BasketLine]] = {}
    terms: dict[str, Terms] = {}
    for each in told:
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


def fan(pool: Pool, facts: Facts, days: int, what_if: WhatIf = AS_NOW) -> list[FanDay]:
    """What is left of one product week by week, for the picture; without what is on order.

    Args:
        pool: the studio's priors.
        facts: the product.
        days: how far to look, up to two years.
        what_if: as in `forecasts`.
    """
    outlook = _outlook(pool, [facts], what_if)
    stock = _usable(facts, outlook.daily_of(0), what_if)
    steps = Supply(stock, 0, facts.planned).steps()
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


def _outlook(pool: Pool, products: Sequence[Facts], what_if: WhatIf) -> Outlook:
    outlook = pool.outlook([each.habit for each in products])
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
        size = min((pack.size_ul for pack in facts.packs if pack.size_ul > 0), default=0)
        size = size or max((each.on_hand_ul for each in bottles), default=0)
        bottles += [Held(size, False, facts.sealed_days, facts.opened_days)] * what_if.more_bottles
    return usable(bottles, daily_ul)


def _usual(facts: Facts, amounts: Amounts | None) -> int | None:
    own = facts.habit.usual_ul
    return own if own is not None else None if amounts is None else round(amounts.mean_ul)


def _limit(facts: Facts, stock: Usable) -> str | None:
    cut = facts.cut
    return cut.reducer if cut is not None and cut.usable_ul / cut.share < stock.now_ul else None


def _spray_stock(facts: Facts, amounts: Amounts | None, stock: Usable) -> Stock | None:
    """The paint that can be sprayed: all of it, or what there is reducer for."""
    usual = _usual(facts, amounts)
    if amounts is None or not usual:
        return None
    reach = float(stock.now_ul)
    if facts.cut is not None:
        reach = min(reach, facts.cut.usable_ul / facts.cut.share)
    return Stock(amounts, usual, reach)


def _runs_out(empty: Floats, known: bool) -> tuple[int | None, int | None, int | None]:
    if not known and empty[0] < 1:
        return None, None, None
    return first_day(empty, 0.1), first_day(empty, 0.5), first_day(empty, 0.9)


def _basis(facts: Facts, amounts: Amounts | None) -> str:
    if facts.habit.events >= ENOUGH_EVENTS:
        return OWN
    return NONE if amounts is None else POOLED


def _when(facts: Facts, short: Floats, abandoned: float, pool: Pool, what_if: WhatIf) -> OrderBy | None:
    """The order-by day. None for a product never used, most likely abandoned, or no longer made.

    What a job plans is wanted for sure: it is ordered for whatever the habit says.
    """
    today = date.fromordinal(pool.today)
    if facts.discontinued_on is not None and facts.discontinued_on <= today:
        return None
    if not facts.planned and (not facts.habit.events or abandoned > 0.5):
        return None
    lead = facts.lead
    if what_if.later_days:
        later = tuple((days + what_if.later_days, chance) for days, chance in lead.chances)
        lead = LeadTime(later, lead.seen, lead.assumed)
    found = order_by(short, lead, today=today, target=what_if.risk, order_days=facts.order_days)
    if found is None or facts.discontinued_on is None:
        return found
    return found._replace(day=min(found.day, (facts.discontinued_on - today).days))


def _told(forecast: Forecast, outlook: Outlook, row: int, supply: Supply, what_if: WhatIf) -> Forecast:
    facts = forecast.facts
    today = outlook.pool.today
    change = changes.change(facts.habit, today)
    dying = changes.dying(facts.habit, today, abandoned=forecast.abandoned, held_ul=facts.on_hand_ul)
    order = _order(forecast, outlook, row, supply, what_if)
    whole = forecast._replace(change=change, dying=dying, order=order)
    return whole._replace(remarks=tuple(_remarks(whole)))


def _order(
    forecast: Forecast, outlook: Outlook, row: int, supply: Supply, what_if: WhatIf
) -> packs.Choice | None:
    """The packs that last until the delivery after this one, with the chance asked for while that is waited
    for and with even chance over the days it should serve: another order can be placed on any day."""
    facts, when = forecast.facts, forecast.order_by
    if when is None:
        return None
    comes = round(when.day + facts.lead.mean + what_if.later_days)
    least = max(
        _lacking(outlook, row, supply, comes, 1 - what_if.risk),
        _lacking(outlook, row, supply, comes + what_if.cover_days, 0.5),
    )
    planned = sum(ul for _, ul in facts.planned)
    daily = outlook.daily_of(row) or planned / HORIZON
    terms = facts.terms
    cheapest = min((each.price_minor for each in facts.packs if each.price_minor is not None), default=0)
    need = packs.Need(
        least_ul=max(least, 1.0),
        daily_ul=daily,
        used_opened=float,
        sealed_days=facts.sealed_days,
        shipping_minor=(terms.shipping_minor or 0) // min(max(facts.shared_by, 1), _LINES) if terms else 0,
        dry_minor=(terms.shipping_minor if terms else None) or cheapest,
        dry_risk=min(when.risk, what_if.risk),
    )
    if forecast.basis == POOLED and not planned:  # too little is known to fill a shelf on it: one usual mix
        need = need._replace(least_ul=float(forecast.usual_ul or 1), shipping_minor=0, dry_minor=0)
    return packs.choose(facts.packs, _within_life(need, facts, outlook, row), any_size=what_if.any_size)


def _lacking(outlook: Outlook, row: int, supply: Supply, days: int, chance: float) -> float:
    """Microlitres that lack for lasting so many days with that chance."""
    last = min(days, HORIZON)
    level = [ul for day, ul in supply.steps() if day <= last][-1]
    total = outlook.total(row, last)
    return (0.0 if total is None else float(total.quantiles((chance,))[0])) - level


def _within_life(need: packs.Need, facts: Facts, outlook: Outlook, row: int) -> packs.Need:
    """The need with what is used of a bottle within its opened life, where that is short enough to matter."""
    largest = max((each.size_ul for each in facts.packs), default=0)
    if facts.opened_days is None or need.daily_ul * facts.opened_days > _SURE * largest:
        return need
    total = outlook.total(row, min(facts.opened_days, _LONGEST_LIFE), fine=_COARSE)
    if total is None:
        return need
    middle = float(total.quantiles((0.5,))[0]) + sum(
        ul for day, ul in facts.planned if day <= facts.opened_days
    )
    return need._replace(used_opened=total.expected_up_to, largest_ul=middle)


def _remarks(forecast: Forecast) -> list[str]:
    """What a person should know, gravest first."""
    facts, said = forecast.facts, []
    if forecast.basis == NONE:
        said.append("Not enough history: the studio has not mixed anything yet")
    elif not facts.habit.events:
        said.append("Not enough history: never mixed; the figures come from your other products")
    elif forecast.basis == POOLED:
        said.append(f"Mixed on {_days(facts.habit.events)} only: mostly from your other products")
    if forecast.change is not None:
        said.append(_sentence(forecast.change.words(forecast.today)))
    if forecast.dying is not None:
        said.append(_dying(forecast.dying, facts, forecast.today))
    if forecast.abandoned > 0.5 and facts.habit.events:
        said.append(f"Most likely no longer used ({forecast.abandoned:.0%}): no order day")
    if facts.discontinued_on is not None:
        gone = facts.discontinued_on <= forecast.today
        said.append(
            f"Discontinued since {facts.discontinued_on}: no more can be ordered"
            if gone
            else f"Discontinued on {facts.discontinued_on}: that is the last day to order"
        )
        if facts.instead:
            said.append(f"Used in its place: {facts.instead}")
    if forecast.limited_by:
        said.append(f"The reducer limits it: {forecast.limited_by} runs short first")
    said += _order_remarks(forecast)
    return said


def _dying(dying: changes.Dying, facts: Facts, today: date) -> str:
    since = "since it came" if dying.last_used is None else f"since {changes.said(dying.last_used, today)}"
    worth = "" if facts.worth_minor is None else f" worth {show_money(facts.worth_minor, facts.currency)}"
    volume = show_volume(dying.held_ul, facts.measures)
    return f"Dying stock: not used {since}, for {_days(dying.quiet_days)}; {volume}{worth} stand here"


def _order_remarks(forecast: Forecast) -> list[str]:
    facts, when, order, said = forecast.facts, forecast.order_by, forecast.order, []
    if when is not None and when.late:
        said.append(f"Order now: {when.risk:.0%} chance of running dry before a delivery")
    if when is not None and facts.lead.assumed:
        said.append("No lead time is known: 7 days are assumed")
    if when is not None and order is None:
        said.append("No pack size is known: how much to order can't be said")
    if order is not None and order.cost_minor is None:
        said.append("No price is known for that size")
    if order is not None and order.too_big:
        said.append("Even the smallest bottle holds more than is used within its opened life")
    return said


def _days(number: int) -> str:
    return "1 day" if number == 1 else f"{number} days"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
