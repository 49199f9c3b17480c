"""Weighings in the books: the sources of counts, pours and tares, and densities that were learnt by weighing."""

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from stock import clock
from stock.bench import weighing
from stock.bench.known_density import known_density
from stock.bench.weighing import Measured
from stock.errors import BadInput, NotFound
from stock.grammar import plain_figure
from stock.language import _
from stock.ledger import Answer
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.shelf import bottle_facts, products
from stock.shelf.bottles import numbered, usable
from stock.store.connection import connection, writing
from stock.store.models import Product, Weighing
from stock.units import Microlitres, Milligrams, from_thousandths, ml, show_mass, show_volume

if TYPE_CHECKING:
    from stock.bench.mixing import PlannedPour


def note(gave: str, product: int, measured: Measured, *, bottle: int | None, booking: int | None) -> None:
    """Keep a weighing as the source of a volume or a density; called in the transaction that books that.

    Args:
        gave: `count`, `pour` or `density`.
        product: its number.
        measured: the volume with the weighing that it comes from.
        bottle: the bottle's number, if it is about one.
        booking: of the count or the mix; None for a density.
    """
    weighed = measured.weighed
    assert weighed is not None
    Weighing.insert(
        product=product,
        bottle=bottle,
        booking=booking,
        gave=gave,
        reading_mg=weighed.reading_mg,
        tare_mg=weighed.tare_mg,
        resolution_mg=weighed.resolution_mg,
        density_ug_per_ml=weighed.density_ug_per_ml,
        density_error_ug_per_ml=weighed.density_error_ug_per_ml,
        volume_ul=measured.volume_ul,
        uncertainty_ul=measured.uncertainty_ul,
        at=clock.now(),
    ).execute()


class WeighableBottle(NamedTuple):
    """A bottle with the facts that its weight is judged by.

    Args:
        bottle: its number.
        product: its product's name.
        product_id: its product's number.
        on_hand_ul: what the books say it holds, microlitres.
        size_ul: its size.
        sealed: whether it is full and was never opened.
        tare_mg: its empty weight, milligrams; None where it is not known.
        tare_of_pack: whether that is of another bottle of its size.
        density_ug_per_ml: of its product; None where it is not known.
        density_error_ug_per_ml: standard uncertainty of that, where it was weighed.
        books_error_ul: standard uncertainty of what the books say.
    """

    bottle: int
    product: str
    product_id: int
    on_hand_ul: Microlitres
    size_ul: Microlitres
    sealed: bool
    tare_mg: Milligrams | None
    tare_of_pack: bool
    density_ug_per_ml: int | None
    density_error_ug_per_ml: int | None
    books_error_ul: Microlitres

    def measured(
        self, reading_mg: Milligrams, resolution_mg: Milligrams, tare_mg: Milligrams | None = None
    ) -> Measured:
        """The volume that is in it, worked out from its weight.

        Args:
            reading_mg: what the scale shows with the bottle on it.
            resolution_mg: the last digit of the scale.
            tare_mg: its empty weight, measured just now; what is known when None.
        Raises:
            NotFound: its density or its empty weight is not known.
            BadInput: it is lighter than the empty bottle.
        """
        density = known_density(self.product, self.density_ug_per_ml)
        tare = self.tare_mg if tare_mg is None else tare_mg
        if tare is None:
            raise NotFound(
                _("the empty weight of this bottle is not known"),
                remedy=_("Type it, or weigh an empty one of its size"),
            )
        new = tare_mg is not None and tare_mg != self.tare_mg
        return weighing.by_weight(
            weighing.Weighed(
                reading_mg, tare, density, resolution_mg, self.density_error_ug_per_ml,
                tare_of_pack=self.tare_of_pack and not new, tare_is_new=new,
            )
        )  # fmt: skip

    def drift(self, measured: Measured) -> weighing.Difference:
        """How far the books are from what was measured, and whether measuring alone explains it."""
        return weighing.compare(measured, self.on_hand_ul, self.books_error_ul)


class WeighedPour(NamedTuple):
    """One pour of a mix as the scale showed it."""

    product: int
    bottle: int
    measured: Measured


def note_pours(mix: int, pours: Sequence[WeighedPour]) -> None:
    """Keep the weighings of a mix that was just booked; a second call for the same mix changes nothing."""
    with connection(), writing():
        if Weighing.select().where(Weighing.booking == mix).exists():
            return
        for pour in pours:
            note("pour", pour.product, pour.measured, bottle=pour.bottle, booking=mix)


def note_typed(
    booking: int, pours: "Sequence[PlannedPour]", weighed: Sequence[tuple[str, Milligrams, Milligrams]]
) -> None:
    """Keep the weighings of a mix or step whose amounts were typed as weights; called in the transaction that books it.

    A part has no weighing if another volume of it was poured, because the mix was scaled or the paint named twice.

    Args:
        booking: of the mix or step.
        pours: what it takes.
        weighed: (product, scale before, scale after), milligrams.
    """
    for name, before_mg, after_mg in weighed:
        product = products.find(name)
        mine = [pour for pour in pours if pour.product_id == product.id]
        density = known_density(product.name, product.density_ug_per_ml)
        measured = weighing.by_weight(
            weighing.Weighed(
                after_mg,
                before_mg,
                density,
                density_error_ug_per_ml=products.density_error(product.id, density),
            )
        )
        if measured.volume_ul == sum(pour.volume_ul for pour in mine):
            bottle = mine[0].bottle if len(mine) == 1 else None
            note("pour", product.id, measured, bottle=bottle, booking=booking)


def teach_density(
    product: str,
    gross_mg: Milligrams,
    tare_mg: Milligrams,
    volume_ul: Microlitres,
    *,
    resolution_mg: Milligrams = weighing.SCALE_MG,
    limit_ul: Microlitres | None = None,
) -> Answer:
    """Note a product's density from a measured volume and its weight, with the uncertainty that follows from both.

    Args:
        product: its name.
        gross_mg: the cup with the liquid, milligrams.
        tare_mg: the empty cup.
        volume_ul: what was measured out, microlitres.
        resolution_mg: the last digit of the scale.
        limit_ul: the limit of error of the volume; that of a syringe when None.
    Returns:
        `{"product", "density_g_per_ml", "uncertainty_g_per_ml", "net_g", "volume_ml", "before_g_per_ml"}`.
    Raises:
        NotFound, Ambiguous: the product.
        BadInput: no liquid has such a density, or the volume's error is as large as the volume.
    """
    if limit_ul is not None and limit_ul * 2 >= volume_ul:
        raise BadInput(
            _("a volume that may be wrong by half teaches no density"),
            remedy=_("Measure it with a syringe or a pipette"),
        )
    with connection(), writing():
        found = products.find(product)
        net_mg = Milligrams(gross_mg - tare_mg)
        learnt = weighing.density_of(net_mg, volume_ul, resolution_mg=resolution_mg, limit_ul=limit_ul)
        before = found.density_ug_per_ml
        products.change(
            found.name, {"density": plain_figure(Fraction(learnt.density_ug_per_ml, 1_000_000), 6)}
        )
        weighed = weighing.Weighed(
            gross_mg, tare_mg, learnt.density_ug_per_ml, resolution_mg, learnt.error_ug_per_ml
        )
        volume = weighing.limited(volume_ul, limit_ul)._replace(weighed=weighed)
        note("density", found.id, volume, bottle=None, booking=None)
    return {
        "product": found.name,
        "density_g_per_ml": learnt.density_ug_per_ml / 1_000_000,
        "uncertainty_g_per_ml": learnt.error_ug_per_ml / 1_000_000,
        "net_g": from_thousandths(net_mg),
        "volume_ml": ml(volume_ul),
        "before_g_per_ml": None if before is None else before / 1_000_000,
    }


def teach_tare(bottle: str, gross_mg: Milligrams, *, resolution_mg: Milligrams = weighing.SCALE_MG) -> Answer:
    """Note what a sealed bottle will weigh when it is empty: its weight less the weight of its contents.

    Returns:
        What `bottle_facts.note_tare` returns.
    Raises:
        NotFound: no such bottle, or the density of its product is not known.
        BadInput: it isn't sealed and full, or weighs less than its contents should.
    """
    with connection(), writing():
        found = usable(numbered(bottle))
        product = Product.get_by_id(found.product_id)
        if found.opened_on is not None or found.on_hand_ul != found.size_ul:
            raise BadInput(
                _("bottle {id} was opened, so what is in it isn't certain", id=found.id),
                remedy=Remedy(
                    _("Weigh an empty bottle of its size and give that weight "), Option("tare", "20.15g")
                ),
            )
        density = known_density(product.name, product.density_ug_per_ml)
        tare_mg = Milligrams(gross_mg - round(Fraction(found.size_ul * density, 1_000_000)))
        if tare_mg <= 0:
            raise BadInput(
                _(
                    "{gross_mg} is less than {size_ul} of {name} weighs",
                    gross_mg=show_mass(gross_mg),
                    size_ul=show_volume(found.size_ul),
                    name=product.name,
                ),
                remedy=_("Weigh the whole bottle with its cap, and check the density"),
            )
        weighed = weighing.Weighed(
            gross_mg, tare_mg, density, resolution_mg, products.density_error(product.id, density)
        )
        full = weighing.by_weight(weighed)
        note("tare", product.id, full, bottle=found.id, booking=None)
        return bottle_facts.note_tare(bottle, tare_mg)


def density_words(answer: Answer) -> str:
    """A density that was learnt, as a sentence; twice the standard uncertainty is about 95 % (GUM 6.3.3)."""
    figure = plain_figure(Fraction(str(answer["density_g_per_ml"])))
    twice = plain_figure(Fraction(str(answer["uncertainty_g_per_ml"])) * weighing.COVERAGE)
    return _(
        "{product}: {figure} g/ml, give or take {twice}",
        product=answer["product"],
        figure=figure,
        twice=twice,
    )
