"""Simulated painters: how many steps, overshoots and ruined mixes each rule for thinning costs.

Run: python -m tests.benchmarks.advice [PAINTERS]

A painter has a line of five paints, two reducers and two needles; what each combination truly needs is
unknown to every rule. The point L at which a mix just sprays is the combination's own value (the line's,
the paint's, the reducer's and the needle's shares of it) and wanders from mix to mix with the season's
weather and the hand; above H = L + W it is too thin. W is the combination's own. Sheets print a range that
is off by a few points. A mix is stepped until it sprays; past H by up to three points it is brought back with
paint (an overshoot), further it is ruined. All figures are settings of this simulation.
"""

import math
import random
import sys
from collections.abc import Callable
from dataclasses import dataclass

from stock.bench.outcomes import MixOutcome, weather_apart
from stock.bench.starting import decide, next_step, posterior

MIXES = 30
RUINED_BEYOND = 3.0
POINTS_BY_KELVIN = 0.21


@dataclass
class Combination:
    """What one paint with one reducer and needle truly needs, and what its sheet says."""

    paint: int
    reducer: int
    needle: int
    typical: float
    width: float
    low: float
    high: float


@dataclass
class Closed:
    """One mix as its painter closed it."""

    of: Combination
    thick_at: float | None
    final: float
    outcome: str
    room_mc: int


class Rule:
    """A rule for thinning: where to start and how to step."""

    name = ""
    room_mc = 20_000

    def start(self, of: Combination, history: list[Closed]) -> float:
        raise NotImplementedError

    def step(self, of: Combination, at: float) -> float:
        return 5.0


class LowEnd(Rule):
    name = "sheet's low end, steps of 5"

    def start(self, of, history):
        return of.low


class Middle(Rule):
    name = "sheet's middle, steps of 5"

    def start(self, of, history):
        return (of.low + of.high) / 2


class LastGood(Rule):
    name = "last good value, steps of 5"

    def start(self, of, history):
        good = [each.final for each in history if each.of is of and each.outcome == "good"]
        return good[-1] if good else of.low


class Advised(Rule):
    name = "advice"
    borrow = True
    weather = True

    def start(self, of, history):
        tried = [self.seen(of, each) for each in history]
        tried = [each for each in tried if each is not None and (self.borrow or each.kin == "own")]
        self.cells = posterior(of.low, of.high, tried)
        return decide(of.low, of.high, 5.0, tried).start

    def step(self, of, at):
        return next_step(self.cells, at, 5.0)

    def seen(self, of, each):
        same_paint, same_needle = each.of.paint == of.paint, each.of.needle == of.needle
        if each.of.reducer != of.reducer:
            return None
        kin = (
            ("own" if same_needle else "own_needle")
            if same_paint
            else ("line" if same_needle else "line_needle")
        )
        apart = weather_apart((self.room_mc, None), (each.room_mc, None)) if self.weather else 0.0
        return MixOutcome(each.final, each.outcome, each.thick_at, kin, apart)


class OwnOnly(Advised):
    name = "advice, nothing borrowed"
    borrow = False


class NoWeather(Advised):
    name = "advice, room not noted"
    weather = False


def combinations(chance: random.Random) -> list[Combination]:
    """One painter's paints, reducers and needles."""
    base, made = chance.uniform(8, 20), []
    paints = [chance.gauss(0, 2.5) for _ in range(5)]
    reducers = [chance.gauss(0, 2.0) for _ in range(2)]
    needles = [0.0, chance.uniform(3, 8)]
    for paint, of_paint in enumerate(paints):
        for reducer, of_reducer in enumerate(reducers):
            for needle, of_needle in enumerate(needles):
                typical = max(2.0, base + of_paint + of_reducer + of_needle + chance.gauss(0, 1))
                width = min(14.0, max(2.5, math.exp(chance.gauss(math.log(6.5), 0.35))))
                low = max(5.0, 5 * round((typical - chance.uniform(-3, 11)) / 5))
                made.append(
                    Combination(
                        paint, reducer, needle, typical, width, low, low + chance.choice([5, 10, 10, 15])
                    )
                )
    return made


def spray(rule: Rule, of: Combination, history: list[Closed], sprays_at: float) -> tuple[int, bool, bool]:
    """One mix: steps until it sprays; (steps, overshot, ruined)."""
    at, thick_at, steps = rule.start(of, history), None, 0
    while at < sprays_at:
        thick_at = at
        at += rule.step(of, at)
        steps += 1
    over = at - (sprays_at + of.width)
    outcome = "good" if over <= 0 else "thin" if over <= RUINED_BEYOND else "ruined"
    history.append(Closed(of, thick_at, at, outcome, rule.room_mc))
    return steps, over > 0, outcome == "ruined"


def run(rule: Rule, painters: int) -> list[list[tuple[int, bool, bool]]]:
    """results[n] = all painters' n-th mixes of a combination; the same luck for every rule."""
    results: list[list[tuple[int, bool, bool]]] = [[] for _ in range(MIXES)]
    for seed in range(painters):
        chance = random.Random(seed)
        made = combinations(chance)
        of = chance.choice(made)
        others = [each for each in made if each is not of]
        history: list[Closed] = []
        scatter = chance.uniform(0.8, 2.2)
        for n in range(MIXES):
            warm = 7 * math.sin(2 * math.pi * n / MIXES + seed)  # kelvin above or below 20 °C
            rule.room_mc, season = round(20_000 + 1_000 * warm), POINTS_BY_KELVIN * warm
            for each in chance.sample(others, 2):  # what else the painter sprays in between
                spray(rule, each, history, each.typical + season + chance.gauss(0, scatter))
            results[n].append(spray(rule, of, history, of.typical + season + chance.gauss(0, scatter)))
    return results


def score(results: list[list[tuple[int, bool, bool]]], mixes: range) -> tuple[float, float, float]:
    """Steps, overshoots and ruined ones a hundred mixes."""
    rows = [row for n in mixes for row in results[n]]
    return tuple(100 * sum(row[at] for row in rows) / len(rows) for at in range(3))


def main(painters: int = 300) -> None:
    rules: list[Callable[[], Rule]] = [LowEnd, Middle, LastGood, OwnOnly, NoWeather, Advised]
    spans = {
        "mixes 1-3": range(3),
        "1-10": range(10),
        "the 10th": range(9, 10),
        "8th-12th": range(7, 12),
        "1-30": range(30),
    }
    print(f"{painters} painters; a hundred mixes: steps / overshoots / ruined")
    print(f"{'rule':30}" + "".join(f"{span:>22}" for span in spans))
    scores = {}
    for make in rules:
        rule = make()
        results = run(rule, painters)
        scores[rule.name] = {span: score(results, mixes) for span, mixes in spans.items()}
        shown = [
            f"{steps:.0f} / {over:.1f} / {ruined:.1f}" for steps, over, ruined in scores[rule.name].values()
        ]
        print(f"{rule.name:30}" + "".join(f"{each:>22}" for each in shown))
    low, ours = scores[LowEnd.name], scores[Advised.name]
    for span in spans:
        print(
            f"{span}: steps {ours[span][0] / low[span][0]:.2f} of the low-end rule's; "
            f"ruined {ours[span][2]:.1f} against {low[span][2]:.1f}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
