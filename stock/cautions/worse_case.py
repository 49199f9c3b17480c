"""The worse case that the cautions assume for each unknown fact, in words."""

from stock.cautions.facts import PlaceFacts, ProductFacts
from stock.cautions.flammable import burning
from stock.cautions.groups import ASSUMED, groups_of
from stock.language import _, within


def of_product(product: ProductFacts) -> dict[str, str]:
    """How the cautions treat each unknown figure of a product, by the key of its field.

    Only figures that a caution depends on are among them; each says what it is treated as.
    """
    treated = {}
    found = burning(product)
    if product.flash_point_mc is None and not product.no_flash_point:
        treated["flash_point"] = f"{within(found.classes.phrase)} ({found.classes.hazard})"
    if product.boiling_point_mc is None and "boiling_point" in found.sheet.assumed:
        treated["boiling_point"] = _(
            "boiling low: the limits of category {categories} count for it", categories=found.categories()[0]
        )
    if product.solvents is None:
        treated["solvent"] = _("solvent that burns, and as reacting with what is reactive")
        if ASSUMED in groups_of(product):
            treated["solvent"] = _("solvent that burns, as an isocyanate and as an organic peroxide")
    if product.water_milli is None:
        treated["water"] = _("perhaps waterborne: it may freeze, and react with what must stay dry")
    if product.opened_life is None:
        treated["opened_life"] = _("asking to be tested first: nothing says how long it keeps once open")
    if product.sealed_life is None:
        treated["sealed_life"] = _("asking to be tested first, but where a bottle has its best-before day")
    if product.h_statements is None and product.role != "mixed":
        treated["h_statements"] = _(
            "perhaps harming skin, lungs or the unborn: no caution can say so until it is noted"
        )
    if product.store_low_mc is None or product.store_high_mc is None:
        treated["store_at"] = _(
            "keeping at 5 to 30 °C as paints usually do, and warned of where heat is a danger to it"
        )
    return treated


def of_place(place: PlaceFacts) -> dict[str, str]:
    """How the cautions treat each unknown fact of a place, by the key of its field."""
    treated = {}
    if place.premises is None:
        spraying = _(", and touch-up spraying isn't exempt") if place.kind == "spray_area" else ""
        treated["premises"] = _("perhaps a home, where less may stand{spraying}", spraying=spraying)
    if place.ignition is None:
        treated["ignition"] = _("perhaps near a flame, where something stands that burns")
    if place.low_mc is None:
        treated["lowest"] = _("perhaps reaching frost")
    if place.high_mc is None:
        treated["highest"] = _("perhaps too warm")
    return treated
