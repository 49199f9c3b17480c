"""A small studio for the screens: few bottles, every state, a fixed day."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.shelf import counts, deliveries, handling, places, products, studio
from stock.store.connection import connection, writing

DAY = date(2026, 3, 4)
NOW = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)

PAINTS = (
    ("Harbour Blue", "Quay", "#2a6f97", 60, 3),
    ("Gull White", "Quay", "#f7f7f2", 120, 2),
    ("Tar Black", "Quay", "#0b0b0d", 60, 2),
    ("Buoy Red", "Quay", "#c1121f", 60, 2),
    ("Kelp Green", "Quay", "#3a5a40", 30, 1),
    ("Sand [matt]", "Quay", "#d9c39a", 30, 1),
    ("Lantern Yellow", "Fleet", "#ffb703", 60, 2),
    ("Slate Grey", "Fleet", "#5c677d", 60, 1),
    ("Copper Pearl", "Fleet", "#b5651d", 30, 2),
)


def ago(days: int, hour: int = 10) -> datetime:
    """An instant so many days before the fixed day."""
    return datetime(DAY.year, DAY.month, DAY.day, hour, tzinfo=UTC) - timedelta(days=days)


def fill(address: str) -> None:
    """Make the studio's books; the clock must stand at `NOW`."""
    studio.make(address, name="Slipway Studio", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    with connection(), writing():
        _products()
        _deliveries()
        _work()


def _products() -> None:
    places.add("Steel cabinet", kind="cabinet", premises="workshop")
    places.add("Long shelf", kind="shelf", premises="workshop")
    for name, water, flash in (("Eddy Reducer", "90", "none"), ("Swift Reducer", "40", "24C")):
        products.add(
            {
                "name": name, "role": "reducer", "price": ["120ml=6.20", "480ml=18.50"], "density": "0.97",
                "water": water, "flash_point": flash, "opened_life": "24mo", "supplier": "Mole & Daughters",
                "lead_time": "7d", "drops_per_ml": "25",
            }
        )  # fmt: skip
    products.add(
        {
            "name": "Wash Down",
            "role": "cleaner",
            "price": ["240ml=8.40"],
            "flash_point": "none",
            "water": "95",
        }
    )
    products.add(
        {"name": "Glass Coat", "role": "clear", "line": "Quay", "price": ["120ml=11.90"], "sealed_life": "3y"}
    )
    for name, line, color, size, _ in PAINTS:
        products.add(
            {
                "name": name, "role": "paint", "line": line, "color": color, "price": [f"{size}ml=7.90"],
                "density": "1.08", "usual_reducer": "Eddy Reducer", "opened_life": "12mo", "sealed_life": "3y",
                "supplier": "Mole & Daughters", "lead_time": "7d", "water": "60", "flash_point": "none",
            }
        )  # fmt: skip


def _deliveries() -> None:
    for name, _, _, size, count in PAINTS:
        deliveries.receive(name, size * 1_000, count=count, place="Long shelf", on=ago(400))
    deliveries.receive("Eddy Reducer", 480_000, place="Steel cabinet", on=ago(390))
    deliveries.receive("Swift Reducer", 120_000, count=2, place="Steel cabinet", on=ago(390))
    deliveries.receive("Wash Down", 240_000, count=2, place="Steel cabinet", on=ago(390))
    deliveries.receive("Glass Coat", 120_000, place="Long shelf", on=ago(200), best_before=date(2026, 2, 1))


def _work() -> None:
    for week in range(40, 0, -2):
        _mix("Harbour Blue", 3_500, week * 7)
        if week % 4 == 0:
            _mix("Gull White", 6_000, week * 7 - 1)
            wash("Wash Down", 9_000, on=ago(week * 7 - 1, 12))
    _mix("Tar Black", 12_000, 380)
    _mix("Buoy Red", 30_000, 60)
    _mix("Lantern Yellow", 48_000, 12)
    _mix("Copper Pearl", 28_000, 9)
    _mix("Kelp Green", 27_500, 5)
    counts.count("1", 22_000, on=ago(3))
    handling.open_bottle("14", on=ago(2))
    _mix("Harbour Blue", 8_000, 0, needle_um=350, job="Ferry model")


def _mix(paint: str, volume_ul: int, days: int, **more: object) -> None:
    book_mix(
        MixRequest(parts=((paint, volume_ul),), reduce=Fraction(20), at=ago(days), **more),  # type: ignore[arg-type]
        judge=False,
    )
