"""The volatile organic compounds in a litre of a product, by two definitions.

United States: a compound of carbon that takes part in photochemistry, so without those listed as negligibly
reactive (40 CFR 51.100(s)); the regulatory content is (Wv - Ww - Wec) / (V - Vw - Vec), grams a litre less
water and exempt compounds, as applied (40 CFR 59.104(a)(1)); what is emitted is Wv - Ww - Wec.
European Union: an organic compound that boils at 250 C or below at 101.3 kPa, grams a litre of the product
ready to use (2004/42/EC article 2, as in UK SI 2005/2773 regulation 2). Water counts in that litre for paints and
varnishes (annex II A) and for preparatory and cleaning products; for the other products of vehicle refinishing its
content is left out (annex II B, note, as the Northern Ireland business service prints it).

Grams and millilitres are floats here: they are figures of a report, and nothing is booked.
"""

from collections.abc import Iterable, Sequence

from stock.cautions.composition import all_listed, free_of_solvent
from stock.cautions.facts import ProductFacts
from stock.cautions.substances import Substance, substance
from stock.language import _
from stock.named_tuples import NamedTuple

BOILS_MC = 250_000
WATER_G_PER_ML = 0.9982
"""At 20 C."""
DENSEST_G_PER_ML = 1.623
"""The density of an unknown solvent: that of tetrachloroethylene, the densest one in substances.csv."""
WHOLE = 0.999


class Content(NamedTuple):
    """The content of a volume of `volume_ml` millilitres.

    `us_g` and `eu_g` are grams of VOC by each definition, `water_ml` and `exempt_ml` millilitres to be left out of
    the American content's volume; `assumed` says what was taken at its worst, `exempt` names what 40 CFR 51.100(s)
    leaves out. `mass_g` is what it weighs, or what of it is solvent where no density is known.
    """

    volume_ml: float
    us_g: float
    eu_g: float
    water_ml: float
    exempt_ml: float
    assumed: tuple[str, ...] = ()
    mass_g: float = 0.0
    exempt: tuple[str, ...] = ()

    def times(self, ml: float) -> "Content":
        """The content of `ml` millilitres of the same."""
        return Content(
            self.volume_ml * ml,
            self.us_g * ml,
            self.eu_g * ml,
            self.water_ml * ml,
            self.exempt_ml * ml,
            self.assumed,
            self.mass_g * ml,
            self.exempt,
        )

    @property
    def actual(self) -> float | None:
        """Grams of VOC by the US definition in a litre of everything; None for an empty content."""
        return 1_000 * self.us_g / self.volume_ml if self.volume_ml else None

    @property
    def less_water(self) -> float | None:
        """Grams of VOC by the US definition in a litre less water and exempt compounds; None if that leaves nothing."""
        rest = self.volume_ml - self.water_ml - self.exempt_ml
        if not self.volume_ml or not self.us_g:
            return 0.0 if self.volume_ml else None
        return 1_000 * self.us_g / rest if rest > self.volume_ml * 1e-9 else None

    @property
    def ready_to_use(self) -> float | None:
        """Grams of VOC by the EU definition in a litre of everything; None for an empty content."""
        return 1_000 * self.eu_g / self.volume_ml if self.volume_ml else None

    @property
    def ready_to_use_less_water(self) -> float | None:
        """Grams of VOC by the EU definition in a litre without its water; None if that leaves nothing."""
        rest = self.volume_ml - self.water_ml
        if not self.volume_ml or not self.eu_g:
            return 0.0 if self.volume_ml else None
        return 1_000 * self.eu_g / rest if rest > self.volume_ml * 1e-9 else None

    @property
    def us_percent(self) -> float | None:
        """VOC by the US definition, per cent by weight; None for an empty content."""
        if not self.us_g:
            return 0.0 if self.volume_ml else None
        return min(100 * self.us_g / self.mass_g, 100.0) if self.mass_g else 100.0


def together(contents: Iterable[Content]) -> Content:
    """The sum of contents; masses and volumes are added, grams a litre are never averaged."""
    parts = list(contents)
    return Content(
        sum(part.volume_ml for part in parts),
        sum(part.us_g for part in parts),
        sum(part.eu_g for part in parts),
        sum(part.water_ml for part in parts),
        sum(part.exempt_ml for part in parts),
        tuple(dict.fromkeys(word for part in parts for word in part.assumed)),
        sum(part.mass_g for part in parts),
        tuple(dict.fromkeys(name for part in parts for name in part.exempt)),
    )


class _Part(NamedTuple):
    """One named solvent: its largest and smallest share by weight or volume, and its substance if known."""

    share: float
    least: float
    by_volume: bool
    found: Substance | None

    @property
    def density(self) -> float:
        density = self.found.density_ug_per_ml if self.found is not None else None
        return density / 1_000_000 if density is not None else DENSEST_G_PER_ML

    @property
    def exempt(self) -> bool:
        """Whether 40 CFR 51.100(s) names it as negligibly reactive."""
        return self.found is not None and self.found.us_voc == "exempt"

    @property
    def inorganic(self) -> bool:
        """Whether it is inorganic: a pigment, an acid, ammonia."""
        return self.found is not None and self.found.us_voc == "no"

    @property
    def boils_higher(self) -> bool:
        """Whether it boils above 250 °C, so that the EU's definition leaves it out."""
        boils = self.found.boiling_point_mc if self.found is not None else None
        return boils is not None and boils > BOILS_MC

    def grams(self, density: float, *, least: bool = False) -> float:
        """The largest or smallest number of grams of it in a millilitre of a product of that density."""
        return (self.least if least else self.share) * (self.density if self.by_volume else density)


def content(product: ProductFacts) -> Content:
    """The content of a millilitre of a product; unknown facts count as the worst case and are named in `assumed`.

    The part that solvents, water and solids leave counts as solvent, unless the record says that there is none. Of a
    range the high end counts, or the low end where a definition leaves the substance out. A product without a density
    counts as dense solvent where a weight is needed.

    Args:
        product: its facts.
    """
    named = [
        _Part(
            share.percent_milli / 100_000,
            share.least_milli / 100_000,
            share.basis == "volume",
            substance(share),
        )
        for share in product.solvents or ()
    ]
    density = _density(product, named)
    parts = [part for part in named if not part.inorganic]
    if free_of_solvent(product):
        water_g = (product.water_milli or 0) / 100_000 * (density or 0.0)
        return Content(1.0, 0.0, 0.0, min(water_g / WATER_G_PER_ML, 1.0), 0.0, (), density or 0.0)
    if density is None:
        return _worst(product, parts)
    water_g = (product.water_milli or 0) / 100_000 * density
    mineral_g = sum(part.grams(density, least=True) for part in named if part.inorganic)
    solids_g = max((product.solids_milli or 0) / 100_000 * density, mineral_g)
    room_g = max(density - water_g - solids_g, 0.0)
    least_g = sum(part.grams(density, least=True) for part in parts)
    most_g = sum(part.grams(density) for part in parts)
    if room_g - most_g <= (1 - WHOLE) * density:
        return _volatile(parts, density, max(min(most_g, room_g), least_g), water_g, ())
    noted = [bool(parts), product.water_milli is not None, product.solids_milli is not None]
    # If water and solids are noted, the rest is solvent, whatever the list says.
    words = (
        ()
        if noted[1] and noted[2]
        else (_("{noted} not noted: all the rest counts as solvent", noted=_missing(noted)),)
    )
    return _volatile(parts, density, room_g, water_g, words)


def _missing(noted: Sequence[bool]) -> str:
    words = [
        word
        for word, is_noted in zip((_("solvents"), _("water"), _("solids")), noted, strict=True)
        if not is_noted
    ]
    return _(" and ").join(words)


def _volatile(
    parts: Sequence[_Part], density: float, volatile_g: float, water_g: float, assumed: tuple[str, ...]
) -> Content:
    """The content of so many grams of solvent a millilitre; exempt substances count at the low end of their share."""
    exempt = [(part, part.grams(density, least=True)) for part in parts if part.exempt]
    high_g = sum(part.grams(density, least=True) for part in parts if part.boils_higher)
    return Content(
        volume_ml=1.0,
        us_g=volatile_g - sum(mass for _, mass in exempt),
        eu_g=volatile_g - high_g,
        water_ml=min(water_g / WATER_G_PER_ML, 1.0),
        exempt_ml=sum(mass / part.density for part, mass in exempt),
        assumed=assumed,
        mass_g=density,
        exempt=tuple(dict.fromkeys(part.found.name for part, _ in exempt if part.found is not None)),
    )


def _density(product: ProductFacts, parts: Sequence[_Part]) -> float | None:
    """Grams a millilitre: the noted density, or that of an ideal mixture if all of it is known solvents and water."""
    if product.density_ug_per_ml is not None:
        return product.density_ug_per_ml / 1_000_000
    water = (product.water_milli or 0) / 100_000
    if any(part.found is None or part.found.density_ug_per_ml is None for part in parts):
        return None
    if all(part.by_volume for part in parts) and parts and not water and not product.solids_milli:
        whole = sum(part.least for part in parts)
        return sum(part.share * part.density for part in parts) if whole >= WHOLE else None
    if any(part.by_volume for part in parts) or water + sum(part.least for part in parts) < WHOLE:
        return None
    return 1 / (water / WATER_G_PER_ML + sum(part.least / part.density for part in parts))


def _worst(product: ProductFacts, parts: Sequence[_Part]) -> Content:
    """The content without a density: all solvent, except for shares that are noted by volume."""
    if parts and all(part.by_volume for part in parts):
        left = max(1 - sum(part.least for part in parts), 0.0)
        solvent_g = sum(part.least * part.density for part in parts) + left * DENSEST_G_PER_ML
        words = (
            () if left <= 1 - WHOLE else (_("density and the rest not noted: the rest counts as solvent"),)
        )
        return _volatile(parts, DENSEST_G_PER_ML, solvent_g, 0.0, words)
    if product.water_milli is not None and product.water_milli >= WHOLE * 100_000:
        return Content(1.0, 0.0, 0.0, 1.0, 0.0, (), WATER_G_PER_ML)
    densest = max((part.density for part in parts), default=DENSEST_G_PER_ML)
    densest = max(densest, DENSEST_G_PER_ML) if not all_listed(product) else densest
    words = (_("density not noted: it counts as solvent throughout"),)
    return Content(1.0, densest, densest, 0.0, 0.0, words, densest)
