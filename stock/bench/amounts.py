"""Amounts at the bench, as people write them: in the studio's measures, the product's drops, or by the scale."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from stock.bench.weighing import poured_by_weight
from stock.errors import BadInput
from stock.remedies import Do, Remedy
from stock.shelf import products
from stock.shelf.studio import settings
from stock.units import MOST_REDUCTION, mass, reduction, volume

_MASS = re.compile(r"[\d\s](mg|g|kg|gram|grams|lb|lbs|pound|pounds|oz av|oz wt)$", re.IGNORECASE)


def read_volume(text: str, *, product: str | None = None) -> int:
    """A volume in microlitres; drops and grams are those of the product.

    `8.4 g` is weighed, `10.0..18.4 g` is what the scale showed before and after; both need its density.

    Raises:
        BadInput: it can't be read as a volume, saying what is accepted; no density is known for a mass.
    """
    studio = settings()
    measures: Any = studio.measures
    drops = studio.drops_milli
    if product is not None:
        if _MASS.search(text.rstrip()):
            return _weighed(text, product)
        if "drop" in text.lower():
            drops = products.find(product).drops_milli or drops
    return volume(text, measures=measures, drops_milli=drops)


def read_count(text: str) -> int:
    """A counted volume in microlitres, which may be nothing.

    Raises:
        BadInput: it can't be read as a volume, saying what is accepted.
    """
    studio = settings()
    measures: Any = studio.measures
    return volume(text, measures=measures, drops_milli=studio.drops_milli, zero=True)


def _weighed(text: str, name: str) -> int:
    product = products.find(name)
    if product.density_ug_per_ml is None:
        raise BadInput(
            f"no density of {product.name} is known, so it can't be weighed",
            remedy=Remedy(
                "Write millilitres, or enter it with ", Do("product change", "NAME", "--density", "1.05")
            ),
        )
    before, dots, after = text.partition("..")
    unit = "".join(letter for letter in text if letter.isalpha())
    if not dots:
        readings = [0, mass(text)]
    else:
        first = before if before.strip()[-1:].isalpha() else f"{before} {unit}"
        readings = [mass(first, zero=True, what="reading of the scale"), mass(after)]
    return poured_by_weight(readings, [product.density_ug_per_ml])[0]


def read_reduction(text: str, paint_ul: int, *, reducer: str | None = None) -> Fraction:
    """Reducer in per cent of the paint: `20%`, `5:1`, or an amount such as `2 ml` of so much paint.

    Args:
        text: what was typed.
        paint_ul: the paint it is for, in microlitres.
        reducer: the reducer's name, for drops and grams.
    Raises:
        BadInput: it can't be read, saying what is accepted.
    """
    if (
        "%" in text
        or ":" in text
        or not any(letter.isalpha() for letter in text)
        or "percent" in text.lower()
    ):
        return reduction(text)
    amount_ul = read_volume(text, product=reducer)
    if paint_ul <= 0:
        raise BadInput("there is no paint to reduce in this mix", remedy="Name a paint")
    if amount_ul * 100 > paint_ul * MOST_REDUCTION:
        raise BadInput("that is more than two parts reducer to one of paint", remedy="Write less of it")
    return Fraction(100 * amount_ul, paint_ul)


def read_part(text: str) -> tuple[str, int]:
    """`Harbour Blue=8ml` as (name, microlitres).

    Raises:
        BadInput: no `=`, or an amount that can't be read.
    """
    name, sign, amount = text.rpartition("=")
    if not sign or not name.strip():
        raise BadInput(f"{text[:60]!r} says no amount", remedy='Write a part as "Harbour Blue=8ml"')
    return name.strip(), read_volume(amount, product=name)


def read_blend(text: str) -> tuple[tuple[str, int], ...]:
    """`Thin` as one reducer, `A:B=1:1` as a blend: (name, weight) each.

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
            f"{text[:60]!r} has {len(parts)} names and {len(weights)} shares", remedy="Write A:B=1:1"
        )
    return tuple(zip(parts, weights, strict=True))


def _weight(share: str, text: str) -> int:
    digits = share.strip()
    if not (digits.isascii() and digits.isdigit() and 0 < int(digits) <= 1_000):
        raise BadInput(f"{text[:60]!r}: a share is a whole number from 1", remedy="Write A:B=1:1")
    return int(digits)


def parts(texts: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Several parts, in the order given."""
    return tuple(read_part(text) for text in texts)
