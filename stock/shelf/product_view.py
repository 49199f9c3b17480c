"""A product or a line with all known facts, for scripts and for people."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stock import hazard_statements, precautionary_statements, units
from stock.grammar import all_digits, in_full
from stock.language import N_, _
from stock.notation import show_day
from stock.shelf import (
    figure_sources,
    hazard_entry,
    inheritance,
    line_sheets,
    lines,
    pot_life,
    products,
    record_texts,
)
from stock.shelf.sheet_contradictions import of_record
from stock.shelf.studio import settings
from stock.shelf.written import OF_LINE, OF_PRODUCT, RecordTables, details, linked
from stock.store.line_fields import FIELDS
from stock.store.models import Line, Product, Supplier

JSON_KEYS: Mapping[str, tuple[str, ...]] = {
    "density": ("density_g_per_ml",), "water": ("water_percent",), "solids": ("solids_percent",),
    "flash_point": ("flash_point_c", "no_flash_point"), "boiling_point": ("boiling_point_c",),
    "ph": ("ph_low", "ph_high"),
    "store_at": ("store_low_c", "store_high_c"), "solvent": ("solvents", "no_solvent"),
}  # fmt: skip
"""The JSON keys of fields that have other keys in JSON."""
WORDS = {
    "density_g_per_ml": "density", "water_percent": "water", "solids_percent": "solids", "flash_point_c": "flash point",
    "boiling_point_c": "boiling point", "ph_low": "pH", "store_low_c": "keeps at", "packs": "sizes",
    "opened_life": "good opened",
    "sealed_life": "good unopened",
}  # fmt: skip
"""The words for JSON keys that differ from their words."""


def as_json(product: Product) -> dict[str, Any]:
    """All known facts of a product; an unknown one is None. `inherited` names the keys that come from its line."""
    from_line = inheritance.inherited(product)
    facts = _facts(product, OF_PRODUCT)
    if facts["lead_time"] is None and product.supplier_id:
        facts["lead_time"] = Supplier.get_by_id(product.supplier_id).lead_time
    return {
        "name": product.name,
        "role": facts.pop("role"),
        "line": product.line,
        "maker": facts.pop("maker"),
        "code": product.code,
        "color": product.color,
        **facts,
        "discontinued_on": product.discontinued_on.isoformat() if product.discontinued_on else None,
        "note": product.note,
        "density_uncertainty_g_per_ml": _scaled(
            products.density_error(product.id, product.density_ug_per_ml), 1_000_000
        ),
        "inherited": json_keys(from_line),
        "sources": [each.as_json() | {"place": each.place} for each in read_from(product)],
    }


def read_from(product: Product) -> list[figure_sources.FigurePlace]:
    """The sources of the figures that are still in the record."""
    sources = figure_sources.of_product(product)
    return figure_sources.unchanged(sources, record_texts.exact(product.name)) if sources else []


def line_as_json(line: Line) -> dict[str, Any]:
    """All facts of a line (None if unknown), its sheets, and the own fields of each of its products."""
    return {
        "name": line.name,
        **_facts(line, OF_LINE),
        "note": line.note,
        "sheets": [
            {"title": each.title, "revised": each.revised_on.isoformat(), "source": each.source}
            for each in (*line_sheets.of_line(line.id), *line_sheets.waiting(line.id))
        ],
        "products": [
            {"name": product.name, "own": json_keys(_fields_of(own))}
            for product, own in lines.products_of(line)
        ],
    }


def _fields_of(own: frozenset[str]) -> list[str]:
    """Own fields in order; a field of which only some rows are the product's own is included."""
    said = {word.partition(inheritance.AT)[0] for word in own}
    return [field for field in FIELDS if field in said]


def json_keys(fields: list[str]) -> list[str]:
    """The keys that these fields have in JSON."""
    return [key for field in fields for key in JSON_KEYS.get(field, (field,))]


def _facts(row: Any, tables: RecordTables) -> dict[str, Any]:
    """The facts that a product and a line both have."""
    currency, lists, (supplier, reducer) = settings().currency, details(tables, row.id), linked(row)
    per_unit = 10 ** units.minor_digits(currency)
    return {
        "role": row.role,
        "maker": row.maker,
        "supplier": supplier or None,
        "lead_time": row.lead_time,
        "packs": [
            {
                "size_ml": units.ml(size),
                "price": price / per_unit if price is not None else None,
                "currency": currency,
            }
            for size, price in lists["packs"]
        ],
        "density_g_per_ml": _scaled(row.density_ug_per_ml, 1_000_000),
        "drops_per_ml": _scaled(row.drops_milli, 1_000),
        "water_percent": _scaled(row.water_milli, 1_000),
        "solids_percent": _scaled(row.solids_milli, 1_000),
        "solvents": [
            {"name": name, "low_percent": _scaled(low, 1_000), "percent": share / 1_000, "basis": basis}
            for name, share, basis, low in lists["solvents"]
        ],
        "no_solvent": row.no_solvent,
        "flash_point_c": _scaled(row.flash_point_mc, 1_000),
        "no_flash_point": row.no_flash_point,
        "boiling_point_c": _scaled(row.boiling_point_mc, 1_000),
        "ph_low": _scaled(row.ph_low_milli, 1_000),
        "ph_high": _scaled(row.ph_high_milli, 1_000),
        "opened_life": row.opened_life,
        "sealed_life": row.sealed_life,
        "pot_life": pot_life.written(row) or None,
        "store_low_c": _scaled(row.store_low_mc, 1_000),
        "store_high_c": _scaled(row.store_high_mc, 1_000),
        "usual_reducer": reducer or None,
        "not_with": lists["not_with"],
        "groups": row.groups.split(),
        "voc_categories": row.voc_categories.split(),
        **hazard_entry.as_json(row),
        "contradictions": of_record(row),
    }


def _scaled(figure: int | None, by: int) -> float | None:
    return figure / by if figure is not None else None


def as_lines(answer: dict[str, Any]) -> list[str]:
    """A product's answer as lines of `what  value`; unknown facts are named, inherited ones are marked."""
    line = answer["line"]
    first = f"{answer['name']}  ({answer['role']}{', ' + line if line else ''})"
    rows = [
        ("code", "code", answer["code"]),
        *_rows(answer),
        ("discontinued", "discontinued_on", answer["discontinued_on"]),
    ]
    doubts = [_("  ! {text}; the graver counts", text=text) for text in answer["contradictions"]]
    return [first, *doubts, *_written(rows, answer["inherited"], answer["sources"])]


def line_as_lines(answer: dict[str, Any]) -> list[str]:
    """A line's answer as lines, then its products and their own fields."""
    role = f"  ({answer['role']})" if answer["role"] else ""
    lines = [f"{answer['name']}{role}", *_written(_rows(answer), [])]
    lines += [
        _("  sheet         {title}, revised {revised}", title=one["title"], revised=show_day(one["revised"]))
        for one in answer["sheets"]
    ]
    for one in answer["products"]:
        keys = [
            key
            for key in one["own"]
            if key not in ("role", "no_flash_point", "no_solvent", "store_high_c", "ph_high")
        ]
        own = ", ".join(WORDS.get(key, key.replace("_", " ")) for key in keys)
        lines.append(f"  - {one['name']}{_(': its own {own}', own=own) if own else ''}")
    return lines if answer["products"] else [*lines, _("  no product yet")]


def _written(
    rows: list[tuple[str, str, Any]], from_line: list[str], sources: Sequence[dict[str, Any]] = ()
) -> list[str]:
    """The rows, each with the words of the sheets that it was read from; words without a row come last."""
    lines: list[str] = []
    beside: dict[str, list[dict[str, Any]]] = {}
    for one in sources:
        field = one["field"].partition(":")[0]
        beside.setdefault(JSON_KEYS.get(field, (field,))[0], []).append(one)
    for what, key, value in rows:
        if value or what in _ALWAYS:
            read = beside.pop(key, [])
            lines.append(
                f"  {_(what):<13} {value or _('not known')}{_('  (from the line)') if key in from_line else ''}"
            )
            lines += [
                _('    read in {place}: "{words}"', place=one["place"], words=one["words"]) for one in read
            ]
    for rest in beside.values():
        for one in rest:
            what = one["field"].partition(":")[0].replace("_", " ")
            lines.append(f"  {what:<13} {one['value']}")
            lines.append(_('    read in {place}: "{words}"', place=one["place"], words=one["words"]))
    return lines


def _rows(answer: dict[str, Any]) -> list[tuple[str, str, Any]]:
    """The shown facts: (label, key in the answer, value in words)."""
    packs = ", ".join(
        f"{in_full(pack['size_ml'])} ml"
        + (
            _(" at {price} {currency}", price=all_digits(pack["price"], 2), currency=pack["currency"])
            if pack["price"] is not None
            else ""
        )
        for pack in answer["packs"]
    )
    solvents = ", ".join(
        _("{name} {one} % by {basis}", name=one["name"], one=_share(one), basis=_(one["basis"]))
        for one in answer["solvents"]
    )
    solvents = "none" if answer["no_solvent"] else solvents
    flash = "none" if answer["no_flash_point"] else _degrees(answer["flash_point_c"])
    low, high = answer["store_low_c"], answer["store_high_c"]
    kept = (
        _("{low} to {high}", low=_degrees(low), high=_degrees(high))
        if low is not None and high is not None
        else None
    )
    return [
        (N_("maker"), "maker", answer["maker"]), (N_("supplier"), "supplier", answer["supplier"]),
        (N_("lead time"), "lead_time", answer["lead_time"]), (N_("sold in"), "packs", packs),
        (N_("density"), "density_g_per_ml", _density(answer)),
        (N_("drops per ml"), "drops_per_ml", _unit(answer["drops_per_ml"], "")),
        (N_("water"), "water_percent", _unit(answer["water_percent"], "%")),
        (N_("solids"), "solids_percent", _unit(answer["solids_percent"], "%")),
        (N_("solvents"), "solvents", solvents), (N_("flash point"), "flash_point_c", flash),
        (N_("boiling point"), "boiling_point_c", _degrees(answer["boiling_point_c"])),
        (N_("pH"), "ph_low", _ph(answer["ph_low"], answer["ph_high"])),
        (N_("good unopened"), "sealed_life", answer["sealed_life"]),
        (N_("good opened"), "opened_life", answer["opened_life"]), (N_("pot life"), "pot_life", answer["pot_life"]),
        (N_("keeps at"), "store_low_c", kept),
        (N_("usual reducer"), "usual_reducer", answer["usual_reducer"]),
        (N_("not with"), "not_with", ", ".join(answer["not_with"])),
        (N_("groups"), "groups", " ".join(answer["groups"])),
        (N_("VOC limits"), "voc_categories", ", ".join(map(voc_limit, answer["voc_categories"]))),
        *hazard_lines(answer),
    ]  # fmt: skip


def voc_limit(word: str) -> str:
    """A category with its limit: `eu:topcoat (420 g/L)`."""
    from stock.voc_categories import categories  # few products have one

    category = categories()[word]
    return f"{word} ({category.limit} {_('% by weight') if category.by_weight else 'g/L'})"


def hazard_lines(answer: dict[str, Any]) -> Iterator[tuple[str, str, str | None]]:
    """The safety sheet's facts in the order of its sections: (label, key, text); the text is None if unknown."""
    listed = {
        key: None if answer[key] is None else " ".join(answer[key]) or "none"
        for key in ("h_statements", "p_statements", "pictograms")
    }
    statements = hazard_statements.text_of(answer["h_statements"] or ())
    precautions = precautionary_statements.text_of(answer["p_statements"] or ())
    said = f"{precautions} ({precautionary_statements.SOURCE})" if precautions else listed["p_statements"]
    pictograms = ", ".join(hazard_statements.PICTOGRAMS[code] for code in answer["pictograms"] or ())
    yield N_("signal word"), "signal_word", answer["signal_word"]
    yield N_("statements"), "h_statements", statements or listed["h_statements"]
    yield N_("precautions"), "p_statements", said
    yield N_("pictograms"), "pictograms", pictograms or listed["pictograms"]
    yield N_("gloves"), "gloves", answer["gloves"]
    yield N_("eyes"), "eye_protection", answer["eye_protection"]
    yield N_("breathing"), "breathing_protection", answer["breathing_protection"]
    yield N_("not beside"), "incompatible", answer["incompatible"]
    yield N_("transport"), "un_number", transport(answer)


def transport(answer: dict[str, Any]) -> str | None:
    """Section 14 in words: `UN 1263, class 3, packing group II`; None if nothing of it is known."""
    number, group = answer["un_number"], answer["packing_group"]
    if number == "":
        return _("no dangerous goods")
    parts = (
        number and f"UN {number}",
        answer["transport_class"] and _("class {transport_class}", transport_class=answer["transport_class"]),
        group and _("packing group {group}", group=group),
    )
    return ", ".join(part for part in parts if part) or None


_ALWAYS = {"flash point", "boiling point", "density", "sold in"}


def _share(one: dict[str, Any]) -> str:
    low = "" if one["low_percent"] is None else f"{in_full(one['low_percent'])}-"
    return low + in_full(one["percent"])


def _unit(figure: float | None, unit: str) -> str | None:
    return f"{in_full(figure)} {unit}".rstrip() if figure is not None else None


def _density(answer: dict[str, Any]) -> str | None:
    """A density; if it was weighed, with its uncertainty at about 95 % (twice the standard uncertainty)."""
    error = answer.get("density_uncertainty_g_per_ml")  # a line has none
    weighed = (
        "" if error is None else _(", weighed, give or take {error}", error=in_full(round(2 * error, 6)))
    )
    figure = _unit(answer["density_g_per_ml"], "g/ml")
    return f"{figure}{weighed}" if figure else None


def _ph(low: float | None, high: float | None) -> str | None:
    """One figure, or both ends."""
    if low is None or high is None:
        return None
    return in_full(low) if low == high else _("{low} to {high}", low=in_full(low), high=in_full(high))


def _degrees(figure: float | None) -> str | None:
    return f"{in_full(figure)} °C" if figure is not None else None
