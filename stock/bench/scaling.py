"""Scaling a mix: to a total, or as a repeat of an earlier one."""

from collections.abc import Sequence
from fractions import Fraction

from stock.bench.mixes import MixView
from stock.bench.mixing import MixRequest
from stock.errors import BadInput
from stock.language import _
from stock.units import Microlitres, split


def to_total(request: MixRequest, total_ul: Microlitres, *, paint: Sequence[bool]) -> MixRequest:
    """The request scaled so that its total, reducer included, is `total_ul`.

    Args:
        request: parts in any size; only their proportion counts.
        total_ul: microlitres, above 0.
        paint: for each part whether it is paint, of which the reducer is a percentage.
    Raises:
        BadInput: nothing to scale, or a part that would be less than a microlitre.
    """
    if not request.parts or total_ul <= 0:
        raise BadInput(
            _("there is nothing to scale to that size"), remedy=_("Name what is in it and how much")
        )
    amounts = [volume for _, volume in request.parts]
    of_paint = sum(volume for volume, is_paint in zip(amounts, paint, strict=True) if is_paint)
    reducer = of_paint * (request.reduce or Fraction(0)) / 100
    *shares, reducer_ul = split(total_ul, [*amounts, reducer])
    if min(shares) <= 0:
        raise BadInput(_("a part of it would be less than a microlitre"), remedy=_("Make more of it"))
    paint_ul = sum(share for share, is_paint in zip(shares, paint, strict=True) if is_paint)
    parts = tuple((name, share) for (name, _), share in zip(request.parts, shares, strict=True))
    reduce = Fraction(100 * reducer_ul, paint_ul) if request.reduce is not None and paint_ul else None
    return request._replace(parts=parts, reduce=reduce)


def once_more(mix: MixView) -> MixRequest:
    """The request that repeats an earlier mix as it ended, with its steps included in the reduction.

    Raises:
        BadInput: it held nothing, or only reducer.
    """
    parts: dict[str, Microlitres] = {}
    reducers: dict[str, Microlitres] = {}
    for pour in mix.pours:
        held = reducers if pour.part == "reducer" else parts
        held[pour.product] = Microlitres(held.get(pour.product, 0) + pour.volume_ul)
    if not parts:
        raise BadInput(_("mix {id} holds nothing but reducer", id=mix.id), remedy=_("Name another mix"))
    reduction = mix.reduction
    needle = mix.closed.needle_um if mix.closed is not None else mix.needle_um
    return MixRequest(
        parts=tuple(parts.items()),
        reduce=reduction.percent_of_paint if reducers and reduction is not None else None,
        reducers=tuple(reducers.items()),
        needle_um=needle,
    )
