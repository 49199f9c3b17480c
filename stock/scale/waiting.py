"""Waiting for a weight to stand still, for at most so many seconds."""

import time
from fractions import Fraction

from stock.errors import UllageError
from stock.grammar import figure_and_unit, in_full, refuse
from stock.language import _
from stock.remedies import Do, Remedy
from stock.scale.listening import OPENING, HeardScale, ScaleListener
from stock.scale.port import ScalePort
from stock.scale.standing_still import StandingWeight

LOOK_S = 0.05
LET_GO_S = 2.0
USUAL_S = 10.0
MOST_S = 600
SECONDS = {"s": 1, "sec": 1, "second": 1, "seconds": 1, "min": 60, "minute": 60, "minutes": 60}


def read_seconds(text: str) -> float:
    """Read how long to wait: `5s`, `2 min`.

    Raises:
        BadInput: no time with a known unit, nothing, or above 10 minutes.
    """
    accepted = _("a time such as 5s or 2min, at most 10min")
    figure, unit = figure_and_unit(text, _("time"), accepted)
    if unit not in SECONDS:
        refuse(_("time"), text, _("has no known unit") if unit else _("has no unit"), accepted)
    if not 0 < figure * SECONDS[unit] <= MOST_S:
        refuse(_("time"), text, _("is too long") if figure else _("is nothing"), accepted)
    return float(figure * SECONDS[unit])


def weight_on(port: ScalePort, seconds: float = USUAL_S) -> StandingWeight:
    """The weight on a scale, as soon as it stands still.

    Args:
        port: where the scale is plugged in.
        seconds: how long to wait for it at most.
    Raises:
        UllageError: the scale can't be read, sends no weight, or the weight doesn't stand still for so long.
    """
    listener = ScaleListener(port).start()
    try:
        end_s = time.monotonic() + seconds
        while True:
            heard = listener.heard()
            if heard.weight is not None:
                return heard.weight
            if heard.trouble is not None and heard.trouble.code != OPENING:
                raise heard.trouble
            if time.monotonic() >= end_s:
                raise _no_weight(port, heard, seconds)
            time.sleep(LOOK_S)
    finally:
        listener.close(LET_GO_S)


def _no_weight(port: ScalePort, heard: HeardScale, seconds: float) -> UllageError:
    for_so_long = _("for {seconds} s", seconds=in_full(Fraction(seconds)))
    if heard.reading is not None and heard.reading.mass_mg is None:
        return UllageError(heard.reading.refused, remedy=_("Nothing was booked"), code="no-weight")
    if heard.reading is not None:
        return UllageError(
            _(
                "the weight didn't stand still {for_so_long}; it shows {words}",
                for_so_long=for_so_long,
                words=heard.reading.words,
            ),
            remedy=_("Keep draughts and hands away from it; nothing was booked"),
            code="no-weight",
        )
    return UllageError(
        _("{words} sent no weight {for_so_long}", words=port.words, for_so_long=for_so_long),
        remedy=Remedy(_("See what it sends with "), Do("scale", "--try"), _("; nothing was booked")),
        code="no-weight",
    )
