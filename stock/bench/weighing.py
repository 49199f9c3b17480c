"""Measuring what a bottle holds, with its uncertainty, and judging the difference to the books.

Uncertainties are standard uncertainties (one sigma) by the rules of the GUM: a reading of resolution d has
d/√12 (GUM 4.3.7), a limit of error ±a has a/√3 (4.3.7), independent ones add in squares (5.1.2). A
difference is more than measuring explains where it exceeds twice the combined figure, about 95 % (6.2, 6.3).
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from stock.errors import BadInput
from stock.grammar import in_full, plain_figure
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.units import Microlitres, Micrometres, Milligrams, show_mass, show_volume

COVERAGE = 2  # times the standard uncertainty: about 95 of 100, GUM 6.3.3
SCALE_MG = Milligrams(100)  # a kitchen or pocket scale that shows tenths of a gram; a setting
LEVEL_UM = 1_000  # a level against a ruler is read to a millimetre (common practice, no source)
FRACTION_OF_BOTTLE = Fraction(
    1, 20
)  # a level judged by eye, a twentieth of the bottle (common practice, no source)
SYRINGE_MILLI = 5_000  # limit of error, 5 % of what is expelled: ISO 7886-1:1993 table 1, from memory
PACK_TARE_MILLI = 2_000  # empty bottles of one size weigh the same to 2 % (common practice, no source)
LIGHTEST_UG_PER_ML, HEAVIEST_UG_PER_ML = 300_000, 5_000_000  # what a product's record takes, too
DENSITY_MILLI = 1_000  # a density from a data sheet is taken to 1 % (common practice, no source)


class Weighed(NamedTuple):
    """A weighing from which a volume was worked out.

    Args:
        reading_mg: what the scale showed, milligrams.
        tare_mg: the empty bottle, or what the scale showed before a pour.
        density_ug_per_ml: the density that gave the volume, micrograms a millilitre.
        resolution_mg: the last digit of the scale.
        density_error_ug_per_ml: standard uncertainty of the density where it was weighed; None where it is a sheet's.
        tare_of_pack: whether the tare is that of another bottle of the same size.
        tare_is_new: whether the tare was measured just now, so a booked count keeps it.
    """

    reading_mg: Milligrams
    tare_mg: Milligrams
    density_ug_per_ml: int
    resolution_mg: Milligrams = SCALE_MG
    density_error_ug_per_ml: int | None = None
    tare_of_pack: bool = False
    tare_is_new: bool = False


class Measured(NamedTuple):
    """What a person measured in a bottle.

    Args:
        volume_ul: microlitres.
        uncertainty_ul: standard uncertainty, microlitres, rounded up.
        method: `volume`, `level` or `weight`.
        inner_diameter_um: the bottle's inner diameter, where it was given with the level; a booked count puts it on
            record for further bottles of that pack.
        weighed: the weighing that it comes from, which a booked count keeps.
    """

    volume_ul: Microlitres
    uncertainty_ul: Microlitres
    method: str
    inner_diameter_um: Micrometres | None = None
    weighed: Weighed | None = None


def by_volume(volume_ul: Microlitres) -> Measured:
    """A volume that was poured out and measured with a syringe or a cylinder."""
    return Measured(volume_ul, _up(volume_ul * SYRINGE_MILLI / 100_000 / math.sqrt(3)), "volume")


def limited(volume_ul: Microlitres, limit_ul: Microlitres | None = None) -> Measured:
    """A volume that was measured out within a limit of error; a syringe's when that is None."""
    if limit_ul is None:
        return by_volume(volume_ul)
    return Measured(volume_ul, _up(limit_ul / math.sqrt(3)), "volume")


def by_weight(weighed: Weighed) -> Measured:
    """A volume by weight: (gross - tare)/density, in microlitres.

    Two readings of a scale of resolution d have d/√6 together; the density's share comes on top. The lift of the air,
    about 0.1 % of a liquid's mass, is within the density's share and left out.

    Raises:
        BadInput: the bottle weighs less than its tare.
    """
    net_mg = weighed.reading_mg - weighed.tare_mg
    if net_mg < 0:
        raise BadInput(
            _(
                "{reading_mg} is less than the empty bottle's {tare_mg}",
                reading_mg=show_mass(weighed.reading_mg),
                tare_mg=show_mass(weighed.tare_mg),
            ),
            remedy=Remedy(_("Weigh it again, or give its tare "), Option("tare")),
        )
    return Measured(*_volume_of(weighed, Milligrams(net_mg)), "weight", weighed=weighed)


def poured_from(weighed: Weighed) -> Measured:
    """What was poured, from what the scale showed before (`tare_mg`) and after (`reading_mg`) it.

    The cup stood on it and became heavier, or the bottle did and became lighter: the difference is the pour.
    """
    return Measured(
        *_volume_of(weighed, Milligrams(abs(weighed.reading_mg - weighed.tare_mg))), "weight", weighed=weighed
    )


def _volume_of(weighed: Weighed, net_mg: Milligrams) -> tuple[Microlitres, Microlitres]:
    """(microlitres, their standard uncertainty) of a net mass: GUM 5.1.6, relative uncertainties in squares."""
    volume = Fraction(net_mg * 1_000_000, weighed.density_ug_per_ml)
    scale_ul = weighed.resolution_mg * 1_000_000 / weighed.density_ug_per_ml / math.sqrt(6)
    density_error = weighed.density_error_ug_per_ml
    share = (
        DENSITY_MILLI / 100_000 / math.sqrt(3)
        if density_error is None
        else density_error / weighed.density_ug_per_ml
    )
    tare_mg = weighed.tare_mg * PACK_TARE_MILLI / 100_000 / math.sqrt(3) if weighed.tare_of_pack else 0
    tare_ul = tare_mg * 1_000_000 / weighed.density_ug_per_ml
    return Microlitres(round(volume)), _up(math.hypot(scale_ul, float(volume) * share, tare_ul))


class WeighedDensity(NamedTuple):
    """A density from a weighed volume, and its standard uncertainty: micrograms a millilitre."""

    density_ug_per_ml: int
    error_ug_per_ml: int


def density_of(
    net_mg: Milligrams,
    volume_ul: Microlitres,
    *,
    resolution_mg: Milligrams,
    limit_ul: Microlitres | None = None,
) -> WeighedDensity:
    """The density of a measured volume by its weight.

    The relative uncertainty is √((u(m)/m)² + (u(V)/V)²), GUM 5.1.6; u(m) = d/√6 of two readings (the empty cup and the
    full one) of a scale of resolution d, u(V) = a/√3 of a limit of error ±a (GUM 4.3.7).

    Args:
        net_mg: the mass of it, milligrams.
        volume_ul: microlitres that were measured out.
        resolution_mg: the last digit of the scale.
        limit_ul: the limit of error of that volume; that of a syringe when None.
    Raises:
        BadInput: nothing was weighed, or no liquid has such a density; says what to check.
    """
    if net_mg <= 0 or volume_ul <= 0:
        raise BadInput(
            _("nothing was weighed beside the empty cup"),
            remedy=_("Weigh the cup empty, then with the measured liquid in it"),
        )
    exact = Fraction(net_mg * 1_000_000, volume_ul)
    if not LIGHTEST_UG_PER_ML <= exact <= HEAVIEST_UG_PER_ML:
        raise BadInput(
            _(
                "{net_mg} of {volume_ul} would be {exact} g/ml, which no paint or solvent is",
                net_mg=show_mass(net_mg),
                volume_ul=show_volume(volume_ul),
                exact=plain_figure(exact / 1000000),
            ),
            remedy=_("Check the volume, and that the empty cup was taken off the weight"),
        )
    limit = volume_ul * SYRINGE_MILLI / 100_000 if limit_ul is None else limit_ul
    relative = math.hypot(resolution_mg / math.sqrt(6) / net_mg, limit / math.sqrt(3) / volume_ul)
    return WeighedDensity(round(exact), math.ceil(float(exact) * relative - 1e-9))


def poured_by_weight(
    readings_mg: Sequence[Milligrams], densities_ug_per_ml: Sequence[int]
) -> list[Microlitres]:
    """The poured volumes in microlitres, from the scale's reading after each addition.

    Args:
        readings_mg: the scale before the first addition and after each: one more than there are additions.
        densities_ug_per_ml: of each addition.
    Raises:
        BadInput: the scale fell from one reading to the next.
    """
    poured = []
    for (before, after), density in zip(pairwise(readings_mg), densities_ug_per_ml, strict=True):
        if after <= before:
            raise BadInput(
                _("the scale did not rise with that addition"), remedy=_("Type what it shows after each one")
            )
        poured.append(Microlitres(round(Fraction((after - before) * 1_000_000, density))))
    return poured


def by_level(height_um: Micrometres, inner_diameter_um: Micrometres, size_ul: Microlitres) -> Measured:
    """A volume by a level against a ruler on a straight-sided bottle: a cylinder's area times the height.

    Raises:
        BadInput: higher than the bottle can be filled (up to a tenth more than its size is accepted).
    """
    area_mm2 = math.pi * (inner_diameter_um / 2_000) ** 2
    volume_ul = Microlitres(round(area_mm2 * height_um / 1_000))
    if volume_ul > size_ul * 1.1:
        raise BadInput(
            _(
                "a level of {height_um} mm would be {volume_ul} in a bottle of {size_ul}",
                height_um=in_full(height_um / 1000),
                volume_ul=show_volume(volume_ul),
                size_ul=show_volume(size_ul),
            ),
            remedy=Remedy(
                _("Measure from the inside of the bottom to the surface, or say how wide it is "),
                Option("inner-diameter", "34mm"),
            ),
        )
    return Measured(
        Microlitres(min(volume_ul, size_ul)),
        _up(area_mm2 * LEVEL_UM / 1_000 / math.sqrt(12)),
        "level",
    )


def by_fraction(share: Fraction, size_ul: Microlitres) -> Measured:
    """A volume by a level judged by eye, as a fraction of the bottle.

    Raises:
        BadInput: more than the whole, or less than nothing.
    """
    if not 0 <= share <= 1:
        raise BadInput(
            _("a level is a fraction of the bottle"), remedy=_("Write it from 0 to 1, such as 3/4")
        )
    return Measured(
        Microlitres(round(share * size_ul)),
        _up(size_ul * FRACTION_OF_BOTTLE / math.sqrt(3)),
        "level",
    )


def books_uncertainty(
    pours_ul: Sequence[Microlitres], counted_uncertainty_ul: Microlitres = Microlitres(0)
) -> Microlitres:
    """The uncertainty of a bottle's volume in the books, which grows with each pour since the last count.

    Args:
        pours_ul: what was poured since, in microlitres, signs ignored.
        counted_uncertainty_ul: standard uncertainty of the last count, or of the fill of a full bottle.
    Returns:
        Standard uncertainty in microlitres; each pour counts as measured with a syringe.
    """
    each = [abs(pour) * SYRINGE_MILLI / 100_000 / math.sqrt(3) for pour in pours_ul]
    return _up(math.hypot(counted_uncertainty_ul, *each))


class Difference(NamedTuple):
    """The difference between a count and the books.

    Args:
        difference_ul: counted less expected, microlitres.
        explained_ul: how large a difference measuring alone explains.
        sentence: its likely cause.
    """

    difference_ul: Microlitres
    explained_ul: Microlitres
    sentence: str

    @property
    def beyond(self) -> bool:
        """Whether it is more than measuring explains."""
        return abs(self.difference_ul) > self.explained_ul


def compare(
    measured: Measured,
    expected_ul: Microlitres,
    books_uncertainty_ul: Microlitres = Microlitres(0),
    reason: str | None = None,
) -> Difference:
    """The difference between a count and the books, compared with the uncertainty of both.

    Args:
        measured: what was counted.
        expected_ul: what the books said, microlitres.
        books_uncertainty_ul: how uncertain that is.
        reason: where the difference went, in words such as `dried out`, if the counter said so.
    """
    difference = measured.volume_ul - expected_ul
    explained = _up(COVERAGE * math.hypot(measured.uncertainty_ul, books_uncertainty_ul))
    amount = show_volume(Microlitres(abs(difference)), short=True)
    if difference == 0:
        sentence = _("the bottle holds what the books say")
    elif abs(difference) <= explained:
        sentence = _(
            "{amount} {difference} than the books, within what measuring explains",
            amount=amount,
            difference=_("less") if difference < 0 else _("more"),
        )
    else:
        cause = reason or (
            _("a pour was not logged, or it dried out or leaked")
            if difference < 0
            else _("a pour was logged too large")
        )
        sentence = _(
            "{amount} {difference} than the books, beyond the {explained} that measuring explains: {cause}",
            amount=amount,
            difference=_("less") if difference < 0 else _("more"),
            explained=show_volume(explained, short=True),
            cause=cause,
        )
    return Difference(Microlitres(difference), explained, sentence)


def first_count(measured_ul: Microlitres, expected_ul: Microlitres) -> Difference:
    """The first count of a bottle that came part-used: until then the books held somebody's estimate of it.

    The difference says nothing about pours, so all of it counts as explained.
    """
    difference = measured_ul - expected_ul
    amount = show_volume(Microlitres(abs(difference)))
    sentence = (
        _(
            "the first count since it came part-used: {amount} {difference} than was estimated",
            amount=amount,
            difference=_("less") if difference < 0 else _("more"),
        )
        if difference
        else _("the first count since it came part-used: as estimated")
    )
    return Difference(Microlitres(difference), Microlitres(abs(difference)), sentence)


class UnloggedLoss(NamedTuple):
    """The volume that is usually lost with a mix without being logged: in the cup, the airbrush, on the stirring stick.

    Args:
        a_mix_ul: microlitres of one product lost with each mix.
        error_ul: standard error of that.
        mixes: how many mixes were made between the counts it was learnt from.
        counts: how many counts.
    """

    a_mix_ul: Microlitres
    error_ul: Microlitres
    mixes: int
    counts: int

    @property
    def sure(self) -> bool:
        """Whether it is certain enough to mention: three counts or more, and more than twice its own error."""
        return self.counts >= 3 and self.a_mix_ul > COVERAGE * self.error_ul


def usual_loss(counts: Sequence[tuple[int, int]]) -> UnloggedLoss | None:
    """The usual unlogged loss with a mix, from counts that followed mixes.

    The ratio estimate Σ(expected - counted)/Σ mixes with its standard error (Cochran, Sampling Techniques,
    3rd ed. 1977, section 2.11, from memory).

    Args:
        counts: for each count, expected less counted in microlitres, and the mixes since the count before.
    Returns:
        None where no count followed a mix.
    """
    usable = [(lost, mixes) for lost, mixes in counts if mixes > 0]
    total = sum(mixes for _, mixes in usable)
    if not usable:
        return None
    rate = sum(lost for lost, _ in usable) / total
    n = len(usable)
    if n == 1:
        return UnloggedLoss(Microlitres(round(rate)), _up(abs(rate)), total, 1)
    spread = sum((lost - rate * mixes) ** 2 for lost, mixes in usable) / (n - 1)
    error = math.sqrt(spread / n) / (total / n)
    return UnloggedLoss(Microlitres(round(rate)), _up(error), total, n)


def _up(figure_ul: float) -> Microlitres:
    return Microlitres(math.ceil(figure_ul - 1e-9))
