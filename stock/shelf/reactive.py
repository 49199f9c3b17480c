"""Reactive and solvent groups stay known: they can be corrected, but never made unknown.

A caution that two products may not meet depends on a note that one of them is a bleach, an acid, an isocyanate ... or
an alcohol that they react with. If that note could be cleared, the caution would disappear with it. For the same reason
a product can't be noted as an alcohol and as free of solvent at once: if the first were forgotten, the second would
silence the caution.
"""

from collections.abc import Iterable

from stock.errors import BadInput
from stock.hazard_statements import HAZARD_GROUPS
from stock.language import _
from stock.substance_table import row_of, rows_by_name

REACTIVE = (
    "bleach", "peroxide", "organic_peroxide", "oxidiser", "oxidising_acid", "isocyanate", "acid", "organic_acid",
    "base", "ammonia", "amine", "accelerator", "metal_salt", "reducing_agent", "epoxy", "nitrocellulose",
    "aluminium_powder", "zinc_powder", "water_reactive", "acid_reactive",
)  # fmt: skip
"""Groups that react with solvents, water or paint, or with each other."""

SOLVENT_WORDS = ("alcohol", "ketone", "ester", "glycol", "glycol_ether", "solventborne")
"""Groups that imply solvent in a product."""

STAYS_KNOWN = (*REACTIVE, *SOLVENT_WORDS, *HAZARD_GROUPS)
"""Groups that can be corrected, but not become unknown."""


def reactive_names() -> dict[str, str]:
    """The reactive group of each name and CAS number in the table, by folded name."""
    return {name: row["group"] for name, row in rows_by_name().items() if row["group"] in REACTIVE}


def kept_groups(name: str, before: str, given: str | None, solvents: Iterable[str]) -> str:
    """The groups that a product has after an errand.

    Args:
        name: the product's, for the refusal.
        before: its groups so far, words between blanks.
        given: the groups that are written now; None if none were given.
        solvents: names of the solvents it now has; one that is reactive puts its group among the words.
    Raises:
        BadInput: a group that stays known would become unknown.
    """
    noted = [word for word in before.split() if word in STAYS_KNOWN]
    if given is not None and not given.split() and noted:
        raise BadInput(
            _(
                "{name} is noted as {replace}, and that can't become unknown",
                name=name,
                replace=noted[0].replace("_", " "),
            ),
            remedy=_("Write what it is instead; nothing was changed"),
        )
    words = (before if given is None else given).split()
    rows = [row_of(solvent) for solvent in solvents]
    named = [row["group"] for row in rows if row is not None and row["group"] in REACTIVE]
    return " ".join(dict.fromkeys([*words, *named]))


def said_to_hold_solvent(groups: Iterable[str]) -> str | None:
    """The first of these groups that implies solvent in the product; None if none does."""
    return next((word for word in groups if word in SOLVENT_WORDS), None)


def refuse_contradiction(name: str, groups: Iterable[str]) -> None:
    """Refuse groups that say there is solvent in a product which is noted to hold none.

    Raises:
        BadInput: one of them does.
    """
    word = said_to_hold_solvent(groups)
    if word is not None:
        raise BadInput(
            _(
                "{name} is noted as {replace} and as holding no solvent, and can't be both",
                name=name,
                replace=word.replace("_", " "),
            ),
            remedy=_(
                "Write its solvents as NAME=PERCENT, or leave that word out of its groups; nothing was "
                "changed"
            ),
        )
