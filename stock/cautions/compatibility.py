"""What may not meet: in a mix, in a wash-out, in a waste can, in one cabinet.

Products belong to groups by what is in them; pairs of groups that react are rows of
figures/group_matrix.csv, each with what happens and its source. Beside it stands a product's own `not-with`.

A pair is `never` where the meeting itself can hurt by a source that was seen: a gas, fire, a burst bottle, or heat that
boils and spatters. A mineral acid and a lye, or ammonia, are such a pair (40 CFR 264 appendix V: heat generation,
violent reaction): how strong they are isn't noted, so they count as strong. An organic acid is weak and only warns.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import lru_cache
from itertools import combinations
from pathlib import Path

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

_FEW = 3
_MUST_NOT = _("does what the safety data sheet of one of them warns of in section 10")
_SECTION_10 = _("the studio's record of the safety data sheet, section 10")
_REACTS = {*WORDS, "propan-2-ol", "butanone"} - CALM
"""Without one of these the matrix need not be read: solvents, water and paint don't react with each other."""

_UNKNOWN = frozenset((GROUPS_UNKNOWN, PARTLY_UNKNOWN, PERHAPS_WATER, HARDLY_WATER))

_HARDENERS = ("isocyanate", "organic_peroxide")
"""What a resin is made to set with."""

_SET_BY_PEROXIDE = ("styrene", "acrylate", ACCELERATED)
"""What tells a resin that an organic peroxide is made to set."""

_DILUTES = ("ester", "glycol_ether", "hydrocarbon", "aromatic", "ether")
"""What such a resin may hold beside it."""

REACTS_WITH_UNKNOWN = frozenset(REACTIVE)
"""Without one of these nothing unknown need be feared."""


class Pair(NamedTuple):
    """Two groups that react when they meet, and how gravely.

    `gravity` is `never`, `warn`, `kept` where only keeping them together harms, or `cures` where they are made to
    set together. `danger` orders what is equally grave: 4 a gas that kills, 3 explosion or toxic gas, 2 fire or a
    bursting bottle, 1 heat.
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
        """Whether it may refuse a mix: never to meet, by a source that was seen."""
        return self.gravity == "never" and self.status in MAY_STOP

    @property
    def rank(self) -> tuple[bool, bool, bool, int]:
        """Gravest first, and what is known to react before what might."""
        return not self.may_stop, self.one in _UNKNOWN, self.cures, -self.danger

    @property
    def cures(self) -> bool:
        """Whether the two are sold to set together."""
        return self.gravity == "cures"

    @property
    def in_time(self) -> bool:
        """Whether it only harms where the two are kept together."""
        return self.gravity == "kept"


@lru_cache(maxsize=1)
def matrix() -> tuple[Pair, ...]:
    """Every pair of groups that reacts."""
    import csv  # only where groups meet that could react

    text = (Path(__file__).parent / "figures" / "group_matrix.csv").read_text(encoding="utf-8")
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

    Where the matrix names none, what the sheet of one of them says that it must not meet speaks.
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
    """By each group of the matrix those that it reacts with, and in which row that stands."""
    found: dict[str, dict[str, int]] = {}
    for row, pair in enumerate(matrix()):
        found.setdefault(pair.one, {})[pair.other] = row
        found.setdefault(pair.other, {})[pair.one] = row
    return found


def by_section_10(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """What of the one the sheet of the other says that it must not meet; a warning, for sheets name whole families."""
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
    """Each reactive group with what isn't known: as grave as the worst that the unknown could turn out to be.

    It could be a solvent, or hold water. It isn't assumed to be reactive itself: what is noted as
    reactive can be corrected, but not become unknown (`shelf/reactive.py`). What is left unnamed of a paint, a
    clear or a hardener whose solvents are noted only warns beside an isocyanate or an organic peroxide: it is as a
    rule the resin, and the two are made to meet. So does water in one that is made with solvents water won't mix
    with.
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
    """The gravest that could come of what isn't known of a thing of `unknown` groups, meeting one of `known`."""
    if _UNKNOWN.isdisjoint(unknown):
        return None
    found = [pair for pair in unknowns() if pair.one in unknown and pair.other in known]
    dry = "isocyanate" in unknown and ASSUMED not in unknown
    if GROUPS_UNKNOWN not in unknown and (dry or TWO_PACK in known or TWO_PACK in unknown):
        # Water is the danger: a two-pack made for it tolerates it, and what is noted as isocyanate contains none.
        found = [pair for pair in found if pair.other != "isocyanate"]
    return min(found, key=lambda pair: not pair.may_stop, default=None)


def reactions(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """All that could come of two things meeting, the unknown among it, gravest first."""
    if REACTS_WITH_UNKNOWN.isdisjoint(ones) and REACTS_WITH_UNKNOWN.isdisjoint(others):
        return meeting(ones, others)
    unknown = (unknown_meeting(ones, others), unknown_meeting(others, ones))
    found = [*meeting(ones, others), *(pair for pair in unknown if pair is not None)]
    return sorted(found, key=lambda pair: pair.rank)


def together(
    products: Sequence[ProductFacts], book: RuleBook, *, where: str = _("the mix"), kept: bool = True
) -> Iterator[Finding]:
    """What happens when products meet, each two of them once, the gravest reaction of the two.

    Args:
        products: what meets, without repeats.
        where: `the mix`, `the wash-out`, `the waste can`.
        kept: whether they stay together; if not, what only harms in time isn't said.
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
    """A group to read; of a hardener that nobody has described, that it is only taken to be one."""
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
    """Whether two products are made to meet although their groups react."""
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
    """What nobody has noted the composition of, or the water of, meets something reactive."""
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
    """What isn't known of a product, as the beginning of a sentence."""
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
    """One product and all those that it may not meet for the same reason."""

    product: ProductFacts
    others: tuple[ProductFacts, ...]
    effect: str
    source: str
    danger: int

    @property
    def names(self) -> str:
        """The others by name: the first few, and how many more; all of them where a gas could kill."""
        few = len(self.others) if self.danger >= DEADLY else _FEW
        shown = ", ".join(other.name for other in self.others[:few])
        more = len(self.others) - few
        return shown + (_(" and {more} more", more=more) if more > 0 else "")


@lru_cache(maxsize=4_096)
def _gravest(ones: frozenset[str], others: frozenset[str], *, apart: bool) -> Pair | None:
    """The gravest of what could come of two things of these groups; `apart` only of what must not stand together."""
    return next((pair for pair in reactions(ones, others) if pair.keep_apart or not apart), None)


def _heard(one: int, other: int, danger: int) -> bool:
    """No two products are silenced."""
    del one, other, danger
    return False


def stars(
    products: Sequence[ProductFacts],
    *,
    apart: bool = False,
    about: Collection[int] | None = None,
    silent: Callable[[int, int, int], bool] = _heard,
) -> Iterator[Star]:
    """Every two products that react, the gravest first, told by as few products as can be.

    Those that react alike are told together: first the product that reacts so with most. What is graver is never
    told as one of many that react less gravely.

    Args:
        products: without repeats.
        apart: only what must not even stand together.
        about: the numbers of those of which each two must have one; all where it is None.
        silent: whether two, by their numbers and their danger, aren't to be told.
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
