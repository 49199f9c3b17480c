"""How long bottles keep: best before, opened life, frost, leftovers, hardeners, peroxides.

Days and months are those of the calendar; a month after 31 January ends on the last day of February. An unknown date
never counts as good.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from stock.cautions.facts import BottleFacts, Finding, ProductFacts
from stock.cautions.groups import groups_of
from stock.cautions.peroxides import peroxides
from stock.cautions.rules import RuleBook
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.spans import Duration

Pair = tuple[BottleFacts, ProductFacts]


class Age(NamedTuple):
    """The days until which a bottle keeps.

    `sealed_until` is the label's best-before or, without one, the sealed life counted from the day it was
    made, else from the day it came; `open_until` the opened life counted from the day it was opened.
    None is unknown. `guessed` says that the day it came stood in for the day it was made.
    """

    sealed_until: date | None
    open_until: date | None
    guessed: bool = False

    @property
    def until(self) -> date | None:
        """The earlier of the two days; None if neither is known."""
        return min((day for day in (self.sealed_until, self.open_until) if day), default=None)


def age(bottle: BottleFacts, product: ProductFacts) -> Age:
    """The days until which a bottle keeps, from its label and its product's sealed and opened lives."""
    life = product.sealed_life
    made = life.after(bottle.made_on) if life and bottle.made_on else None
    sealed = min((day for day in (bottle.best_before, made) if day), default=None)
    guessed = sealed is None and life is not None and bottle.received_on is not None
    if guessed and life and bottle.received_on:
        sealed = life.after(bottle.received_on)
    opened = None
    if bottle.state == "open" and bottle.opened_on and product.opened_life:
        opened = product.opened_life.after(bottle.opened_on)
    return Age(sealed, opened, guessed)


def ageing(bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook) -> Iterator[Finding]:
    """The findings about a bottle's age on a day.

    Args:
        bottle: one that holds something.
        as_of: the day asked about.
    """
    if bottle.tested_until is not None and as_of < bottle.tested_until:
        yield from _tested(bottle, product, as_of, book)
    else:
        yield from _untested(bottle, product, as_of, book)
    if bottle.kept:
        return
    if product.role == "hardener" and bottle.state == "open" and "isocyanate" in groups_of(product):
        yield from _hardener((bottle, product), as_of, book)
    said = peroxides(bottle, product, as_of, book)
    if said is not None:
        yield from _about(said.code, (bottle, product), said.since, book, source=said.source, who=said.who)


def _tested(bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook) -> Iterator[Finding]:
    """The finding that replaces those on age and frost while a test on a card holds."""
    unsure = [each for each in _untested(bottle, product, as_of, book) if each.severity != "note"]
    if unsure:
        pair = (bottle, product)
        said = "; ".join(each.message for each in unsure)
        yield from _about("tested-good", pair, unsure[0].since, book, day=bottle.tested_until, said=said)


def _untested(bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook) -> Iterator[Finding]:
    """The findings on its age and on frost where no test on a card holds."""
    if bottle.kept:
        yield from _leftover(bottle, product, as_of, book)
        return
    yield from _dates(bottle, product, as_of, book)
    if bottle.frozen_on is not None and bottle.frozen_on <= as_of:
        yield from _about("frozen-once", (bottle, product), bottle.frozen_on, book, on=bottle.frozen_on)


def _about(
    code: str, pair: Pair, since: date | None, book: RuleBook, *, severity: str | None = None, **words: Any
) -> Iterator[Finding]:
    bottle, product = pair
    about = (product.id, product.name)
    return book.find(code, product=about, bottle=bottle.id, since=since, severity=severity, **words)


def _dates(bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook) -> Iterator[Finding]:
    keeps = age(bottle, product)
    pair = (bottle, product)
    if bottle.state == "open" and bottle.opened_on is None:
        yield from _about("opened-day-unknown", pair, None, book)
    for day, past, near in (
        (keeps.sealed_until, "past-best-before", "near-best-before"),
        (keeps.open_until, "open-too-long", "open-nearly-too-long"),
    ):
        if day is None:
            continue
        how = _(" (counted from the day it came)") if keeps.guessed and past == "past-best-before" else ""
        words: dict[str, Any] = {
            "day": day,
            "how": how,
            "opened": bottle.opened_on,
            "life": product.opened_life,
        }
        if as_of > day:
            yield from _about(past, pair, day, book, days=(as_of - day).days, **words)
        elif (day - as_of).days <= book.figure(near, "near_days"):
            since = day - timedelta(days=book.figure(near, "near_days"))
            yield from _about(near, pair, since, book, days=(day - as_of).days, **words)


def keeping_unknown(product: ProductFacts, bottles: list[BottleFacts], book: RuleBook) -> Iterator[Finding]:
    """A finding that the lives of a product's bottles are not noted; one for each product."""
    ages = [(bottle, age(bottle, product)) for bottle in bottles if not bottle.kept]
    missing = []
    undated = [bottle.id for bottle, keeps in ages if keeps.sealed_until is None]
    if undated:
        missing.append(
            _("no best-before date and no sealed life for {undated}", undated=bottles_in_words(undated))
        )
    if product.opened_life is None and any(bottle.state == "open" for bottle, _ in ages):
        missing.append(_("no opened life"))
    if missing:
        about = (product.id, product.name)
        yield from book.find("age-unknown", product=about, missing=_(" and ").join(missing))


def bottles_in_words(numbers: list[int], most: int = 4) -> str:
    """Bottle numbers in words: `bottle 3`, `bottles 3, 4`, or the first few and how many more."""
    if len(numbers) == 1:
        return _("bottle {numbers}", numbers=numbers[0])
    shown = ", ".join(str(number) for number in numbers[:most])
    return _("bottles {shown}", shown=shown) + (
        _(" and {numbers} more", numbers=len(numbers) - most) if len(numbers) > most else ""
    )


def _leftover(bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook) -> Iterator[Finding]:
    pair = (bottle, product)
    kept_on = bottle.opened_on
    if kept_on is None and (bottle.best_before is None or as_of <= bottle.best_before):
        yield from _about("leftover-day-unknown", pair, None, book)
        return
    life = product.opened_life or Duration(days=book.figure("leftover-too-old", "life_days"))
    until = bottle.best_before or life.after(kept_on or as_of)
    own_days = book.own_figure("leftover-too-old", "life_days")
    if own_days is not None and kept_on is not None:
        until = min(until, Duration(days=own_days).after(kept_on))
    if as_of > until:
        yield from _about("leftover-too-old", pair, until, book, day=until, days=(as_of - until).days)
    else:
        yield from _about("leftover-kept", pair, kept_on, book, day=until, days=(until - as_of).days)


def _hardener(pair: Pair, as_of: date, book: RuleBook) -> Iterator[Finding]:
    bottle = pair[0]
    watch = Duration(months=book.figure("hardener-open", "watch_months"))
    since = watch.after(bottle.opened_on) if bottle.opened_on else None
    late = since is None or as_of > since
    age_ = (
        _("open since {opened_on}", opened_on=show_day(bottle.opened_on))
        if bottle.opened_on
        else _("open since nobody knows when")
    )
    yield from _about(
        "hardener-open", pair, bottle.opened_on, book, severity="warn" if late else "note", age=age_
    )
