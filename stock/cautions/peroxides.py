"""Liquids that form peroxides in air: by which list, and from which day a bottle must be tested.

A finding names the list and the class of a listed substance; of an unlisted one it says why it is watched.
"""

from datetime import date

from stock.cautions.composition import unlisted_milli
from stock.cautions.facts import BottleFacts, ProductFacts
from stock.cautions.rules import RuleBook
from stock.cautions.substances import Substance, substance
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.spans import Duration
from stock.units import MilliPercent

LISTS = {
    "UMN": _("University of Minnesota, peroxide-forming chemicals, class"),
    "Cornell": _("Cornell University, chemical hygiene plan, appendix J, table"),
    "NMSU": _("New Mexico State University, peroxide formers"),
    "EUH019": _("its own safety data sheet, EUH019"),
}
"""The lists that `Substance.peroxide_list` names. Class or table A forms peroxides without being concentrated, B when
it is, C is a monomer that they start to polymerise."""
FROM_MEMORY = _(
    "National Research Council, Prudent Practices in the Laboratory, peroxide formers (from memory)"
)


class PeroxideWatch(NamedTuple):
    """A bottle to watch: the rule's code, its first day (None if the bottle's age is unknown), the source (None for
    the rule's own), and the substances that form peroxides or why the liquid may."""

    code: str
    since: date | None
    source: str | None
    who: str


def peroxides(
    bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook
) -> PeroxideWatch | None:
    """The watch for peroxides that a bottle's age asks for; None while there is none."""
    least_milli = MilliPercent(book.figure("peroxides", "least_milli"))
    named = _named(product, least_milli)
    listed = [one for one in named if one.peroxide == "listed"]
    formers = listed or [one for one in named if one.peroxide == "memory"]
    perhaps = "" if formers else _perhaps(product, named, least_milli)
    if not (formers or perhaps):
        return None
    since = _watched_since(bottle, formers, book)
    if since is not None and as_of <= since:
        return None
    if not formers:
        return PeroxideWatch("perhaps-peroxides", since, None, perhaps)
    source = lists_in_words(listed) if listed else FROM_MEMORY
    return PeroxideWatch("peroxides", since, source, _(" and ").join(one.name for one in formers))


def lists_in_words(listed: list[Substance]) -> str:
    """The lists that name these substances, each with its class, for the source of a finding."""
    return "; ".join(f"{one.name}: {_lists_of(one)}" for one in listed)


def _lists_of(one: Substance) -> str:
    names = (entry.partition(" ") for entry in one.peroxide_list.split("; "))
    return ", ".join(f"{LISTS[name]} {grade}".rstrip() for name, _, grade in names)


def _named(product: ProductFacts, least_milli: MilliPercent) -> list[Substance]:
    strong = [share for share in product.solvents or () if share.percent_milli >= least_milli]
    return [found for found in map(substance, strong) if found is not None]


def _perhaps(product: ProductFacts, named: list[Substance], least_milli: MilliPercent) -> str:
    """Why an unlisted liquid is watched; empty without a reason."""
    if product.solvents is None:
        return _("nobody has noted what is in it")
    watched = [one.name for one in named if one.peroxide == "watched"]
    if watched:
        return _(
            "{watched} is on none of the lists, but is an ether of a glycol, as some on them are",
            watched=_(" and ").join(watched),
        )
    strange = [
        share.name
        for share in product.solvents
        if share.percent_milli >= least_milli and not _looked_up(substance(share))
    ]
    if strange:
        return _(
            "{strange} is not among the substances that the lists were asked for",
            strange=_(" and ").join(strange),
        )
    left = unlisted_milli(product)
    return (
        _("{left} % of it is named nowhere on its record", left=left // 1000) if left >= least_milli else ""
    )


def _looked_up(entry: Substance | None) -> bool:
    """Whether the substance was searched for in the lists; the studio's own substances were not."""
    return entry is not None and entry.peroxide != ""


def _watched_since(bottle: BottleFacts, formers: list[Substance], book: RuleBook) -> date | None:
    """The last day on which a bottle is still young enough; None if its age is unknown."""
    opened = bottle.state == "open"
    figure = "opened_months" if opened else "sealed_months"
    if opened and any(" A" in one.peroxide_list for one in formers):
        figure = "opened_a_months"
    begun = bottle.opened_on if opened else (bottle.made_on or bottle.received_on)
    return Duration(months=book.figure("peroxides", figure)).after(begun) if begun else None
