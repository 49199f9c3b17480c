"""The concentration of vapour in a room while a mix is sprayed and afterwards, by the well-mixed room model.

V dC/dt = G - (Q / K) C: a room of volume V with no vapour at first, into which G is given off evenly for a time while
a fan moves Q, of which a badly mixed room uses the K-th part; then it is only aired. The model is that of the
industrial hygiene handbooks (well-mixed room, constant emission and purging; from memory), its solution is compared
with a step-by-step sum in tests/standards/test_room_air.py. Whoever sprays stands nearer to the vapour than the
middle of the room: the factor K stands for that, too.

Volumes are litres of gas and cubic metres of room, times minutes.
"""

from math import exp, log1p

from stock.named_tuples import NamedTuple

SHORT_MIN = 15.0
SHIFT_MIN = 480.0


class Room(NamedTuple):
    """A room: its cubic metres, and the effective cubic metres of fresh air a minute."""

    volume_m3: float
    air_m3_per_min: float


class Course(NamedTuple):
    """Concentrations of one vapour, ppm: at the end of spraying, and averaged over the worst 15 minutes and 8 hours."""

    peak_ppm: float
    short_ppm: float
    shift_ppm: float


def course(litres: float, minutes: float, room: Room) -> Course:
    """The course of a vapour's concentration.

    Args:
        litres: of vapour, given off evenly.
        minutes: for how long.
        room: the room and its air.
    """
    per_min = litres / minutes
    start = _worst_start(minutes, room.air_m3_per_min / room.volume_m3)
    worst = _dose(per_min, minutes, room, start + SHORT_MIN) - _dose(per_min, minutes, room, start)
    return Course(
        _ppm(per_min, minutes, room, minutes),
        worst / SHORT_MIN,
        _dose(per_min, minutes, room, SHIFT_MIN) / SHIFT_MIN,
    )


def _worst_start(minutes: float, rate: float) -> float:
    """The minute at which the worst quarter of an hour begins, for a room whose air changes `rate` times a minute.

    The vapour gets thicker until the end of spraying and thinner after it, so the worst quarter is the one that
    begins and ends equally thick: (1 - exp(-r s)) = (1 - exp(-r m)) exp(-r (s + 15 - m)), solved for s. In a closed
    room, where it never gets thinner, it begins with the end of spraying.
    """
    if rate == 0:
        return minutes
    ahead = exp(-rate * abs(minutes - SHORT_MIN)) - exp(-rate * max(minutes, SHORT_MIN))
    return max(minutes - SHORT_MIN, 0.0) + log1p(ahead) / rate


def _ppm(per_min: float, minutes: float, room: Room, at: float) -> float:
    """The concentration at a minute: a litre of gas in a cubic metre of air is 1000 ppm."""
    rate = room.air_m3_per_min / room.volume_m3
    sprayed = min(at, minutes)
    if rate == 0:
        return 1_000 * per_min * sprayed / room.volume_m3
    end = 1_000 * per_min / room.air_m3_per_min * (1 - exp(-rate * sprayed))
    return end * exp(-rate * max(at - minutes, 0.0))


def _dose(per_min: float, minutes: float, room: Room, until: float) -> float:
    """The sum of the concentration over the minutes from the start, ppm times minutes.

    The dose is the given-off vapour less the vapour still in the air, over the fan's flow.
    """
    given = 1_000 * per_min * min(until, minutes)
    now = _ppm(per_min, minutes, room, until)
    if room.air_m3_per_min == 0:
        sprayed = min(until, minutes)
        return now * sprayed / 2 + now * max(until - minutes, 0.0)
    return (given - now * room.volume_m3) / room.air_m3_per_min
