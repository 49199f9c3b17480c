"""What stands in the Bench's fields, and how it is read into a request for a mix."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from stock.errors import UllageError


@dataclass(frozen=True, slots=True)
class Wish:
    """The texts of the form, as typed; `parts` are (product, amount)."""

    parts: tuple[tuple[str, str], ...] = ()
    reduce: str = ""
    reducer: str = ""
    needle: str = ""
    job: str = ""
    bottles: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing to mix is typed yet."""
        return not any(name.strip() or amount.strip() for name, amount in self.parts)


class Unread(Exception):
    """A field can't be read; `field` is its name on the screen."""

    def __init__(self, field: str, error: UllageError) -> None:
        super().__init__(str(error))
        self.field = field
        self.error = error


def _read(field: str, reader: Callable[[], Any]) -> Any:
    try:
        return reader()
    except UllageError as error:
        raise Unread(field, error) from error


def request_of(wish: Wish) -> Any:
    """The `MixRequest` that the form means; called with the books' connection open.

    Raises:
        Unread: a field can't be read.
    """
    from stock import units  # noqa: PLC0415
    from stock.bench.amounts import read_blend, read_volume  # noqa: PLC0415
    from stock.bench.mixing import MixRequest  # noqa: PLC0415
    from stock.shelf import products  # noqa: PLC0415

    parts = []
    for number, (name, amount) in enumerate(wish.parts):
        if not name.strip() and not amount.strip():
            continue
        product = _read(f"paint-{number}", lambda name=name: products.find(name))
        volume = _read(
            f"amount-{number}",
            lambda amount=amount, product=product: read_volume(amount, product=product.name),
        )
        parts.append((product.name, volume))
    reduce = _read("reduce", lambda: units.reduction(wish.reduce)) if wish.reduce.strip() else None
    reducers = _read("reducer", lambda: read_blend(wish.reducer)) if wish.reducer.strip() else ()
    needle = _read("needle", lambda: units.needle(wish.needle)) if wish.needle.strip() else None
    return MixRequest(
        parts=tuple(parts),
        reduce=reduce,
        reducers=tuple(reducers),
        needle_um=needle,
        job=wish.job.strip() or None,
        bottles=tuple(wish.bottles.replace(",", " ").split()),
    )


def planned(wish: Wish) -> Any:
    """The plan of the mix that the form means; books nothing.

    Raises:
        Unread: a field can't be read, or what it asks for can't be had.
    """
    from stock.bench import mixing  # noqa: PLC0415
    from stock.errors import NotEnough  # noqa: PLC0415

    request = request_of(wish)
    try:
        return mixing.plan(request)
    except NotEnough as error:
        raise Unread("amount-0", error) from error
    except UllageError as error:
        raise Unread("reducer" if wish.reduce.strip() else "paint-0", error) from error


def advised(wish: Wish) -> str:
    """Where to start, how far and in what steps, in one line; empty where the form says too little."""
    from stock import units  # noqa: PLC0415
    from stock.bench.amounts import read_blend  # noqa: PLC0415
    from stock.bench.books import advice_for  # noqa: PLC0415

    name = next((name for name, _ in wish.parts if name.strip()), "")
    if not name:
        return ""
    try:
        reducers = [one for one, _ in read_blend(wish.reducer)] if wish.reducer.strip() else []
        needle = units.needle(wish.needle) if wish.needle.strip() else None
        asked = advice_for(name, reducers=reducers, needle_um=needle)
    except UllageError:
        return ""
    advice = asked.advice
    start, limit, step = (
        units.show_percent(each) for each in (advice.start_milli, advice.limit_milli, advice.step_milli)
    )
    reducer = " and ".join(asked.reducers) or "a reducer"
    told = f"Start at {start} {reducer}, steps of {step}, at most {limit}. Says {advice.rule.words}"
    return f"{told}; {advice.disagreements[0]}" if advice.disagreements else f"{told}."
