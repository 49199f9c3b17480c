"""What may not meet: in a mix, in a wash-out, in a waste can, in one cabinet.

Products belong to groups by what is in them; pairs of groups that react are rows of
figures/group_matrix.csv, each with what happens and its source. Beside it stands a product's own `not-with`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations, permutations
from pathlib import Path
from typing import Any, NamedTuple

from stock.cautions.composition import all_listed
from stock.cautions.facts import Finding, MixPart, ProductFacts
from stock.cautions.rules import MAY_STOP, STATUSES, RuleBook
from stock.cautions.substances import SOLVENT_GROUPS, substance
from stock.shelf.reactive import REACTIVE

GROUPS_UNKNOWN = "unknown"
"""The group of what nobody has noted the composition of: it may belong to any."""

PARTLY_UNKNOWN = "partly unknown"
"""The group of a paint, clear or hardener whose solvents are noted, but don't account for all of it."""

_RESINOUS = ("paint", "clear", "hardener")

PERHAPS_WATER = "perhaps water"
"""The group of what nobody has noted the water of."""

ASSUMED = "taken to be"
"""Beside isocyanate, where only its role says that a hardener is one."""

TWO_PACK = "waterborne_two_pack"
"""A hardener that its sheet says is made for a waterborne paint; noted by the studio."""

WORDS = (
    *SOLVENT_GROUPS, "water", "waterborne", "solventborne", "isocyanate", "acid", "organic_acid",
    "oxidising_acid", "base", "oxidiser", "bleach", "ammonia", "amine", "peroxide", TWO_PACK,
)  # fmt: skip
"""The groups that a product may be noted to belong to."""

_CALM = {*SOLVENT_GROUPS, "water", "waterborne", "solventborne"}
_INERT = ("hydrocarbon", "aromatic", "chlorinated", "ether")
"""Groups of substances with rows of their own in the matrix, which no product is noted to belong to."""

_JUDGED = {*WORDS, *_INERT}
"""What a substance of any other group does with what is reactive isn't known here."""

_REACTS = {*WORDS, "propan-2-ol", "butanone"} - _CALM
"""Without one of these the matrix need not be read: solvents, water and paint don't react with each other."""

_NOT_NOTED = {
    GROUPS_UNKNOWN: "what is",
    PARTLY_UNKNOWN: "all that is",
    PERHAPS_WATER: "whether there is water",
}
_UNKNOWN = frozenset(_NOT_NOTED)

REACTS_WITH_UNKNOWN = frozenset(REACTIVE)
"""Without one of these nothing unknown need be feared."""


class Pair(NamedTuple):
    """Two groups that react when they meet, and how gravely.

    `gravity` is `never`, `warn`, or `kept` where only keeping them together harms.
    """

    one: str
    other: str
    gravity: str
    keep_apart: bool
    effect: str
    status: str
    source: str

    @property
    def may_stop(self) -> bool:
        """Whether it may refuse a mix: never to meet, by a source that was seen."""
        return self.gravity == "never" and self.status in MAY_STOP

    @property
    def rank(self) -> tuple[bool, bool]:
        """Gravest first, and what is known to react before what might."""
        return not self.may_stop, self.one in (GROUPS_UNKNOWN, PARTLY_UNKNOWN, PERHAPS_WATER)

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
            effect=row["effect"],
            status=row["status"],
            source=row["source"] + STATUSES[row["status"]],
        )
        for row in csv.DictReader(text.splitlines())
    )


@lru_cache(maxsize=2_048)
def groups_of(product: ProductFacts) -> frozenset[str]:
    """The groups a product belongs to: those noted, and those of what is in it.

    A solvent that isn't known here makes the whole unknown, and so does what is left unnamed. A hardener of no
    group counts as an isocyanate, unless there is water in it.
    """
    found = set(product.groups)
    for share in product.solvents or ():
        known = substance(share.name) if share.percent_milli else None
        if known is not None:
            found |= {known.group, known.name} if known.group in _JUDGED else {known.name, GROUPS_UNKNOWN}
        elif share.percent_milli:
            found.add(GROUPS_UNKNOWN)
    if product.water_milli:
        found |= {"water"} | ({"waterborne"} if product.role in ("paint", "clear", "mixed") else set())
    elif product.role in ("paint", "clear") and product.water_milli == 0 and product.solvents:
        found.add("solventborne")
    if product.water_milli is None and found.isdisjoint(("solventborne", "water", "waterborne")):
        found.add(PERHAPS_WATER)
    if product.solvents is None:
        found.add(GROUPS_UNKNOWN)
    elif not all_listed(product):
        found.add(PARTLY_UNKNOWN if product.role in _RESINOUS else GROUPS_UNKNOWN)
    if product.role == "hardener" and not product.groups and not product.water_milli:
        found |= {"isocyanate"} if "isocyanate" in found else {"isocyanate", ASSUMED}
    return frozenset(found)


def meeting(ones: Collection[str], others: Collection[str]) -> list[Pair]:
    """The pairs that react when a thing of `ones` groups meets a thing of `others`, gravest first."""
    if _REACTS.isdisjoint(ones) and _REACTS.isdisjoint(others):
        return []
    found = [
        pair
        for pair in matrix()
        if (pair.one in ones and pair.other in others) or (pair.one in others and pair.other in ones)
    ]
    return sorted(found, key=lambda pair: not pair.may_stop)


@lru_cache(maxsize=1)
def unknowns() -> tuple[Pair, ...]:
    """Each reactive group with what isn't known: as grave as the worst that the unknown could turn out to be.

    It could be a solvent, or hold water. That it could be reactive itself isn't feared: what is noted as
    reactive can be corrected, but not become unknown (`shelf/reactive.py`). What is left unnamed of a paint, a
    clear or a hardener whose solvents are noted only warns beside an isocyanate: it is as a rule the resin, and
    the two are made to meet.
    """
    found = []
    for reactive in REACTIVE:
        for unknown, could_be, what in (
            (GROUPS_UNKNOWN, (*SOLVENT_GROUPS, "water", "waterborne"), "what is in it"),
            (PARTLY_UNKNOWN, (*SOLVENT_GROUPS, "water", "waterborne"), "all that is in it"),
            (PERHAPS_WATER, ("water", "waterborne"), "whether there is water in it"),
        ):
            worst = meeting((reactive,), could_be)
            if worst:
                effect = f"could give heat, gas or fire, for nobody has noted {what}"
                apart = any(pair.keep_apart for pair in worst)
                gravity, status = worst[0].gravity, worst[0].status
                if (unknown, reactive) == (PARTLY_UNKNOWN, "isocyanate"):
                    gravity, apart = "warn", False
                found.append(Pair(unknown, reactive, gravity, apart, effect, status, worst[0].source))
    return tuple(found)


def unknown_meeting(unknown: Collection[str], known: Collection[str]) -> Pair | None:
    """The gravest that could come of what isn't known of a thing of `unknown` groups, meeting one of `known`."""
    if _UNKNOWN.isdisjoint(unknown):
        return None
    found = [pair for pair in unknowns() if pair.one in unknown and pair.other in known]
    dry = "isocyanate" in unknown and ASSUMED not in unknown
    if GROUPS_UNKNOWN not in unknown and (dry or TWO_PACK in known or TWO_PACK in unknown):
        # Water is what is feared: a two-pack made for it bears it, and what is noted as isocyanate holds none.
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
    products: Sequence[ProductFacts], book: RuleBook, *, where: str = "the mix", kept: bool = True
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
    words: dict[str, Any] = {"first": pair.one.replace("_", " "), "second": pair.other.replace("_", " ")}
    return book.find(
        "incompatible" if pair.may_stop else "reacts",
        product=(one.id, one.name),
        source=pair.source,
        one=first.name,
        other=second.name,
        effect=pair.effect,
        where=where,
        **words,
    )


def _not_with(one: ProductFacts, other: ProductFacts, book: RuleBook, where: str) -> Iterator[Finding]:
    if other.id in one.not_with or one.id in other.not_with:
        yield from book.find("not-with", product=(one.id, one.name), other=other.name, where=where)


def _made_for_it(pair: Pair, groups: Collection[str]) -> bool:
    return TWO_PACK in groups and pair.one == "isocyanate" and pair.other in ("water", "waterborne")


def _unknown_meets(
    unknown: ProductFacts, known: ProductFacts, book: RuleBook, where: str
) -> Iterator[Finding]:
    """What nobody has noted the composition of, or the water of, meets something reactive."""
    pair = unknown_meeting(groups_of(unknown), groups_of(known))
    if pair is None:
        return
    yield from book.find(
        "unknown-with-reactive",
        product=(unknown.id, unknown.name),
        severity=None if pair.may_stop else "warn",
        what=_NOT_NOTED[pair.one],
        other=known.name,
        group=pair.other.replace("_", " "),
        where=where,
    )


class Star(NamedTuple):
    """One product and all those it may not meet, with the gravest reaction among them."""

    product: ProductFacts
    others: tuple[ProductFacts, ...]
    effect: str
    source: str

    @property
    def names(self) -> str:
        """The others by name: the first few, and how many more."""
        shown = ", ".join(other.name for other in self.others[:3])
        more = len(self.others) - 3
        return shown + (f" and {more} more" if more > 0 else "")


@lru_cache(maxsize=4_096)
def _gravest(ones: frozenset[str], others: frozenset[str], *, apart: bool) -> Pair | None:
    """The gravest of what could come of two things of these groups; `apart` only of what must not stand together."""
    return next((pair for pair in reactions(ones, others) if pair.keep_apart or not apart), None)


def stars(products: Sequence[ProductFacts], *, apart: bool = False) -> Iterator[Star]:
    """Every two products that react, told by as few products as can be: first the one that reacts with most.

    Args:
        products: without repeats.
        apart: only what must not even stand together.
    """
    found: dict[int, dict[int, Pair]] = {}
    groups = {product.id: groups_of(product) for product in products}
    for one, other in combinations(products, 2):
        pair = _gravest(groups[one.id], groups[other.id], apart=apart)
        if pair is not None:
            found.setdefault(one.id, {})[other.id] = pair
            found.setdefault(other.id, {})[one.id] = pair
    by_id = {product.id: product for product in products}
    while found:
        most = max(found, key=lambda number: (len(found[number]), -number))
        met = found.pop(most)
        gravest = min(met.values(), key=lambda pair: pair.rank)
        for number in met:
            del found[number][most]
            if not found[number]:
                del found[number]
        others = tuple(by_id[number] for number in sorted(met))
        yield Star(by_id[most], others, gravest.effect, gravest.source)


def bench_rules(parts: Iterable[MixPart], book: RuleBook) -> Iterator[Finding]:
    """What painters have learnt about paint and reducer; common practice, never a stop."""
    poured = list(parts)
    paints = [part.product for part in poured if part.product.role in ("paint", "clear", "mixed")]
    reducers = [part.product for part in poured if part.product.role == "reducer"]
    wet = [paint for paint in paints if "waterborne" in groups_of(paint)]
    yield from _curdling(paints, book)
    for reducer in reducers:
        about = (reducer.id, reducer.name)
        rich_milli = book.figure("pour-slowly", "rich_milli")
        if wet and _share_milli(reducer, "alcohol") >= rich_milli:
            yield from book.find("pour-slowly", product=about, paint=wet[0].name)
        strong_milli = book.figure("acetone-uncut", "strong_milli")
        if len(reducers) == 1 and _share_milli(reducer, "ketone") >= strong_milli:
            yield from book.find("acetone-uncut", product=about)


def _curdling(paints: Sequence[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """Waterborne with solventborne paint; one whose water isn't noted may be either, if it names solvents."""

    def may_be(paint: ProductFacts, kind: str) -> bool:
        groups = groups_of(paint)
        return kind in groups or (PERHAPS_WATER in groups and bool(paint.solvents))

    for one, other in permutations({paint.id: paint for paint in paints}.values(), 2):
        if may_be(one, "waterborne") and may_be(other, "solventborne"):
            yield from book.find("curdles", product=(one.id, one.name), other=other.name)
            return


def _share_milli(product: ProductFacts, group: str) -> int:
    named = ((share.percent_milli, substance(share.name)) for share in product.solvents or ())
    return sum(milli for milli, known in named if known is not None and known.group == group)
