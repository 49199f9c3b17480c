"""All tables, each after the tables that it refers to."""

from stock.store.bench_tables import (
    Close,
    Count,
    CupTime,
    PlannedMix,
    Pour,
    Recipe,
    RecipePart,
    Request,
    Step,
    Wash,
    Weighing,
)
from stock.store.bottle_tables import (
    Booking,
    Bottle,
    BottleChange,
    CardTest,
    Job,
    Mix,
    Movement,
    Place,
    Silence,
    Undone,
)
from stock.store.line_tables import Line, LineNotWith, LinePack, LineProduct, LineSheet, LineSolvent
from stock.store.office_tables import PeriodChange, SheetMap, Training
from stock.store.past_tables import PastFacts, PastOwner, PastSubstance
from stock.store.product_tables import NotWith, Product, Solvent, Supplier
from stock.store.purchase_tables import (
    Invoice,
    InvoiceDelivery,
    Order,
    OrderEvent,
    OrderLine,
    Pack,
    PlannedUse,
)
from stock.store.sheet_tables import DataSheet, Dosing, FigureSource
from stock.store.studio_tables import OwnSubstance, RuleChoice, Studio
from stock.store.table import Table

TABLES: tuple[type[Table], ...] = (
    Studio, Supplier, Product, Pack, Solvent, NotWith, DataSheet, Dosing, Place, Booking, Undone, Request, Job, Mix,
    Step, Close, CupTime, Bottle, Movement, Pour, BottleChange, Wash, Count, Order, OrderLine, OrderEvent, PlannedUse,
    Recipe, RecipePart, RuleChoice, SheetMap, Training, Weighing, Line, LinePack, LineSolvent, LineNotWith, LineProduct,
    OwnSubstance, FigureSource, Silence, CardTest, PeriodChange, Invoice, InvoiceDelivery, PlannedMix, PastFacts,
    LineSheet, PastOwner, PastSubstance,
)  # fmt: skip
