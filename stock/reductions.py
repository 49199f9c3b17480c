"""Reductions as people write them: how much reducer to a paint, in per cent of the paint or paint to reducer."""

from fractions import Fraction

from stock.grammar import figure_and_unit, plain_figure, refuse, tidy
from stock.language import _

MOST_REDUCTION = 200  # per cent of the paint; 2 parts reducer to 1 of paint


def reduction(text: str) -> Fraction:
    """Read a reduction in per cent of the paint's volume: `20%`, `5:1` (paint to reducer), `16 2/3 % of the mix`.

    Raises:
        BadInput: another form, 0, above 200 %, or a ratio with more reducer than paint, which the trade reads both
            ways, so that it must be written as per cent.
    """
    accepted = _("a per cent of the paint such as 20%, or paint to reducer such as 5:1; most 200%")
    tidied = tidy(text, _("reduction"), accepted)
    if ":" in tidied:
        percent_of_paint = _ratio(tidied, accepted)
    else:
        figure, unit = figure_and_unit(tidied, _("reduction"), accepted)
        if unit in {"% of mix", "% of the mix"}:
            if figure >= 100:
                refuse(_("reduction"), text, _("leaves no paint in the mix"), accepted)
            figure = 100 * figure / (100 - figure)
        elif unit not in {"%", "% of paint", "% of the paint", "percent", "per cent"}:
            refuse(_("reduction"), text, _("is neither a per cent nor a ratio"), accepted)
        percent_of_paint = figure
    if percent_of_paint == 0:
        refuse(
            _("reduction"),
            text,
            _("is no reducer"),
            _("nothing, to leave the paint as it is, or {accepted}", accepted=accepted),
        )
    if percent_of_paint > MOST_REDUCTION:
        refuse(_("reduction"), text, _("is more than two parts reducer to one of paint"), accepted)
    return percent_of_paint


def _ratio(tidied: str, accepted: str) -> Fraction:
    first, __, second = tidied.partition(":")
    paint, paint_unit = figure_and_unit(first, _("reduction"), accepted)
    reducer, reducer_unit = figure_and_unit(second, _("reduction"), accepted)
    if paint_unit or reducer_unit or not paint or not reducer:
        refuse(_("reduction"), tidied, _("is not a ratio of two figures"), accepted)
    if paint < reducer:
        turned, more = f"{second.strip()}:{first.strip()}", 100 * reducer / paint
        or_more = (
            _(", or {more}% for more reducer than paint", more=plain_figure(more))
            if more <= MOST_REDUCTION
            else ""
        )
        refuse(
            _("reduction"),
            tidied,
            _("is read both ways in the trade"),
            _(
                "{turned} for {reducer} parts paint to {paint} of reducer, which is {percent} %{or_more}",
                turned=turned,
                reducer=plain_figure(reducer),
                paint=plain_figure(paint),
                percent=plain_figure(100 * paint / reducer),
                or_more=or_more,
            ),
        )
    return 100 * reducer / paint
