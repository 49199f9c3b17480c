"""The preview of a planned mix: volumes, drops, parts, grams, bottles, cautions."""

from collections.abc import Sequence
from fractions import Fraction

from stock.bench.mixing import MixPlan, PlannedPour
from stock.cautions.facts import Finding
from stock.grammar import all_digits, in_drops, in_full
from stock.language import _
from stock.units import Microlitres
from tui.drawing.bottle import DrawnBottle, Inks, Line, Run, small
from tui.drawing.figures import count, ml, ml_change
from tui.drawing.sentences import by_keys
from tui.drawing.severity import MARKS, sign
from tui.drawing.strips import fit, wrapped

DROPS_MILLI = 20_000
MANY_DROPS = 200
FEW_DROPS = 40
"""An amount up to so many drops can be counted out."""
WIDE = 76
"""The width in cells from which a pour fits on two lines."""


def drops(pour: PlannedPour, house_milli: int = DROPS_MILLI) -> Fraction:
    """A pour in drops, by the product's own drops per millilitre or the studio's."""
    return Fraction(pour.volume_ul * (pour.drops_milli or house_milli), 1_000_000)


def drops_words(pour: PlannedPour, house_milli: int = DROPS_MILLI) -> str:
    """`(2 drops) ` behind an amount that is counted rather than measured; empty for a larger one."""
    counted = _few_drops(pour, house_milli)
    return f"({counted}) " if counted else ""


def other_measures(pour: PlannedPour, house_milli: int = DROPS_MILLI) -> str:
    """`(2 drops, 0.11 g) ` behind an amount: in drops where they are few, in grams where the density is known."""
    weighed = grams(pour) if pour.density_ug_per_ml is not None else ""
    said = ", ".join(each for each in (_few_drops(pour, house_milli), weighed) if each)
    return f"({said}) " if said else ""


def _few_drops(pour: PlannedPour, house_milli: int) -> str:
    exact = drops(pour, house_milli)
    return in_drops(exact) if exact <= FEW_DROPS else ""


def grams(pour: PlannedPour) -> str:
    """A pour in grams, to a hundredth, or "no density"."""
    if pour.density_ug_per_ml is None:
        return _("no density")
    milligrams = round(Fraction(pour.volume_ul * pour.density_ug_per_ml, 1_000_000))
    return f"{all_digits(milligrams / 1000, 2)} g"


def parts_of(plan: MixPlan) -> dict[str, str]:
    """Each product's share in parts, of which the smallest share has 1."""
    sums: dict[str, int] = {}
    for pour in plan.pours:
        sums[pour.product] = sums.get(pour.product, 0) + pour.volume_ul
    least = min(sums.values(), default=1) or 1
    return {name: in_full(volume / least, 1) for name, volume in sums.items()}


def bottle_of(pour: PlannedPour) -> DrawnBottle:
    """The bottle of a pour, with what it holds before and after."""
    return DrawnBottle(
        pour.before_ul, pour.size_ul or pour.before_ul or Microlitres(1), pour.color, after_ul=pour.after_ul
    )


def head(plan: MixPlan, width: int) -> list[Line]:
    """The total with its parts, and the reduction with its three readings."""
    shares = {part: plan.total(part) for part in ("paint", "hardener", "additive", "reducer")}
    said = [f"{ml(share)} {part}" for part, share in shares.items() if share]  # what it lacks is said beneath
    lines: list[Line] = [
        (
            Run(f"{ml(plan.total())} ml", "ink", None, bold=True),
            Run(f" = {' + '.join(said)}", "ink"),
        )
    ]
    reduction = plan.reduction
    if reduction is not None:
        lines += [(Run(text, "ink"),) for text in wrapped(str(reduction), width)]
    if plan.pot_life is not None:
        lasts = plan.pot_life.promise(plan.pot_life.since)
        lines += [(Run(text, "warn"),) for text in wrapped(lasts[0].upper() + lasts[1:], width)]
    return lines


def pours(plan: MixPlan, width: int, inks: Inks, house_milli: int = DROPS_MILLI) -> list[Line]:
    """Each pour: its product, volume and other measures; its bottle before and after, and why that bottle."""
    lines: list[Line] = []
    parts = parts_of(plan)
    for pour in plan.pours:
        many = drops(pour, house_milli)
        share = parts[pour.product]
        other = [f"{share} {'part' if share == '1' else 'parts'}", grams(pour)]
        if many <= MANY_DROPS:
            other.insert(0, in_drops(many))
        swatch = Run("██", pour.color) if pour.color else Run("▒▒", "outline")
        amount = Run(f" {ml(pour.volume_ul):>5} ml ", "ink", None, bold=True)
        measures = Run(f"   {', '.join(other)}", "quiet")
        before, after = ml_change(pour.before_ul, pour.after_ul)
        where = _(" bottle {bottle}: {before} → {after} ml", bottle=pour.bottle, before=before, after=after)
        from_bottle = (Run("   ", "ink"), *small(bottle_of(pour), inks), Run(where, "ink"))
        why = Run(f"   {pour.why}", "quiet")
        if width >= WIDE:
            name = Run(fit(pour.product, width - 14 - len(measures.text)), "ink", None, bold=True)
            lines += [(swatch, amount, name, measures), (*from_bottle, why)]
        else:
            name = Run(fit(pour.product, max(8, width - 14)), "ink", None, bold=True)
            lines += [(swatch, amount, name), (measures,), from_bottle, (why,)]
    return lines


def caution_summary(found: Sequence[Finding], width: int) -> list[Line]:
    """The names of all cautions in a line or two, gravest first."""
    if not found:
        return []
    worst = found[0].severity
    mark = MARKS[found[0].grade]
    names = list(dict.fromkeys(one.code for one in found))
    ink = worst if worst in ("stop", "warn") else "quiet"
    text = f"{mark} {count(len(names), 'caution')}: {', '.join(names)}"
    return [(Run(line, ink, None, bold=worst == "stop"),) for line in wrapped(text, width)]


def caution_lines(found: Sequence[Finding], width: int) -> list[Line]:
    """Every caution in full: its sign and word, its message, what to do, its source."""
    lines: list[Line] = []
    for one in found:
        ink = one.severity if one.severity in ("stop", "warn") else "quiet"
        first = f"{sign(one)} ({one.code}): {one.message}."
        for number, text in enumerate(wrapped(first, width)):
            lines.append((Run(text, ink, None, bold=number == 0 and one.severity == "stop"),))
        for text in wrapped(_("Do: {remedy}.", remedy=by_keys(one.remedy)), width - 2):
            lines.append((Run(f"  {text}", "ink"),))
        for text in wrapped(_("Rule: {source}", source=one.source), width - 2):
            lines.append((Run(f"  {text}", "quiet"),))
    return lines


def _late(plan: MixPlan, width: int) -> list[Line]:
    """For a mix that is written down late: its day and time, and that its bottles count as they stood then."""
    if not plan.made:
        return []
    text = _("Made on {made}; each bottle is asked for what it could give from then on.", made=plan.made)
    return [(Run(line, "ink"),) for line in wrapped(text, width)]


def everything(plan: MixPlan, width: int, inks: Inks, house_milli: int = DROPS_MILLI) -> list[Line]:
    """The whole preview: the total, the names of the cautions, the pours, the cautions in full."""
    lines = [*_late(plan, width), *head(plan, width), *caution_summary(plan.cautions, width)]
    lines += [(), *pours(plan, width, inks, house_milli)]
    found = caution_lines(plan.cautions, width)
    if found:
        lines += [(), *found]
    return lines
