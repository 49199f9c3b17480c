"""The tables of a studio's books.

Figures are whole numbers: microlitres (`_ul`), milligrams (`_mg`), the currency's minor unit (`_minor`), thousandths of
a per cent (`_milli`) and of a degree C (`_mc`), micrometres (`_um`). Days are those of the studio's time zone, instants
UTC. A booking is one complete errand at the shelf or bench. A mix, wash, count or order has its booking's number.

A table is defined at its first use through this module, because defining one takes Peewee about as long as a command
takes to read it, and a command uses a third of the tables. No table depends on one that refers to it.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stock.store.table import database as database  # noqa: PLC0414 - handed on: who knows the tables asks here

if TYPE_CHECKING:
    from stock.store.all_tables import TABLES as TABLES  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Close as Close  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Count as Count  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import CupTime as CupTime  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import PlannedMix as PlannedMix  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Pour as Pour  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Recipe as Recipe  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import RecipePart as RecipePart  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Request as Request  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Step as Step  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Wash as Wash  # noqa: PLC0414 - handed on
    from stock.store.bench_tables import Weighing as Weighing  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Booking as Booking  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Bottle as Bottle  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import BottleChange as BottleChange  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import CardTest as CardTest  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Job as Job  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Mix as Mix  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Movement as Movement  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Place as Place  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Silence as Silence  # noqa: PLC0414 - handed on
    from stock.store.bottle_tables import Undone as Undone  # noqa: PLC0414 - handed on
    from stock.store.line_tables import Line as Line  # noqa: PLC0414 - handed on
    from stock.store.line_tables import LineNotWith as LineNotWith  # noqa: PLC0414 - handed on
    from stock.store.line_tables import LinePack as LinePack  # noqa: PLC0414 - handed on
    from stock.store.line_tables import LineProduct as LineProduct  # noqa: PLC0414 - handed on
    from stock.store.line_tables import LineSheet as LineSheet  # noqa: PLC0414 - handed on
    from stock.store.line_tables import LineSolvent as LineSolvent  # noqa: PLC0414 - handed on
    from stock.store.office_tables import PeriodChange as PeriodChange  # noqa: PLC0414 - handed on
    from stock.store.office_tables import SheetMap as SheetMap  # noqa: PLC0414 - handed on
    from stock.store.office_tables import Training as Training  # noqa: PLC0414 - handed on
    from stock.store.past_tables import PastFacts as PastFacts  # noqa: PLC0414 - handed on
    from stock.store.past_tables import PastOwner as PastOwner  # noqa: PLC0414 - handed on
    from stock.store.past_tables import PastSubstance as PastSubstance  # noqa: PLC0414 - handed on
    from stock.store.product_tables import NotWith as NotWith  # noqa: PLC0414 - handed on
    from stock.store.product_tables import Product as Product  # noqa: PLC0414 - handed on
    from stock.store.product_tables import Solvent as Solvent  # noqa: PLC0414 - handed on
    from stock.store.product_tables import Supplier as Supplier  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import Invoice as Invoice  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import InvoiceDelivery as InvoiceDelivery  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import Order as Order  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import OrderEvent as OrderEvent  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import OrderLine as OrderLine  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import Pack as Pack  # noqa: PLC0414 - handed on
    from stock.store.purchase_tables import PlannedUse as PlannedUse  # noqa: PLC0414 - handed on
    from stock.store.sheet_tables import DataSheet as DataSheet  # noqa: PLC0414 - handed on
    from stock.store.sheet_tables import Dosing as Dosing  # noqa: PLC0414 - handed on
    from stock.store.sheet_tables import FigureSource as FigureSource  # noqa: PLC0414 - handed on
    from stock.store.studio_tables import OwnSubstance as OwnSubstance  # noqa: PLC0414 - handed on
    from stock.store.studio_tables import RuleChoice as RuleChoice  # noqa: PLC0414 - handed on
    from stock.store.studio_tables import Studio as Studio  # noqa: PLC0414 - handed on

else:
    _HOMES = {
        "all_tables": ("TABLES",),
        "studio_tables": ("Studio", "OwnSubstance", "RuleChoice"),
        "product_tables": ("Supplier", "Product", "Solvent", "NotWith"),
        "bottle_tables": (
            "Place",
            "Booking",
            "Undone",
            "Job",
            "Mix",
            "Bottle",
            "Silence",
            "CardTest",
            "Movement",
            "BottleChange",
        ),
        "bench_tables": (
            "Request",
            "Step",
            "Close",
            "CupTime",
            "Pour",
            "Wash",
            "Count",
            "Recipe",
            "RecipePart",
            "PlannedMix",
            "Weighing",
        ),
        "purchase_tables": (
            "Pack",
            "Order",
            "OrderLine",
            "OrderEvent",
            "PlannedUse",
            "Invoice",
            "InvoiceDelivery",
        ),
        "line_tables": ("Line", "LinePack", "LineSolvent", "LineNotWith", "LineSheet", "LineProduct"),
        "sheet_tables": ("DataSheet", "Dosing", "FigureSource"),
        "past_tables": ("PastFacts", "PastOwner", "PastSubstance"),
        "office_tables": ("PeriodChange", "Training", "SheetMap"),
    }  # fmt: skip
    """The module of each table."""
    _HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

    def __getattr__(name: str) -> Any:
        """Define and return a table that has not been used yet; Python calls this for a missing attribute.

        Raises:
            AttributeError: there is none.
        """
        if name not in _HOME_OF:
            raise AttributeError(f"there is no table {name!r}")
        found = globals()[name] = getattr(import_module(f"stock.store.{_HOME_OF[name]}"), name)
        return found
