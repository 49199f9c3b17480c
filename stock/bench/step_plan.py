"""A planned step: what is added to an open mix, from which bottles, and what the cup holds then."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from stock import clock
from stock.bench.mixes import MixView
from stock.bench.mixing import PlannedPour
from stock.bench.reduction import Reduction
from stock.bench.stages import Stage
from stock.bench.step_requests import StepRequest
from stock.cautions.facts import Finding
from stock.ledger import Answer
from stock.named_tuples import NamedTuple
from stock.shelf.studio import settings
from stock.units import Microlitres, Milligrams, MilliPercent, from_thousandths, ml, per_cent


class AddedProduct(NamedTuple):
    """What a step adds of one product, from all its bottles.

    Args:
        product: its name.
        part: what it is in the mix.
        volume_ul: how much of it, microlitres.
        drops: the same in drops.
        mass_mg: the same in milligrams; None where its density is not known.
    """

    product: str
    part: str
    volume_ul: Microlitres
    drops: float
    mass_mg: Milligrams | None


class StepPlan(NamedTuple):
    """What a step will add, before it is booked.

    Args:
        mix: the mix before the step.
        request: what was asked; the advised step if nothing was.
        pours: what is added, from which bottles.
        after: what the cup will hold.
        cautions: cautions about the step, and new ones about the mix.
        purpose: whether the mix was too thick, too thin, or neither, as `STEP_PURPOSES` of the books.
        used_milli: how much of the allowed range is used after it, thousandths of a per cent.
        next_milli: the advised next step while it is too thick, thousandths of a per cent of the paint.
    """

    mix: MixView
    request: StepRequest
    pours: tuple[PlannedPour, ...]
    after: Stage
    purpose: str
    cautions: tuple[Finding, ...] = ()
    used_milli: MilliPercent | None = None
    next_milli: MilliPercent = MilliPercent(0)

    @property
    def reduction(self) -> Reduction:
        """The reduction after the step."""
        return Reduction.of(self.after.paint_ul, self.after.reducer_ul)

    @property
    def points(self) -> Fraction | None:
        """Reducer added, in per cent of the paint; None if reducer is added as an amount, or not at all."""
        return self.request.points

    def stops(self, accepted: Sequence[str] = ()) -> list[Finding]:
        """The cautions that refuse the step, unless they are accepted by their code."""
        return [found for found in self.cautions if found.severity == "stop" and found.code not in accepted]

    def as_json(self, step: int | None = None) -> Answer:
        """The answer of `ullage step`."""
        added_ul = sum(pour.volume_ul for pour in self.pours)
        return {
            "mix": self.mix.id,
            "step": step,
            "added_ml": ml(Microlitres(added_ul)),
            "added": [
                {
                    "product": each.product,
                    "part": each.part,
                    "volume_ml": ml(each.volume_ul),
                    "drops": each.drops,
                    "mass_g": from_thousandths(mass_mg) if (mass_mg := each.mass_mg) else None,
                }
                for each in self._by_product()
            ],
            "paint_ml": ml(self.after.paint_ul),
            "reducer_ml": ml(self.after.reducer_ul),
            "total_ml": ml(self.after.total_ul),
            "reduction": self.reduction.as_json(),
            "range_used_percent": None if self.used_milli is None else per_cent(self.used_milli),
            "next_step_percent": per_cent(self.next_milli),
            "pours": [pour.as_json() for pour in self.pours],
            "cautions": [found.in_a_mix() for found in self.cautions],
            "booked": step is not None,
            **(
                {"pot_life": lasts.counted_down(clock.now())}
                if (lasts := self.mix.pot_life) is not None
                else {}
            ),
        }

    def _by_product(self) -> Iterable[AddedProduct]:
        house = settings().drops_milli
        for number in dict.fromkeys(pour.product_id for pour in self.pours):
            of_it = [pour for pour in self.pours if pour.product_id == number]
            volume_ul = sum(pour.volume_ul for pour in of_it)
            drops = round(Fraction(volume_ul * (of_it[0].drops_milli or house), 1_000_000), 1)
            density = of_it[0].density_ug_per_ml
            mass_mg = None if density is None else Milligrams(round(Fraction(volume_ul * density, 1_000_000)))
            yield AddedProduct(of_it[0].product, of_it[0].part, Microlitres(volume_ul), float(drops), mass_mg)
