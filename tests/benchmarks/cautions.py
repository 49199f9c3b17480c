"""What every caution of a shelf costs, beside reading the same rows by plain sqlite3.

    python -m tests.benchmarks.cautions [rounds]

The sample studio, and a studio of 1,000 bottles of 120 products in 12 places. The floor reads all products,
solvents, not-withs, bottles, places and rule choices by plain sqlite3 with the same pragmas, into tuples.
"read" is what gathers the facts from the books, "judge" what finds from them, "first" the first judging of a
process, which reads the rules and estimates each blend, "plan" what `--moves` adds. Interleaved in one process.
"""

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from sample_studio.loader import load
from stock.cautions import books
from stock.cautions.compatibility import matrix, unknowns
from stock.cautions.findings import findings
from stock.cautions.flammable import burning
from stock.cautions.rules import shipped
from stock.shelf import deliveries, places, products, studio
from stock.store.connection import connection, open_books
from stock.store.files import PRAGMAS

TABLES = ("product", "solvent", "not_with", "bottle", "place", "rule_choice", "studio")
PRODUCTS, BOTTLES, PLACES = 120, 1_000, 12


def make(path: str) -> None:
    """A thousand bottles: paints, reducers of six kinds, a few hardeners and cleaners, some hardly described."""
    studio.make(path, name="Large", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    solvents = (
        "ethanol=30",
        "acetone=50",
        "propan-2-ol=20",
        "2-butoxyethanol=10",
        "n-butyl acetate=40",
        "none",
    )
    for number in range(PLACES):
        known = {"low_mc": 12_000, "high_mc": 24_000, "ignition": False} if number % 4 else {}
        places.add(
            f"Place {number}", kind=("cabinet", "shelf")[number % 2], building=f"House {number % 3}", **known
        )
    for number in range(PRODUCTS):
        given = {"name": f"Product {number}", "role": ("paint", "paint", "reducer", "clear")[number % 4]}
        if number % 10:
            given |= {"solvent": [solvents[number % 6]], "water": "40", "opened_life": "12mo", "sealed_life": "3y",
                      "store_at": "5C..30C", "flash_point": ("none", "24C", "62C")[number % 3]}  # fmt: skip
        if number in (50, 51):
            given |= {
                "role": "hardener",
                "groups": "isocyanate",
                "solvent": ["n-butyl acetate=30"],
                "water": "0",
            }
        if number == 60:
            given |= {"role": "cleaner", "solvent": ["bleach=4"], "water": "96"}
        products.add(given)
    for number in range(PRODUCTS):
        count = BOTTLES // PRODUCTS + (number < BOTTLES % PRODUCTS)
        deliveries.receive(f"Product {number}", 60_000, count=count, place=f"Place {number % PLACES}")


def floor(path: str) -> Callable[[], object]:
    """Reads the same rows."""
    file = sqlite3.connect(path)
    for pragma, value in PRAGMAS:
        file.execute(f"PRAGMA {pragma} = {value}")

    def read() -> object:
        return [file.execute(f"SELECT * FROM {table}").fetchall() for table in TABLES]

    return read


def timed(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1_000


def measure(name: str, path: str, rounds: int) -> None:
    day = date.today()
    open_books(path)
    with connection():
        facts = books.facts()
        for kept in (burning, shipped, matrix, unknowns):
            kept.cache_clear()
        first = timed(lambda: findings(facts, day))
        read = floor(path)
        took: dict[str, list[float]] = {"floor": [], "read": [], "judge": [], "plan": []}
        for _ in range(rounds):
            took["floor"].append(timed(read))
            took["read"].append(timed(books.facts))
            took["judge"].append(timed(lambda: findings(facts, day)))
            took["plan"].append(timed(lambda: books.moves(facts)))
        found = findings(facts, day)
    medians = {key: statistics.median(values) for key, values in took.items()}
    print(f"{name}: {len(facts.bottles)} bottles, {len(facts.products)} products, {len(found)} findings")
    print(f"  first  {first:8.1f} ms  {first / medians['floor']:6.1f} x the floor")
    for key, value in medians.items():
        print(f"  {key:6} {value:8.2f} ms  {value / medians['floor']:6.1f} x the floor")


def main(rounds: int = 30) -> None:
    with tempfile.TemporaryDirectory() as folder:
        sample, large = (str(Path(folder) / name) for name in ("sample.ullage", "large.ullage"))
        load(sample)
        measure("sample studio", sample, rounds)
        make(large)
        measure("a thousand bottles", large, rounds)


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
