"""The temperatures that a product keeps at, and those that a place reaches."""

from __future__ import annotations

from stock.cautions.facts import PlaceFacts, ProductFacts
from stock.units import MilliCelsius, show_temperature

FREEZES_MC = 0
"""A place that is noted to get this cold, thousandths of a degree C, can freeze what has water in it."""


def range_in_words(product: ProductFacts) -> str:
    """The temperatures that a product is known to keep at: `5 °C to 30 °C`."""
    low, high = product.store_low_mc, product.store_high_mc
    if low is not None and high is not None:
        return f"{show_temperature(MilliCelsius(low))} to {show_temperature(MilliCelsius(high))}"
    if low is not None:
        return f"{show_temperature(MilliCelsius(low))} or more"
    return f"{show_temperature(MilliCelsius(high or 0))} or less"


def may_freeze(product: ProductFacts) -> bool:
    """Whether frost harms it: anything with water in it, and what nobody has noted the water of."""
    return product.water_milli is None or product.water_milli > 0


def range_known(product: ProductFacts) -> bool:
    """Whether both ends of the range that a product keeps at are noted."""
    return product.store_low_mc is not None and product.store_high_mc is not None


def reaches(place: PlaceFacts, product: ProductFacts) -> str:
    """How a place leaves a product's range, in words; empty where it isn't known to."""
    low, high = product.store_low_mc, product.store_high_mc
    parts = []
    if place.low_mc is not None and low is not None and place.low_mc < low:
        parts.append(f"falls to {show_temperature(MilliCelsius(place.low_mc))}")
    if place.high_mc is not None and high is not None and place.high_mc > high:
        parts.append(f"rises to {show_temperature(MilliCelsius(place.high_mc))}")
    return " and ".join(parts)
