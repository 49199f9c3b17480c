"""What a step is asked to add, and how a person writes it.

Reducer is `5%`, `2 drops`, `0.1 ml` or `0.5 g`; another reducer `Thin`, a blend `A:B=1:1`; a tint `White=0.5ml`.
"""

from collections.abc import Sequence
from fractions import Fraction

from stock.bench import amounts
from stock.bench.mixes import MixView, open_one
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.shelf import products
from stock.store.models import Product
from stock.units import Microlitres, Milligrams, reduction


class StepRequest(NamedTuple):
    """What a step adds. If nothing is named, it is the advised step of the mix's own reducer.

    Args:
        points: reducer in per cent of the paint that is in the cup.
        reducer_ul: reducer as an amount in microlitres, instead of points.
        reducers: (name, weight) of another reducer, or of each of a blend; those of the mix when empty.
        parts: (name, microlitres) of paints and additives, to tint the mix or to make more of it.
        left_ul: what the cup held before the step, if some was sprayed already.
        weighed: (name, scale before, scale after), milligrams, for each amount that was given as a weight.
    """

    points: Fraction | None = None
    reducer_ul: Microlitres | None = None
    reducers: tuple[tuple[str, int], ...] = ()
    parts: tuple[tuple[str, Microlitres], ...] = ()
    left_ul: Microlitres | None = None
    weighed: tuple[tuple[str, Milligrams, Milligrams], ...] = ()

    @property
    def reduces(self) -> bool:
        """Whether the step adds reducer; a step of parts alone adds none."""
        return self.points is not None or self.reducer_ul is not None or not self.parts


def thinners(mix: MixView, reducers: Sequence[tuple[str, int]] = ()) -> list[tuple[Product, int]]:
    """The reducers of a step, with their weights: the named ones, else those of the mix, else its paint's usual one.

    Raises:
        NotFound, Ambiguous: a product.
        BadInput: a named product is no reducer or is named twice; or none is named and none is known.
    """
    if reducers:
        named = [(products.find(name), weight) for name, weight in reducers]
        for product, __ in named:
            if product.role not in ("reducer", "cleaner"):
                raise BadInput(
                    _("{name} is a {role}, not a reducer", name=product.name, role=_(product.role)),
                    remedy=_("Name a reducer"),
                )
        if len({product.id for product, _ in named}) < len(named):
            raise BadInput(
                _("{name} can't be blended with itself", name=named[0][0].name),
                remedy=_("Name two reducers, as A:B=1:1"),
            )
        return named
    shares = mix.cup.shares("reducer")
    if shares:
        rows = products.numbered(list(shares))
        return [(rows[number], share) for number, share in shares.items()]
    main = mix.main_paint
    usual = products.reducer_of(products.find(main.product)) if main is not None else None
    if usual is None:
        raise BadInput(
            _("mix {id} holds no reducer, so it is unknown which one to add", id=mix.id),
            remedy=Remedy(_("Name one "), Option("with", "REDUCER"), _("; nothing was booked")),
        )
    return [(usual, 1)]


def read(
    number: int,
    how_much: str | None = None,
    *,
    reducer: str | None = None,
    parts: Sequence[str] = (),
    left: str | None = None,
) -> StepRequest:
    """Read a step for an open mix.

    Args:
        number: the mix.
        how_much: reducer, as `5%` of the paint, or as an amount: `2 drops`, `0.1 ml`, `0.2 g`, or the scale's
            readings before and after, `10.0..10.2 g`.
        reducer: another reducer, or a blend as `A:B=1:1`.
        parts: what else is added, as `White=0.5ml` or `White=0.5 g` each.
        left: what the cup held before, as `6 ml`.
    Raises:
        NotFound, ClosedAlready: the mix.
        BadInput: a text that can't be read; says what is accepted.
    """
    request = StepRequest(
        reducers=amounts.read_blend(reducer) if reducer else (),
        parts=amounts.parts(parts),
        weighed=amounts.weights(
            (name.strip(), text) for name, _, text in (each.rpartition("=") for each in parts)
        ),
        left_ul=amounts.read_volume(left) if left else None,
    )
    if request.reducers and request.parts and not how_much:
        raise BadInput(
            _("a reducer is named without an amount"),
            remedy=_("Say how much, as 5% or 2 drops; nothing was booked"),
        )
    if not how_much:
        return request
    if amounts.is_share(how_much):
        return request._replace(points=reduction(how_much))
    names = [row.name for row, _ in thinners(open_one(number), request.reducers)]
    amount_ul = amounts.read_thinner(how_much, names)
    weighed = amounts.weights((name, how_much) for name in names)
    return request._replace(reducer_ul=amount_ul, weighed=(*request.weighed, *weighed))
