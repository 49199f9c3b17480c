"""What the cautions take for a figure that nobody has noted: the worse case, in words."""

from stock.cautions.facts import PlaceFacts, ProductFacts
from stock.cautions.flammable import burning
from stock.cautions.groups import ASSUMED, groups_of
from stock.language import _, within


def of_product(product: ProductFacts) -> dict[str, str]:
    """What stands in for each figure of a product that isn't known, by the key of its field.

    Only figures that a caution depends on are among them; each says what it is treated as.
    """
    told = {}
    found = burning(product)
    if product.flash_point_mc is None and not product.no_flash_point:
        told["flash_point"] = f"{within(found.classes.phrase)} ({found.classes.hazard})"
    if product.boiling_point_mc is None and "boiling_point" in found.sheet.assumed:
        told["boiling_point"] = _(
            "boiling low: the limits of category {categories} count for it", categories=found.categories()[0]
        )
    if product.solvents is None:
        told["solvent"] = _("solvent that burns, and as reacting with what is reactive")
        if ASSUMED in groups_of(product):
            told["solvent"] = _("solvent that burns, as an isocyanate and as an organic peroxide")
    if product.water_milli is None:
        told["water"] = _("perhaps waterborne: it may freeze, and react with what must stay dry")
    if product.opened_life is None:
        told["opened_life"] = _("asking to be tested first: nothing says how long it keeps once open")
    if product.sealed_life is None:
        told["sealed_life"] = _("asking to be tested first, but where a bottle has its best-before day")
    if product.h_statements is None and product.role != "mixed":
        told["h_statements"] = _(
            "perhaps harming skin, lungs or the unborn: no caution can say so until it is noted"
        )
    if product.store_low_mc is None or product.store_high_mc is None:
        told["store_at"] = _(
            "keeping at 5 to 30 °C as paints usually do, and warned of where heat is a danger to it"
        )
    return told


def of_place(place: PlaceFacts) -> dict[str, str]:
    """The same of a place."""
    told = {}
    if place.premises is None:
        spraying = _(", and touch-up spraying isn't exempt") if place.kind == "spray_area" else ""
        told["premises"] = _("perhaps a home, where less may stand{spraying}", spraying=spraying)
    if place.ignition is None:
        told["ignition"] = _("perhaps near a flame, where something stands that burns")
    if place.low_mc is None:
        told["lowest"] = _("perhaps reaching frost")
    if place.high_mc is None:
        told["highest"] = _("perhaps too warm")
    return told
