"""Whether the forecast's chances come true on purchase histories.

    python -m tests.benchmarks.forecast_coverage FOLDER

FOLDER holds CSV files with the columns group, item, date, amount: a group stands for a studio, an item for a
product. From four days in the middle of each file the total of the next 28 days is forecast and its place in
the forecast distribution noted, split at random (seed fixed) where the distribution jumps, since a slow
product's total is zero for most of its chance. In a calibrated forecast a tenth of the places lies below .1,
and so on (randomised probability integral transform: Brockwell 2007, Statistics & Probability Letters 77).
"""

import csv
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np

from stock.forecast.priors import learn_priors
from stock.forecast.totals import Total
from stock.forecast.use_history import UseHistory, as_of, from_arrays

DAYS = 28
CHANCES = (0.10, 0.25, 0.50, 0.75, 0.90, 0.95)
LEAST_EVENTS = 3


def groups(path: Path) -> list[list[UseHistory]]:
    """The histories of each group."""
    found: dict[str, dict[str, list[tuple[int, float]]]] = {}
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            item = found.setdefault(row["group"], {}).setdefault(row["item"], [])
            item.append((date.fromisoformat(row["date"]).toordinal(), float(row["amount"]) * 1_000))
    return [
        [
            from_arrays(*(np.array(column) for column in zip(*sorted(rows), strict=True)))
            for rows in items.values()
        ]
        for items in found.values()
    ]


def origins(studios: list[list[UseHistory]]) -> list[int]:
    """Four days between a quarter and the end less the days ahead."""
    days = np.concatenate([each.days for items in studios for each in items])
    first, last = int(days.min()), int(days.max()) - DAYS
    return [round(first + (last - first) * part) for part in (0.25, 0.5, 0.75, 1.0)]


def places(studios: list[list[UseHistory]], draw: np.random.Generator) -> Iterator[float]:
    """Where what happened lies in each forecast, 0..1."""
    for today in origins(studios):
        for items in studios:
            known = [as_of(each, today) for each in items]
            priors = learn_priors(known, today)
            rows = [row for row, each in enumerate(known) if each.events >= LEAST_EVENTS]
            outlook = priors.outlook([known[row] for row in rows])
            for place, row in enumerate(rows):
                total = outlook.total(place, DAYS)
                ahead = (items[row].days > today) & (items[row].days <= today + DAYS)
                if total is not None:
                    yield place_of(total, float(items[row].totals_ul[ahead].sum()), draw)


def place_of(total: Total, used_ul: float, draw: np.random.Generator) -> float:
    """The chance of less, and a random part of the chance of the same."""
    at = used_ul / total.unit_ul
    spots = np.arange(len(total.central))
    chances = total.upto(spots)
    upto = float(np.interp(at + 0.5 if used_ul else 0.0, spots, chances))
    below = float(np.interp(at - 0.5, spots, chances)) if used_ul else 0.0
    return below + draw.random() * (upto - below)


def main(folder: str) -> int:
    """Measure each file and print one line."""
    print(f"{'':12s}{'cases':>7s}" + "".join(f"{chance:>8.2f}" for chance in CHANCES) + f"{'P10-P90':>10s}")
    for path in sorted(Path(folder).glob("*.csv")):
        found = np.array(list(places(groups(path), np.random.default_rng(0))))
        shares = "".join(f"{(found <= chance).mean():8.3f}" for chance in CHANCES)
        print(f"{path.stem:12s}{len(found):7d}{shares}{((found > 0.1) & (found <= 0.9)).mean():10.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]) if len(sys.argv) == 2 else "usage: forecast_coverage FOLDER")
