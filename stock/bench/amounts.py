"""Reading amounts at the bench as people write them: in the studio's measures, in drops, or by weight."""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from stock.bench.known_density import known_density
from stock.bench.weighing import poured_by_weight
from stock.errors import BadInput
from stock.language import _
from stock.shelf import products
from stock.shelf.studio import settings
from stock.units import MOST_REDUCTION, Microlitres, Milligrams, mass, reduction, volume

_MASS = re.compile(r"[\d\s](mg|g|kg|gram|grams|lb|lbs|pound|pounds|oz av|oz wt)$", re.IGNORECASE)


def read_volume(text: str, *, product: str | None = None) -> Microlitres:
    """Read a volume in microlitres; drops and grams are converted by the product's own figures.

    `8.4 g` is a weight, `10.0..18.4 g` the scale's readings before and after; both need the product's density.

    Raises:
        BadInput: the text is not a volume; says what is accepted.
        NotFound: the text is a mass, and the product's density is not known.
    """
    studio = settings()
    measures: Any = studio.measures
    drops = studio.drops_milli
    if product is not None:
        if is_weight(text):
            return _weighed(text, product)
        if "drop" in text.lower():
            drops = products.find(product).drops_milli or drops
    return volume(text, measures=measures, drops_milli=drops)


def read_count(text: str) -> Microlitres:
    """Read a counted volume in microlitres, which may be 0.

    Raises:
        BadInput: the text is not a volume; says what is accepted.
    """
    studio = settings()
    measures: Any = studio.measures
    return volume(text, measures=measures, drops_milli=studio.drops_milli, zero=True)


def _weighed(text: str, name: str) -> Microlitres:
    product = products.find(name)
    density = known_density(product.name, product.density_ug_per_ml)
    return poured_by_weight(readings(text), [density])[0]


def read_thinner(text: str, names: Sequence[str]) -> Microlitres:
    """Read an amount of one reducer, or of a blend, in microlitres.

    Args:
        text: as for `read_volume`.
        names: the reducer's name, or those of the blend; drops and grams count by one reducer's own figures.
    Raises:
        BadInput: what `read_volume` raises, or a weight of a blend.
    """
    if len(names) > 1 and is_weight(text):
        raise BadInput(
            _("a blend can't be read by weight, because each of its reducers weighs differently"),
            remedy=_("Write it in millilitres or drops, or add one reducer after the other"),
        )
    return read_volume(text, product=names[0] if len(names) == 1 else None)


def is_weight(text: str) -> bool:
    """Whether an amount is written as a weight: `0.5 g`, or the scale's readings `10.0..18.4 g`."""
    return _MASS.search(text.rstrip()) is not None


def readings(text: str) -> tuple[Milligrams, Milligrams]:
    """What the scale showed before and after, in milligrams; a single weight was added to an empty one.

    Raises:
        BadInput: the text is no weight; says what is accepted.
    """
    before, dots, after = text.partition("..")
    if not dots:
        return Milligrams(0), mass(text)
    unit = "".join(letter for letter in text if letter.isalpha())
    first = before if before.strip()[-1:].isalpha() else f"{before} {unit}"
    return mass(first, zero=True, what=_("reading of the scale")), mass(after)


def weights(named: Iterable[tuple[str, str]]) -> tuple[tuple[str, Milligrams, Milligrams], ...]:
    """Of the amounts that were typed as weights, the scale's readings: (product, before, after), milligrams.

    Args:
        named: (product, amount as it was typed).
    """
    return tuple((name, *readings(text)) for name, text in named if is_weight(text))


def read_reduction(text: str, paint_ul: Microlitres, reducers: Sequence[str] = ()) -> Fraction:
    """Read a reduction, in per cent of the paint: `20%`, `5:1`, or an amount such as `2 ml`.

    Args:
        text: the text.
        paint_ul: the paint to thin, in microlitres.
        reducers: the names of its reducers, for drops and grams; empty if they are not known.
    Raises:
        BadInput: the text can't be read; says what is accepted.
    """
    if is_share(text):
        return reduction(text)
    amount_ul = read_thinner(text, reducers)
    if paint_ul <= 0:
        raise BadInput(_("there is no paint to reduce in this mix"), remedy=_("Name a paint"))
    if amount_ul * 100 > paint_ul * MOST_REDUCTION:
        raise BadInput(_("that is more than two parts reducer to one of paint"), remedy=_("Write less of it"))
    return Fraction(100 * amount_ul, paint_ul)


def is_share(text: str) -> bool:
    """Whether a text says how much reducer as a share of the paint, `20%` or `5:1`, and not as an amount."""
    return (
        "%" in text
        or ":" in text
        or not any(letter.isalpha() for letter in text)
        or "percent" in text.lower()
        or "per cent" in text.lower()
    )


def read_part(text: str) -> tuple[str, Microlitres]:
    """Read `Harbour Blue=8ml` as (name, microlitres).

    Raises:
        BadInput: no `=`, or an amount that can't be read.
    """
    name, sign, amount = text.rpartition("=")
    if not sign or not name.strip():
        raise BadInput(
            _("{text!r} has no amount", text=text[:60]), remedy=_('Write a part as "Harbour Blue=8ml"')
        )
    return name.strip(), read_volume(amount, product=name)


def read_blend(text: str) -> tuple[tuple[str, int], ...]:
    """Read `Thin` as one reducer, `A:B=1:1` as a blend: (name, weight) for each.

    Raises:
        BadInput: the weights don't fit the names.
    """
    names, sign, shares = text.rpartition("=")
    if not sign:
        return ((text.strip(), 1),)
    parts = [name.strip() for name in names.split(":")]
    weights = [_weight(share, text) for share in shares.split(":")]
    if len(parts) != len(weights) or not all(parts):
        raise BadInput(
            _(
                "{text!r} has {parts} names and {weights} shares",
                text=text[:60],
                parts=len(parts),
                weights=len(weights),
            ),
            remedy=_("Write A:B=1:1"),
        )
    return tuple(zip(parts, weights, strict=True))


def _weight(share: str, text: str) -> int:
    digits = share.strip()
    if not (digits.isascii() and digits.isdigit() and 0 < int(digits) <= 1_000):
        raise BadInput(
            _("{text!r}: a share is a whole number from 1", text=text[:60]), remedy=_("Write A:B=1:1")
        )
    return int(digits)


def parts(texts: Sequence[str]) -> tuple[tuple[str, Microlitres], ...]:
    """Read several parts, in the order given."""
    return tuple(read_part(text) for text in texts)
