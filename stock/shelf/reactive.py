"""What is known to be reactive, or to be solvent, stays known: it can be corrected, never made unknown.

A caution that two things may not meet rests on somebody having noted that one of them is a bleach, an acid,
an isocyanate ... or an alcohol that they react with. If that could be blanked, the caution would go quiet with it.
For the same reason a product can't be noted as an alcohol and as free of solvent at once: forgetting the one would
leave the other to calm.
"""

from collections.abc import Iterable

from stock.errors import BadInput
from stock.text import folded

REACTIVE = (
    "bleach", "peroxide", "oxidiser", "oxidising_acid", "isocyanate", "acid", "organic_acid", "base", "ammonia",
    "amine",
)  # fmt: skip
"""Groups that react with what solvents, water and paint are made of, or with each other."""

SOLVENT_WORDS = ("alcohol", "ketone", "ester", "glycol", "glycol_ether", "solventborne")
"""Groups that say there is solvent in a product."""

STAYS_KNOWN = (*REACTIVE, *SOLVENT_WORDS)
"""Groups that can be corrected, but not become unknown."""

_SUBSTANCES = {
    "bleach": ("sodium hypochlorite", "bleach", "hypochlorite", "7681-52-9"),
    "peroxide": ("hydrogen peroxide", "h2o2", "peroxide", "7722-84-1"),
    "oxidiser": ("potassium permanganate", "7722-64-7"),
    "oxidising_acid": ("nitric acid", "7697-37-2"),
    "isocyanate": (
        "hexamethylene diisocyanate", "hdi", "isocyanate", "polyisocyanate", "hdi oligomer", "hdi trimer",
        "822-06-0",
    ),
    "acid": (
        "phosphoric acid", "7664-38-2", "hydrochloric acid", "muriatic acid", "7647-01-0", "citric acid", "77-92-9",
    ),
    "base": (
        "sodium hydroxide", "caustic soda", "lye", "1310-73-2", "potassium hydroxide", "caustic potash", "1310-58-3",
    ),
    "ammonia": ("ammonia water", "ammonia", "ammonium hydroxide", "ammonia solution", "1336-21-6"),
    "amine": ("ethanolamine", "mea", "2-aminoethanol", "141-43-5"),
}  # fmt: skip
"""Names and CAS numbers by group; a test holds them against the cautions' own table of substances."""

_GROUP_OF = {folded(name): group for group, names in _SUBSTANCES.items() for name in names}


def reactive_names() -> dict[str, str]:
    """The reactive group of each name and CAS number known here, by folded name."""
    return dict(_GROUP_OF)


def kept_groups(name: str, before: str, given: str | None, solvents: Iterable[str]) -> str:
    """The groups that a product has after an errand.

    Args:
        name: the product's, for the refusal.
        before: its groups so far, words between blanks.
        given: the groups now written; None where nothing was said of them.
        solvents: names of the solvents it now has; one that is reactive puts its group among the words.
    Raises:
        BadInput: a group that stays known would become unknown.
    """
    noted = [word for word in before.split() if word in STAYS_KNOWN]
    if given is not None and not given.split() and noted:
        raise BadInput(
            f"{name} is noted as {noted[0].replace('_', ' ')}, and that can't become unknown",
            remedy="Write what it is instead; nothing was changed",
        )
    words = (before if given is None else given).split()
    named = [_GROUP_OF[folded(solvent)] for solvent in solvents if folded(solvent) in _GROUP_OF]
    return " ".join(dict.fromkeys([*words, *named]))


def said_to_hold_solvent(groups: Iterable[str]) -> str | None:
    """The first of these groups that says there is solvent in the product; None where none does."""
    return next((word for word in groups if word in SOLVENT_WORDS), None)


def refuse_contradiction(name: str, groups: Iterable[str]) -> None:
    """Refuse groups that say there is solvent in a product which is noted to hold none.

    Raises:
        BadInput: one of them does.
    """
    word = said_to_hold_solvent(groups)
    if word is not None:
        raise BadInput(
            f"{name} is noted as {word.replace('_', ' ')} and as holding no solvent, and can't be both",
            remedy="Write its solvents as NAME=PERCENT, or leave that word out of its groups; nothing was changed",
        )
