"""What the Bench reads from the books: names, jobs, labels, and the open mixes."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from stock.language import _
from tui.dialogs.typed_mix import RECIPE
from tui.widgets.name_field import NameDetail

if TYPE_CHECKING:
    from stock.units import Microlitres

LATELY_DAYS = 90
NOT_POURED = ("reducer", "cleaner")
ROLES = ("paint", "clear", "mixed", "additive", "hardener", *NOT_POURED)


@dataclass(frozen=True, slots=True)
class BenchBooks:
    """What the Bench shows and matches letters with: names, jobs, labels, and the open mixes.

    Paints and reducers are sorted by how often they were mixed in the last 90 days, to be offered in empty fields;
    leftovers of which nothing is left are not offered.
    """

    paints: tuple[str, ...]
    reducers: tuple[str, ...]
    open_mixes: tuple[Any, ...]
    drops_milli: int
    jobs: tuple[str, ...]
    labels: dict[str, tuple[str, int]]
    details: dict[str, NameDetail]
    queue: tuple[Any, ...] = ()


def read() -> BenchBooks:
    """Read the books; called with the connection open."""
    from stock.bench import mix_queue, recipes
    from stock.bench.mixes import mixed_often, open_mixes
    from stock.shelf import jobs, products
    from stock.shelf.bottles import on_shelf
    from stock.shelf.studio import settings
    from stock.units import Microlitres

    rows = products.everything()
    often = mixed_often(settings().today() - timedelta(days=LATELY_DAYS))
    rows.sort(key=lambda row: (-often.get(row.id, 0), ROLES.index(row.role)))
    present = [view for view in on_shelf() if not view.gone]
    labels = {view.label.casefold(): (view.product, view.id) for view in present}
    held_ul: dict[str, Microlitres] = defaultdict(lambda: Microlitres(0))
    for view in present:
        held_ul[view.product] = Microlitres(held_ul[view.product] + view.on_hand_ul)
    reducers = [row.name for row in rows if row.role == "reducer"]
    paints = [
        row.name for row in rows if row.role not in NOT_POURED and (row.role != "mixed" or held_ul[row.name])
    ]
    paints += [f"{RECIPE}{recipe.name}" for recipe in recipes.everything()]
    details = {row.name: NameDetail(row.color, _left(held_ul[row.name])) for row in rows}
    return BenchBooks(
        tuple(paints), tuple(reducers), tuple(open_mixes()), settings().drops_milli,
        tuple(view.name for view in jobs.everything() if view.closed_on is None), labels, details,
        tuple(mix_queue.waiting()),
    )  # fmt: skip


def _left(volume_ul: "Microlitres") -> str:
    """What is left of a product to whole millilitres, only to tell names apart."""
    return f"{round(volume_ul / 1000)} ml" if volume_ul else _("none left")
