"""Solvents and other substances: one row each of stock/substances.csv.

Each row names the source of its figures in `sources`: flash points and flammable limits the lowest of IEC
60079-20-1:2010 and NFPA 497:2008, else Wikidata; boiling points the CRC Handbook; densities at 20 °C Perry's
Handbook or the VDI Heat Atlas; exposure limits of Ontario; all as tabulated in `chemicals` 1.5.2. Of the first
thirty substances the exposure limit is the lowest of OSHA PEL, NIOSH REL and ACGIH TLV; what is from memory is marked
so. Densities of solids, and of what those lack, are of the CRC Handbook or CAS Common Chemistry. Vapour pressures:
Antoine, from Poling, Prausnitz & O'Connell 2001 appendix A or Landolt-Boernstein IV/20. Hazard statements, waste codes
and lists name the law that they are from. An empty cell is a figure that isn't known and counts as the worse case; a
word in a cell says why there is no figure, as `NO_FIGURE` has it. tests/standards/test_substances.py and
test_substance_lists.py compare each column.
"""

from functools import lru_cache

from stock.cautions.facts import ProductFacts, SolventShare
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.substance_table import Row, row_of, rows_by_name
from stock.units import MilliCelsius, MilliPercent

SOLVENT_GROUPS = ("alcohol", "glycol", "glycol_ether", "ketone", "ester")
HEAVIEST_UG_PER_ML = 1_400_000
"""The density of a pigmented paint, which replaces an unknown one where heavy is the worse case."""

NO_FIGURE = {
    "solid": _("none: it is a solid"),
    "gas": _("none: it is a gas"),
    "doesn't burn": _("none: it does not burn"),
    "decomposes": _("none: it decomposes before it flashes; counts as the worst"),
    "solution": _("its sheet says: it is sold in solution"),
    "varies": _("its sheet says: it differs from cut to cut; counts as the worst until then"),
}
"""Why a flash point or a density has no figure, in the words that the table has for it, each as people read it."""
_NO_VAPOUR = ("solid", "doesn't burn")
"""Why a substance has no flash point, where that means that its vapour can't be lit. A gas, what decomposes and what
varies have none either and may burn all the worse."""


class Substance(NamedTuple):
    """One substance.

    `peroxide` says whether it forms peroxides: `listed` on a list that was seen, by `memory` of one, `watched`
    as an ether of a glycol that no list seen names, or `no`; `peroxide_list` names the lists, each with its class.
    `no_flash_point` and `no_density` say why those figures don't exist (a word of `NO_FIGURE`), empty where they do or
    aren't known.
    `molar_mg` is milligrams a mole, `lower_milli` and `upper_milli` the flammable limits in thousandths of a per cent
    of the air by volume, `exposure_ppm` the lowest 8-hour limit, `short_term_ppm` that of 15 minutes, `ceiling_ppm`
    that of any moment, `antoine` log10 of pascals from kelvin, `unifac` subgroup and count. `None` or empty is not
    known.

    Attributes:
        h_statements: hazard statements of the pure substance, EUH among them; () where it is known to have none.
            Harmonised ones are of Regulation (EC) 1272/2008, annex VI, table 3; `source_of("h")` says which.
        us_waste: codes of US waste law, () where it is on none of the lists: F of spent solvents (40 CFR 261.31), D of
            what must not leach out (261.24), U and P of the pure substance thrown away (261.33).
        us_voc: `exempt` by 40 CFR 51.100(s), `voc`, or `no` where it is no organic compound.
        eu_voc: `voc` where it boils at 250 °C or below (Directive 2004/42/EC, article 2), else `no`.
        hap: whether the US Clean Air Act, section 112(b), lists it or its family as a hazardous air pollutant.
        sources: where each of these is from, as `source_of` reads them.
    """

    cas: str
    name: str
    group: str
    burns: bool
    peroxide: str
    molar_mg: int | None
    density_ug_per_ml: int | None
    flash_point_mc: MilliCelsius | None
    boiling_point_mc: MilliCelsius | None
    lower_milli: MilliPercent | None
    upper_milli: MilliPercent | None
    exposure_ppm: float | None
    exposure_status: str
    short_term_ppm: float | None
    ceiling_ppm: float | None
    h_statements: tuple[str, ...] | None
    us_waste: tuple[str, ...] | None
    us_voc: str
    eu_voc: str
    hap: bool | None
    peroxide_list: str
    antoine: tuple[float, float, float] | None
    unifac: tuple[tuple[int, int], ...]
    sources: str
    no_flash_point: str = ""
    no_density: str = ""

    @property
    def can_flash(self) -> bool:
        """Whether its vapour can burn, or may: an unknown figure counts as the worse case."""
        return self.burns and self.no_flash_point not in _NO_VAPOUR

    @property
    def limit_ppm(self) -> float | None:
        """The lowest of its exposure limits for any time; None if none is known."""
        limits = (self.exposure_ppm, self.short_term_ppm, self.ceiling_ppm)
        return min((limit for limit in limits if limit is not None), default=None)

    def source_of(self, figure: str) -> str:
        """The source of a figure; empty if the figure is unknown.

        Args:
            figure: `flash`, `boils`, `density`, `limits`, `exposure`, `short`, `h`, `waste`, `us_voc`, `eu_voc`, `hap`.
        """
        named = dict(part.split("=", 1) for part in self.sources.split("; ") if part)
        return named.get(figure, "")


def _figure(text: str) -> float | None:
    return float(text) if text else None


def _whole(text: str) -> int | None:
    return int(text) if text and text not in NO_FIGURE else None


def _temperature_mc(text: str) -> MilliCelsius | None:
    figure = _whole(text)
    return None if figure is None else MilliCelsius(figure)


def _share_milli(text: str) -> MilliPercent | None:
    figure = _whole(text)
    return None if figure is None else MilliPercent(figure)


def _why_none(text: str) -> str:
    return text if text in NO_FIGURE else ""


def _words(text: str) -> tuple[str, ...] | None:
    """The words of a cell; an empty tuple for `none`, None for an empty cell."""
    if not text:
        return None
    return () if text == "none" else tuple(text.split())


def _substance(row: Row) -> Substance:
    constants = (row["antoine_a"], row["antoine_b"], row["antoine_c"])
    pairs = (part.split(":") for part in row["unifac"].split())
    return Substance(
        cas=row["cas"],
        name=row["name"],
        group=row["group"],
        burns=row["burns"] == "yes",
        peroxide=row["peroxide"],
        molar_mg=_whole(row["molar_mg"]),
        density_ug_per_ml=_whole(row["density_ug_per_ml"]),
        flash_point_mc=_temperature_mc(row["flash_point_mc"]),
        boiling_point_mc=_temperature_mc(row["boiling_point_mc"]),
        lower_milli=_share_milli(row["lower_milli"]),
        upper_milli=_share_milli(row["upper_milli"]),
        exposure_ppm=_figure(row["exposure_ppm"]),
        exposure_status=row["exposure_status"],
        short_term_ppm=_figure(row["short_term_ppm"]),
        ceiling_ppm=_figure(row["ceiling_ppm"]),
        h_statements=_words(row["h_statements"]),
        us_waste=_words(row["us_waste"]),
        us_voc=row["us_voc"],
        eu_voc=row["eu_voc"],
        hap=row["hap"] == "yes" if row["hap"] else None,
        peroxide_list=row["peroxide_list"],
        antoine=(float(constants[0]), float(constants[1]), float(constants[2])) if constants[0] else None,
        unifac=tuple((int(group), int(count)) for group, count in pairs),
        sources=row["sources"],
        no_flash_point=_why_none(row["flash_point_mc"]),
        no_density=_why_none(row["density_ug_per_ml"]),
    )


def substances_by_name() -> dict[str, Substance]:
    """Every substance by each of its folded names and by its CAS number."""
    return {name: _of_cas(row["cas"]) for name, row in rows_by_name().items()}


@lru_cache(maxsize=512)
def _of_cas(cas: str) -> Substance:
    row = row_of(cas)
    assert row is not None
    return _substance(row)


def substance(named: str | SolventShare) -> Substance | None:
    """The substance of a name, a CAS number or a product's share; None if the table has none.

    Args:
        named: the name; a share read from the books already carries the studio's own substance, if there is one.
    """
    if isinstance(named, SolventShare):
        if named.own is not None:
            return named.own
        named = named.name
    row = row_of(named)
    return _of_cas(row["cas"]) if row is not None else None


def may_burn(share: SolventShare) -> bool:
    """Whether a named solvent can burn; an unknown one counts as flammable."""
    if not share.percent_milli:
        return False
    found = substance(share)
    return found is None or found.can_flash


def bears_solvent(product: ProductFacts) -> bool | None:
    """Whether a product contains a flammable solvent; None if its composition is unknown.

    A product without named solvents that is all water and solids contains none.
    """
    if product.solvents is None:
        return None
    return any(may_burn(share) for share in product.solvents)
