"""What is done at the bench: what was poured, added, sprayed, washed, counted and weighed, and by which recipe."""

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
    """What was added to a mix; `left_ul` is what the cup held, if some was sprayed.

    `purpose` says whether it was too thick or too thin before, or neither (a tint, more of it). Older books don't say:
    there reducer was for a mix that was too thick, paint for one that was too thin.
    """

    id = refers_to(Booking, primary_key=True, column_name="id")
    mix = refers_to(Mix)
    left_ul = pw.BigIntegerField(null=True, constraints=[pw.Check("left_ul > 0")])
    purpose = pw.TextField(null=True, constraints=[one_of("purpose", words.STEP_PURPOSES)])


class Close(Table):
    """How a mix ended: its outcome, what was left, and the settings it was sprayed with."""

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
    """A time of flow noted for a paint: the target to thin to, or a reading of a mix as it stood."""

    product = refers_to(Product)
    mix = refers_to(Mix, null=True)
    cup = pw.TextField()
    milliseconds = pw.IntegerField(constraints=[pw.Check("milliseconds > 0")])
    liquid_mc = pw.IntegerField(null=True)
    reduction_milli = pw.IntegerField(null=True)
    target = pw.BooleanField(default=False)
    noted_at = InstantField()


class Pour(Table):
    """One component's share of a mix from one bottle: what the movement was for."""

    movement = refers_to(Movement, primary_key=True)
    mix = refers_to(Mix)
    part = pw.TextField(constraints=[one_of("part", words.PARTS)])


class Wash(Table):
    """A cleaning; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    mix = refers_to(Mix, null=True)


class Count(Table):
    """What a person measured in a bottle, how surely, and where the difference went; its number is its booking's."""

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
    """What a scale showed, and the figure that was worked out from it; append-only.

    Of a `count` and of a `pour`, the density gave the volume; of a `density`, the volume gave the density; of a `tare`,
    a full bottle's volume and density gave the empty bottle's weight. `tare_mg` is what stood on the scale without the
    liquid: the empty bottle or cup, or the reading before a pour; `reading_mg` is below it where a bottle was poured
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
