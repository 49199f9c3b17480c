"""The caution about cleaning up a spill: whether it burns, and the deciding section of the safety data sheet."""

from stock.cautions.books import read_products
from stock.cautions.facts import Finding, ProductFacts
from stock.cautions.flammable import burning
from stock.language import _
from stock.shelf import products
from stock.shelf.studio import settings
from stock.store.connection import connection, reading

SOURCE = _(
    "section 6 of its safety data sheet, accidental release measures (the heading in 29 CFR "
    "1910.1200 App. D and in Regulation (EC) 1907/2006 Annex II, from memory); the steps "
    "named here are common practice, no source"
)


def clean_up(product: ProductFacts) -> Finding:
    """The caution about cleaning up a spilled product; of unknown class it counts as highly flammable."""
    found = burning(product)
    if not found.known:
        fire = _("whether it burns is unknown, so it counts as highly flammable")
    elif found.classes.ghs is None:
        fire = _("by what is noted it does not burn")
    else:
        fire = _(
            "it burns ({hazard}), and its vapour can catch fire away from the spill",
            hazard=found.classes.hazard,
        )
    burns = not found.known or found.classes.ghs is not None
    flames = _("Put out flames, touch no switch, air the room; ") if burns else _("Air the room; ")
    return Finding(
        code="spill-clean-up",
        severity="warn" if burns else "note",
        product=product.name,
        bottle=None,
        place=None,
        since=None,
        message=_("{name} was spilled: {fire}", name=product.name, fire=fire),
        remedy=(
            _(
                "{flames}wear what section 8 of its safety data sheet names, soak it up with what "
                "section 6 names, let none of it reach a drain, and keep what is soaked in a closed "
                "metal container as waste",
                flames=flames,
            )
        ),
        source=SOURCE,
        action="take_care",
    )


def about(name: str) -> Finding:
    """The caution about a spill of a product of the books.

    Raises:
        NotFound, Ambiguous: the product.
    """
    with connection(), reading():
        row = products.find(name)
        return clean_up(read_products(settings().today(), [row.id])[row.id])
