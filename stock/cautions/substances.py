"""What solvents and other substances are: one row each of figures/substances.csv.

Flash and boiling points, flammable limits and densities: `chemicals` 1.5.2 (IEC 60079-20-1:2010, NFPA
497:2008, CRC Handbook), the lowest published closed-cup value taken; 1-butanol NIOSH Pocket Guide, propylene
glycol methyl ether HSDB, propylene glycol ICSC 0321; propylene glycol n-propyl ether and the densities of
the glycol ethers from memory. Exposure limits: the lowest of OSHA PEL, NIOSH REL and ACGIH TLV, marked
where from memory. Vapour pressures: Antoine, from Poling, Prausnitz & O'Connell 2001 appendix A or
Landolt-Boernstein IV/20, as tabulated in `chemicals` 1.5.2.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from stock.cautions.facts import ProductFacts, SolventShare
from stock.text import folded

SOLVENT_GROUPS = ("alcohol", "glycol", "glycol_ether", "ketone", "ester")
HEAVIEST_UG_PER_ML = 1_400_000
"""Density taken where none is known and heavy is the worse case: that of a pigmented paint."""


class Substance(NamedTuple):
    """One substance.

    `molar_mg` is milligrams a mole, `lower_milli` and `upper_milli` the flammable limits in thousandths of
    a per cent of the air by volume, `exposure_ppm` the lowest 8-hour limit, `antoine` log10 of pascals from
    kelvin, `unifac` subgroup and count. `None` or empty is not known.
    """

    cas: str
    name: str
    group: str
    burns: bool
    peroxide: bool
    molar_mg: int | None
    density_ug_per_ml: int | None
    flash_point_mc: int | None
    boiling_point_mc: int | None
    lower_milli: int | None
    upper_milli: int | None
    exposure_ppm: int | None
    exposure_status: str
    antoine: tuple[float, float, float] | None
    unifac: tuple[tuple[int, int], ...]


def _whole(text: str) -> int | None:
    return int(text) if text else None


def _substance(row: dict[str, str]) -> Substance:
    constants = (row["antoine_a"], row["antoine_b"], row["antoine_c"])
    pairs = (part.split(":") for part in row["unifac"].split())
    return Substance(
        cas=row["cas"],
        name=row["name"],
        group=row["group"],
        burns=row["burns"] == "yes",
        peroxide=row["peroxide"] == "yes",
        molar_mg=_whole(row["molar_mg"]),
        density_ug_per_ml=_whole(row["density_ug_per_ml"]),
        flash_point_mc=_whole(row["flash_point_mc"]),
        boiling_point_mc=_whole(row["boiling_point_mc"]),
        lower_milli=_whole(row["lower_milli"]),
        upper_milli=_whole(row["upper_milli"]),
        exposure_ppm=_whole(row["exposure_ppm"]),
        exposure_status=row["exposure_status"],
        antoine=(float(constants[0]), float(constants[1]), float(constants[2])) if constants[0] else None,
        unifac=tuple((int(group), int(count)) for group, count in pairs),
    )


@lru_cache(maxsize=1)
def known() -> dict[str, Substance]:
    """Every substance, by folded name, by each other name it goes by, and by CAS number."""
    import csv  # only where a product names its solvents

    text = (Path(__file__).parent / "figures" / "substances.csv").read_text(encoding="utf-8")
    found: dict[str, Substance] = {}
    for row in csv.DictReader(text.splitlines()):
        substance = _substance(row)
        for name in (row["cas"], row["name"], *filter(None, row["aliases"].split(";"))):
            found[folded(name)] = substance
    return found


def substance(name: str) -> Substance | None:
    """The substance of a name or CAS number, or None when it isn't known here."""
    return known().get(folded(name))


def may_burn(share: SolventShare) -> bool:
    """Whether a named solvent can burn; one that isn't known here is taken to."""
    if not share.percent_milli:
        return False
    found = substance(share.name)
    return found is None or found.burns


def bears_solvent(product: ProductFacts) -> bool | None:
    """Whether a product has a solvent that can burn in it; None when nobody has said what it is made of.

    A product that names no solvent and is all water and solids is known to have none.
    """
    if product.solvents is None:
        return None
    return any(may_burn(share) for share in product.solvents)
