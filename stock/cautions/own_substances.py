"""The studio's own substances as `Substance`, by each of their names.

The studio's record fills in what the table lacks; where both have a figure the worse one counts. A figure that neither
has is unknown and counts as the worse case.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

from stock.cautions.substances import Substance, substance
from stock.language import _
from stock.shelf import dated_substances
from stock.store.models import OwnSubstance
from stock.store.prepared import Prepared
from stock.substance_table import called, row_of
from stock.units import MilliCelsius

OWN = Prepared(OwnSubstance.select)
FORMS_PEROXIDES = "EUH019"
_FIGURES = {
    "flash_point_mc": "flash", "boiling_point_mc": "boils", "density_ug_per_ml": "density", "molar_mg": "molar",
    "lower_milli": "limits", "exposure_ppm": "exposure", "short_term_ppm": "short", "ceiling_ppm": "short",
    "h_statements": "h", "us_waste": "waste", "us_voc": "us_voc", "eu_voc": "eu_voc", "hap": "hap",
}  # fmt: skip
"""Figures that a studio can note, each with the name under which its source is kept."""
_LOWER_IS_WORSE = (
    "flash_point_mc", "boiling_point_mc", "lower_milli", "exposure_ppm", "short_term_ppm", "ceiling_ppm",
)  # fmt: skip
_MAY_FLASH = ("varies", "solid", "doesn't burn", "")
"""Reasons for a missing flash point in the table that a flash point on a sheet overrides."""
_BOILS_VOC_MC = 250_000


def own_substances(day: date | None = None) -> Mapping[str, Substance]:
    """Every substance of which the studio has noted something, by folded name and CAS number.

    Args:
        day: the day whose records count; today when None.
    """
    found: dict[str, Substance] = {}
    then = dated_substances.on(day) if day is not None else {}
    rows = [row for row in OWN.instances() if row.id not in then]
    for row in (*rows, *(row for row in then.values() if row is not None)):
        entry = substance(row.cas) if row.cas else None
        entry = entry or substance(row.name)
        made = of_row(row) if entry is None else filled(entry, of_row(row))
        names = called(row.name, row.cas, row.aliases) | (names_of(entry) if entry else set())
        found.update(dict.fromkeys(names, made))
    return found


def row_about(one: Substance) -> Any:
    """The studio's own record of a substance; None where it has none."""
    names = {one.cas, *called(one.name, "", "")} | (names_of(one) if row_of(one.cas) else set())
    return next(
        (
            row
            for row in OWN.instances()
            if names & {f"own {row.id}", *called(row.name, row.cas, row.aliases)}
        ),
        None,
    )


def names_of(entry: Substance) -> set[str]:
    """The folded names and the CAS number by which the table finds a substance."""
    row = row_of(entry.cas)
    assert row is not None
    return called(row["name"], row["cas"], ";".join((row["german"], row["french"], row["aliases"])))


def filled(entry: Substance, own: Substance) -> Substance:
    """A substance of the table, completed by the studio's own record; where both have a figure the worse one."""
    changed, taken = dict[str, Any](), dict[str, str]()
    for name, source in _FIGURES.items():
        ours, theirs = getattr(entry, name), getattr(own, name)
        if theirs in (None, "") or theirs == ours:
            continue
        worse = theirs if ours in (None, "") else _worse(name, ours, theirs)
        if worse != ours:
            changed[name], taken[source] = worse, own.source_of(source)
    if own.flash_point_mc is not None and entry.no_flash_point in _MAY_FLASH:
        changed |= {"no_flash_point": "", "burns": True}
    if own.density_ug_per_ml is not None:
        changed["no_density"] = ""
    if own.peroxide == "listed" and entry.peroxide != "listed":
        changed |= {"peroxide": own.peroxide, "peroxide_list": own.peroxide_list}
    if not changed:
        return entry
    kept = [part for part in entry.sources.split("; ") if part and part.split("=")[0] not in taken]
    return entry._replace(
        **changed, sources="; ".join([*kept, *(f"{name}={who}" for name, who in taken.items())])
    )


def _worse(name: str, one: Any, other: Any) -> Any:
    """The worse of two known figures."""
    if name in _LOWER_IS_WORSE:
        return min(one, other)
    if isinstance(one, tuple):
        return (*one, *(word for word in other if word not in one))
    if isinstance(one, bool):
        return one or other
    return "voc" if "voc" in (one, other) else one


def of_row(row: Any) -> Substance:
    """A substance that only the studio knows, with the figures of its sheet."""
    statements = None if row.h_statements is None else tuple(row.h_statements.split())
    figures: dict[str, Any] = {
        "flash_point_mc": row.flash_point_mc,
        "boiling_point_mc": row.boiling_point_mc,
        "density_ug_per_ml": row.density_ug_per_ml,
        "molar_mg": row.molar_mg,
        "lower_milli": row.lower_milli,
        "exposure_ppm": _ppm(row.exposure_ppb),
        "short_term_ppm": _ppm(row.short_term_ppb),
        "ceiling_ppm": _ppm(row.ceiling_ppb),
        "h_statements": statements,
        "us_waste": None if row.us_waste is None else tuple(row.us_waste.split()),
        "us_voc": row.us_voc or "",
        "eu_voc": _eu_voc(row.boiling_point_mc),
        "hap": row.hap,
    }
    source = row.source.replace(";", ",") or _("the studio's own record")
    noted = dict.fromkeys(_FIGURES[name] for name, value in figures.items() if value not in (None, ""))
    listed = FORMS_PEROXIDES in (statements or ())
    return Substance(
        cas=row.cas or _("own {id}", id=row.id),
        name=row.name,
        group=row.family,
        burns=not row.no_flash_point,
        peroxide="listed" if listed else "",
        peroxide_list=FORMS_PEROXIDES if listed else "",
        upper_milli=None,
        exposure_status="noted" if row.exposure_ppb is not None else "",
        antoine=None,
        unifac=(),
        sources="; ".join(f"{name}={source}" for name in noted),
        **figures,
    )


def _ppm(ppb: int | None) -> float | None:
    return None if ppb is None else ppb / 1_000


def _eu_voc(boiling_point_mc: MilliCelsius | None) -> str:
    if boiling_point_mc is None:
        return ""
    return "voc" if boiling_point_mc <= _BOILS_VOC_MC else "no"
