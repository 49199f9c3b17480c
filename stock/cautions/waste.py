"""Destinations of discarded bottles, and the amount of hazardous waste.

The codes and their reasons are those of `waste_codes`. Very small generators: 40 CFR 260.10 and 262.14(a)(1) and (4)
(read in Hawaii's adoption, HAR 11-262.14). Other countries differ; the local collection decides.
"""

from collections.abc import Iterable, Iterator
from functools import partial

from stock.cautions.ageing import bottles_in_words
from stock.cautions.compatibility import stars
from stock.cautions.composition import heaviest_ug_per_ml
from stock.cautions.eu_waste_codes import eu_code
from stock.cautions.facts import Finding, ProductFacts, StudioFacts, WasteMade
from stock.cautions.groups import groups_of
from stock.cautions.rules import RuleBook
from stock.cautions.stored_bottles import StoredBottle
from stock.cautions.waste_codes import WasteCode, us_codes, why_not_ignitable
from stock.grammar import all_digits
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import remembered, show_day
from stock.shelf.reactive import REACTIVE
from stock.units import Microlitres, Milligrams

_THROW_AWAY = "throw_away"

_SHARES_A_CAN = ("epoxy", "nitrocellulose", "metal_salt", "aluminium_powder", "zinc_powder")
"""Groups that react with so little that they may go into the can for flammable waste."""
_US, _EU = "us-epa", "eu-general"
_MOST_NAMED = 2
"""The number of products whose codes a finding names; `ullage cautions --waste` lists all."""


class Waste(NamedTuple):
    """The waste codes of the United States for a discarded product.

    `reasons` are the codes, each with why it applies and whether that is assumed.
    """

    reasons: tuple[WasteCode, ...]
    why: str

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes alone."""
        return tuple(each.code for each in self.reasons)

    @property
    def ignitable(self) -> bool:
        """Whether it is D001."""
        return "D001" in self.codes

    @property
    def assumed(self) -> bool:
        """Whether a code rests on an unknown fact."""
        return any(each.assumed for each in self.reasons)

    @property
    def hazardous(self) -> bool:
        """Whether its mass counts."""
        return bool(self.reasons)


class Destination(NamedTuple):
    """The destination of one bottle to throw away."""

    bottle: int
    product: str
    on_hand_ul: Microlitres
    to: str
    codes: tuple[str, ...]
    why: str
    reasons: tuple[WasteCode, ...] = ()
    eu: WasteCode | None = None


@remembered(2_048)  # called for everything that was ever thrown away, of few products
def waste_of(product: ProductFacts, *, spent: bool = False) -> Waste:
    """The waste codes of a discarded product; unknown facts count as the worse case.

    Args:
        product: its facts.
        spent: whether it was used as a solvent, as a cleaner is.
    """
    reasons = us_codes(product, spent=spent)
    first = next((each.why for each in reasons if each.code == "D001"), None)
    return Waste(reasons, first or "; ".join(each.why for each in reasons) or why_not_ignitable(product))


def mass_mg(volume_ul: Microlitres, products: Iterable[ProductFacts]) -> Milligrams:
    """The mass of a volume of these products together, milligrams, by the heaviest of them."""
    return Milligrams(volume_ul * max(heaviest_ug_per_ml(each) for each in products) // 1_000_000)


def destinations(stored: Iterable[StoredBottle], said: Iterable[Finding]) -> list[Destination]:
    """The destination of each bottle that findings say to throw away."""
    going = {finding.bottle for finding in said if finding.action == _THROW_AWAY}
    return [_destination(each) for each in stored if each.bottle.id in going]


def _destination(each: StoredBottle) -> Destination:
    found = waste_of(each.product)
    groups = groups_of(each.product)
    reactive = [word for word in REACTIVE if word in groups and word not in _SHARES_A_CAN]
    if reactive:
        to, why = (
            _("a can of its own, then the hazardous waste collection"),
            _("it is {replace}", replace=reactive[0].replace("_", " ")),
        )
    elif found.ignitable:
        to, why = _("the closed metal can for what burns, then the hazardous waste collection"), found.why
    else:
        paint = each.product.role in ("paint", "clear", "mixed")
        to, why = (
            _("the {paint} collection; never the drain", paint="paint" if paint else _("hazardous waste")),
            found.why,
        )
    return Destination(
        each.bottle.id,
        each.product.name,
        each.bottle.on_hand_ul,
        to,
        found.codes,
        why,
        found.reasons,
        eu_code(each.product, each.bottle.container),
    )


def is_hazardous(each: StoredBottle, book: RuleBook) -> bool:
    """Whether a bottle's content is hazardous waste by the lists of the studio's rule sets.

    If neither the American nor the European list is among them, both count, since other countries have similar ones.
    """
    us, eu = book.applies(_US), book.applies(_EU)
    by_us = waste_of(each.product).hazardous
    by_eu = eu_code(each.product, each.bottle.container).code.endswith("*")
    return (by_us and (us or not eu)) or (by_eu and (eu or not us))


def codes_in_words(each: StoredBottle, book: RuleBook) -> list[str]:
    """The codes of one bottle with their reasons, of the studio's lists; European ones begin with EU."""
    us, eu = book.applies(_US), book.applies(_EU)
    parts = [reason(one) for one in waste_of(each.product).reasons] if us or not eu else []
    if eu or not us:
        parts.append(f"EU {reason(eu_code(each.product, each.bottle.container))}")
    return parts


def reason(code: WasteCode) -> str:
    """A code and why: `D001 (it flashes below 60 °C)`."""
    return f"{code.code} ({code.why}{_(', assumed') if code.assumed else ''})"


def _in_words(hazardous: list[StoredBottle], book: RuleBook) -> str:
    """The products with their bottles and codes, the first few of them."""
    by_product: dict[int, list[StoredBottle]] = {}
    for each in hazardous:
        by_product.setdefault(each.product.id, []).append(each)
    parts = [
        f"{mine[0].product.name} ({bottles_in_words([each.bottle.id for each in mine])}): "
        f"{'; '.join(codes_in_words(mine[0], book))}"
        for mine in list(by_product.values())[:_MOST_NAMED]
    ]
    more = len(by_product) - _MOST_NAMED
    return ". ".join(parts) + (_(". And {more} more products", more=more) if more > 0 else "")


def codes_of_made(made: WasteMade) -> tuple[str, ...]:
    """The codes of waste that was made, those of each product in it."""
    return tuple(dict.fromkeys(each.code for each in reasons_of_made(made)))


def reasons_of_made(made: WasteMade) -> list[WasteCode]:
    """The codes of waste that was made, with their reasons."""
    by_code: dict[str, WasteCode] = {}
    for product in made.products:
        for each in waste_of(product, spent=made.spent).reasons:
            by_code.setdefault(each.code, each)
    return list(by_code.values())


def words_of_made(made: WasteMade, book: RuleBook) -> list[str]:
    """The codes of waste that was made with their reasons, of the studio's lists; European ones begin with EU."""
    us, eu = book.applies(_US), book.applies(_EU)
    parts = [reason(each) for each in reasons_of_made(made)] if us or not eu else []
    european = [eu_code(product) for product in made.products] if eu or not us else []
    return [*parts, *dict.fromkeys(f"EU {reason(each)}" for each in european)]


def apart_in_waste(products: list[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """The findings about products to throw away that must not go into one waste can."""
    for star in stars(products, silent=partial(book.silent_of_pair, "waste-apart")):
        about = (star.product.id, star.product.name)
        yield from book.find(
            "waste-apart",
            product=about,
            source=star.source,
            danger=star.danger,
            names=star.names,
            others=tuple(other.name for other in star.others),
            effect=star.effect,
        )


def waste_findings(
    facts: StudioFacts, stored: list[StoredBottle], said: list[Finding], book: RuleBook
) -> Iterator[Finding]:
    """The findings about bottles that other rules say to throw away, and about the amount of hazardous waste.

    Args:
        facts: the facts of the studio, for its kilograms of waste.
        stored: every bottle that holds something.
        said: the findings made so far.
    """
    numbers = {finding.bottle for finding in said if finding.action == _THROW_AWAY}
    going = [each for each in stored if each.bottle.id in numbers]
    hazardous = [each for each in going if is_hazardous(each, book)]
    if hazardous:
        yield from book.find(
            "hazardous-waste",
            bottles=tuple(each.bottle.id for each in hazardous),
            products=_in_words(hazardous, book),
        )
    yield from apart_in_waste(list({each.product.id: each.product for each in going}.values()), book)
    waiting_mg = Milligrams(sum(mass_mg(each.bottle.on_hand_ul, [each.product]) for each in hazardous))
    yield from _kilograms(facts, waiting_mg, book)


def _kilograms(facts: StudioFacts, waiting_mg: Milligrams, book: RuleBook) -> Iterator[Finding]:
    """The findings about the month's waste, and about waste on hand since the last collection."""
    most_kg = book.figure("too-much-waste", "month_kg")
    if facts.waste_mg is not None and facts.waste_mg > most_kg * 1_000_000:
        made = ", ".join(dict.fromkeys(code for each in facts.waste_made for code in codes_of_made(each)))
        yield from book.find(
            "too-much-waste",
            kilograms=_kg(facts.waste_mg),
            limit=most_kg,
            codes=made or _("of codes not known"),
        )
    if facts.waste_on_hand_mg is None:
        return
    on_hand_mg, limit_kg = facts.waste_on_hand_mg + waiting_mg, book.figure("waste-on-hand", "on_hand_kg")
    if on_hand_mg >= limit_kg * 1_000_000:
        since = (
            _("since {waste_since}", waste_since=show_day(facts.waste_since))
            if facts.waste_since
            else _("ever, for no collection is noted")
        )
        yield from book.find("waste-on-hand", kilograms=_kg(on_hand_mg), limit=limit_kg, when=since)


def _kg(milligrams: int) -> str:
    return all_digits(milligrams / 1_000_000, 1)
