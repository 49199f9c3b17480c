"""The tables of a studio's books.

Whole numbers all: microlitres (`_ul`), milligrams (`_mg`), the currency's minor unit (`_minor`), thousandths of a
per cent (`_milli`) and of a degree C (`_mc`), micrometres (`_um`). Days are the studio's own, instants UTC.
A booking is one errand at the shelf or bench, whole. A mix, wash, count or order carries its booking's number.
"""

from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.product_tables import DataSheet as DataSheet  # noqa: PLC0414 - handed on
from stock.store.product_tables import Dosing as Dosing  # noqa: PLC0414 - handed on
from stock.store.product_tables import FigureSource as FigureSource  # noqa: PLC0414 - handed on
from stock.store.product_tables import Line as Line  # noqa: PLC0414 - handed on
from stock.store.product_tables import LineNotWith as LineNotWith  # noqa: PLC0414 - handed on
from stock.store.product_tables import LinePack as LinePack  # noqa: PLC0414 - handed on
from stock.store.product_tables import LineProduct as LineProduct  # noqa: PLC0414 - handed on
from stock.store.product_tables import LineSheet as LineSheet  # noqa: PLC0414 - handed on
from stock.store.product_tables import LineSolvent as LineSolvent  # noqa: PLC0414 - handed on
from stock.store.product_tables import NotWith as NotWith  # noqa: PLC0414 - handed on
from stock.store.product_tables import Pack as Pack  # noqa: PLC0414 - handed on
from stock.store.product_tables import PastFacts as PastFacts  # noqa: PLC0414 - handed on
from stock.store.product_tables import Product as Product  # noqa: PLC0414 - handed on
from stock.store.product_tables import Solvent as Solvent  # noqa: PLC0414 - handed on
from stock.store.product_tables import Supplier as Supplier  # noqa: PLC0414 - handed on
from stock.store.studio_tables import OwnSubstance as OwnSubstance  # noqa: PLC0414 - handed on
from stock.store.studio_tables import PastSubstance as PastSubstance  # noqa: PLC0414 - handed on
from stock.store.studio_tables import PeriodChange as PeriodChange  # noqa: PLC0414 - handed on
from stock.store.studio_tables import RuleChoice as RuleChoice  # noqa: PLC0414 - handed on
from stock.store.studio_tables import SheetMap as SheetMap  # noqa: PLC0414 - handed on
from stock.store.studio_tables import Studio as Studio  # noqa: PLC0414 - handed on
from stock.store.studio_tables import Training as Training  # noqa: PLC0414 - handed on
from stock.store.table import Table, one_of
from stock.store.table import database as database  # noqa: PLC0414 - handed on: who knows the tables asks here


class Place(Table):
    """Where bottles stand, what kind of place it is and what it may hold."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    kind = pw.TextField(default="shelf", constraints=[one_of("kind", words.PLACE_KINDS)])
    premises = pw.TextField(null=True, constraints=[one_of("premises", words.PREMISES)])
    building = pw.TextField(default="")
    flammable_limit_ul = pw.BigIntegerField(null=True)
    flammable_limit_mg = pw.BigIntegerField(null=True)
    low_mc = pw.IntegerField(null=True)
    high_mc = pw.IntegerField(null=True)
    ignition = pw.BooleanField(null=True)
    note = pw.TextField(default="")
    taken_back = pw.BooleanField(default=False)


class Booking(Table):
    """One errand, booked whole; append-only. `at` is when it happened, `booked_at` when it was written.

    An undo may take other bookings along: a mix takes its steps and its close, an import all that its file booked.
    Each of those is taken back by an undo of its own, whose `with_undo` names the undo that the person asked for.
    """

    kind = pw.TextField(constraints=[one_of("kind", words.BOOKING_KINDS)])
    at = InstantField()
    day = DayField(index=True)
    booked_at = InstantField()
    note = pw.TextField(default="")
    undoes = pw.ForeignKeyField("self", null=True, unique=True, on_delete="RESTRICT")
    with_undo = pw.ForeignKeyField(
        "self", null=True, index=False, backref="undone_along", on_delete="RESTRICT"
    )


class Undone(Table):
    """Bookings that don't stand at present, and the undo that took each back; a redo takes the row away."""

    booking = pw.ForeignKeyField(Booking, primary_key=True, on_delete="RESTRICT")
    by = pw.ForeignKeyField(Booking, unique=True, on_delete="RESTRICT")


class Request(Table):
    """A caller's own key for an errand and the answer it got, so that a repeat books nothing."""

    key = pw.TextField(primary_key=True)
    kind = pw.TextField()
    booking = pw.ForeignKeyField(Booking, on_delete="RESTRICT")
    answer = pw.TextField()


class Job(Table):
    """A piece of work that mixes are booked to."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    customer = pw.TextField(default="")
    opened_on = DayField()
    due_on = DayField(null=True)
    closed_on = DayField(null=True)
    note = pw.TextField(default="")
    worked_min = pw.IntegerField(null=True, constraints=[pw.Check("worked_min >= 0")])
    taken_back = pw.BooleanField(default=False)


class Mix(Table):
    """What was made at the bench for one spray session; its number is its booking's."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    job = pw.ForeignKeyField(Job, null=True, backref="mixes", on_delete="RESTRICT")
    needle_um = pw.IntegerField(null=True)


class Invoice(Table):
    """A supplier's invoice, or its part at one tax rate."""

    number = pw.TextField()
    supplier = pw.ForeignKeyField(Supplier, backref="invoices", on_delete="RESTRICT")
    dated_on = DayField()
    net_minor = pw.BigIntegerField(constraints=[pw.Check("net_minor >= 0")])
    tax_milli = pw.IntegerField(constraints=[pw.Check("tax_milli BETWEEN 0 AND 100000")])
    gross_minor = pw.BigIntegerField(constraints=[pw.Check("gross_minor >= 0")])

    class Meta:
        indexes = ((("supplier", "number", "tax_milli"), True),)


class InvoiceDelivery(Table):
    """A delivery that an invoice is for."""

    invoice = pw.ForeignKeyField(Invoice, backref="deliveries", on_delete="RESTRICT")
    delivery = pw.ForeignKeyField(Booking, backref="invoices", on_delete="RESTRICT")

    class Meta:
        indexes = ((("invoice", "delivery"), True),)


class Step(Table):
    """What was added to a mix; `left_ul` is what the cup held, if some was sprayed.

    `purpose` says whether it was too thick or too thin before, or neither (a tint, more of it). Older books don't say:
    there reducer was for a mix that was too thick, paint for one that was too thin.
    """

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    mix = pw.ForeignKeyField(Mix, backref="steps", on_delete="RESTRICT")
    left_ul = pw.BigIntegerField(null=True, constraints=[pw.Check("left_ul > 0")])
    purpose = pw.TextField(null=True, constraints=[one_of("purpose", words.STEP_PURPOSES)])


class Close(Table):
    """How a mix ended: its outcome, what was left, and the settings it was sprayed with."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    mix = pw.ForeignKeyField(Mix, backref="closes", on_delete="RESTRICT")
    outcome = pw.TextField(constraints=[one_of("outcome", words.OUTCOMES)])
    left_ul = pw.BigIntegerField(default=0, constraints=[pw.Check("left_ul >= 0")])
    kept = pw.BooleanField(default=False)
    needle_um = pw.IntegerField(null=True)
    pressure_pa = pw.IntegerField(null=True)
    room_mc = pw.IntegerField(null=True)
    humidity_milli = pw.IntegerField(null=True)


class CupTime(Table):
    """A time of flow noted for a paint: the target to thin to, or a reading of a mix as it stood."""

    product = pw.ForeignKeyField(Product, backref="cup_times", on_delete="RESTRICT")
    mix = pw.ForeignKeyField(Mix, null=True, backref="cup_times", on_delete="RESTRICT")
    cup = pw.TextField()
    milliseconds = pw.IntegerField(constraints=[pw.Check("milliseconds > 0")])
    liquid_mc = pw.IntegerField(null=True)
    reduction_milli = pw.IntegerField(null=True)
    target = pw.BooleanField(default=False)
    noted_at = InstantField()


class Bottle(Table):
    """One container; the ledger alone changes `on_hand_ul`. With `opened_unknown`, `opened_on` is its earliest day.

    `opening_stock` was there before the books began. `owner` is whose it is, empty for the studio's. `priced_ul` is
    what the price was paid for, where it was bought part-used; without it the price is its size's.
    """

    product = pw.ForeignKeyField(Product, backref="bottles", on_delete="RESTRICT")
    delivery = pw.ForeignKeyField(Booking, on_delete="RESTRICT")
    label = pw.TextField(null=True, unique=True)
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    on_hand_ul = pw.BigIntegerField(constraints=[pw.Check("on_hand_ul >= 0")])
    lot = pw.TextField(default="")
    received_on = DayField()
    opened_on = DayField(null=True)
    best_before = DayField(null=True)
    made_on = DayField(null=True)
    frozen_on = DayField(null=True)
    discarded_on = DayField(null=True)
    place = pw.ForeignKeyField(Place, null=True, backref="bottles", on_delete="RESTRICT")
    tare_mg = pw.BigIntegerField(null=True)
    price_minor = pw.BigIntegerField(null=True)
    left_of = pw.ForeignKeyField(Mix, null=True, on_delete="RESTRICT")
    container = pw.TextField(null=True, constraints=[one_of("container", words.CONTAINERS)])
    opened_unknown = pw.BooleanField(default=False)
    opening_stock = pw.BooleanField(default=False)
    owner = pw.TextField(default="")
    priced_ul = pw.BigIntegerField(null=True, constraints=[pw.Check("priced_ul > 0")])


class PastOwner(Table):
    """Whose a bottle was until a day, where that changed after it; empty for the studio."""

    bottle = pw.ForeignKeyField(Bottle, backref="past_owners", on_delete="RESTRICT")
    until = DayField()
    owner = pw.TextField(default="")

    class Meta:
        indexes = ((("bottle", "until"), True),)


class Silence(Table):
    """A caution rule that isn't shown for one product, two together, one bottle or one place; the newest row rules.

    `other` is the second of two products, where the rule is about what meets.
    On the day `asked_again_on` it is shown again. A row for that very day ends an earlier one.
    """

    code = pw.TextField(index=True)
    product = pw.ForeignKeyField(Product, null=True, backref="silences", on_delete="RESTRICT")
    other = pw.ForeignKeyField(Product, null=True, backref="silences_beside", on_delete="RESTRICT")
    bottle = pw.ForeignKeyField(Bottle, null=True, backref="silences", on_delete="RESTRICT")
    place = pw.ForeignKeyField(Place, null=True, backref="silences", on_delete="RESTRICT")
    reason = pw.TextField()
    asked_again_on = DayField()
    at = InstantField()


class CardTest(Table):
    """A bottle past its day that was tested on a card and found good until a day; the newest row rules."""

    bottle = pw.ForeignKeyField(Bottle, backref="card_tests", on_delete="RESTRICT")
    asked_again_on = DayField()
    note = pw.TextField(default="")
    at = InstantField()


class Movement(Table):
    """One signed change of volume in one bottle; append-only.

    When the books are proven it counts as `proof_kind`: its own, or for a reversal that of what it reverses.
    """

    bottle = pw.ForeignKeyField(Bottle, backref="movements", index=False, on_delete="RESTRICT")
    booking = pw.ForeignKeyField(Booking, backref="movements", on_delete="RESTRICT")
    kind = pw.TextField(constraints=[one_of("kind", words.MOVEMENT_KINDS)])
    change_ul = pw.BigIntegerField()
    at = InstantField()
    reverses = pw.ForeignKeyField("self", null=True, unique=True, on_delete="RESTRICT")
    proof_kind = pw.TextField(constraints=[one_of("proof_kind", words.MOVEMENT_KINDS[:-1])])

    class Meta:
        indexes = ((("bottle", "at"), False),)


FILLED = "kind IN ('moved_in', 'kept')"
"""Movements that fill a bottle from others; few, and asked for by the costs of every month."""
Movement.add_index(pw.SQL(f'CREATE INDEX "movement_filled" ON "movement" ("id") WHERE {FILLED}'))


class Pour(Table):
    """One component's share of a mix from one bottle: what the movement was for."""

    movement = pw.ForeignKeyField(Movement, primary_key=True, on_delete="RESTRICT")
    mix = pw.ForeignKeyField(Mix, backref="pours", on_delete="RESTRICT")
    part = pw.TextField(constraints=[one_of("part", words.PARTS)])


class BottleChange(Table):
    """What else an errand changed on a bottle (opened, moved, discarded): the undo restores `before`."""

    booking = pw.ForeignKeyField(Booking, backref="bottle_changes", on_delete="RESTRICT")
    bottle = pw.ForeignKeyField(Bottle, backref="changes", on_delete="RESTRICT")
    field = pw.TextField()
    before = pw.TextField(null=True)
    after = pw.TextField(null=True)


class Wash(Table):
    """A cleaning; its number is its booking's."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    mix = pw.ForeignKeyField(Mix, null=True, backref="washes", on_delete="RESTRICT")


class Count(Table):
    """What a person measured in a bottle, how surely, and where the difference went; its number is its booking's."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    bottle = pw.ForeignKeyField(Bottle, backref="counts", on_delete="RESTRICT")
    method = pw.TextField(constraints=[one_of("method", ("volume", "level", "weight"))])
    measured_ul = pw.BigIntegerField()
    expected_ul = pw.BigIntegerField()
    uncertainty_ul = pw.BigIntegerField(null=True)
    reason = pw.TextField(null=True, constraints=[one_of("reason", words.COUNT_REASONS)])


class Order(Table):
    """What was ordered from one supplier in one go; its number is its booking's."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    supplier = pw.ForeignKeyField(Supplier, null=True, backref="orders", on_delete="RESTRICT")
    expected_on = DayField(null=True)

    class Meta:
        table_name = "orders"


class OrderLine(Table):
    """One product and size of an order."""

    order = pw.ForeignKeyField(Order, backref="lines", on_delete="RESTRICT")
    product = pw.ForeignKeyField(Product, backref="order_lines", on_delete="RESTRICT")
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    packs = pw.IntegerField(constraints=[pw.Check("packs > 0")])
    price_minor = pw.BigIntegerField(null=True)


class OrderEvent(Table):
    """Packs of an order line that came (with the delivery's booking) or were cancelled; append-only."""

    booking = pw.ForeignKeyField(Booking, on_delete="RESTRICT")
    line = pw.ForeignKeyField(OrderLine, backref="events", on_delete="RESTRICT")
    packs = pw.IntegerField(constraints=[pw.Check("packs > 0")])
    cancelled = pw.BooleanField(default=False)


class PlannedUse(Table):
    """A job's known future need of a product on a day; its number is its booking's."""

    id = pw.ForeignKeyField(Booking, primary_key=True, column_name="id", on_delete="RESTRICT")
    product = pw.ForeignKeyField(Product, backref="planned_uses", on_delete="RESTRICT")
    job = pw.ForeignKeyField(Job, null=True, backref="planned_uses", on_delete="RESTRICT")
    volume_ul = pw.BigIntegerField(constraints=[pw.Check("volume_ul > 0")])
    needed_on = DayField()


class Recipe(Table):
    """A named set of parts by volume that can be mixed at any size."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    note = pw.TextField(default="")


class RecipePart(Table):
    """One product of a recipe and its share in parts by volume."""

    recipe = pw.ForeignKeyField(Recipe, backref="parts", on_delete="RESTRICT")
    product = pw.ForeignKeyField(Product, on_delete="RESTRICT")
    part = pw.TextField(constraints=[one_of("part", words.PARTS)])
    parts_milli = pw.IntegerField(constraints=[pw.Check("parts_milli > 0")])

    class Meta:
        indexes = ((("recipe", "product"), True),)


class Weighing(Table):
    """What a scale showed, and the figure that was worked out from it; append-only.

    Of a `count` and of a `pour`, the density gave the volume; of a `density`, the volume gave the density; of a `tare`,
    a full bottle's volume and density gave the empty bottle's weight. `tare_mg` is what stood on the scale without the
    liquid: the empty bottle or cup, or the reading before a pour; `reading_mg` is below it where a bottle was poured
    from. Uncertainties are standard uncertainties.
    """

    product = pw.ForeignKeyField(Product, backref="weighings", on_delete="RESTRICT")
    bottle = pw.ForeignKeyField(Bottle, null=True, backref="weighings", on_delete="RESTRICT")
    booking = pw.ForeignKeyField(Booking, null=True, backref="weighings", on_delete="RESTRICT")
    gave = pw.TextField(constraints=[one_of("gave", words.WEIGHED)])
    reading_mg = pw.BigIntegerField()
    tare_mg = pw.BigIntegerField()
    resolution_mg = pw.BigIntegerField(constraints=[pw.Check("resolution_mg > 0")])
    density_ug_per_ml = pw.IntegerField(constraints=[pw.Check("density_ug_per_ml > 0")])
    density_error_ug_per_ml = pw.IntegerField(null=True)
    volume_ul = pw.BigIntegerField()
    uncertainty_ul = pw.BigIntegerField()
    at = InstantField()


class PlannedMix(Table):
    """A mix that a job still needs, by a recipe and a size; `mix` is the one that was made of it."""

    job = pw.ForeignKeyField(Job, backref="planned_mixes", on_delete="RESTRICT")
    recipe = pw.ForeignKeyField(Recipe, on_delete="RESTRICT")
    total_ul = pw.BigIntegerField(constraints=[pw.Check("total_ul > 0")])
    mix = pw.ForeignKeyField(Mix, null=True, on_delete="RESTRICT")


TABLES: tuple[type[Table], ...] = (
    Studio, Supplier, Product, Pack, Solvent, NotWith, DataSheet, Dosing, Place, Booking, Undone, Request, Job, Mix,
    Step, Close, CupTime, Bottle, Movement, Pour, BottleChange, Wash, Count, Order, OrderLine, OrderEvent, PlannedUse,
    Recipe, RecipePart, RuleChoice, SheetMap, Training, Weighing, Line, LinePack, LineSolvent, LineNotWith, LineProduct,
    OwnSubstance, FigureSource, Silence, CardTest, PeriodChange, Invoice, InvoiceDelivery, PlannedMix, PastFacts,
    LineSheet, PastOwner, PastSubstance,
)  # fmt: skip
APPEND_ONLY: tuple[type[Table], ...] = (Movement, Booking, Pour, BottleChange, Weighing, PeriodChange)
