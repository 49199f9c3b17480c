"""Times of flow noted at the bench: a paint's target, and readings of a mix that point to the next step."""

from typing import Any, NamedTuple

from stock import clock
from stock.bench import viscosity
from stock.bench.mixes import mix as mix_view
from stock.bench.viscosity import Cup, Reading
from stock.errors import BadInput
from stock.grammar import in_full
from stock.remedies import Do, Remedy
from stock.shelf import products
from stock.store.connection import connection, reading, writing
from stock.store.models import CupTime, Product
from stock.units import show_temperature

TRUSTED_RATIO = 1.05  # readings closer than a stopwatch's error say nothing about the slope (a setting)


class Noted(NamedTuple):
    """What a noted reading says about the next step.

    Args:
        target_s: the paint's target with this cup, in seconds; None if none was noted.
        step_percent: points of the paint that should bring it there; None where two readings are missing.
        words: what to tell a person.
    """

    target_s: float | None
    step_percent: float | None
    words: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """The estimate as scripts read it."""
        step = None if self.step_percent is None else round(self.step_percent, 1)
        return {"target_s": self.target_s, "step_percent": step, "notes": list(self.words)}


def note_target(product: str, read: Reading, *, liquid_mc: int | None = None) -> str:
    """Note a time as the one to thin this paint to with this cup; the newest counts.

    Returns:
        The paint's name.
    Raises:
        NotFound, Ambiguous: the product.
        BadInput: a time at which the cup tells nothing.
    """
    if not read.in_range:
        raise BadInput(
            f"{read.cup.name} does not hold at {in_full(read.seconds)} s", remedy=read.notes[0].capitalize()
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


def note_reading(mix: int, read: Reading, *, liquid_mc: int | None = None) -> Noted:
    """Note a time of a mix as it stands, and say what two readings make of the next step.

    Raises:
        NotFound: no such mix.
        BadInput: it holds no paint.
    """
    with connection(), writing():
        found = mix_view(mix)
        main, reduction = found.main_paint, found.reduction
        if main is None or reduction is None:
            raise BadInput(f"mix {mix} holds no paint", remedy="Name another mix")
        percent = float(reduction.percent_of_paint)
        _write(main.product_id, read, liquid_mc, mix=mix, reduction_milli=round(percent * 1_000))
        return _estimate(mix, main.product_id, read.cup)


def _write(product: int, read: Reading, liquid_mc: int | None, **more: Any) -> None:
    CupTime.insert(
        product=product,
        cup=read.cup.key,
        milliseconds=round(read.seconds * 1_000),
        liquid_mc=liquid_mc,
        noted_at=clock.now(),
        **more,
    ).execute()


def estimate(mix: int, cup: str) -> Noted:
    """What the readings of a mix say about its next step.

    Raises:
        NotFound: no such mix.
        BadInput: no such cup.
    """
    with connection(), reading():
        main = mix_view(mix).main_paint
        return _estimate(mix, main.product_id if main else 0, viscosity.cup(cup))


def words_of(mix: int) -> tuple[str, ...]:
    """What the readings of a mix say, cup by cup, newest first; nothing where none was noted."""
    with connection():
        rows = CupTime.select(CupTime.cup).where((CupTime.mix == mix) & ~CupTime.target)
        names = list(dict.fromkeys(name for (name,) in rows.order_by(CupTime.id.desc()).tuples()))
    return tuple(f"{viscosity.cup(name).name}: {'; '.join(estimate(mix, name).words)}" for name in names)


def _estimate(mix: int, product: int, cup: Cup) -> Noted:
    rows = list(
        CupTime.select(CupTime.milliseconds, CupTime.reduction_milli, CupTime.liquid_mc)
        .where((CupTime.mix == mix) & (CupTime.cup == cup.key) & ~CupTime.target)
        .order_by(CupTime.id)
        .tuples()
    )
    wanted = target(product, cup.key)
    words = _words(rows, wanted, product, cup)
    newest = {percent: (milliseconds, liquid) for milliseconds, percent, liquid in rows}
    if wanted is None or len(newest) < 2:
        return Noted(wanted, None, tuple(words))
    (percent_1, (ms_1, _)), (percent_2, (ms_2, _)) = sorted(newest.items())[-2:]
    first, second = cup.mm2_per_s(ms_1 / 1_000), cup.mm2_per_s(ms_2 / 1_000)
    if second <= 0 or first < second * TRUSTED_RATIO:
        return Noted(wanted, None, (*words, "the two readings are too close to point anywhere"))
    aim = viscosity.next_reduction(
        (percent_1 / 1_000, first), (percent_2 / 1_000, second), cup.mm2_per_s(wanted)
    )
    step = aim - percent_2 / 1_000
    words.append(
        f"two readings point to {step:.1f} more points for {in_full(wanted)} s: an estimate, go there in steps"
    )
    return Noted(wanted, step, tuple(words))


def _words(rows: list[Any], wanted: float | None, product: int, cup: Cup) -> list[str]:
    words: list[str] = []
    if wanted is None:
        name = Product.get_by_id(product).name
        words.append(
            Remedy(
                f"no target of {name} with {cup.name} is noted: ",
                Do("viscosity", cup.name, "SECONDS", "--target-for", name),
            )
        )
    elif rows:
        off = rows[-1][0] / 1_000 - wanted
        words.append(
            "at its target"
            if abs(off) < 0.5
            else f"{abs(off):.1f} s {'above' if off > 0 else 'below'} its target of {in_full(wanted)} s"
        )
    temperatures = {liquid for _, _, liquid in rows[-2:]}
    if len(rows) > 1 and None in temperatures:
        words.append("a reading has no temperature beside it, so the two may not compare")
    elif len(temperatures) > 1:
        shown = " and ".join(show_temperature(each) for each in sorted(temperatures))
        words.append(f"the readings were taken at {shown}: compare only at one temperature")
    return words
