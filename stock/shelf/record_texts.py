"""Records as a person would write them: texts that read back to the values in the books.

A form shows these in its fields, so that correcting one figure leaves the others unchanged.
"""

from fractions import Fraction
from typing import Any

from stock import units
from stock.grammar import plain_figure
from stock.notation import exactly, show_day
from stock.shelf import hazard_entry, lines, ph, pot_life, products
from stock.shelf.dosings import DosingEntry
from stock.shelf.entry import NONE, joined
from stock.shelf.written import OF_LINE, OF_PRODUCT, RecordTables, details, linked
from stock.store.connection import connection, reading
from stock.store.models import Place, Supplier
from stock.units import Microlitres, Micrometres, MilliCelsius, Milligrams, MilliPercent, Pascals


def product(name: str) -> dict[str, str]:
    """A product's fields by the keys of `entry.read`, those of its line among them; what is not known is empty.

    Raises:
        NotFound, Ambiguous: `name` means no single product.
    """
    with connection(), reading():
        row = products.find(name)
        own = {
            "name": row.name, "line": row.line, "code": row.code, "color": row.color or "", "note": row.note,
            "discontinued": show_day(row.discontinued_on),
        }  # fmt: skip
        return own | _facts(row, OF_PRODUCT)


@exactly()
def exact(name: str) -> dict[str, str]:
    """A product's fields as `product` gives them, always with decimal points: for texts that are kept or compared."""
    return product(name)


def line(name: str) -> dict[str, str]:
    """A line's fields by the keys of `entry.read`; what it doesn't say is empty.

    Raises:
        NotFound, Ambiguous: `name` means no single line.
    """
    with connection(), reading():
        row = lines.find(name)
        return {"name": row.name, "note": row.note} | _facts(row, OF_LINE)


def _facts(row: Any, tables: RecordTables) -> dict[str, str]:
    """The fields that a product and a line both have."""
    from stock.shelf.studio import settings  # only these speak of money

    currency = settings().currency
    lists, (supplier, reducer) = details(tables, row.id), linked(row)
    packs = [pack(size, price, currency) for size, price in lists["packs"]]
    solvents = [solvent(*share) for share in lists["solvents"]]
    low, high = row.store_low_mc, row.store_high_mc
    return {
        "role": row.role or "", "packs": joined(packs), "maker": row.maker, "supplier": supplier,
        "lead_time": row.lead_time or "",
        "flash_point": NONE if row.no_flash_point else temperature(row.flash_point_mc),
        "boiling_point": temperature(row.boiling_point_mc), "ph": ph.written(row), "opened_life": row.opened_life or "",
        "sealed_life": row.sealed_life or "", "pot_life": pot_life.written(row),
        "store_at": "" if low is None or high is None else f"{temperature(low)}..{temperature(high)}",
        "usual_reducer": reducer, "drops_per_ml": thousandths(row.drops_milli),
        "density": "" if row.density_ug_per_ml is None else plain_figure(
            Fraction(row.density_ug_per_ml, 1_000_000), 6
        ),
        "water": percent(row.water_milli), "solids": percent(row.solids_milli),
        "solvent": NONE if row.no_solvent else joined(solvents), "groups": row.groups,
        "voc_categories": row.voc_categories,
        "not_with": joined(lists["not_with"]), **hazard_entry.written(row),
    }  # fmt: skip


def solvent(name: str, percent_milli: MilliPercent, basis: str, low_milli: MilliPercent | None) -> str:
    """A solvent with its share or range: `ethanol=10-25% by weight`."""
    return f"{name}={'' if low_milli is None else thousandths(low_milli) + '-'}{percent(percent_milli)} by {basis}"


def pack(size_ul: Microlitres, price_minor: int | None, currency: str) -> str:
    """A size with its price, if it has one: `60 ml=7.90`."""
    size = volume(size_ul)
    return size if price_minor is None else f"{size}={money(price_minor, currency)}"


def place(row: Place) -> dict[str, str]:
    """A place's fields by the keys of `places.read`."""
    return {
        "name": row.name,
        "kind": row.kind,
        "premises": row.premises or "",
        "building": row.building,
        "flammable_limit": volume(row.flammable_limit_ul) or mass(row.flammable_limit_mg),
        "lowest": temperature(row.low_mc),
        "highest": temperature(row.high_mc),
        "ignition": {True: "yes", False: "no", None: ""}[row.ignition],
        "note": row.note,
    }


def supplier(row: Supplier, currency: str) -> dict[str, str]:
    """A supplier's terms by the keys of `suppliers.read`."""
    return {
        "name": row.name,
        "lead_time": row.lead_time or "",
        "order_days": row.order_days,
        "shipping": money(row.shipping_minor, currency),
        "free_shipping_from": money(row.free_shipping_from_minor, currency),
    }


def dosing(entry: DosingEntry) -> dict[str, str]:
    """A range by the keys of `dosings.of_fields`."""
    return {
        "with": entry.with_product or "",
        "line": entry.for_line,
        "needle": _needles(entry.needle_low_um, entry.needle_high_um),
        "low": percent(entry.low_milli),
        "high": percent(entry.high_milli),
        "step": percent(entry.step_milli),
        "pressure": _pressures(entry.pressure_low_pa, entry.pressure_high_pa),
        "humidity": entry.humidity,
        "wording": entry.wording,
    }


def _needles(low_um: Micrometres | None, high_um: Micrometres | None) -> str:
    if low_um is None and high_um is None:
        return ""
    if low_um is None:
        return f"<={thousandths(high_um)}"
    if high_um is None:
        return f">={thousandths(low_um)}"
    return thousandths(low_um) if low_um == high_um else f"{thousandths(low_um)}..{thousandths(high_um)}"


def _pressures(low_pa: Pascals | None, high_pa: Pascals | None) -> str:
    if low_pa is None or high_pa is None:
        return ""
    low, high = (plain_figure(Fraction(pa, 1_000)) for pa in (low_pa, high_pa))
    return f"{low} kPa" if low == high else f"{low}..{high} kPa"


def volume(volume_ul: Microlitres | None) -> str:
    """Millilitres to the microlitre; empty for None."""
    return "" if volume_ul is None else f"{plain_figure(Fraction(volume_ul, 1_000))} ml"


def mass(mass_mg: Milligrams | None) -> str:
    """Kilograms to the milligram; empty for None."""
    return "" if mass_mg is None else f"{plain_figure(Fraction(mass_mg, 1_000_000), 6)} kg"


def temperature(temperature_mc: MilliCelsius | None) -> str:
    """Degrees Celsius to the thousandth; empty for None."""
    return "" if temperature_mc is None else f"{thousandths(temperature_mc)}C"


def percent(milli: int | None) -> str:
    """A per cent to its thousandth; empty for None."""
    return "" if milli is None else f"{thousandths(milli)}%"


def thousandths(figure: int | None) -> str:
    """A figure kept in thousandths; empty for None."""
    return "" if figure is None else plain_figure(Fraction(figure, 1_000))


def money(minor: int | None, currency: str) -> str:
    """A price without its currency's name; empty for None."""
    return "" if minor is None else units.show_money(minor, currency).removesuffix(f" {currency}")
