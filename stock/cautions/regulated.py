"""Legal rules beside fire, air and waste; they only give notes, because the local authority decides.

Diisocyanates: Regulation (EU) 2020/1149, entry 74 of annex XVII to REACH: from 24 August 2023 no industrial or
professional use from 0.1 % by weight without training, renewed at least every five years. Dichloromethane: 40 CFR 751
subpart B, 89 FR 39254 of 8 May 2024. Metals in sprayed coatings: 40 CFR 63 subpart HHHHHH, as state agencies print it:
chromium, lead, nickel and cadmium from 0.1 %, manganese from 1.0 % by mass. Solvent: the categories of
`stock.voc_categories`.
"""

from collections.abc import Iterator, Sequence
from datetime import date

from stock.cautions.composition import SLACK_MILLI, unlisted_milli
from stock.cautions.facts import Finding, MixPart, ProductFacts, SolventShare
from stock.cautions.groups import groups_of
from stock.cautions.rules import STATUSES, RuleBook
from stock.cautions.substances import substance
from stock.cautions.voc import Content, content, together
from stock.cautions.waste_codes import metals_of
from stock.grammar import in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.units import MilliPercent
from stock.voc_categories import Category, categories

TRAINING_FROM = date(2023, 8, 24)
Trained = tuple[tuple[str, date], ...]
"""The names of trained people, each with the last day on which the training holds."""

_DICHLOROMETHANE = "75-09-2"
_TARGETS = ("chromium", "lead", "manganese", "nickel", "cadmium")
_SPRAYED = ("paint", "clear", "hardener", "additive", "mixed")
_READY = ("cleaner", "reducer")
"""Roles of products used as bought, so that a limit holds for their own content."""
_SETS = {"eu": ("eu-general", "uk"), "us": ("us-epa",)}
"""The rule sets under which the categories of a regime count."""
_FEW = 3
_TENTH_MILLI = 100
"""0.1 %: the least that counts."""


def of_product(
    product: ProductFacts, as_of: date, trained: Trained, book: RuleBook, *, poured: bool = True
) -> Iterator[Finding]:
    """The notes on one product.

    Args:
        product: its facts.
        as_of: the day.
        trained: who was trained for diisocyanates.
        book: the studio's rules.
        poured: whether it is used now; the finding then names the trained people, else only missing training.
    """
    about = (product.id, product.name)
    share = diisocyanates_milli(product)
    least = book.figure("diisocyanate-training", "from_milli")
    if share >= least and as_of >= TRAINING_FROM:
        holds = tuple((name, until) for name, until in trained if until >= as_of)
        if poured or not holds:
            yield from book.find(
                "diisocyanate-training",
                product=about,
                severity="note" if holds else None,
                percent=in_full(share / 1_000),
                trained=_trained_words(holds, trained),
            )
    solvent = sum(each.percent_milli for each in _shares(product) if _cas(each) == _DICHLOROMETHANE)
    if solvent >= book.figure("dichloromethane", "from_milli"):
        yield from book.find("dichloromethane", product=about, percent=in_full(solvent / 1_000))
    metals = target_metals(product, book)
    if metals:
        listed = ", ".join(f"{metal} ({in_full(milli / 1_000)} %)" for metal, milli in metals.items())
        yield from book.find("target-metals", product=about, metals=listed)
    if product.role in _READY and product.voc_categories:
        yield from _limits(content(product), [product], book, what=product.name, about=about)


def of_mix(parts: Sequence[MixPart], book: RuleBook) -> Iterator[Finding]:
    """The finding that a mix as applied holds more solvent than the categories of its products allow."""
    products = coatings([part.product for part in parts])
    if products:
        held = together(content(part.product).times(part.volume_ul / 1_000) for part in parts)
        yield from _limits(held, products, book, what=_("This mix"), about=None)


def coatings(products: Sequence[ProductFacts]) -> list[ProductFacts]:
    """The products of a mix whose categories limit it; those of reducers and cleaners hold for them as bought."""
    return [each for each in products if each.voc_categories and each.role not in _READY]


def _shares(product: ProductFacts) -> Sequence[SolventShare]:
    return product.solvents or ()


def _cas(share: SolventShare) -> str:
    entry = substance(share)
    return entry.cas if entry is not None else share.name.strip()


def diisocyanates_milli(product: ProductFacts) -> MilliPercent:
    """The largest possible content of diisocyanates together, thousandths of a per cent.

    A prepolymer counts whole, because its content of monomer is unknown. The unnamed part of a product that is or may
    be an isocyanate counts, too; if no isocyanate is named, its solids do.
    """
    named = MilliPercent(0)
    for share in _shares(product):
        entry = substance(share)
        if entry is not None and entry.group == "isocyanate":
            named = MilliPercent(named + share.percent_milli)
    if "isocyanate" not in groups_of(product):
        return named
    left = unlisted_milli(product)
    open_ = left if left > SLACK_MILLI or not product.solvents else 0
    return MilliPercent(named + open_ if named else max(open_ + (product.solids_milli or 0), _TENTH_MILLI))


def _trained_words(holds: Trained, trained: Trained) -> str:
    if holds:
        named = ", ".join(
            _("{name} until {until}", name=name, until=show_day(until)) for name, until in holds[:_FEW]
        )
        more = _(" and {holds} more", holds=len(holds) - _FEW) if len(holds) > _FEW else ""
        return _("trained: {named}{more}; nobody else may use it", named=named, more=more)
    if trained:
        name, until = max(trained, key=lambda each: each[1])
        return _("the last training noted, of {name}, ended on {until}", name=name, until=show_day(until))
    return _("nobody is noted as trained")


def target_metals(product: ProductFacts, book: RuleBook) -> dict[str, int]:
    """The metals of subpart HHHHHH in a coating at or above their thresholds, each with the share of its compounds."""
    if product.role not in _SPRAYED:
        return {}
    found: dict[str, int] = {}
    for share in _shares(product):
        for metal in metals_of(share):
            if metal in _TARGETS:
                found[metal] = found.get(metal, 0) + share.percent_milli
    least = book.figure("target-metals", "from_milli")
    manganese = book.figure("target-metals", "manganese_from_milli")
    return {
        metal: milli
        for metal, milli in found.items()
        if milli >= (manganese if metal == "manganese" else least)
    }


class Compared(NamedTuple):
    """A content beside the limit of a category; None if only water and exempt compounds make up the volume."""

    category: Category
    figure: float | None

    @property
    def over(self) -> bool:
        """Whether the content exceeds the limit; a product without any other volume does."""
        return self.figure is None or self.figure > self.category.limit

    @property
    def excess(self) -> str:
        """The excess over the limit, with its unit."""
        over = None if self.figure is None else self.figure - self.category.limit
        return f"{_figure(over)} {_unit(self.category)}"

    @property
    def words(self) -> str:
        """The figure with its unit and what the litre is: `385 g/L without water`."""
        if self.category.by_weight:
            return _("{figure} % of VOC by weight", figure=_figure(self.figure))
        eu = self.category.regime == "eu"
        left_out = _("its water") if eu else _("water and exempt compounds")
        return _("{figure} g/L of VOC", figure=_figure(self.figure)) + (
            "" if self.category.water_counts else _(" without {left_out}", left_out=left_out)
        )


def _unit(category: Category) -> str:
    return "%" if category.by_weight else "g/L"


def _figure(value: float | None) -> str:
    return _("more than any") if value is None else in_full(round(value, 1))


def compare(held: Content, category: Category) -> Compared:
    """A content in the unit of a category."""
    if category.by_weight:
        return Compared(category, held.us_percent)
    if category.regime == "us":
        return Compared(category, held.less_water)
    return Compared(category, held.ready_to_use if category.water_counts else held.ready_to_use_less_water)


def compared(held: Content, products: Sequence[ProductFacts]) -> list[Compared]:
    """A content beside the lowest limit of each regime that its products are held to.

    40 CFR 59.102(b): of several categories the most restrictive limit holds.
    """
    found: dict[tuple[str, bool], Compared] = {}
    for word in dict.fromkeys(word for product in products for word in product.voc_categories):
        category = categories()[word]
        key = (category.regime, category.by_weight)
        if key not in found or category.limit < found[key].category.limit:
            found[key] = compare(held, category)
    return list(found.values())


def _limits(
    held: Content,
    products: Sequence[ProductFacts],
    book: RuleBook,
    *,
    what: str,
    about: tuple[int, str] | None,
) -> Iterator[Finding]:
    for each in compared(held, products):
        counts = any(book.applies(chosen) for chosen in _SETS[each.category.regime])
        if counts and each.over:
            category = each.category
            yield from book.find(
                "voc-over-limit",
                product=about,
                source=category.source + STATUSES[category.status],
                what=what,
                figure=each.words,
                over=each.excess,
                limit=f"{category.limit} {_unit(category)}",
                category=category.name,
                exempt=_exempt_words(held, category),
                assumed=f" ({'; '.join(held.assumed)})" if held.assumed else "",
            )


def _exempt_words(held: Content, category: Category) -> str:
    if category.regime == "eu" or not held.exempt:
        return ""
    return _(
        "; {exempt} left out by 40 CFR 51.100(s), which districts don't all follow",
        exempt=", ".join(held.exempt),
    )
