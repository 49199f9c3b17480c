"""Flow cups: from seconds to viscosity and back, what "like milk" means, and the next step from two readings.

A cup's equation holds only between its shortest and longest time, for a Newtonian liquid, at the cup's own
temperature. Shear-thinning paint has no single viscosity: seconds compare a mix with itself, and cups of
different kinds agree only for Newtonian liquids (ASTM D1200-10, scope). The equations with their ranges,
temperatures and sources are in `flow_cups.csv`, as is whether each was seen in a published text or is from
memory.
"""

import csv
import math
from functools import lru_cache

from stock.errors import BadInput
from stock.grammar import all_digits, figure_and_unit, in_full, refuse
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shipped_files import text_of
from stock.text import plain
from stock.units import MilliCelsius, show_temperature

MILK_MM2_S = 2.0  # whole cow's milk at 20 °C, 1.9 to 2.4; skim 1.4 to 1.7 (a pump maker's table, secondary)
MILK_RANGE_MM2_S = (1.4, 2.4)
WATER_MM2_S = 1.0034  # 20 °C, ISO/TR 3666
AGREES_TO = 0.1  # an equation and its range table within a tenth: tables are rounded to one or two digits
SAME_TEMPERATURE_MC = 500  # cups are compared within half a kelvin: ISO 2431, from memory


class Cup(NamedTuple):
    """One flow cup and its equation.

    Args:
        key: its name on the command line, e.g. `iso2431-4`.
        name: its name for display.
        standard: where it is described.
        temperature_mc: the temperature it is read at, thousandths of a degree Celsius.
        a: slope: mm²/s a second.
        c_s: dead time in seconds of a linear cup, ν = a·(t - c).
        b: kinetic term of a hyperbolic cup, ν = a·t - b/t; 0 for a linear one.
        time_s: shortest and longest time in which the equation holds.
        table_mm2_s: what the published range table gives at these two times.
        verified: whether the equation was seen in a published text; else it is from memory.
        source: where the equation comes from.
    """

    key: str
    name: str
    standard: str
    temperature_mc: MilliCelsius
    a: float
    c_s: float
    b: float
    time_s: tuple[float, float]
    table_mm2_s: tuple[float, float]
    verified: bool
    source: str

    def mm2_per_s(self, seconds: float) -> float:
        """Kinematic viscosity in mm²/s; negative or meaningless outside the cup's times."""
        return self.a * (seconds - self.c_s) - (self.b / seconds if self.b else 0.0)

    def seconds(self, mm2_per_s: float) -> float:
        """The flow time of a liquid of that viscosity, by the inverse of the equation."""
        if not self.b:
            return mm2_per_s / self.a + self.c_s
        return (mm2_per_s + math.sqrt(mm2_per_s**2 + 4 * self.a * self.b)) / (2 * self.a)

    @property
    def mm2_per_s_range(self) -> tuple[float, float]:
        """The viscosities that the equation gives at its shortest and longest time."""
        return self.mm2_per_s(self.time_s[0]), self.mm2_per_s(self.time_s[1])


@lru_cache(maxsize=1)
def cups() -> dict[str, Cup]:
    """All known cups by key, in the order of the table."""
    table = text_of("bench", "flow_cups.csv")
    return {row["key"]: _cup(row) for row in csv.DictReader(table.splitlines())}


def _cup(row: dict[str, str]) -> Cup:
    return Cup(
        key=row["key"],
        name=row["cup"],
        standard=row["standard"],
        temperature_mc=MilliCelsius(int(row["temperature_c"]) * 1_000),
        a=float(row["k"]),
        c_s=float(row["c_s"] or 0),
        b=float(row["b"] or 0),
        time_s=(float(row["time_min_s"]), float(row["time_max_s"])),
        table_mm2_s=(float(row["visc_min_mm2_s"]), float(row["visc_max_mm2_s"])),
        verified=row["status"] == "verified",
        source=row["source"],
    )


def cup(key: str) -> Cup:
    """The cup of that name.

    Raises:
        BadInput: no such cup; lists them.
    """
    found = cups().get(key.strip().casefold().replace(" ", "-"))
    if found is None:
        raise BadInput(
            _("there is no cup {key!r}", key=plain(key, 40)),
            remedy=_("Write one of {cups}", cups=", ".join(cups())),
        )
    return found


def seconds(text: str) -> float:
    """Read a flow time: `42`, `42.5 s`.

    Raises:
        BadInput: no figure, or outside 1 to 1,000 seconds.
    """
    accepted = _("the time in seconds, such as 42 or 42.5 s, from 1 to 1000")
    figure, unit = figure_and_unit(text, _("time"), accepted)
    if unit not in {"", "s", "sec", "seconds"}:
        refuse(_("time"), text, _("is not in seconds"), accepted)
    if not 1 <= figure <= 1_000:
        refuse(_("time"), text, _("is not a possible flow time"), accepted)
    return float(figure)


class CupReading(NamedTuple):
    """A flow time and the viscosity that it stands for.

    Args:
        cup: the cup.
        seconds: the time of flow.
        mm2_per_s: kinematic viscosity; None where the equation gives none.
        mpa_s: dynamic viscosity, where the density is known.
        in_range: whether the time lies where the equation holds.
        notes: reasons to doubt it, as sentences.
    """

    cup: Cup
    seconds: float
    mm2_per_s: float | None
    mpa_s: float | None
    in_range: bool
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """The reading as JSON, figures to two decimals."""
        return {
            "cup": self.cup.key,
            "seconds": self.seconds,
            "mm2_per_s": None if self.mm2_per_s is None else round(self.mm2_per_s, 2),
            "mpa_s": None if self.mpa_s is None else round(self.mpa_s, 2),
            "in_range": self.in_range,
            "range_s": [_whole(end) for end in self.cup.time_s],
            "temperature_c": self.cup.temperature_mc // 1_000,
            "verified": self.cup.verified,
            "notes": list(self.notes),
            "standard": self.cup.standard,
            "source": self.cup.source,
        }


def read(
    of: Cup, time_s: float, *, density_ug_per_ml: int | None = None, at_mc: MilliCelsius | None = None
) -> CupReading:
    """The viscosity at a flow time, with the reasons to doubt it.

    Args:
        of: the cup.
        time_s: seconds.
        density_ug_per_ml: density of the liquid, for mPa·s = mm²/s · g/ml.
        at_mc: the liquid's temperature when it was read, thousandths of a degree Celsius.
    """
    raw = of.mm2_per_s(time_s)
    mm2_per_s = raw if raw > 0 else None
    dynamic = (
        None if mm2_per_s is None or density_ug_per_ml is None else mm2_per_s * density_ug_per_ml / 1_000_000
    )
    in_range = of.time_s[0] <= time_s <= of.time_s[1]
    return CupReading(of, time_s, mm2_per_s, dynamic, in_range, tuple(_notes(of, time_s, at_mc)))


def _notes(of: Cup, time_s: float, at_mc: MilliCelsius | None) -> list[str]:
    notes = []
    shortest, longest = of.time_s
    if time_s < shortest:
        notes.append(
            _(
                "shorter than {shortest} s, the shortest time of {name}: take a cup with a smaller hole",
                shortest=in_full(shortest),
                name=of.name,
            )
        )
    if time_s > longest:
        notes.append(
            _(
                "longer than {longest} s, the longest time of {name}: take a cup with a larger hole",
                longest=in_full(longest),
                name=of.name,
            )
        )
    own = show_temperature(of.temperature_mc)
    if at_mc is None:
        notes.append(_("the cup's equation holds at {own}; note the temperature with the seconds", own=own))
    elif abs(at_mc - of.temperature_mc) > SAME_TEMPERATURE_MC:
        notes.append(
            _(
                "read at {at_mc}, but the cup's equation holds at {own}: compare only readings at one "
                "temperature, because there is no general correction",
                at_mc=show_temperature(at_mc),
                own=own,
            )
        )
    nearer = min(of.time_s, key=lambda end_s: abs(time_s - end_s))
    for end_s, computed, tabulated in zip(of.time_s, of.mm2_per_s_range, of.table_mm2_s, strict=True):
        if end_s == nearer and abs(computed - tabulated) > AGREES_TO * tabulated:
            notes.append(
                _(
                    "at {end_s} s the cup's equation gives {computed:.0f} mm²/s and the published range table "
                    "{tabulated:.0f}: they disagree, so take a figure near there with care",
                    end_s=in_full(end_s),
                    computed=computed,
                    tabulated=tabulated,
                )
            )
    if not of.verified:
        notes.append(_("the cup's equation is from memory, so only whole mm²/s are shown"))
    return notes


def show(reading: CupReading) -> str:
    """A reading in one line."""
    if reading.mm2_per_s is None:
        return _(
            "{name}, {seconds} s: below what the cup can measure",
            name=reading.cup.name,
            seconds=in_full(reading.seconds),
        )
    digits = 1 if reading.cup.verified and reading.mm2_per_s < 100 else 0
    dynamic = "" if reading.mpa_s is None else f" = {all_digits(reading.mpa_s, digits)} mPa·s"
    about = "" if reading.in_range else "about "
    thick = all_digits(reading.mm2_per_s, digits)
    return _(
        "{name}, {seconds} s: {about}{thick} mm²/s{dynamic}",
        name=reading.cup.name,
        seconds=in_full(reading.seconds),
        about=about,
        thick=thick,
        dynamic=dynamic,
    )


def like_milk() -> list[str]:
    """The consistency of milk in figures, and why common cups can't tell it from water.

    Returns:
        Sentences. The differences in seconds are computed from each cup's own equation.
    """
    apart = {each.name: each.seconds(MILK_MM2_S) - each.seconds(WATER_MM2_S) for each in cups().values()}
    able = [each.name for each in cups().values() if each.mm2_per_s_range[0] <= MILK_RANGE_MM2_S[1]]
    shown = ", ".join(
        f"{name} {all_digits(apart[name], 1)} s" for name in ("Zahn 2", "Ford 4", "ISO 4 mm", "Zahn 1")
    )
    skim, whole = MILK_RANGE_MM2_S
    return [
        _(
            "Milk is about {milk_mm2_s} mm²/s at 20 °C ({skim} skim to {whole} whole); water is 1.0.",
            milk_mm2_s=in_full(MILK_MM2_S),
            skim=skim,
            whole=whole,
        ),
        _(
            "Milk and water differ by {shown}: far below the range of those cups, near the ±0.2 s of "
            "a stopwatch.",
            shown=shown,
        ),
        _(
            "Of the cups known here only {able} reaches it, at the low end of its range.",
            able=_(" and ").join(able),
        ),
        _(
            "Mixes called milk-like are often 5 to 20 mm²/s at rest (common practice, no source): go "
            "by how it sprays."
        ),
    ]


def next_reduction(first: tuple[float, float], second: tuple[float, float], target_mm2_per_s: float) -> float:
    """The reduction at which a mix should reach a viscosity, from two readings of it.

    The logarithm of viscosity is taken to fall in a straight line with the reduction, the mixing rule of
    Arrhenius (1887), from memory. The answer is limited to twice the distance of the two readings, because the
    rule may not apply beyond that.

    Args:
        first: reduction in per cent of the paint, and mm²/s.
        second: the same after more reducer.
        target_mm2_per_s: the target.
    Returns:
        Per cent of the paint, not below that of the second reading.
    Raises:
        BadInput: no reducer between the readings, or the mix did not get thinner.
    """
    (percent_1, viscosity_1), (percent_2, viscosity_2) = first, second
    if min(viscosity_1, viscosity_2, target_mm2_per_s) <= 0:
        raise BadInput(_("a viscosity is above 0 mm²/s"), remedy=_("Read the cup again within its times"))
    if percent_2 <= percent_1 or viscosity_2 >= viscosity_1:
        raise BadInput(
            _("the two readings don't show a mix getting thinner"), remedy=_("Add reducer and read again")
        )
    a_point = math.log(viscosity_1 / viscosity_2) / (percent_2 - percent_1)
    further = math.log(viscosity_2 / target_mm2_per_s) / a_point
    return percent_2 + min(max(0.0, further), 2 * (percent_2 - percent_1))


def _whole(figure: float) -> float | int:
    return int(figure) if figure == int(figure) else figure
