"""Flow times noted at the bench: a paint's target, and readings of a mix that give an estimate of the next step."""

from typing import Any

from stock import clock
from stock.bench import viscosity
from stock.bench.mixes import mix as mix_view
from stock.bench.viscosity import Cup, CupReading
from stock.errors import BadInput
from stock.grammar import all_digits, in_full
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Do, Remedy
from stock.shelf import products
from stock.store.connection import connection, reading, writing
from stock.store.models import CupTime, Product
from stock.units import MilliCelsius, show_temperature

TRUSTED_RATIO = 1.05  # readings closer than a stopwatch's error give no slope (a setting)


class CupTimeEstimate(NamedTuple):
    """What the noted readings say about the next step.

    Args:
        target_s: the paint's target with this cup, in seconds; None if none was noted.
        step_percent: points of the paint that should bring the mix to the target; None without two readings.
        words: sentences for a person.
    """

    target_s: float | None
    step_percent: float | None
    words: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The estimate as scripts read it."""
        step = None if self.step_percent is None else round(self.step_percent, 1)
        return {"target_s": self.target_s, "step_percent": step, "notes": list(self.words)}


def note_target(product: str, read: CupReading, *, liquid_mc: MilliCelsius | None = None) -> str:
    """Note the flow time to which this paint is thinned with this cup; the newest target counts.

    Returns:
        The paint's name.
    Raises:
        NotFound, Ambiguous: the product.
        BadInput: a time outside the cup's range.
    """
    if not read.in_range:
        raise BadInput(
            _("{name} gives no result at {seconds} s", name=read.cup.name, seconds=in_full(read.seconds)),
            remedy=read.notes[0].capitalize(),
        )
    with connection(), writing():
        paint = products.find(product, roles=("paint", "clear"))
        _write(paint.id, read, liquid_mc, target=True)
    return str(paint.name)


def target(product: int, cup: str) -> float | None:
    """The newest target of a paint with a cup, in seconds."""
    with connection():
        row = (
            CupTime.select(CupTime.milliseconds)
            .where((CupTime.product == product) & (CupTime.cup == cup) & CupTime.target)
            .order_by(CupTime.id.desc())
            .tuples()
            .first()
        )
    return row[0] / 1_000 if row else None


def targets(product: int) -> list[tuple[str, float]]:
    """A paint's newest target with each cup: (cup, seconds)."""
    with connection():
        rows = CupTime.select(CupTime.cup, CupTime.milliseconds).where(
            (CupTime.product == product) & CupTime.target
        )
        return [(cup, ms / 1_000) for cup, ms in dict(rows.order_by(CupTime.id).tuples()).items()]


def note_reading(mix: int, read: CupReading, *, liquid_mc: MilliCelsius | None = None) -> CupTimeEstimate:
    """Note a flow time of a mix, and estimate the next step from its last two readings.

    Raises:
        NotFound: no such mix.
        BadInput: it holds no paint.
    """
    with connection(), writing():
        found = mix_view(mix)
        main, reduction = found.main_paint, found.reduction
        if main is None or reduction is None:
            raise BadInput(_("mix {mix} holds no paint", mix=mix), remedy=_("Name another mix"))
        percent = float(reduction.percent_of_paint)
        _write(main.product_id, read, liquid_mc, mix=mix, reduction_milli=round(percent * 1_000))
        return _estimate(mix, main.product_id, read.cup)


def _write(product: int, read: CupReading, liquid_mc: MilliCelsius | None, **more: Any) -> None:
    CupTime.insert(
        product=product,
        cup=read.cup.key,
        milliseconds=round(read.seconds * 1_000),
        liquid_mc=liquid_mc,
        noted_at=clock.now(),
        **more,
    ).execute()


def estimate(mix: int, cup: str) -> CupTimeEstimate:
    """What the readings of a mix say about its next step.

    Raises:
        NotFound: no such mix.
        BadInput: no such cup.
    """
    with connection(), reading():
        main = mix_view(mix).main_paint
        return _estimate(mix, main.product_id if main else 0, viscosity.cup(cup))


def words_of(mix: int) -> tuple[str, ...]:
    """What the readings of a mix say, one sentence for each cup, newest first; empty without readings."""
    with connection():
        rows = CupTime.select(CupTime.cup).where((CupTime.mix == mix) & ~CupTime.target)
        names = list(dict.fromkeys(name for (name,) in rows.order_by(CupTime.id.desc()).tuples()))
    return tuple(f"{viscosity.cup(name).name}: {'; '.join(estimate(mix, name).words)}" for name in names)


def _estimate(mix: int, product: int, cup: Cup) -> CupTimeEstimate:
    rows = list(
        CupTime.select(CupTime.milliseconds, CupTime.reduction_milli, CupTime.liquid_mc)
        .where((CupTime.mix == mix) & (CupTime.cup == cup.key) & ~CupTime.target)
        .order_by(CupTime.id)
        .tuples()
    )
    target_s = target(product, cup.key)
    words = _words(rows, target_s, product, cup)
    newest = {percent: (milliseconds, liquid) for milliseconds, percent, liquid in rows}
    if target_s is None or len(newest) < 2:
        return CupTimeEstimate(target_s, None, tuple(words))
    (percent_1, (ms_1, __)), (percent_2, (ms_2, ___)) = sorted(newest.items())[-2:]
    first, second = cup.mm2_per_s(ms_1 / 1_000), cup.mm2_per_s(ms_2 / 1_000)
    if second <= 0 or first < second * TRUSTED_RATIO:
        return CupTimeEstimate(
            target_s, None, (*words, _("the two readings are too close together for an estimate"))
        )
    aim = viscosity.next_reduction(
        (percent_1 / 1_000, first), (percent_2 / 1_000, second), cup.mm2_per_s(target_s)
    )
    step = aim - percent_2 / 1_000
    words.append(
        _(
            "by two readings, {step} more points lead to {target_s} s: an estimate, so add them in steps",
            step=all_digits(step, 1),
            target_s=in_full(target_s),
        )
    )
    return CupTimeEstimate(target_s, step, tuple(words))


def _words(rows: list[Any], target_s: float | None, product: int, cup: Cup) -> list[str]:
    words: list[str] = []
    if target_s is None:
        name = Product.get_by_id(product).name
        words.append(
            Remedy(
                _("no target time of {paint} with {cup} is noted: ", paint=name, cup=cup.name),
                Do("viscosity", cup.name, "SECONDS", "--target-for", name),
            )
        )
    elif rows:
        off = rows[-1][0] / 1_000 - target_s
        words.append(
            _("at its target")
            if abs(off) < 0.5
            else _(
                "{seconds} s {above_or_below} its target of {target_s} s",
                seconds=all_digits(abs(off), 1),
                above_or_below=_("above") if off > 0 else _("below"),
                target_s=in_full(target_s),
            )
        )
    temperatures = {liquid for _, _, liquid in rows[-2:]}
    if len(rows) > 1 and None in temperatures:
        words.append(_("a reading has no temperature, so the two may not be comparable"))
    elif len(temperatures) > 1:
        shown = _(" and ").join(show_temperature(each) for each in sorted(temperatures))
        words.append(
            _(
                "the readings were taken at {shown}: only readings at the same temperature can be compared",
                shown=shown,
            )
        )
    return words
