"""The reactive groups of a product by its composition; the unknown part of it is a group, too.

The groups are the words of figures/group_matrix.csv. A role doesn't say what reacts: a hardener may be an isocyanate,
an organic peroxide or an amine, and counts as the first two until its composition or its groups are noted.
"""

from __future__ import annotations

from functools import lru_cache

from stock.cautions.avoided import PREFIX, avoided
from stock.cautions.composition import all_listed, all_named
from stock.cautions.facts import ProductFacts, SolventShare
from stock.cautions.hazards import hazards_of
from stock.cautions.substances import SOLVENT_GROUPS, Substance, substance

GROUPS_UNKNOWN = "unknown"
"""The group of a product of unknown composition, which may belong to any."""

PARTLY_UNKNOWN = "partly unknown"
"""The group of a paint, clear or hardener whose solvents are noted, but don't account for all of it, or of which one
isn't known here."""

PERHAPS_WATER = "perhaps water"
"""The group of a product of unknown water content."""

HARDLY_WATER = "hardly water"
"""The group of a paint, clear or hardener of unknown water content whose solvents don't mix with water."""

ASSUMED = "taken to be"
"""Added to isocyanate and organic peroxide if a hardener has these groups only by its role."""

TWO_PACK = "waterborne_two_pack"
"""A hardener that its sheet says is made for a waterborne paint; noted by the studio."""

ACCELERATED = "accelerated"
"""A resin that holds so little of a drier or an amine that a peroxide is meant to set it."""

WORDS = (
    *SOLVENT_GROUPS, "water", "waterborne", "solventborne", "isocyanate", "acid", "organic_acid",
    "oxidising_acid", "base", "oxidiser", "bleach", "ammonia", "amine", "peroxide", "organic_peroxide",
    "accelerator", "metal_salt", "reducing_agent", "epoxy", "nitrocellulose", "aluminium_powder", "zinc_powder",
    "water_reactive", "acid_reactive", TWO_PACK,
)  # fmt: skip
"""The groups that a product may be noted to belong to."""

_OF_HAZARDS = {
    "self_reactive": "organic_peroxide", "oxidiser": "oxidiser", "water_reactive": "water_reactive",
    "acid_reactive": "acid_reactive",
}  # fmt: skip
"""Groups by the hazards of a product's safety data sheet; a self-reactive one counts as an organic peroxide."""

CALM = {*SOLVENT_GROUPS, "water", "waterborne", "solventborne"}
"""Groups that don't react with each other."""

RESINOUS = ("paint", "clear", "hardener")
"""Roles whose unnamed part usually is the resin."""

_MATRIX_ONLY = ("hydrocarbon", "aromatic", "chlorinated", "ether", "acrylate")
"""Groups of substances with rows in the matrix that can't be noted for a product."""

_JUDGED = {*WORDS, *_MATRIX_ONLY}
"""Groups with known reactions; those of any other group are unknown."""

_CALLED = {"drier": "metal_salt"}
"""The matrix's words for groups of substances.csv that it names differently."""

_INERT_SOLIDS = {
    "titanium dioxide", "carbon black", "diiron trioxide", "chromium(iii) oxide", "barium sulfate", "talc", "mica",
    "crystalline silica (quartz)", "cristobalite", "silicon dioxide, pyrogenic",
}  # fmt: skip
"""Pigments and fillers without reactions in the matrix (from memory), so that they don't make a product unknown."""

_CURES_AT_ALL = {"isocyanate", "organic_peroxide", "peroxide", "amine", "epoxy"}
"""Groups of substances that identify the kind of a hardener at any share."""

_CURES = {*_CURES_AT_ALL, "metal_salt", "accelerator"}
"""Groups of a record that identify the kind of a hardener."""

_CURES_BY_SHARE = {"acid", "organic_acid", "metal_salt"}
_CURES_FROM_MILLI = 5_000
"""An isocyanate may hold less of an acid or a drier than this to keep it; common practice, no source."""

_ACCELERATES = ("drier", "amine")
_TRACE_MILLI = 1_000
"""Ready accelerated resins hold less of a drier or an amine than this; an accelerator sold by itself holds more.
Common practice, no source."""

_MIXES_NOT_MILLI = 10_000
"""A paint with this share of hydrocarbon usually isn't made with water. Common practice, no source."""


@lru_cache(maxsize=2_048)
def groups_of(product: ProductFacts) -> frozenset[str]:
    """The groups of a product: noted ones, those of its composition, and those of its unknown facts.

    `not beside` and a group stand for a group that its sheet forbids it to meet. An unknown solvent or an unnamed part
    makes the whole unknown. A hardener of unknown kind counts as isocyanate and as organic peroxide, unless it contains
    water.
    """
    found = {*product.groups, *_of_substances(product), *_of_water(product)}
    found |= {f"{PREFIX}{group}" for group in avoided(product.incompatible)}
    found |= {_OF_HAZARDS[hazard] for hazard in hazards_of(product) if hazard in _OF_HAZARDS}
    if product.solvents is None:
        found.add(GROUPS_UNKNOWN)
    elif not all_listed(product):
        found.add(_open(product))
    if product.role == "hardener":
        if "peroxide" in found:
            found.add("organic_peroxide")
        if not _cures(product) and not product.water_milli:
            found |= {"isocyanate", "organic_peroxide", ASSUMED}
    return frozenset(found)


def _cures(product: ProductFacts) -> bool:
    """Whether the kind of a hardener is known: by its groups, by an identifying substance, or by enough of another."""
    for share in product.solvents or ():
        entry = substance(share.name)
        group = _group(entry) if entry is not None else ""
        if group in _CURES_AT_ALL or (group in _CURES_BY_SHARE and share.percent_milli >= _CURES_FROM_MILLI):
            return True
    return not _CURES.isdisjoint(product.groups)


def strangers(product: ProductFacts) -> list[str]:
    """The names of a product's substances whose reactions are unknown."""
    return [
        share.name
        for share in product.solvents or ()
        if share.percent_milli and not _judged(substance(share))
    ]


def _judged(entry: Substance | None) -> bool:
    return entry is not None and (_group(entry) in _JUDGED or entry.name in _INERT_SOLIDS)


def _group(entry: Substance) -> str:
    return _CALLED.get(entry.group, entry.group)


def _open(product: ProductFacts) -> str:
    return PARTLY_UNKNOWN if product.role in RESINOUS else GROUPS_UNKNOWN


def _of_substances(product: ProductFacts) -> set[str]:
    """The groups and names of a product's substances."""
    found: set[str] = set()
    shares = [share for share in product.solvents or () if share.percent_milli]
    accelerated = product.role in ("paint", "clear") and _only_traces(shares)
    for share in shares:
        entry = substance(share)
        if entry is not None and not (accelerated and entry.group == "drier"):
            found |= {_group(entry), entry.name}
        if not _judged(entry):
            found.add(_open(product))
    return found | ({ACCELERATED} if accelerated else set())


def _only_traces(shares: list[SolventShare]) -> bool:
    """Whether it contains a drier or an amine, but no more than a ready resin does."""
    named = [(share.percent_milli, substance(share)) for share in shares]
    found = [milli for milli, each in named if each is not None and each.group in _ACCELERATES]
    return bool(found) and sum(found) < _TRACE_MILLI


def _of_water(product: ProductFacts) -> set[str]:
    """Whether its record says that it is made with water."""
    if product.water_milli:
        return {"water"} | ({"waterborne"} if product.role in ("paint", "clear", "mixed") else set())
    if product.water_milli == 0:
        return {"solventborne"} if product.role in ("paint", "clear") and product.solvents else set()
    if not {"solventborne", "water", "waterborne"}.isdisjoint(product.groups):
        return set()
    if product.solvents and all_named(product):
        return set()
    return {HARDLY_WATER if _mixes_not_with_water(product) else PERHAPS_WATER}


def _mixes_not_with_water(product: ProductFacts) -> bool:
    named = ((share.least_milli, substance(share)) for share in product.solvents or ())
    milli = sum(
        milli
        for milli, entry in named
        if entry is not None and entry.group in ("aromatic", "hydrocarbon", "isocyanate")
    )
    return product.role in RESINOUS and milli >= _MIXES_NOT_MILLI
