"""A product with all that is known of it, for scripts and for people."""

from collections.abc import Iterator
from typing import Any

from stock import hazard_statements, units
from stock.grammar import in_full
from stock.shelf import hazard_entry, products
from stock.shelf.studio import settings
from stock.store.models import Product, Supplier


def as_json(product: Product) -> dict[str, Any]:
    """Everything known of a product; what is not known is None."""
    studio, details = settings(), products.details(product)
    supplier = Supplier.get_by_id(product.supplier_id) if product.supplier_id else None
    reducer = Product.get_by_id(product.usual_reducer_id) if product.usual_reducer_id else None
    per_unit = 10 ** units.minor_digits(studio.currency)
    return {
        "name": product.name,
        "role": product.role,
        "line": product.line,
        "maker": product.maker,
        "color": product.color,
        "supplier": supplier.name if supplier else None,
        "lead_time": product.lead_time or (supplier.lead_time if supplier else None),
        "packs": [
            {
                "size_ml": units.ml(size),
                "price": price / per_unit if price is not None else None,
                "currency": studio.currency,
            }
            for size, price in details["packs"]
        ],
        "density_g_per_ml": _scaled(product.density_ug_per_ml, 1_000_000),
        "drops_per_ml": _scaled(product.drops_milli, 1_000),
        "water_percent": _scaled(product.water_milli, 1_000),
        "solids_percent": _scaled(product.solids_milli, 1_000),
        "solvents": [
            {"name": name, "low_percent": _scaled(low, 1_000), "percent": share / 1_000, "basis": basis}
            for name, share, basis, low in details["solvents"]
        ],
        "no_solvent": product.no_solvent,
        "flash_point_c": _scaled(product.flash_point_mc, 1_000),
        "no_flash_point": product.no_flash_point,
        "boiling_point_c": _scaled(product.boiling_point_mc, 1_000),
        "opened_life": product.opened_life,
        "sealed_life": product.sealed_life,
        "store_low_c": _scaled(product.store_low_mc, 1_000),
        "store_high_c": _scaled(product.store_high_mc, 1_000),
        "usual_reducer": reducer.name if reducer else None,
        "not_with": details["not_with"],
        "groups": product.groups.split(),
        "voc_categories": product.voc_categories.split(),
        "discontinued_on": product.discontinued_on.isoformat() if product.discontinued_on else None,
        "note": product.note,
        **hazard_entry.as_json(product),
    }


def _scaled(figure: int | None, by: int) -> float | None:
    return figure / by if figure is not None else None


def as_lines(answer: dict[str, Any]) -> list[str]:
    """The same as lines of `what  value`, what is not known said as such."""
    lines = [f"{answer['name']}  ({answer['role']}{', ' + answer['line'] if answer['line'] else ''})"]
    packs = ", ".join(
        f"{in_full(pack['size_ml'])} ml"
        + (f" at {pack['price']:.2f} {pack['currency']}" if pack["price"] is not None else "")
        for pack in answer["packs"]
    )
    solvents = ", ".join(f"{one['name']} {_share(one)} % by {one['basis']}" for one in answer["solvents"])
    solvents = "none" if answer["no_solvent"] else solvents
    flash = "none" if answer["no_flash_point"] else _degrees(answer["flash_point_c"])
    rows = (
        ("maker", answer["maker"]), ("supplier", answer["supplier"]), ("lead time", answer["lead_time"]),
        ("sold in", packs), ("density", _unit(answer["density_g_per_ml"], "g/ml")),
        ("water", _unit(answer["water_percent"], "%")), ("solvents", solvents), ("flash point", flash),
        ("boiling point", _degrees(answer["boiling_point_c"])), ("good unopened", answer["sealed_life"]),
        ("good opened", answer["opened_life"]), ("usual reducer", answer["usual_reducer"]),
        ("not with", ", ".join(answer["not_with"])), ("groups", " ".join(answer["groups"])),
        ("VOC limits", ", ".join(map(voc_limit, answer["voc_categories"]))),
        *hazard_lines(answer), ("discontinued", answer["discontinued_on"]),
    )  # fmt: skip
    return lines + [f"  {what:<14}{value or 'not known'}" for what, value in rows if value or what in _ALWAYS]


def voc_limit(word: str) -> str:
    """A category with its limit: `eu:topcoat (420 g/L)`."""
    from stock.voc_categories import categories  # few products have one

    category = categories()[word]
    return f"{word} ({category.limit} {'% by weight' if category.by_weight else 'g/L'})"


def hazard_lines(answer: dict[str, Any]) -> Iterator[tuple[str, str | None]]:
    """What the safety sheet says, in the order of its sections: what, and the text; None where not known."""
    listed = {
        key: None if answer[key] is None else " ".join(answer[key]) or "none"
        for key in ("h_statements", "p_statements", "pictograms")
    }
    yield "signal word", answer["signal_word"]
    yield "statements", hazard_statements.text_of(answer["h_statements"] or ()) or listed["h_statements"]
    yield "precautions", listed["p_statements"]
    yield (
        "pictograms",
        ", ".join(hazard_statements.PICTOGRAMS[code] for code in answer["pictograms"] or ())
        or listed["pictograms"],
    )
    yield "gloves", answer["gloves"]
    yield "eyes", answer["eye_protection"]
    yield "breathing", answer["breathing_protection"]
    yield "not beside", answer["incompatible"]
    yield "transport", transport(answer)


def transport(answer: dict[str, Any]) -> str | None:
    """Section 14 in words: `UN 1263, class 3, packing group II`; None where nothing of it is known."""
    number, group = answer["un_number"], answer["packing_group"]
    if number == "":
        return "no dangerous goods"
    parts = (
        number and f"UN {number}",
        answer["transport_class"] and f"class {answer['transport_class']}",
        group and f"packing group {group}",
    )
    return ", ".join(part for part in parts if part) or None


_ALWAYS = {"flash point", "boiling point", "density", "sold in"}


def _share(one: dict[str, Any]) -> str:
    low = "" if one["low_percent"] is None else f"{in_full(one['low_percent'])}-"
    return low + in_full(one["percent"])


def _unit(figure: float | None, unit: str) -> str | None:
    return f"{in_full(figure)} {unit}" if figure is not None else None


def _degrees(figure: float | None) -> str | None:
    return f"{in_full(figure)} °C" if figure is not None else None
