"""The texts of the Bench's fields, and the request for a mix that they mean."""

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from stock.errors import UllageError
from tui.drawing.figures import ml_exact

if TYPE_CHECKING:
    from stock.units import Microlitres


@dataclass(frozen=True, slots=True)
class TypedMix:
    """The texts of the form, as typed; `parts` are (product, amount), `total` is the size of the whole mix.

    `when` is the moment of a mix that is written down late.
    """

    parts: tuple[tuple[str, str], ...] = ()
    needle: str = ""
    reduce: str = ""
    reducer: str = ""
    total: str = ""
    job: str = ""
    bottles: str = ""
    when: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing to mix is typed yet."""
        return not any(name.strip() or amount.strip() for name, amount in self.parts)

    @property
    def advised_on(self) -> tuple[str, str, str]:
        """The fields that the advice depends on: the first paint, the needle and the reducer."""
        return next((name for name, _ in self.parts if name.strip()), ""), self.needle, self.reducer


def kept_texts(typed_mix: TypedMix) -> dict[str, Any]:
    """A typed mix as a draft holds it."""
    return asdict(typed_mix)


def from_kept(texts: Any) -> TypedMix:
    """A typed mix from a draft; unreadable parts are left out."""
    kept = texts if isinstance(texts, dict) else {}
    pairs = [
        pair for pair in kept.get("parts") or () if isinstance(pair, list) and len(pair) == len(("", ""))
    ]
    return TypedMix(
        parts=tuple((str(name), str(amount)) for name, amount in pairs),
        **{name: str(kept[name]) for name in OTHERS if isinstance(kept.get(name), str)},
    )


RECIPE = "recipe: "
"""What precedes a recipe's name in the field of a paint."""
OTHERS = ("needle", "reduce", "reducer", "total", "job", "bottles", "when")
"""The fields other than the paints and their amounts."""


class UnreadField(Exception):
    """A field can't be read; `field` is its id."""

    def __init__(self, field: str, error: UllageError) -> None:
        super().__init__(str(error))
        self.field = field
        self.error = error


def _read(field: str, reader: Callable[[], Any]) -> Any:
    try:
        return reader()
    except UllageError as error:
        raise UnreadField(field, error) from error


def request_of(wish: TypedMix) -> Any:
    """The `MixRequest` that the texts mean; called with the connection open.

    Raises:
        UnreadField: a field can't be read.
    """

    from stock import units
    from stock.bench.amounts import read_blend, read_volume, weights
    from stock.bench.mixing import MixRequest
    from stock.bench.request_parser import sized, with_reduction
    from stock.shelf.studio import past_moment

    recipe = _recipe(wish)
    typed = [(name, amount) for name, amount in wish.parts if name.strip() and not name.startswith(RECIPE)]
    request = recipe if recipe is not None else MixRequest(parts=_parts(wish), weighed=weights(typed))
    if wish.reducer.strip():
        request = request._replace(reducers=_read("reducer", lambda: read_blend(wish.reducer)))
    if wish.reduce.strip():
        request = _read("reduce", lambda: with_reduction(request, wish.reduce))
    if wish.total.strip():
        request = _read("total", lambda: sized(request, read_volume(wish.total)))
    return request._replace(
        needle_um=_read("needle", lambda: units.needle(wish.needle)) if wish.needle.strip() else None,
        job=wish.job.strip() or None,
        bottles=tuple(wish.bottles.replace(",", " ").split()),
        at=_read("when", lambda: past_moment(wish.when)) if wish.when.strip() else None,
    )


def _parts(wish: TypedMix) -> "tuple[tuple[str, Microlitres], ...]":
    from stock.bench.amounts import read_volume
    from stock.shelf import products

    parts = []
    for number, (name, amount) in enumerate(wish.parts):
        if not name.strip() and not amount.strip():
            continue
        product = _read(f"paint-{number}", partial(products.find, name))
        volume = _read(f"amount-{number}", partial(read_volume, amount, product=product.name))
        parts.append((product.name, volume))
    return tuple(parts)


def _recipe(wish: TypedMix) -> Any:
    """The request of the recipe in the first field, at the amount beside it; None if no recipe is named."""
    from stock.bench import recipes
    from stock.bench.amounts import read_volume

    name, amount = wish.parts[0] if wish.parts else ("", "")
    if not name.startswith(RECIPE):
        return None
    recipe = _read("paint-0", lambda: recipes.find(name.removeprefix(RECIPE)))
    volume = _read("amount-0", lambda: read_volume(amount))
    return _read("amount-0", lambda: recipes.request(recipe, volume))


def queued_mix(entry: Any) -> TypedMix:
    """The texts of a mix that waits in a job's queue."""
    return TypedMix(
        parts=((f"{RECIPE}{entry.recipe}", f"{ml_exact(entry.total_ul)} ml"),), job=str(entry.job)
    )


def planned(wish: TypedMix) -> Any:
    """Plan the mix that the texts mean; nothing is booked.

    Raises:
        UnreadField: a field can't be read, or what it asks for is not on the shelf.
    """
    from stock.bench import mixing
    from stock.errors import NotEnough

    request = request_of(wish)
    try:
        return mixing.plan(request)
    except NotEnough as error:
        raise UnreadField("amount-0", error) from error
    except UllageError as error:
        raise UnreadField("reducer" if wish.reduce.strip() else "paint-0", error) from error


def wish_of(parts: "Sequence[tuple[str, Microlitres]]", *, more: Callable[[str], str]) -> TypedMix:
    """The texts for parts in microlitres; `more` returns the text of each other field."""
    return TypedMix(
        parts=tuple((name, f"{ml_exact(volume)} ml") for name, volume in parts),
        **{name: more(name) for name in OTHERS},
    )
