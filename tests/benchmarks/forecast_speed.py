"""How long a forecast takes: 300 products with 100,000 movements, read and worked out.

    python -m tests.benchmarks.forecast_speed

Prints milliseconds by the wall and of the processor (best of seven, for the machine may be shared) and, beside each,
the ratio to a floor measured in the same run: reading the same movements by plain sqlite3, summed by product and day.
numpy keeps to one thread, as in the command `ullage`. The reference library's fastest method (Croston's of
statsforecast 2.1.1) is timed on the same series where that library is installed; it gives one mean per product, no
quantiles and no days.
"""

import os
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read once, when numpy is imported

import numpy as np

from stock import clock
from stock.forecast.books import read, reread
from stock.shelf import products, studio
from stock.store.connection import connection, writing
from stock.store.models import Booking, Bottle, database

REPEATS = 7
YEARS = 3


class Quickest(NamedTuple):
    """Milliseconds of the quickest run, by the wall and of the processor."""

    wall: float
    processor: float


def timed(work: Callable[[], object], repeats: int = REPEATS) -> Quickest:
    """How long the quickest of some runs takes."""
    wall, processor = [], []
    for _ in range(repeats):
        start, used = time.perf_counter(), time.process_time()
        work()
        processor.append(1e3 * (time.process_time() - used))
        wall.append(1e3 * (time.perf_counter() - start))
    return Quickest(min(wall), min(processor))


def fill(address: str, count: int, movements: int, days: int) -> None:
    """A studio of so many products, its movements spread over so many days, written in bulk."""
    studio.make(address, name="Speed", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    draw = np.random.default_rng(1)
    today = clock.today("Europe/Lisbon")
    with connection(), writing():
        for number in range(count):
            products.add(
                {
                    "name": f"Paint {number:03}", "role": "paint", "price": ["60ml=7.90", "120ml=13.50"],
                    "supplier": f"Barn {number % 7}", "lead_time": "7d", "opened_life": "12mo", "sealed_life": "3y",
                }
            )  # fmt: skip
        first = today - timedelta(days=days)
        stamp = clock.stamp(clock.start_of(first, "Europe/Lisbon"))
        Booking.insert(id=1, kind="delivery", at=stamp, day=first, booked_at=stamp).execute()
        held = draw.integers(10, 200, count) * 1_000
        Bottle.insert_many(
            [
                {
                    "id": number + 1, "product": number + 1, "delivery": 1, "size_ul": 10**12,
                    "on_hand_ul": int(held[number]), "received_on": first, "opened_on": today,
                }
                for number in range(count)
            ]
        ).execute()  # fmt: skip
        rates = np.exp(draw.normal(0, 1, count))
        which = draw.choice(count, movements, p=rates / rates.sum())
        when = np.sort(draw.integers(0, days, movements))
        sizes = draw.gamma(6, 1_300, movements).astype(int) + 100
        bulk(first, which, when, sizes)


def bulk(first: date, which: np.ndarray, when: np.ndarray, sizes: np.ndarray) -> None:
    """One mix of one pour a movement, by the driver's own executemany."""
    stamps = [
        clock.stamp(clock.start_of(first + timedelta(days=day), "UTC")) for day in range(int(when.max()) + 1)
    ]
    days = [(first + timedelta(days=day)).isoformat() for day in range(int(when.max()) + 1)]
    rows = list(zip(range(2, len(which) + 2), which.tolist(), when.tolist(), sizes.tolist(), strict=True))
    cursor = database.connection()
    cursor.executemany(
        "INSERT INTO booking (id, kind, at, day, booked_at, note) VALUES (?, 'mix', ?, ?, ?, '')",
        [(number, stamps[day], days[day], stamps[day]) for number, _, day, _ in rows],
    )
    cursor.executemany("INSERT INTO mix (id) VALUES (?)", [(number,) for number, *_ in rows])
    cursor.executemany(
        "INSERT INTO movement (id, bottle_id, booking_id, kind, change_ul, at, proof_kind)"
        " VALUES (?, ?, ?, 'poured', ?, ?, 'poured')",
        [(number, product + 1, number, -size, stamps[day]) for number, product, day, size in rows],
    )
    cursor.executemany(
        "INSERT INTO pour (movement_id, mix_id, part) VALUES (?, ?, 'paint')",
        [(number, number) for number, *_ in rows],
    )


def floor(address: str) -> Quickest:
    """Reading the same movements by hand, summed by product and day."""

    def by_hand() -> None:
        link = sqlite3.connect(address)
        link.execute(
            "SELECT b.product_id, k.day, SUM(m.change_ul) FROM movement m JOIN bottle b ON b.id = m.bottle_id"
            " JOIN booking k ON k.id = m.booking_id WHERE m.kind = 'poured' GROUP BY 1, 2"
        ).fetchall()
        link.close()

    return timed(by_hand)


def reference(address: str) -> Quickest | None:
    """The reference library's Croston on each product's days."""
    try:
        from statsforecast.models import CrostonClassic
    except ImportError:
        return None
    with connection():
        facts = read().facts.values()
    today = clock.today("Europe/Lisbon").toordinal()
    series = []
    for each in facts:
        days = np.zeros(YEARS * 365)
        places = len(days) - 1 - (today - each.history.days)
        days[places[places >= 0]] = each.history.totals_ul[places >= 0]
        series.append(days)

    def fit() -> None:
        for days in series:
            CrostonClassic().forecast(y=days, h=28)

    fit()  # compiles
    return timed(fit)


def measured(folder: Path, count: int, movements: int, days: int) -> str:
    """Make books and open them; their address."""
    address = str(folder / f"{count}-{movements}-{days}.ullage")
    fill(address, count, movements, days)
    return address


def report(name: str, took: Quickest, against: Quickest) -> None:
    """One line."""
    ratios = f"{took.wall / against.wall:6.2f} x{took.processor:9.1f} ms of the processor"
    print(f"{name:55s}{took.wall:9.1f} ms{ratios}{took.processor / against.processor:6.2f} x the floor")


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for count, movements, days in (
            (75, 25_000, YEARS * 365),
            (150, 50_000, YEARS * 365),
            (300, 100_000, YEARS * 365),
            (300, 200_000, 2 * YEARS * 365),
        ):
            address = measured(folder, count, movements, days)
            base = floor(address)
            print(f"\n{count} products, {movements:,} movements over {days // 365} years")
            report("floor: the same movements by plain sqlite3", base, base)
            with connection():
                whole = read()
                report("read the books and learn the priors", timed(read), base)
                report("work all forecasts out", timed(whole.forecasts), base)
                report("both: the forecast of the studio", timed(lambda: read().forecasts()), base)
                number = next(iter(whole.facts))
                one = timed(lambda n=number, w=whole: reread(w, n).forecasts([n]), 21)
                report("one product after a mix, read again", one, base)
            found = reference(address) if (count, movements) == (300, 100_000) else None
            if found is not None:
                report("reference library, Croston, same series (means only)", found, base)
            database.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
