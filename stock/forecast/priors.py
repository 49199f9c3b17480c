"""The studio's priors, learnt once a day from all its products, and the outlook of each product by them."""

from collections.abc import Sequence

import numpy as np

from stock.forecast.amounts import AmountPrior, Amounts, believe_amounts, learn_amounts
from stock.forecast.rates import STATES, MixDays, RatePrior, believe_rates, learn_rates, weeks_of
from stock.forecast.totals import PER_MEAN, Total, total_uses
from stock.forecast.use_history import Floats, UseHistory, middle
from stock.named_tuples import NamedTuple


class StudioPriors(NamedTuple):
    """The studio's priors on a day, used for every product that is forecast on that day.

    Attributes:
        today: the day (ordinal) they were learnt.
        rates: how often products are mixed.
        days_ul: how much a mix day takes.
        singles_ul: how much a single mix takes.
        ahead: the chances of how many mix days lie ahead.
    """

    today: int
    rates: RatePrior
    days_ul: AmountPrior
    singles_ul: AmountPrior
    ahead: MixDays

    def outlook(self, histories: Sequence[UseHistory]) -> "Outlook":
        """The outlook of these products."""
        belief = believe_rates(weeks_of(histories, self.today), self.rates)
        days = tuple(believe_amounts(each.totals_ul, self.days_ul) for each in histories)
        usual = tuple(middle(each.totals_ul) if each.events else 0.0 for each in histories)
        return Outlook(self, belief, days, usual)


class Outlook(NamedTuple):
    """The expected use of some products, from the day after the priors' day.

    Attributes:
        priors: the studio's priors.
        belief: [product, state], see `rates`.
        amounts: belief about a mix day's total; None where neither product nor studio was ever mixed.
        usual_day_ul: median total of a mix day, 0 for a product never mixed.
    """

    priors: StudioPriors
    belief: Floats
    amounts: tuple[Amounts | None, ...]
    usual_day_ul: tuple[float, ...]

    def abandoned(self) -> Floats:
        """[product]: the chance that it is no longer used."""
        return self.belief[:, 0]

    def daily_ul(self) -> Floats:
        """[product]: mean use a day in microlitres at the present rate; 0 if nothing is known."""
        means = np.array([each.mean_ul if each else 0.0 for each in self.amounts])
        return np.asarray((self.belief @ STATES) * means)

    def daily_of(self, product: int) -> float:
        """Mean use a day of one product (by its place in the list) in microlitres."""
        amounts = self.amounts[product]
        return 0.0 if amounts is None else float(self.belief[product] @ STATES) * amounts.mean_ul

    def counts(self, days: int) -> Floats:
        """[product, n]: the chance of n mix days in the next `days` days."""
        return np.asarray(self.belief @ self.priors.ahead.within(days))

    def total(self, product: int, days: int, *, fine: int = PER_MEAN) -> Total | None:
        """The use of one product (by its place in the list) in the next `days` days.

        Args:
            fine: lattice points in a mean amount; fewer are enough for a year and cost less.
        """
        found = self.totals(product, [days], fine=fine)
        return found[0] if found else None

    def totals(self, product: int, days: Sequence[int], *, fine: int = PER_MEAN) -> list[Total]:
        """`total` for several periods, worked out together; empty if nothing is known of the product's amounts."""
        amounts = self.amounts[product]
        if amounts is None:
            return []
        belief, ahead = self.belief[product], self.priors.ahead
        return total_uses([belief @ ahead.within(each) for each in days], amounts, fine=fine)


def learn_priors(histories: Sequence[UseHistory], today: int) -> StudioPriors:
    """The studio's priors from all its products' histories up to `today` (ordinal).

    Products that were never mixed are left out. With fewer than three products the default priors dominate.
    """
    mixed = [each for each in histories if each.events]
    rates = learn_rates(weeks_of(mixed, today))
    days = learn_amounts([each.totals_ul for each in mixed])
    singles = learn_amounts([each.singles_ul for each in mixed])
    return StudioPriors(today, rates, days, singles, MixDays(rates))
