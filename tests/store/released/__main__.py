"""Write the books of the newest schema, with one of most errands in them, as SQL text."""

import sqlite3
import tempfile
from fractions import Fraction
from pathlib import Path

from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, places, products, studio
from stock.store import connection, migrations
from tests.clock import clock_at

HERE = Path(__file__).parent


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, clock_at("2026-03-01 09:00:00"):
        address = f"{folder}/studio.ullage"
        studio.make(address, name="Slipway", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
        with connection.connection():
            work()
        with sqlite3.connect(address) as file:
            lines = [line for line in file.iterdump() if "sqlite_" not in line]
        file.close()
    (HERE / f"schema-{migrations.NEWEST}.sql").write_text("\n".join(lines) + "\n", encoding="utf-8")


def work() -> None:
    products.add({"name": "Slow Thinner", "role": "reducer", "flash_point": "none"})
    products.add(
        {"name": "Harbour Blue", "role": "paint", "usual_reducer": "Slow Thinner", "flash_point": "none"}
    )
    products.add({"name": "Wash Down", "role": "cleaner", "flash_point": "none"})
    places.add("Cabinet", kind="cabinet", premises="workshop")
    for name, size in (("Harbour Blue", 60_000), ("Slow Thinner", 120_000), ("Wash Down", 250_000)):
        deliveries.receive(name, size, count=2, lot="L 7", place="Cabinet", key=f"came {name}")
    mixed = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), job="Tank"), key="mix")
    book_mix(MixRequest(parts=(("Harbour Blue", 5_000),), note="Ünïcode, 'quotes' and -- dashes"))
    wash("Wash Down", 15_000)
    counts.count("1", 44_000)
    handling.discard("4", reason="leaked")
    undo("wash", mixed["mix"] + 2)


if __name__ == "__main__":
    main()
