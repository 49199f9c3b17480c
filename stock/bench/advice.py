"""Advice on thinning a paint with a reducer for a needle: where to start, how far to go, and why.

The sheets. Ranges are looked up from the most specific to the least: this paint with this reducer, this paint
with any reducer, its line with this reducer, the reducer's own sheet, the house's defaults. Within one kind a
range for the needle comes before one for any needle, then the newest revision. The first range applies. Every
other range with different figures is shown as a disagreement and never averaged in. What only a withdrawn or
replaced revision says is shown as dropped and never used. Between needle bands nothing is interpolated: the
neighbouring ranges are shown.

The outcomes. Each closed mix brackets the reduction at which the paint just sprays and the one at which it is
too thin. They give a posterior with the sheet's range as prior; where the paint has few mixes of its own, mixes
of its line and reducer count too (`outcomes`, with the literature). The start is a low quantile of the posterior,
and the step is one that seldom overshoots (`starting`). Before the first closed mix the start is the range's
low end.

`tests/benchmarks/advice.py` compares this with the sheet's low end, its middle and the last good value.
"""

from collections.abc import Sequence
from typing import Any

from stock.bench.outcomes import GridPoint, MixOutcome, median_window, posterior
from stock.bench.ranges import LEVEL_WORDS, RangeLevel, SheetRange, house_ranges
from stock.bench.starting import decide
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Micrometres, MilliPercent, show_needle


class Advice(NamedTuple):
    """Where to start, how far to go, in what steps, and why; per cent are thousandths, of the paint.

    Args:
        start_milli: where to start.
        limit_milli: the highest reduction allowed.
        step_milli: how much to add at a time while it is too thick.
        rule: the range that applies.
        others: other ranges in force for this needle, most specific first.
        older: ranges of withdrawn or replaced revisions, newest first; never used.
        dropped: those among `older` that no sheet in force contains any more.
        neighbours: ranges for the next smaller and larger needles, where none is for this one.
        tried: the closed mixes that are taken into account, newest last.
        notes: sentences on what is missing or unusual.
    """

    start_milli: MilliPercent
    limit_milli: MilliPercent
    step_milli: MilliPercent
    rule: SheetRange
    others: tuple[SheetRange, ...] = ()
    older: tuple[SheetRange, ...] = ()
    dropped: tuple[SheetRange, ...] = ()
    neighbours: tuple[SheetRange, ...] = ()
    tried: tuple[MixOutcome, ...] = ()
    window: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()

    def cells(self) -> Sequence[GridPoint]:
        """The posterior of this paint's window, for the next step."""
        return posterior(self.rule.low_milli / 1_000, self.rule.high_milli / 1_000, self.tried)

    @property
    def own(self) -> int:
        """How many of the closed mixes have this paint, reducer and needle."""
        return sum(each.kin == "own" for each in self.tried)

    @property
    def disagreements(self) -> tuple[str, ...]:
        """What other ranges say, as sentences; never averaged in."""
        ours = (self.rule.low_milli, self.rule.high_milli)
        other = [
            _(
                "{source} says {other}; the advice uses {used}",
                source=LEVEL_WORDS[each.level],
                other=each.words,
                used=self.rule.words,
            )
            for each in self.others
            if (each.low_milli, each.high_milli) != ours and each.level is not RangeLevel.HOUSE
        ]
        old = [
            _("{words} {each}, so it is not used", words=each.words, each=self._fate(each))
            for each in self.older
            if self._differs(each)
        ]
        return tuple(other + old)

    def _differs(self, each: SheetRange) -> bool:
        return each in self.dropped or (each.low_milli, each.high_milli) != (
            self.rule.low_milli,
            self.rule.high_milli,
        )

    def _fate(self, each: SheetRange) -> str:
        fate = _("is withdrawn") if each.withdrawn else _("is replaced by a newer revision")
        return _("{fate}, the sheet in force has no such range", fate=fate) if each in self.dropped else fate

    def as_json(self) -> dict[str, Any]:
        """The answer of `ullage advise`."""
        because = [_entry(self.rule, used=True)]
        if self.tried:
            low, high = self.window or (0.0, 0.0)
            because.append(
                {
                    "kind": "outcomes", "title": _("this studio's closed mixes"), "revised": None,
                    "withdrawn": False, "low": round(low, 1), "high": round(high, 1),
                    "n": len(self.tried), "own": self.own, "used": True,
                }
            )  # fmt: skip
        because += [_entry(each, used=False) for each in self.others]
        because += [_entry(each, used=False) | {"dropped": each in self.dropped} for each in self.older]
        return {
            "start_percent": _percent(self.start_milli),
            "limit_percent": _percent(self.limit_milli),
            "step_percent": _percent(self.step_milli),
            "because": because,
            "disagreements": list(self.disagreements),
            "neighbours": [_entry(each, used=False) for each in self.neighbours],
            "notes": list(self.notes),
        }


def _entry(each: SheetRange, *, used: bool) -> dict[str, Any]:
    return {
        "kind": "house_default" if each.level is RangeLevel.HOUSE else "sheet",
        "title": each.title,
        "revised": each.revised.isoformat() if each.revised else None,
        "withdrawn": each.withdrawn,
        "low": _percent(each.low_milli),
        "high": _percent(each.high_milli),
        "n": 0,
        "used": used,
        "dropped": False,
        "level": LEVEL_WORDS[each.level],
        "needle": each.needle_words,
        "pressure": each.pressure_words,
        "source": each.source,
        "wording": each.wording,
    }


def _percent(milli: int) -> float | int:
    return milli // 1_000 if milli % 1_000 == 0 else milli / 1_000


def advise(
    ranges: Sequence[SheetRange], needle_um: Micrometres | None, tried: Sequence[MixOutcome] = ()
) -> Advice:
    """Where to start, how far to go and in what steps.

    Args:
        ranges: every range that any revision of any sheet concerned gives; the house's own are added.
        needle_um: the needle's bore in micrometres, 100 to 2,000; None if it isn't known.
        tried: closed mixes, newest last.
    """
    every = (*ranges, *house_ranges())
    fitting = sorted((each for each in every if each.in_force and each.fits(needle_um)), key=_rank)
    rule, others = fitting[0], tuple(fitting[1:])
    most = rule.step_milli or 5_000
    found = decide(rule.low_milli / 1_000, rule.high_milli / 1_000, most / 1_000, tried)
    older = _older(ranges, needle_um)
    places_in_force = {_place(each) for each in ranges if each.in_force}
    neighbours = _neighbours(every, needle_um, rule)
    window = (
        median_window(posterior(rule.low_milli / 1_000, rule.high_milli / 1_000, tried)) if tried else None
    )
    return Advice(
        start_milli=MilliPercent(round(found.start * 1_000)),
        limit_milli=rule.high_milli,
        step_milli=MilliPercent(round(found.step * 1_000)),
        rule=rule,
        others=others,
        older=older,
        dropped=tuple(each for each in older if _place(each) not in places_in_force),
        neighbours=neighbours,
        tried=tuple(tried),
        window=window,
        notes=tuple(_notes(rule, needle_um, neighbours, window)),
    )


def _rank(each: SheetRange) -> tuple[int, bool, int, int]:
    newest_first = -each.revised.toordinal() if each.revised else 0
    return each.level, each.for_any_needle, newest_first, each.low_milli


def _older(ranges: Sequence[SheetRange], needle_um: Micrometres | None) -> tuple[SheetRange, ...]:
    """Ranges for this needle from revisions no longer in force; the newest of each kind and needle band."""
    gone: dict[object, SheetRange] = {}
    for each in sorted(ranges, key=_rank):
        if not each.in_force and (needle_um is None or each.fits(needle_um)):
            gone.setdefault(_place(each), each)
    return tuple(gone.values())


def _place(each: SheetRange) -> tuple[RangeLevel, int | None, int | None]:
    return each.level, each.needle_low_um, each.needle_high_um


def _neighbours(
    every: Sequence[SheetRange], needle_um: Micrometres | None, rule: SheetRange
) -> tuple[SheetRange, ...]:
    """Ranges in force for the next smaller and larger needles, at least as specific as the rule."""
    if not rule.for_any_needle:
        return ()
    bound = [each for each in every if each.in_force and not each.for_any_needle and each.level <= rule.level]
    if not bound:
        return ()
    level = min(each.level for each in bound)
    bound = [each for each in bound if each.level == level]
    if needle_um is None:
        return tuple(bound)
    below = [each for each in bound if each.needle_high_um is not None and each.needle_high_um < needle_um]
    above = [each for each in bound if each.needle_low_um is not None and each.needle_low_um > needle_um]
    nearest = []
    if below:
        nearest.append(max(below, key=lambda each: each.needle_high_um or 0))
    if above:
        nearest.append(min(above, key=lambda each: each.needle_low_um or 0))
    return tuple(nearest)


def _notes(
    rule: SheetRange,
    needle_um: Micrometres | None,
    neighbours: Sequence[SheetRange],
    window: tuple[float, float] | None,
) -> list[str]:
    notes = []
    if rule.level is RangeLevel.HOUSE:
        notes.append(_("no sheet in force gives a range here: {source}", source=rule.source))
    if neighbours:
        notes.append(
            _("no needle is given, so ranges for a needle are not used")
            if needle_um is None
            else _(
                "no range is given for a needle of {needle_um}, and none is interpolated",
                needle_um=show_needle(Micrometres(needle_um)),
            )
        )
    if rule.wording:
        notes.append(_("the sheet's words: {wording}", wording=rule.wording))
    if window and window[0] * 1_000 > rule.high_milli:
        notes.append(_("this studio's mixes needed more than the range allows; the range still applies"))
    if window and window[1] * 1_000 < rule.low_milli:
        notes.append(
            _("this studio's mixes were too thin even at the range's low end, so the start lies below it")
        )
    return notes
