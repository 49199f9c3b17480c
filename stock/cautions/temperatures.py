"""The storage temperatures of products, and the temperatures of places."""

from __future__ import annotations

from stock.cautions.facts import PlaceFacts, ProductFacts
from stock.cautions.flammable import burning
from stock.cautions.groups import groups_of
from stock.cautions.hazards import hazards_of
from stock.language import N_, _
from stock.units import MilliCelsius, show_temperature

FREEZES_MC = 0
"""A place that gets this cold, thousandths of a degree C, can freeze products with water."""


def range_in_words(product: ProductFacts) -> str:
    """The known storage temperatures of a product: `5 °C to 30 °C`."""
    low, high = product.store_low_mc, product.store_high_mc
    if low is not None and high is not None:
        return _("{low} to {high}", low=_degrees(low), high=_degrees(high))
    if low is not None:
        return _("{low} or more", low=_degrees(low))
    return _("{high} or less", high=_degrees(high or 0))


def may_freeze(product: ProductFacts) -> bool:
    """Whether frost harms it: it contains water, or its water content is unknown."""
    return product.water_milli is None or product.water_milli > 0


_HEAT_SENSITIVE = {
    "explosive": N_("it may explode"),
    "pyrophoric": N_("it may catch fire by itself"),
    "self_reactive": N_("it decomposes"),
    "self_heating": N_("it heats up by itself"),
    "gas_under_pressure": N_("it is under pressure"),
    "oxidiser": N_("it gives off oxygen"),
    "nitrocellulose": N_("it holds nitrocellulose"),
}
"""Hazards that warmth makes worse, and how."""
_DECOMPOSE = ("organic_peroxide", "peroxide", "oxidiser", "bleach", "nitrocellulose")
"""Groups that decompose by warmth or frost: a frozen peroxide may separate from its stabiliser."""


def in_danger(product: ProductFacts) -> str:
    """Why it is a danger when too warm or frozen, in words; empty if no reason is known."""
    for hazard, words in _HEAT_SENSITIVE.items():
        if hazard in hazards_of(product):
            return _(words)
    if not groups_of(product).isdisjoint(_DECOMPOSE):
        return _("it may decompose")
    return _("it boils, or may boil, at the warmth of a room") if burning(product).classes.ghs == 1 else ""


def range_known(product: ProductFacts) -> bool:
    """Whether both ends of a product's storage temperatures are noted."""
    return product.store_low_mc is not None and product.store_high_mc is not None


def reaches(place: PlaceFacts, product: ProductFacts) -> str:
    """How a place leaves a product's storage temperatures, in words; empty if it isn't known to."""
    words = {"cold": _("falls to"), "warm": _("rises to")}
    return _(" and ").join(f"{words[way]} {_degrees(mc)}" for way, mc, _ in _leaves(place, product))


def beyond(place: PlaceFacts, product: ProductFacts) -> str:
    """By how much a place leaves a product's storage temperatures: `7 K too warm`."""
    return _(" and ").join(
        _("{by}K too {way}", by=_degrees(by)[:-2], way=_(way)) for way, __, by in _leaves(place, product)
    )


def _leaves(place: PlaceFacts, product: ProductFacts) -> list[tuple[str, MilliCelsius, int]]:
    """For each side on which a place leaves a product's storage temperatures: what it reaches, and by how much."""
    low, high = product.store_low_mc, product.store_high_mc
    found = []
    if place.low_mc is not None and low is not None and place.low_mc < low:
        found.append((N_("cold"), place.low_mc, low - place.low_mc))
    if place.high_mc is not None and high is not None and place.high_mc > high:
        found.append((N_("warm"), place.high_mc, place.high_mc - high))
    return found


def _degrees(millidegrees: int) -> str:
    return show_temperature(MilliCelsius(millidegrees))
