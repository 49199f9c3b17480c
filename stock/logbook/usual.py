"""The mixes that a studio makes often, each ready to be logged again.

Two mixes are the same habit when the same products were poured, whatever the amounts. The proposal is a mix
that was really made: the newest one of the habit's usual size that did not go wrong, with its steps.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from statistics import median_low
from typing import Any

from stock.bench.mixing import MixRequest
from stock.grammar import in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.text import plain
from stock.units import Microlitres, Micrometres, ml, show_needle, show_volume

RECENT_DAYS = 180
HALF_LIFE_DAYS = 60
"""A mix counts half as much as one made this many days later: common practice, no source."""
AT_LEAST = 2
LAST = 9
WENT_WRONG = ("thick", "thin", "ruined")


class PastMix(NamedTuple):
    """One mix that was made, with its steps; volumes in microlitres by product.

    `parts` are paints, additives and hardeners in the order of pouring.
    """

    mix: int
    day: date
    parts: tuple[tuple[str, Microlitres], ...]
    reducers: tuple[tuple[str, Microlitres], ...]
    paint_ul: Microlitres
    needle_um: Micrometres | None = None
    outcome: str | None = None

    @property
    def habit(self) -> tuple[frozenset[str], frozenset[str]]:
        """The products of its parts and reducers; mixes with the same products are one habit."""
        return frozenset(name for name, _ in self.parts), frozenset(name for name, _ in self.reducers)

    def request(self) -> MixRequest:
        """The request that pours the same volumes again."""
        if not self.paint_ul or not self.reducers:
            return MixRequest(parts=self.parts + self.reducers, needle_um=self.needle_um)
        total = sum(volume for _, volume in self.reducers)
        return MixRequest(
            parts=self.parts,
            reduce=Fraction(total * 100, self.paint_ul),
            reducers=self.reducers,
            needle_um=self.needle_um,
        )


class UsualMix(NamedTuple):
    """A habit of the studio, ready to be logged again.

    `short` names the products that have less usable stock than the mix takes.
    """

    like: PastMix
    times: int
    last_on: date
    request: MixRequest
    short: tuple[str, ...] = ()

    @property
    def reduction(self) -> Fraction | None:
        """Reducer in per cent of the paint; None without either."""
        return self.request.reduce

    def words(self, measures: str = "metric") -> str:
        """The mix in one line."""
        poured = ", ".join(f"{plain(name)} {show_volume(ul, measures)}" for name, ul in self.request.parts)
        if self.reduction is not None:
            reducers = " + ".join(plain(name) for name, _ in self.request.reducers)
            poured += f", {in_full(self.reduction, 1)} % {reducers}"
        needle = (
            _(", needle {needle_um}", needle_um=show_needle(self.request.needle_um))
            if self.request.needle_um
            else ""
        )
        return poured + needle

    def as_json(self) -> dict[str, Any]:
        """The habit as `ullage today --json` prints it."""
        needle = self.request.needle_um
        return {
            "parts": [{"product": name, "volume_ml": ml(ul)} for name, ul in self.request.parts],
            "percent_of_paint": round(float(self.reduction), 3) if self.reduction is not None else None,
            "reducers": [
                {"product": name, "volume_ml": ml(Microlitres(ul))} for name, ul in self.request.reducers
            ],
            "needle_mm": needle / 1000 if needle is not None else None,
            "times": self.times,
            "last_on": self.last_on.isoformat(),
            "like_mix": self.like.mix,
            "short": list(self.short),
        }


def usual(
    made: Iterable[PastMix], as_of: date, *, usable_ul: Mapping[str, Microlitres] | None = None, most: int = 5
) -> list[UsualMix]:
    """The studio's most frequent recent mixes, the strongest habit first.

    Args:
        made: mixes of the last `RECENT_DAYS`, in any order.
        as_of: the day.
        usable_ul: usable microlitres by product; the stock is not checked when None.
        most: how many at most.
    """
    habits: dict[Any, list[PastMix]] = defaultdict(list)
    for one in made:
        if 0 <= (as_of - one.day).days < RECENT_DAYS:
            habits[one.habit].append(one)
    ranked = sorted(
        (mixes for mixes in habits.values() if len(mixes) >= AT_LEAST),
        key=lambda mixes: (
            -sum(0.5 ** ((as_of - one.day).days / HALF_LIFE_DAYS) for one in mixes),
            -max(one.mix for one in mixes),
        ),
    )
    return [_proposed(mixes, usable_ul) for mixes in ranked[:most]]


def _proposed(mixes: Sequence[PastMix], usable_ul: Mapping[str, Microlitres] | None) -> UsualMix:
    newest = sorted(mixes, key=lambda one: (one.day, one.mix), reverse=True)
    sound = [one for one in newest if one.outcome not in WENT_WRONG] or newest
    size = median_low(one.paint_ul for one in sound[:LAST])
    like = next(one for one in sound if one.paint_ul == size)
    return UsualMix(like, len(mixes), newest[0].day, like.request(), _short(like, usable_ul))


def _short(like: PastMix, usable_ul: Mapping[str, Microlitres] | None) -> tuple[str, ...]:
    if usable_ul is None:
        return ()
    needed: dict[str, int] = defaultdict(int)
    for name, volume in like.parts + like.reducers:
        needed[name] += volume
    return tuple(name for name, volume in needed.items() if usable_ul.get(name, 0) < volume)
