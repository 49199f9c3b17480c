"""Bottles and where they stand, and the bookings that changed them."""

from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, one_of, refers_to


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
    undoes = refers_to("self", null=True, unique=True)
    with_undo = refers_to("self", null=True, index=False)


class Undone(Table):
    """Bookings that don't stand at present, and the undo that took each back; a redo takes the row away."""

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
    """What was made at the bench for one spray session; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    job = refers_to(Job, null=True)
    needle_um = pw.IntegerField(null=True)


class Bottle(Table):
    """One container; the ledger alone changes `on_hand_ul`. With `opened_unknown`, `opened_on` is its earliest day.

    `opening_stock` was there before the books began. `owner` is whose it is, empty for the studio's. `priced_ul` is
    what the price was paid for, where it was bought part-used; without it the price is its size's.
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
    """A caution rule that isn't shown for one product, two together, one bottle or one place; the newest row rules.

    `other` is the second of two products, where the rule is about what meets.
    On the day `asked_again_on` it is shown again. A row for that very day ends an earlier one.
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
    """A bottle past its day that was tested on a card and found good until a day; the newest row rules."""

    bottle = refers_to(Bottle)
    asked_again_on = DayField()
    note = pw.TextField(default="")
    at = InstantField()


class Movement(Table):
    """One signed change of volume in one bottle; append-only.

    When the books are proven it counts as `proof_kind`: its own, or for a reversal that of what it reverses.
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
"""Movements that fill a bottle from others; few, and asked for by the costs of every month."""
Movement.add_index(pw.SQL(f'CREATE INDEX "movement_filled" ON "movement" ("id") WHERE {FILLED}'))


class BottleChange(Table):
    """What else an errand changed on a bottle (opened, moved, discarded): the undo restores `before`."""

    booking = refers_to(Booking)
    bottle = refers_to(Bottle)
    field = pw.TextField()
    before = pw.TextField(null=True)
    after = pw.TextField(null=True)
