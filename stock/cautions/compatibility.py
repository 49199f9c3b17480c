"""Products that must not meet: in a mix, in a wash-out, in a waste can, in one cabinet.

Products belong to groups by what is in them. Pairs of groups that react are rows of figures/group_matrix.csv, each with
what happens and its source. A product's own `not-with` counts as well.

A pair is `never` where meeting can hurt somebody at once, by a source that was seen: a gas, fire, a burst bottle, or
heat that boils and spatters. A mineral acid and a lye, or ammonia, are such a pair (40 CFR 264 appendix V: heat
generation, violent reaction). Their strength isn't noted, so they count as strong. An organic acid is weak and only
warns.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import lru_cache
from itertools import combinations

from stock.cautions.avoided import PREFIX
from stock.cautions.composition import unlisted_milli, unnamed_milli
from stock.cautions.facts import DEADLY, Finding, ProductFacts
from stock.cautions.groups import (
    ACCELERATED,
    ASSUMED,
    CALM,
    GROUPS_UNKNOWN,
    HARDLY_WATER,
    PARTLY_UNKNOWN,
    PERHAPS_WATER,
    TWO_PACK,
    WORDS,
    groups_of,
    strangers,
)
from stock.cautions.rules import MAY_STOP, STATUSES, RuleBook
from stock.cautions.substances import SOLVENT_GROUPS
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf.reactive import REACTIVE
from stock.shipped_files import text_of

_FEW = 3
_MUST_NOT = _("does what the safety data sheet of one of them warns of in section 10")
_SECTION_10 = _("the studio's record of the safety data sheet, section 10")
_REACTS = {*WORDS, "propan-2-ol", "butanone"} - CALM
"""Groups that react; without one of them the matrix is not read, since solvents, water and paint are no danger."""

_UNKNOWN = frozenset((GROUPS_UNKNOWN, PARTLY_UNKNOWN, PERHAPS_WATER, HARDLY_WATER))

_HARDENERS = ("isocyanate", "organic_peroxide")
"""Groups that make a resin set."""

_SET_BY_PEROXIDE = ("styrene", "acrylate", ACCELERATED)
"""Groups by which a resin is known to set with an organic peroxide."""

_DILUTES = ("ester", "glycol_ether", "hydrocarbon", "aromatic", "ether")
"""Groups that such a resin may contain as well."""

REACTS_WITH_UNKNOWN = frozenset(REACTIVE)
"""Groups that are a danger beside something unknown."""


class Pair(NamedTuple):
    """Two groups that react when they meet, and how gravely.

    `gravity` is `never`, `warn`, `kept` (only keeping them together does harm) or `cures` (they are made to set
    together). `danger` orders pairs of one gravity: 4 a gas that kills, 3 explosion or toxic gas, 2 fire or a bursting
    bottle, 1 heat.
    """

    one: str
    other: str
    gravity: str
    keep_apart: bool
    danger: int
    effect: str
    status: str
    source: str

    @property
    def may_stop(self) -> bool:
        """Whether the pair may refuse a mix: its gravity is `never`, by a source that was seen."""
        return self.gravity == "never" and self.status in MAY_STOP

    @property
    def rank(self) -> tuple[bool, bool, bool, int]:
        """A sort key: the gravest first, known reactions before possible ones."""
        return not self.may_stop, self.one in _UNKNOWN, self.cures, -self.danger

    @property
    def cures(self) -> bool:
        """Whether the two are sold to set together."""
        return self.gravity == "cures"

    @property
    def in_time(self) -> bool:
        """Whether the pair does harm only where the two are kept together."""
        return self.gravity == "kept"


@lru_cache(maxsize=1)
def matrix() -> tuple[Pair, ...]:
    """Every pair of groups that reacts."""
    import csv  # only where groups meet that could react

    text = text_of("cautions", "figures", "group_matrix.csv")
    return tuple(
        Pair(
            one=row["one"],
            other=row["other"],
            gravity=row["gravity"],
            keep_apart=row["keep_apart"] == "yes",
            danger=int(row["danger"]),
            effect=_(row["effect"]),
            status=row["status"],
            source=row["source"] + STATUSES[row["status"]],
        )
        for row in csv.DictReader(text.splitlines())
    )


def meeting(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """The pairs that react when a thing of `ones` groups meets a thing of `others`, gravest first.

    If the matrix has no such pair, section 10 of their data sheets decides.
    """
    by_sheet = by_section_10(ones, others)
    if _REACTS.isdisjoint(ones) and _REACTS.isdisjoint(others):
        return by_sheet
    pairs, partners = matrix(), _partners()
    found = {
        row for group in partners.keys() & ones for other, row in partners[group].items() if other in others
    }
    return sorted((pairs[row] for row in sorted(found)), key=lambda pair: pair.rank) or by_sheet


@lru_cache(maxsize=1)
def _partners() -> dict[str, dict[str, int]]:
    """For each group of the matrix the groups that it reacts with, each with the number of its row."""
    found: dict[str, dict[str, int]] = {}
    for row, pair in enumerate(matrix()):
        found.setdefault(pair.one, {})[pair.other] = row
        found.setdefault(pair.other, {})[pair.one] = row
    return found


def by_section_10(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """A warning if the sheet of one forbids it to meet a group of the other; sheets name whole families, so no stop."""
    met = [
        (said, group)
        for avoiding, met_by in ((ones, others), (others, ones))
        for said in avoiding
        if said.startswith(PREFIX) and (group := said.removeprefix(PREFIX)) in met_by
    ]
    return [
        Pair(said, group, "warn", True, 1, _MUST_NOT, "sheet", _SECTION_10) for said, group in sorted(met)[:1]
    ]


@lru_cache(maxsize=1)
def unknowns() -> tuple[Pair, ...]:
    """Pairs of each reactive group with something unknown, as grave as the worst case of the unknown.

    The unknown could be a solvent or contain water. It is not assumed to be reactive itself: a reactive group can be
    corrected, but not become unknown (`shelf/reactive.py`). The unnamed part of a paint, clear or hardener whose
    solvents are noted only warns beside an isocyanate or an organic peroxide, because it usually is the resin, and the
    two are made to meet. Possible water only warns in one whose solvents don't mix with water.
    """
    found = []
    water = ("water", "waterborne")
    for reactive in REACTIVE:
        for unknown, could_be, what in (
            (GROUPS_UNKNOWN, (*SOLVENT_GROUPS, *water), _("what is in it")),
            (PARTLY_UNKNOWN, (*SOLVENT_GROUPS, *water), _("all that is in it")),
            (PERHAPS_WATER, water, _("whether there is water in it")),
            (HARDLY_WATER, water, _("whether there is water in it")),
        ):
            worst = meeting((reactive,), could_be)
            if worst:
                effect = _("could give heat, gas or fire, for nobody has noted {what}", what=what)
                apart = any(pair.keep_apart for pair in worst)
                gravity, status = worst[0].gravity, worst[0].status
                if reactive in _HARDENERS and unknown in (PARTLY_UNKNOWN, HARDLY_WATER):
                    gravity, apart = "warn", False
                found.append(Pair(unknown, reactive, gravity, apart, 1, effect, status, worst[0].source))
    return tuple(found)


def unknown_meeting(unknown: Collection[str], known: Collection[str]) -> Pair | None:
    """The gravest pair of the unknown among `unknown` groups with the groups `known`; None without a danger."""
    if _UNKNOWN.isdisjoint(unknown):
        return None
    found = [pair for pair in unknowns() if pair.one in unknown and pair.other in known]
    dry = "isocyanate" in unknown and ASSUMED not in unknown
    if GROUPS_UNKNOWN not in unknown and (dry or TWO_PACK in known or TWO_PACK in unknown):
        # Water is the danger: a two-pack made for it tolerates it, and what is noted as isocyanate contains none.
        found = [pair for pair in found if pair.other != "isocyanate"]
    return min(found, key=lambda pair: not pair.may_stop, default=None)


def reactions(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """Every pair that can react when two things meet, pairs with the unknown included, gravest first."""
    if REACTS_WITH_UNKNOWN.isdisjoint(ones) and REACTS_WITH_UNKNOWN.isdisjoint(others):
        return meeting(ones, others)
    unknown = (unknown_meeting(ones, others), unknown_meeting(others, ones))
    found = [*meeting(ones, others), *(pair for pair in unknown if pair is not None)]
    return sorted(found, key=lambda pair: pair.rank)


def together(
    products: Sequence[ProductFacts], book: RuleBook, *, where: str = _("the mix"), kept: bool = True
) -> Iterator[Finding]:
    """The findings about products that meet: for each two of them the gravest reaction.

    Args:
        products: what meets, without repeats.
        where: `the mix`, `the wash-out`, `the waste can`.
        kept: whether they stay together; if not, reactions that need time are left out.
    """
    for one, other in combinations(products, 2):
        yield from _not_with(one, other, book, where)
        ones, others = groups_of(one), groups_of(other)
        reacting = [
            pair
            for pair in meeting(ones, others)
            if not _made_for_it(pair, ones | others) and (kept or not pair.in_time)
        ]
        if reacting:
            yield from _reaction(reacting[0], one, other, book, where)
        if not (reacting and reacting[0].may_stop):
            yield from _unknown_meets(one, other, book, where)
            yield from _unknown_meets(other, one, book, where)


def _reaction(
    pair: Pair, one: ProductFacts, other: ProductFacts, book: RuleBook, where: str
) -> Iterator[Finding]:
    first, second = (one, other) if pair.one in groups_of(one) else (other, one)
    code = "incompatible" if pair.may_stop else "cures" if pair.cures else "reacts"
    if book.silent_of_pair(code, one.id, other.id, pair.danger):
        return
    yield from book.find(
        code,
        product=(one.id, one.name),
        others=(other.name,),
        source=pair.source,
        danger=pair.danger,
        one=first.name,
        other=second.name,
        effect=pair.effect,
        where=where,
        first=_group_words(pair.one, first),
        second=_group_words(pair.other, second),
    )


def _group_words(group: str, product: ProductFacts) -> str:
    """A group in words; of a hardener without a noted composition, that it is assumed."""
    if group in _HARDENERS and ASSUMED in groups_of(product):
        return _("perhaps isocyanate or organic peroxide: nobody has noted which hardener it is")
    return group.replace("_", " ")


def _not_with(one: ProductFacts, other: ProductFacts, book: RuleBook, where: str) -> Iterator[Finding]:
    noted = other.id in one.not_with or one.id in other.not_with
    if noted and not book.silent_of_pair("not-with", one.id, other.id):
        yield from book.find(
            "not-with", product=(one.id, one.name), others=(other.name,), other=other.name, where=where
        )


def _made_for_it(pair: Pair, groups: Collection[str]) -> bool:
    """Whether two products are made to be mixed although their groups react."""
    if pair.one == "isocyanate" and pair.other in ("water", "waterborne"):
        return TWO_PACK in groups
    if pair.one != "organic_peroxide":
        return False
    if pair.other == "amine":
        return ACCELERATED in groups
    return pair.other in _DILUTES and any(each in groups for each in _SET_BY_PEROXIDE)


def _unknown_meets(
    unknown: ProductFacts, known: ProductFacts, book: RuleBook, where: str
) -> Iterator[Finding]:
    """The finding that a product of unknown composition or water content meets something reactive."""
    pair = unknown_meeting(groups_of(unknown), groups_of(known))
    if pair is None or book.silent_of_pair("unknown-with-reactive", unknown.id, known.id, pair.danger):
        return
    yield from book.find(
        "unknown-with-reactive",
        product=(unknown.id, unknown.name),
        others=(known.name,),
        severity=None if pair.may_stop else "warn",
        danger=pair.danger,
        open=_open_in_words(pair.one, unknown),
        other=known.name,
        group=_group_words(pair.other, known),
        where=where,
    )


def _open_in_words(group: str, product: ProductFacts) -> str:
    """The unknown facts of a product, as the beginning of a sentence."""
    if group in (PERHAPS_WATER, HARDLY_WATER):
        return _("Nobody has noted whether there is water in {name}", name=product.name)
    strange = strangers(product)
    if product.solvents is not None and strange:
        return _(
            "What {strange} in {name} reacts with isn't known here",
            strange=_(" and ").join(strange[:_FEW]),
            name=product.name,
        )
    if product.solvents is None:
        return _("Nobody has noted what is in {name}", name=product.name)
    left = unlisted_milli(product) or unnamed_milli(product)
    return _(
        "{left} % of {name} is named nowhere on its record", left=max(left // 1000, 1), name=product.name
    )


class Star(NamedTuple):
    """One product and all products that it must not meet for the same reason."""

    product: ProductFacts
    others: tuple[ProductFacts, ...]
    effect: str
    source: str
    danger: int

    @property
    def names(self) -> str:
        """The other products by name: the first few and how many more; all of them if a gas could kill."""
        few = len(self.others) if self.danger >= DEADLY else _FEW
        shown = ", ".join(other.name for other in self.others[:few])
        more = len(self.others) - few
        return shown + (_(" and {more} more", more=more) if more > 0 else "")


@lru_cache(maxsize=4_096)
def _gravest(ones: frozenset[str], others: frozenset[str], *, apart: bool) -> Pair | None:
    """The gravest pair of these groups; with `apart` only of those that must not stand together."""
    return next((pair for pair in reactions(ones, others) if pair.keep_apart or not apart), None)


def _heard(one: int, other: int, danger: int) -> bool:
    """The default of `silent`: no pair of products is silenced."""
    del one, other, danger
    return False


def stars(
    products: Sequence[ProductFacts],
    *,
    apart: bool = False,
    about: Collection[int] | None = None,
    silent: Callable[[int, int, int], bool] = _heard,
) -> Iterator[Star]:
    """Every two products that react, gravest first, grouped around as few products as possible.

    Pairs that react alike are grouped around the product with the most of them. A graver pair is never grouped with
    milder ones.

    Args:
        products: without repeats.
        apart: only pairs that must not stand together either.
        about: product numbers of which each pair must contain one; None for all pairs.
        silent: whether a pair, given by its numbers and its danger, is left out.
    """
    groups = {product.id: groups_of(product) for product in products}
    alike: dict[tuple[tuple[bool, bool, bool, int], str, str], dict[int, set[int]]] = {}
    for one, other in combinations(products, 2):
        if about is not None and one.id not in about and other.id not in about:
            continue
        pair = _gravest(groups[one.id], groups[other.id], apart=apart)
        if pair is not None and not silent(one.id, other.id, pair.danger):
            met = alike.setdefault((pair.rank, pair.effect, pair.source), {})
            met.setdefault(one.id, set()).add(other.id)
            met.setdefault(other.id, set()).add(one.id)
    by_id = {product.id: product for product in products}
    for (rank, effect, source), met in sorted(alike.items()):
        while met:
            most = max(met, key=lambda number: (len(met[number]), -number))
            others = met.pop(most)
            for number in others:
                met[number].discard(most)
                if not met[number]:
                    del met[number]
            yield Star(
                by_id[most], tuple(by_id[number] for number in sorted(others)), effect, source, -rank[-1]
            )
