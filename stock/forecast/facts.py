"""The facts that a forecast starts from, and the forecast itself. No books, no clock, no numpy here."""

from datetime import date, timedelta
from typing import TYPE_CHECKING

from stock.named_tuples import NamedTuple
from stock.units import Microlitres

if TYPE_CHECKING:
    from stock.forecast.baskets import Terms
    from stock.forecast.changes import DyingStock, RateChange
    from stock.forecast.ordering import LeadTime, OrderBy
    from stock.forecast.packs import PackChoice, PackSize
    from stock.forecast.usable import StockBottle
    from stock.forecast.use_history import UseHistory

OWN, POOLED, NONE = "own", "pooled", "none"
"""The basis of a forecast: the product's own mixes, mostly the studio's other products, or nothing."""

ENOUGH_EVENTS = 3


class UsualReducer(NamedTuple):
    """The reducer that a product is usually thinned with.

    Attributes:
        reducer: its name.
        share: reducer to paint by volume in the usual mix; above zero.
        usable_ul: microlitres of it that can be used.
    """

    reducer: str
    share: float
    usable_ul: Microlitres


class Facts(NamedTuple):
    """One product on the day of the forecast; volumes in microlitres.

    Attributes:
        number, product, role: its number in the books, its name and role.
        history: its use.
        on_hand_ul: all that its bottles hold.
        bottles: those that can be used, in the order in which they are used up.
        coming: (days from today, microlitres) on order and not yet received.
        planned: (days from today, microlitres) of planned uses still to come.
        usual_reducer: its usual reducer, if it is thinned with one.
        packs: sizes sold.
        supplier, terms: who sells it, on what terms.
        shared_by: how many of the supplier's products are in use and share its shipments.
        lead: the lead time of its deliveries.
        order_days: weekdays on which the supplier takes orders; any workday when empty.
        opened_days, sealed_days: lives in days; None when not known.
        discontinued_on: the day from which it is no longer made; None when it is still made.
        instead: the product used in its place, if it is discontinued and there is one.
        worth_minor: what the stock on hand cost; None when not known.
        currency, measures: the studio's, for the sentences.
    """

    number: int
    product: str
    role: str
    history: "UseHistory"
    on_hand_ul: Microlitres
    bottles: "tuple[StockBottle, ...]"
    lead: "LeadTime"
    coming: tuple[tuple[int, Microlitres], ...] = ()
    planned: tuple[tuple[int, Microlitres], ...] = ()
    usual_reducer: UsualReducer | None = None
    packs: "tuple[PackSize, ...]" = ()
    supplier: str | None = None
    terms: "Terms | None" = None
    shared_by: int = 1
    order_days: tuple[int, ...] = ()
    opened_days: int | None = None
    sealed_days: int | None = None
    discontinued_on: date | None = None
    instead: str | None = None
    worth_minor: int | None = None
    currency: str = "EUR"
    measures: str = "metric"


class WhatIf(NamedTuple):
    """Assumptions that change a forecast but not the books.

    Attributes:
        risk: greatest chance of running dry before a delivery, e.g. 0.05.
        more_use: factor on the use; 1.0 = as now.
        later_days: days added to every lead time.
        more_bottles: additional bottles of the smallest size on the shelf.
        any_size: whether packs larger than is used within the opened life may be chosen.
        cover_days: days that an order should last beyond the next delivery.
    """

    risk: float = 0.05
    more_use: float = 1.0
    later_days: int = 0
    more_bottles: int = 0
    any_size: bool = False
    cover_days: int = 28


class FanDay(NamedTuple):
    """What is left on one day (days from today): microlitres, with 10, 50 and 90 % chance of no more than that."""

    day: int
    low_ul: float
    middle_ul: float
    high_ul: float


class Forecast(NamedTuple):
    """The forecast of one product.

    Attributes:
        facts: what it was worked out from.
        today: the day of the forecast.
        usable_ul: usable microlitres.
        usual_ul: the usual mix in microlitres; None when the studio never mixed anything.
        sprays: mixes left with 90, 50 and 10 % chance, by the product and its usual reducer; None when the studio
            never mixed anything.
        runs_out: first day by which it is used up with 10, 50 and 90 % chance, days from today; None = not
            within two years.
        order_by: when to order; None when not within two years, or when no order makes sense.
        order: what to order then.
        limited_by: the usual reducer's name when it gives fewer sprays than the product itself.
        basis: `own`, `pooled` or `none`.
        abandoned: chance that it is no longer used.
        change, dying: a change of its use; stock that is no longer used.
        remarks: sentences that a person should read with this forecast.
    """

    facts: Facts
    today: date
    usable_ul: Microlitres
    usual_ul: Microlitres | None
    sprays: tuple[int, int, int] | None
    runs_out: tuple[int | None, int | None, int | None]
    order_by: "OrderBy | None"
    order: "PackChoice | None"
    limited_by: str | None
    basis: str
    abandoned: float
    change: "RateChange | None" = None
    dying: "DyingStock | None" = None
    remarks: tuple[str, ...] = ()

    def day(self, days: int | None) -> date | None:
        """The calendar day that lies `days` days after the day of the forecast."""
        return None if days is None else self.today + timedelta(days=days)

    @property
    def order_by_day(self) -> date | None:
        """The day by which to order."""
        return None if self.order_by is None else self.day(self.order_by.day)
