"""What a booking costs, beside the same rows written by plain sqlite3 with the same pragmas.

    python -m tests.benchmarks.booking [bookings per round] [rounds]

Interleaved in one process on one disk. The floor writes the very rows that ours writes (booking, mix,
movement, pour, and the bottle's volume), in one transaction. Beside the wall's time stands the processor's, to be
compared on a machine that does other work: the least of each twenty. "ledger" is the booking alone; "whole" is what
`ullage mix` does: find the products, choose the bottles, judge every caution, then book. What was judged is remembered
for the same mix again, as after it was planned on the screen; "whole, never judged" is a mix of amounts that were not.
"""

import itertools
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

from stock import clock
from stock.bench.mixing import MixRequest, PlannedPour, book_mix, pour_into
from stock.ledger import book
from stock.shelf import deliveries, products, studio
from stock.store.connection import connection
from stock.store.files import PRAGMAS
from stock.store.models import Mix

BOTTLES = 200
COLORS = 5


def make(path: str) -> None:
    """A studio with five paints of forty opened bottles each."""
    studio.make(path, name="Bench", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    for color in range(COLORS):
        products.add({"name": f"Colour {color}", "role": "paint", "flash_point": "none"})
        deliveries.receive(
            f"Colour {color}", 900_000_000, count=BOTTLES // COLORS, opened_on=clock.today("Europe/Lisbon")
        )


def by_hand(path: str, pours: int) -> Callable[[int], None]:
    """The floor: the same rows by plain SQL."""
    engine = sqlite3.connect(path, isolation_level=None)
    for name, value in PRAGMAS:
        engine.execute(f"PRAGMA {name} = {value}")

    def write(i: int) -> None:
        at = clock.stamp(clock.now())
        engine.execute("BEGIN IMMEDIATE")
        booking = engine.execute(
            "INSERT INTO booking (kind, at, day, booked_at, note) VALUES ('mix', ?, ?, ?, '')",
            (at, at[:10], at),
        ).lastrowid
        engine.execute("INSERT INTO mix (id) VALUES (?)", (booking,))
        for pour in range(pours):
            bottle = (i + pour * 7) % BOTTLES + 1
            engine.execute("UPDATE bottle SET on_hand_ul = on_hand_ul - 5 WHERE id = ?", (bottle,))
            movement = engine.execute(
                "INSERT INTO movement (bottle_id, booking_id, kind, change_ul, at, proof_kind) "
                "VALUES (?, ?, 'poured', -5, ?, 'poured')",
                (bottle, booking, at),
            ).lastrowid
            engine.execute(
                "INSERT INTO pour (movement_id, mix_id, part) VALUES (?, ?, 'paint')", (movement, booking)
            )
        engine.execute("COMMIT")

    return write


def by_ledger(pours: int) -> Callable[[int], None]:
    """Ours, from an errand that is settled."""

    def write(i: int) -> None:
        numbers = [(i + pour * 7) % BOTTLES + 1 for pour in range(pours)]

        def work(errand):
            Mix.insert(id=errand.booking).execute()
            pours_now = [
                PlannedPour(number, "", 0, "paint", 5, 10, "", opened=True) for number in sorted(numbers)
            ]
            pour_into(errand, errand.booking, pours_now)
            return {}

        book("mix", work)

    return write


def whole(pours: int, amounts: Iterator[int]) -> Callable[[int], None]:
    """Ours, from what a person asks to what is booked, of the next amount in microlitres each time."""

    def write(i: int) -> None:
        amount = next(amounts)
        book_mix(MixRequest(parts=tuple((f"Colour {color}", amount) for color in range(pours))))

    return write


def main() -> None:
    """Measure and print medians and ratios."""
    bookings = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 7
    with tempfile.TemporaryDirectory() as folder:
        path = str(Path(folder) / "studio.ullage")
        make(path)
        with connection():
            run(path, bookings, rounds)
        with closing(sqlite3.connect(path)) as engine:
            assert engine.execute("SELECT min(on_hand_ul) FROM bottle").fetchone()[0] > 0


def run(path: str, bookings: int, rounds: int) -> None:
    """Interleave the cases and print each beside its floor."""
    for pours, aim in ((1, 3), (5, 6)):
        cases = {
            "sqlite3 by hand": by_hand(path, pours),
            "ledger": by_ledger(pours),
            "whole": whole(pours, itertools.repeat(5)),
            "whole, never judged": whole(pours, itertools.count(6)),
        }
        times: dict[str, list[float]] = {label: [] for label in cases}
        work: dict[str, list[float]] = {label: [] for label in cases}
        for round_number in range(rounds + 1):
            for label, write in cases.items():
                for i in range(bookings):
                    started, used = time.perf_counter(), time.process_time()
                    write(i)
                    if round_number:
                        times[label].append((time.perf_counter() - started) * 1000)
                        work[label].append((time.process_time() - used) * 1000)
        least = {label: statistics.quantiles(values, n=20)[0] for label, values in work.items()}
        floor, floor_work = statistics.median(times["sqlite3 by hand"]), least["sqlite3 by hand"]
        title = f"{pours} pour{'s' if pours > 1 else ''} (aim {aim} x)"
        print(f"{title:30}{'median ms':>10}{'p99 ms':>9}{'ratio':>8}{'processor ms':>14}{'ratio':>8}")
        for label, values in times.items():
            middle, p99 = statistics.median(values), statistics.quantiles(values, n=100)[98]
            print(
                f"  {label:28}{middle:10.3f}{p99:9.2f}{middle / floor:8.2f}"
                f"{least[label]:14.3f}{least[label] / floor_work:8.2f}"
            )


if __name__ == "__main__":
    main()
