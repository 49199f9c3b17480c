"""Tables of work at the bench: pours, steps, closes, washes, counts, weighings and recipes."""

from stock.store import words
from stock.store.bottle_tables import Booking, Bottle, Job, Mix, Movement
from stock.store.fields import InstantField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, one_of, refers_to


class Request(Table):
    """A caller's own key for an errand and the answer it got, so that a repeat books nothing."""

    key = pw.TextField(primary_key=True)
    kind = pw.TextField()
    booking = refers_to(Booking)
    answer = pw.TextField()


class Step(Table):
    """An addition to a mix; `left_ul` is what the cup held before it, if some was sprayed.

    `purpose` says whether the mix was too thick or too thin, or neither (a tint, more of it). Older books lack it:
    there reducer means a mix that was too thick, and paint one that was too thin.
    """

    id = refers_to(Booking, primary_key=True, column_name="id")
    mix = refers_to(Mix)
    left_ul = pw.BigIntegerField(null=True, constraints=[pw.Check("left_ul > 0")])
    purpose = pw.TextField(null=True, constraints=[one_of("purpose", words.STEP_PURPOSES)])


class Close(Table):
    """The end of a mix: its outcome, its leftover, and the settings with which it was sprayed."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    mix = refers_to(Mix)
    outcome = pw.TextField(constraints=[one_of("outcome", words.OUTCOMES)])
    left_ul = pw.BigIntegerField(default=0, constraints=[pw.Check("left_ul >= 0")])
    kept = pw.BooleanField(default=False)
    needle_um = pw.IntegerField(null=True)
    pressure_pa = pw.IntegerField(null=True)
    room_mc = pw.IntegerField(null=True)
    humidity_milli = pw.IntegerField(null=True)


class CupTime(Table):
    """A flow time noted for a paint: a target for thinning, or a reading of a mix."""

    product = refers_to(Product)
    mix = refers_to(Mix, null=True)
    cup = pw.TextField()
    milliseconds = pw.IntegerField(constraints=[pw.Check("milliseconds > 0")])
    liquid_mc = pw.IntegerField(null=True)
    reduction_milli = pw.IntegerField(null=True)
    target = pw.BooleanField(default=False)
    noted_at = InstantField()


class Pour(Table):
    """One component's share of a mix from one bottle; says what a movement was for."""

    movement = refers_to(Movement, primary_key=True)
    mix = refers_to(Mix)
    part = pw.TextField(constraints=[one_of("part", words.PARTS)])


class Wash(Table):
    """A cleaning; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    mix = refers_to(Mix, null=True)


class Count(Table):
    """A measured volume in a bottle, its uncertainty, and the reason of a difference; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    bottle = refers_to(Bottle)
    method = pw.TextField(constraints=[one_of("method", ("volume", "level", "weight"))])
    measured_ul = pw.BigIntegerField()
    expected_ul = pw.BigIntegerField()
    uncertainty_ul = pw.BigIntegerField(null=True)
    reason = pw.TextField(null=True, constraints=[one_of("reason", words.COUNT_REASONS)])


class Recipe(Table):
    """A named set of parts by volume that can be mixed at any size."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    note = pw.TextField(default="")


class RecipePart(Table):
    """One product of a recipe and its share in parts by volume."""

    recipe = refers_to(Recipe)
    product = refers_to(Product)
    part = pw.TextField(constraints=[one_of("part", words.PARTS)])
    parts_milli = pw.IntegerField(constraints=[pw.Check("parts_milli > 0")])

    class Meta:
        indexes = ((("recipe", "product"), True),)


class PlannedMix(Table):
    """A mix that a job still needs, by a recipe and a size; `mix` is the one that was made of it."""

    job = refers_to(Job)
    recipe = refers_to(Recipe)
    total_ul = pw.BigIntegerField(constraints=[pw.Check("total_ul > 0")])
    mix = refers_to(Mix, null=True)


class Weighing(Table):
    """A reading of a scale and the figure worked out from it; append-only.

    For a `count` and a `pour` the density gives the volume; for a `density` the volume gives the density; for a `tare`
    a full bottle's volume and density give the weight of the empty one. `tare_mg` is the weight without the liquid: the
    empty bottle or cup, or the reading before a pour. `reading_mg` is below it if a bottle was weighed while poured
    from. Uncertainties are standard uncertainties.
    """

    product = refers_to(Product)
    bottle = refers_to(Bottle, null=True)
    booking = refers_to(Booking, null=True)
    gave = pw.TextField(constraints=[one_of("gave", words.WEIGHED)])
    reading_mg = pw.BigIntegerField()
    tare_mg = pw.BigIntegerField()
    resolution_mg = pw.BigIntegerField(constraints=[pw.Check("resolution_mg > 0")])
    density_ug_per_ml = pw.IntegerField(constraints=[pw.Check("density_ug_per_ml > 0")])
    density_error_ug_per_ml = pw.IntegerField(null=True)
    volume_ul = pw.BigIntegerField()
    uncertainty_ul = pw.BigIntegerField()
    at = InstantField()
