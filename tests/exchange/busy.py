"""A studio that has done some of everything, for what is written out and taken in."""

from datetime import timedelta
from fractions import Fraction

from stock import clock
from stock.bench import closing, steps, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.forecast import orders
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, jobs, products

NASTY = (
    '=HYPERLINK("http://x","y")', "+1 Blue", "-2 Grey", "@SUM(A1)", "'tis Blue", "''", 'Say "so"', "a,b;c\td",
    "[red]x[/]", "Ünïcödé 漆", "🎨 paint", "'=1+1", "% off", "|pipe",
)  # fmt: skip


def be_busy() -> None:
    """Do some of everything in the stocked books, with names that a spreadsheet would run."""
    for name in NASTY:
        products.add({"name": name, "role": "paint", "line": name})
    deliveries.receive("=HYPERLINK", 30_000, lot="=1+1", label="-1", price_minor=0)
    jobs.add("@job", clock.today("Europe/Lisbon"), customer="+49 30 1", note="=cmd|' /C calc'!A0")
    number = int(
        book_mix(
            MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), job="@job", note="-fine"),
            key="=k",
        )["mix"]
    )
    steps.book_step(number, StepRequest(Fraction(5)))
    closing.close(number, closing.Ending(outcome="good", left_ul=2_001, keep=True))
    washing.wash("Wash Down", 15_000, mix=number)
    counts.count("1", 50_000)
    handling.move_bottle("4", "Cabinet")
    handling.decant("2", 7_000)
    undo("undo", undo("wash", 1 + number + 2)["undo"])
    order = orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)])["order"]
    orders.receive(order, {"Harbour Blue": 1})
    orders.plan_use("Gull White", 50_000, needed_on=clock.today("Europe/Lisbon") + timedelta(9), job="@job")
