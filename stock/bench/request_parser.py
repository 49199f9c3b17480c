"""Reading a request for a mix from text: by parts, from a recipe, or like an earlier mix."""

from collections.abc import Sequence

from stock.bench import amounts, recipes
from stock.bench.mixes import mix as mix_view
from stock.bench.mixing import MixRequest
from stock.bench.named_parts import PART_OF_ROLE
from stock.bench.scaling import once_more, to_total
from stock.errors import BadInput
from stock.language import _
from stock.remedies import Option, Remedy
from stock.shelf import products
from stock.units import Microlitres


def request(
    parts: Sequence[str] = (),
    *,
    reduce: str | None = None,
    reducer: str | None = None,
    recipe: str | None = None,
    like: int | None = None,
    total: str | None = None,
) -> MixRequest:
    """Read a request for a mix.

    Args:
        parts: `Harbour Blue=8ml` each; with `total` only their proportion counts.
        reduce: `20%`, `5:1`, or an amount of reducer; replaces that of the recipe or the earlier mix.
        reducer: a reducer, or a blend as `A:B=1:1`.
        recipe: a recipe's name; needs `total`.
        like: an earlier mix's number.
        total: the size of the mix, reducer included.
    Raises:
        BadInput: two of parts, recipe and mix at once, or none; a recipe without a size; a text that can't be read.
        NotFound, Ambiguous: a product, a recipe or a mix.
    """
    ways = [bool(parts), recipe is not None, like is not None]
    if sum(ways) != 1:
        raise BadInput(
            _("a mix needs parts, or a recipe, or an earlier mix, and only one of them"),
            remedy=Remedy(
                _('Write "Harbour Blue=8ml", or name a recipe '),
                Option("recipe", "NAME"),
                _(" or a mix "),
                Option("like", "41"),
            ),
        )
    total_ul = amounts.read_volume(total) if total is not None else None
    if recipe is not None:
        if total_ul is None:
            raise BadInput(
                _("a recipe has no size of its own"),
                remedy=Remedy(_("Say how much "), Option("total", "30ml")),
            )
        asked = recipes.request(recipes.find(recipe), total_ul)
    elif like is not None:
        asked = once_more(mix_view(like))
    else:
        typed = [(name.strip(), text) for name, _, text in (part.rpartition("=") for part in parts)]
        asked = MixRequest(parts=amounts.parts(parts), weighed=amounts.weights(typed))
    if reducer is not None:
        asked = asked._replace(reducers=amounts.read_blend(reducer))
    if reduce is not None:
        asked = with_reduction(asked, reduce)
    elif reducer is not None and not ways[0] and asked.reduce is None:
        raise BadInput(
            _("a reducer is named without an amount"),
            remedy=Remedy(_("Say how much "), Option("reduce", "20%")),
        )
    return asked if total_ul is None else sized(asked, total_ul)


def sized(asked: MixRequest, total_ul: Microlitres) -> MixRequest:
    """The request scaled to a total, reducer included.

    Raises:
        BadInput: a part would be less than a microlitre.
        NotFound, Ambiguous: a product.
    """
    return to_total(asked, total_ul, paint=_paints(asked))


def _paints(asked: MixRequest) -> list[bool]:
    return [PART_OF_ROLE[products.find(name).role] == "paint" for name, _ in asked.parts]


def with_reduction(asked: MixRequest, text: str) -> MixRequest:
    """The request with a reduction: `20%`, `5:1`, or an amount as `2 ml` or `1.5 g`; it keeps a weight, too.

    Raises:
        BadInput: it can't be read, or there is no paint.
        NotFound, Ambiguous: a product.
    """
    paints = zip(asked.parts, _paints(asked), strict=True)
    paint_ul = Microlitres(sum(volume for (_, volume), is_paint in paints if is_paint))
    reducers = _reducers(asked)
    percent = amounts.read_reduction(text, paint_ul, reducers)
    weighed = amounts.weights((name, text) for name in reducers)
    return asked._replace(reduce=percent, weighed=(*asked.weighed, *weighed))


def _reducers(asked: MixRequest) -> list[str]:
    """The reducers by whose figures drops and grams are read: the named ones, else the first product's usual one."""
    if asked.reducers:
        return [name for name, _ in asked.reducers]
    usual = products.reducer_of(products.find(asked.parts[0][0])) if asked.parts else None
    return [usual.name] if usual is not None else []
