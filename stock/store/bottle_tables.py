"""Tables of bottles, places, and the bookings that change bottles."""

from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, one_of, refers_to


class Place(Table):
    """A place for bottles: its kind, its limits and its temperatures."""

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

    Undoing a mix also undoes its steps and its close, and undoing an import all that its file booked. Each of these has
    an undo of its own, whose `with_undo` is the undo that the person asked for.
    """

    kind = pw.TextField(constraints=[one_of("kind", words.BOOKING_KINDS)])
    at = InstantField()
    day = DayField(index=True)
    booked_at = InstantField()
    note = pw.TextField(default="")
    undoes = refers_to("self", null=True, unique=True)
    with_undo = refers_to("self", null=True, index=False)


class Undone(Table):
    """The bookings that are undone at present, each with its undo; a redo deletes the row."""

    booking = refers_to(Booking, primary_key=True)
    by = refers_to(Booking, unique=True)


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
    """A mix made at the bench for one spray session; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    job = refers_to(Job, null=True)
    needle_um = pw.IntegerField(null=True)


class Bottle(Table):
    """One container; the ledger alone changes `on_hand_ul`. With `opened_unknown`, `opened_on` is its earliest day.

    `opening_stock` marks a bottle from before the books began. `owner` is empty for the studio's own. `priced_ul` is
    the volume that the price was paid for if the bottle was bought part-used; None if it was paid for a full one.
    """

    product = refers_to(Product)
    delivery = refers_to(Booking)
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
    place = refers_to(Place, null=True)
    tare_mg = pw.BigIntegerField(null=True)
    price_minor = pw.BigIntegerField(null=True)
    left_of = refers_to(Mix, null=True)
    container = pw.TextField(null=True, constraints=[one_of("container", words.CONTAINERS)])
    opened_unknown = pw.BooleanField(default=False)
    opening_stock = pw.BooleanField(default=False)
    owner = pw.TextField(default="")
    priced_ul = pw.BigIntegerField(null=True, constraints=[pw.Check("priced_ul > 0")])


class Silence(Table):
    """A silence of a caution rule for a product, a pair of products, a bottle or a place; the newest row counts.

    `other` is the second product of a pair. From the day `asked_again_on` the finding is shown again. A row that ends
    on its own day ends an earlier one.
    """

    code = pw.TextField(index=True)
    product = refers_to(Product, null=True)
    other = refers_to(Product, null=True)
    bottle = refers_to(Bottle, null=True)
    place = refers_to(Place, null=True)
    reason = pw.TextField()
    asked_again_on = DayField()
    at = InstantField()


class CardTest(Table):
    """A test on a card by which a bottle past its day is good until a day; the newest row counts."""

    bottle = refers_to(Bottle)
    asked_again_on = DayField()
    note = pw.TextField(default="")
    at = InstantField()


class Movement(Table):
    """One signed change of volume in one bottle; append-only.

    The proof of the books counts it as `proof_kind`: its own kind, or for a reversal that of the reversed movement.
    """

    bottle = refers_to(Bottle, index=False)
    booking = refers_to(Booking)
    kind = pw.TextField(constraints=[one_of("kind", words.MOVEMENT_KINDS)])
    change_ul = pw.BigIntegerField()
    at = InstantField()
    reverses = refers_to("self", null=True, unique=True)
    proof_kind = pw.TextField(constraints=[one_of("proof_kind", words.MOVEMENT_KINDS[:-1])])

    class Meta:
        indexes = ((("bottle", "at"), False),)


FILLED = "kind IN ('moved_in', 'kept')"
"""Movements that fill a bottle from others; there are few, and the costs of every month need them."""
Movement.add_index(pw.SQL(f'CREATE INDEX "movement_filled" ON "movement" ("id") WHERE {FILLED}'))


class BottleChange(Table):
    """A change of a bottle other than of its volume (opened, moved, discarded); the undo restores `before`."""

    booking = refers_to(Booking)
    bottle = refers_to(Bottle)
    field = pw.TextField()
    before = pw.TextField(null=True)
    after = pw.TextField(null=True)
