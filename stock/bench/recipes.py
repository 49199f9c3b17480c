"""Recipes: named parts by volume that can be mixed at any size."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from stock.bench.mixes import MixView
from stock.bench.mixing import MixRequest
from stock.bench.named_parts import PART_OF_ROLE
from stock.bench.scaling import to_total
from stock.errors import BadInput
from stock.grammar import figure_and_unit
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Do, Remedy
from stock.shelf import names, products
from stock.store.connection import connection, reading, writing
from stock.store.models import Product, Recipe, RecipePart
from stock.text import note as clean_note
from stock.text import plain
from stock.units import Microlitres, from_thousandths, plain_figure

MOST_PARTS_MILLI = 1_000_000


class RecipeView(NamedTuple):
    """A recipe for display; parts are (product, part, thousandths of a part)."""

    name: str
    note: str
    parts: tuple[tuple[str, str, int], ...]

    @property
    def words(self) -> str:
        """The recipe in one line."""
        return ", ".join(f"{plain_figure(Fraction(milli, 1_000))} {name}" for name, _, milli in self.parts)

    def as_json(self) -> dict[str, Any]:
        """The recipe as JSON."""
        parts = [
            {"product": name, "part": part, "parts": from_thousandths(milli)}
            for name, part, milli in self.parts
        ]
        return {"name": self.name, "note": self.note, "parts": parts}


def read_part(text: str) -> tuple[str, int]:
    """Read `Harbour Blue=3` as (name, thousandths of a part).

    Raises:
        BadInput: no `=`, or a number of parts that isn't a plain figure.
    """
    accepted = _("a part as 'Harbour Blue=3'")
    name, sign, share = text.rpartition("=")
    if not sign or not name.strip():
        raise BadInput(
            _("{text!r} has no number of parts", text=plain(text, 60)),
            remedy=_("Write {accepted}", accepted=accepted),
        )
    figure, unit = figure_and_unit(share, _("number of parts"), accepted)
    milli = round(figure * 1_000)
    if unit not in {"", "part", "parts"} or not 0 < milli <= MOST_PARTS_MILLI:
        raise BadInput(
            _("{share!r} is not a number of parts", share=plain(share, 40)),
            remedy=_("Write {accepted}, from 0.001 to 1000", accepted=accepted),
        )
    return name.strip(), milli


def add(name: str, parts: Sequence[tuple[str, int]], *, note: str = "") -> RecipeView:
    """Enter a recipe.

    Args:
        name: its own name.
        parts: (product, thousandths of a part).
        note: a person's words.
    Raises:
        UllageError: there is a recipe of that name already.
        BadInput: no part, or a product named twice.
        NotFound, Ambiguous: a product.
    """
    columns = names.columns("recipe", name) | {"note": clean_note(note)}
    if not parts:
        raise BadInput(
            _("a recipe needs its parts"), remedy=_("Write them as 'Harbour Blue=3' 'Slow Thinner=1'")
        )
    with connection(), writing():
        with names.free(Recipe, _("recipe"), columns, remedy=_("Give another name")):
            recipe = Recipe.create(**columns)
        _write(recipe, parts)
        return _view(recipe)


def _write(recipe: Recipe, parts: Sequence[tuple[str, int]]) -> None:
    for product_name, milli in parts:
        product = products.find(product_name)
        twice = (RecipePart.recipe == recipe) & (RecipePart.product == product)
        if RecipePart.select().where(twice).exists():
            raise BadInput(
                _("{name} is in the recipe twice", name=product.name), remedy=_("Name each product once")
            )
        RecipePart.create(recipe=recipe, product=product, part=PART_OF_ROLE[product.role], parts_milli=milli)


def change(
    name: str,
    *,
    rename: str | None = None,
    parts: Sequence[tuple[str, int]] | None = None,
    note: str | None = None,
) -> RecipeView:
    """Correct a recipe; mixes that were made by it stay as they were.

    Args:
        name: the recipe.
        rename: its new name.
        parts: its new parts, as for `add`.
        note: a person's words.
    Raises:
        NotFound, Ambiguous: the recipe, or a product.
        UllageError: another recipe has the new name.
        BadInput: no part, or a product named twice.
    """
    if parts is not None and not parts:
        raise BadInput(
            _("a recipe needs its parts"), remedy=_("Write them as 'Harbour Blue=3' 'Slow Thinner=1'")
        )
    with connection(), writing():
        recipe = Recipe.get(Recipe.name == find(name).name)
        columns: dict[str, Any] = {} if note is None else {"note": clean_note(note)}
        if rename is not None:
            columns |= names.columns("recipe", rename)
        if columns:
            with names.free(Recipe, _("recipe"), columns, remedy=_("Nothing was changed"), but=recipe.id):
                Recipe.update(**columns).where(Recipe.id == recipe.id).execute()
        if parts is not None:
            RecipePart.delete().where(RecipePart.recipe == recipe).execute()
            _write(recipe, parts)
        return _view(Recipe.get_by_id(recipe.id))


def of_mix(name: str, mix: MixView, *, note: str = "") -> RecipeView:
    """Enter an earlier mix as a recipe, including the reducer that its steps added.

    Raises:
        What `add` raises.
    """
    held: dict[str, int] = {}
    for pour in mix.pours:
        held[pour.product] = held.get(pour.product, 0) + pour.volume_ul
    least = min(held.values(), default=1)
    parts = [(product, round(Fraction(1_000 * volume, least))) for product, volume in held.items()]
    return add(name, parts, note=note)


def everything() -> list[RecipeView]:
    """All recipes by name."""
    with connection(), reading():
        return [_view(row) for row in Recipe.select().order_by(Recipe.name_key)]


def find(name: str) -> RecipeView:
    """The recipe of that name or part of a name.

    Raises:
        NotFound: no recipe matches.
        Ambiguous: several match; lists them.
    """
    enter = Remedy(_("Add it with "), Do("recipe add", "NAME", "PAINT=3", "REDUCER=1"))
    return names.find(everything(), name, what=_("recipe"), several=_("recipes"), remedy=enter)


def request(recipe: RecipeView, total_ul: Microlitres) -> MixRequest:
    """The request for a mix by a recipe.

    Args:
        recipe: the recipe.
        total_ul: the size of the mix in microlitres, reducer included.
    Raises:
        BadInput: it has no paint for its reducer, or a part would be less than a microlitre.
    """
    # Before it is scaled the mix has a millilitre of each part, a microlitre of its thousandth.
    parts = [(name, Microlitres(milli)) for name, part, milli in recipe.parts if part != "reducer"]
    reducers = [(name, milli) for name, part, milli in recipe.parts if part == "reducer"]
    paint = sum(milli for _, part, milli in recipe.parts if part == "paint")
    if reducers and not paint:
        raise BadInput(
            _("the recipe {name} has a reducer but no paint", name=recipe.name),
            remedy=_("Enter one with a paint in it"),
        )
    in_parts = MixRequest(
        parts=tuple(parts),
        reduce=Fraction(100 * sum(milli for _, milli in reducers), paint) if reducers else None,
        reducers=tuple(reducers),
        recipe=recipe.name,
    )
    is_paint = [part == "paint" for _, part, _ in recipe.parts if part != "reducer"]
    return to_total(in_parts, total_ul, paint=is_paint)


def _view(recipe: Recipe) -> RecipeView:
    rows = (
        RecipePart.select(Product.name, RecipePart.part, RecipePart.parts_milli)
        .join(Product)
        .where(RecipePart.recipe == recipe)
        .order_by(RecipePart.id)
    )
    return RecipeView(recipe.name, recipe.note, tuple(rows.tuples()))
