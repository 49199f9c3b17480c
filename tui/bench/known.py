"""What the Bench knows before anything is typed: names, jobs, labels, and the mixes that nobody has closed."""

from dataclasses import dataclass
from typing import Any

from tui.bench.wish import RECIPE


@dataclass(frozen=True, slots=True)
class BenchBooks:
    """What the Bench knows: names to match letters with, and the mixes that nobody has closed."""

    paints: tuple[str, ...]
    reducers: tuple[str, ...]
    open_mixes: tuple[Any, ...]
    drops_milli: int
    jobs: tuple[str, ...]
    labels: dict[str, tuple[str, int]]


def read() -> BenchBooks:
    """Read with the connection open."""
    from stock.bench import recipes  # noqa: PLC0415
    from stock.bench.mixes import open_mixes  # noqa: PLC0415
    from stock.shelf import jobs, products  # noqa: PLC0415
    from stock.shelf.bottles import on_shelf  # noqa: PLC0415
    from stock.shelf.studio import settings  # noqa: PLC0415

    rows = products.everything()
    reducers = [row.name for row in rows if row.role in ("reducer", "cleaner")]
    paints = [row.name for row in rows if row.role not in ("reducer", "cleaner")]
    paints += [f"{RECIPE}{recipe.name}" for recipe in recipes.everything()]
    labels = {view.label.casefold(): (view.product, view.id) for view in on_shelf() if not view.gone}
    return BenchBooks(
        tuple(paints), tuple(reducers), tuple(open_mixes()), settings().drops_milli,
        tuple(view.name for view in jobs.everything() if view.closed_on is None), labels,
    )  # fmt: skip
