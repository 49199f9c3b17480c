"""What the cup of a mix held after each booking: each product with its volume, so that spraying and tints count.

Pure arithmetic. Volumes are microlitres.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from stock.bench.reduction import Reduction
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, split


class MixPour(NamedTuple):
    """One pour of a mix, as it was booked; `booking` is the mix's own number or a step's."""

    booking: int
    bottle: int
    product_id: int
    product: str
    role: str
    line: str
    part: str
    volume_ul: Microlitres


class Held(NamedTuple):
    """One product in the cup."""

    product_id: int
    part: str
    volume_ul: Microlitres


class StepNote(NamedTuple):
    """A step's notes: what the cup held before it, if some was sprayed already, and the purpose of the step."""

    left_ul: Microlitres | None
    purpose: str | None


class Stage(NamedTuple):
    """What the cup held after a booking: one entry a product, in the order in which they were poured.

    `purpose` is the purpose of the step that led to it, if it was noted.
    """

    held: tuple[Held, ...] = ()
    purpose: str | None = None

    def of(self, part: str) -> Microlitres:
        """Microlitres of one part."""
        return Microlitres(sum(each.volume_ul for each in self.held if each.part == part))

    @property
    def paint_ul(self) -> Microlitres:
        """Microlitres of paint."""
        return self.of("paint")

    @property
    def reducer_ul(self) -> Microlitres:
        """Microlitres of reducer."""
        return self.of("reducer")

    @property
    def total_ul(self) -> Microlitres:
        """Microlitres of all parts together."""
        return Microlitres(sum(each.volume_ul for each in self.held))

    @property
    def reduction(self) -> Reduction | None:
        """The reduction at this stage, or None without paint."""
        return Reduction.of(self.paint_ul, self.reducer_ul) if self.paint_ul > 0 else None

    def shares(self, part: str) -> dict[int, Microlitres]:
        """Microlitres of each product of a part, by its number."""
        return {each.product_id: each.volume_ul for each in self.held if each.part == part}

    def after_spraying(self, left_ul: Microlitres) -> "Stage":
        """The stage with `left_ul` left, in the same proportion."""
        if not left_ul:
            return Stage()
        parts = [part for part in ("paint", "reducer", "additive", "hardener") if self.of(part)]
        held: dict[int, Held] = {}
        for part, share_ul in zip(parts, split(left_ul, [self.of(part) for part in parts]), strict=True):
            products = [each for each in self.held if each.part == part]
            volumes = split(share_ul, [each.volume_ul for each in products])
            for each, volume in zip(products, volumes, strict=True):
                held[each.product_id] = each._replace(volume_ul=volume)
        return Stage(tuple(held[each.product_id] for each in self.held if held[each.product_id].volume_ul))

    def plus(self, added: Iterable[tuple[int, str, int]]) -> "Stage":
        """The stage with (product's number, part, microlitres) added to it."""
        held = {each.product_id: each for each in self.held}
        for product_id, part, volume_ul in added:
            before_ul = held[product_id].volume_ul if product_id in held else 0
            held[product_id] = Held(product_id, part, Microlitres(before_ul + volume_ul))
        return Stage(tuple(held.values()))


def stages(pours: Sequence[MixPour], notes: Mapping[int, StepNote]) -> tuple[Stage, ...]:
    """What the cup held after each booking.

    Args:
        pours: in the order of time.
        notes: what each step noted, by its number.
    """
    found: list[Stage] = []
    now = Stage()
    for booking, group in groupby(pours, key=lambda pour: pour.booking):
        note = notes.get(booking, StepNote(None, None))
        if note.left_ul is not None:
            now = now.after_spraying(min(note.left_ul, now.total_ul))
        now = now.plus((pour.product_id, pour.part, pour.volume_ul) for pour in group)
        now = now._replace(purpose=note.purpose)
        found.append(now)
    return tuple(found)
