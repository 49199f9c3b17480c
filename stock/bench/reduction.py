"""The arithmetic of thinning: how much reducer, how far along a range, and how to come back.

A reduction is reducer as a percentage of the paint's volume, p. Its other two readings are the ratio of
paint to reducer, 100/p to 1, and the share of the mix, 100·p/(100 + p). All arithmetic is exact until it is
rounded, half-even, to a whole microlitre; parts of a whole add up to it.
Source: arithmetic, worked by hand in tests/standards/test_reduction.py.
"""

from collections.abc import Sequence
from fractions import Fraction

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, ml, plain_figure, show_volume, split


class Reduction(NamedTuple):
    """Reducer as a percentage of the paint's volume, with its other two readings.

    Args:
        percent_of_paint: per cent, 0 or more, exact.
    """

    percent_of_paint: Fraction

    @classmethod
    def of(cls, paint_ul: Microlitres, reducer_ul: Microlitres) -> "Reduction":
        """The reduction of these amounts of paint and reducer.

        Raises:
            BadInput: no paint, or a negative amount.
        """
        if paint_ul <= 0 or reducer_ul < 0:
            raise BadInput(_("there is no paint to thin"), remedy=_("Write an amount of paint above 0 ml"))
        return cls(Fraction(100 * reducer_ul, paint_ul))

    @property
    def paint_parts(self) -> Fraction:
        """Parts of paint to one part of reducer; 0 without reducer."""
        share = self.percent_of_paint
        return Fraction(100 * share.denominator, share.numerator) if share else share

    @property
    def reducer_parts(self) -> int:
        """1, or 0 without reducer."""
        return 1 if self.percent_of_paint else 0

    @property
    def percent_of_mix(self) -> Fraction:
        """Reducer as a percentage of the whole mix."""
        share = self.percent_of_paint
        return Fraction(100 * share.numerator, 100 * share.denominator + share.numerator)

    def __str__(self) -> str:
        if not self.percent_of_paint:
            return _("no reducer")
        parts = self.paint_parts
        few = parts.denominator <= 10 and parts.numerator <= 100
        ratio = f"{parts.numerator}:{parts.denominator}" if few else f"{plain_figure(parts, 2)}:1"
        of_paint, of_mix = plain_figure(self.percent_of_paint, 1), plain_figure(self.percent_of_mix, 1)
        return _(
            "{of_paint} % of the paint = {ratio} = {of_mix} % of the mix",
            of_paint=of_paint,
            ratio=ratio,
            of_mix=of_mix,
        )

    def as_json(self) -> dict[str, float | int]:
        """The reduction as JSON, figures to three decimals."""
        of, over = self.percent_of_paint.numerator, self.percent_of_paint.denominator
        return {  # the properties' fractions, without a fraction made for each
            "percent_of_paint": _number(of, over),
            "paint_parts": _number(100 * over, of) if of else 0,
            "reducer_parts": self.reducer_parts,
            "percent_of_mix": _number(100 * of, 100 * over + of),
        }


def _number(numerator: int, denominator: int) -> float | int:
    """A fraction of two whole numbers, the second above 0, to three decimals."""
    thousandths, rest = divmod(numerator * 1_000, denominator)
    odd_half = rest * 2 == denominator and thousandths % 2
    thousandths += rest * 2 > denominator or odd_half  # half to even
    return thousandths // 1_000 if thousandths % 1_000 == 0 else thousandths / 1_000


def reducer_for(paint_ul: Microlitres, reduction: Reduction) -> Microlitres:
    """Reducer in microlitres for an amount of paint: paint·p/100."""
    return Microlitres(round(paint_ul * reduction.percent_of_paint / 100))


def to_total(total_ul: Microlitres, reduction: Reduction) -> tuple[Microlitres, Microlitres]:
    """Paint and reducer in microlitres that together are `total_ul`, exactly."""
    paint_ul, reducer_ul = split(total_ul, [Fraction(100), reduction.percent_of_paint])
    return paint_ul, reducer_ul


def step(paint_left_ul: Microlitres, points: Fraction) -> Microlitres:
    """Reducer in microlitres for a step, in points of the paint that is still in the mix.

    A step after spraying is smaller than the same step before it: 3 ml of 9.6 ml used at 20 % leave 5.5 ml
    of paint, and five points are 0.275 ml of reducer.

    Raises:
        BadInput: no paint is left, or the step is not above 0.
    """
    if paint_left_ul <= 0:
        raise BadInput(_("no paint is left in the mix"), remedy=_("Close it and make another"))
    if points <= 0:
        raise BadInput(_("a step adds reducer"), remedy=_("Write a step above 0 %, such as 5%"))
    return Microlitres(round(paint_left_ul * points / 100))


def to_reach(paint_ul: Microlitres, reducer_ul: Microlitres, target: Reduction) -> Microlitres:
    """Reducer in microlitres to add to reach `target`.

    Raises:
        BadInput: the mix is thinner than the target already; says how much paint brings it back.
    """
    now = Reduction.of(paint_ul, reducer_ul)
    if now.percent_of_paint > target.percent_of_paint:
        back = show_volume(bring_back(paint_ul, reducer_ul, target))
        raise BadInput(
            _(
                "the mix is at {percent_of_paint} % already",
                percent_of_paint=plain_figure(now.percent_of_paint, 1),
            ),
            remedy=_("Add {back} of paint", back=back),
        )
    return Microlitres(reducer_for(paint_ul, target) - reducer_ul)


def bring_back(paint_ul: Microlitres, reducer_ul: Microlitres, target: Reduction) -> Microlitres:
    """Paint in microlitres that brings an over-thinned mix back to `target`: reducer·100/p - paint.

    Returns:
        0 if the mix is not thinner than the target.
    Raises:
        BadInput: the target has no reducer, which no amount of paint reaches.
    """
    if not target.percent_of_paint:
        raise BadInput(_("no amount of paint brings a mix back to 0 %"), remedy=_("Write a target above 0 %"))
    return Microlitres(max(0, round(reducer_ul * target.paint_parts) - paint_ul))


def left_of(
    paint_ul: Microlitres, reducer_ul: Microlitres, left_ul: Microlitres
) -> tuple[Microlitres, Microlitres]:
    """Paint and reducer in what is left of a mix, in the same proportion and adding up to it.

    Raises:
        BadInput: more is left than was made.
    """
    if left_ul > paint_ul + reducer_ul:
        raise BadInput(
            _(
                "{left_ul} can't be left of a mix of {paint_ul}",
                left_ul=show_volume(left_ul),
                paint_ul=show_volume(Microlitres(paint_ul + reducer_ul)),
            ),
            remedy=_("Write what the jar holds now"),
        )
    paint_left_ul, reducer_left_ul = split(left_ul, [paint_ul, reducer_ul])
    return paint_left_ul, reducer_left_ul


def cut_blend(reducer_ul: Microlitres, parts: Sequence[Fraction]) -> list[Microlitres]:
    """Shares in microlitres of a reducer that is a blend, by parts of volume, adding up to the whole."""
    return split(reducer_ul, list(parts))


def used_of_range(now: Reduction, low: Reduction, high: Reduction) -> Fraction:
    """How far a reduction lies along a range, in per cent: 0 at the low end, 100 at the high end, more beyond.

    Raises:
        BadInput: the range has no width.
    """
    width = high.percent_of_paint - low.percent_of_paint
    if width <= 0:
        raise BadInput(_("the range has no width"), remedy=_("Write its low end first"))
    return 100 * (now.percent_of_paint - low.percent_of_paint) / width


def as_amounts(paint_ul: Microlitres, reduction: Reduction) -> dict[str, float | int]:
    """The reduction of an amount of paint, with its amounts in millilitres, as JSON."""
    reducer_ul = reducer_for(paint_ul, reduction)
    amounts = {
        "paint_ml": ml(paint_ul),
        "reducer_ml": ml(reducer_ul),
        "total_ml": ml(Microlitres(paint_ul + reducer_ul)),
    }
    return reduction.as_json() | amounts
