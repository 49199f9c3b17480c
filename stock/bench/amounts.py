"""Amounts at the bench: a part of a mix as people write it, in the studio's measures and the product's drops."""

from collections.abc import Sequence
from typing import Any

from stock.errors import BadInput
from stock.shelf import products
from stock.shelf.studio import settings
from stock.units import volume


def read_volume(text: str, *, product: str | None = None) -> int:
    """A volume in microlitres; drops are those of the product where it says how many make a millilitre.

    Raises:
        BadInput: it can't be read as a volume, saying what is accepted.
    """
    studio = settings()
    measures: Any = studio.measures
    drops = studio.drops_milli
    if product is not None and "drop" in text.lower():
        drops = products.find(product).drops_milli or drops
    return volume(text, measures=measures, drops_milli=drops)


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
        raise BadInput(f"{text[:60]!r} has {len(parts)} names and {len(weights)} shares", remedy="Write A:B=1:1")
    return tuple(zip(parts, weights, strict=True))


def _weight(share: str, text: str) -> int:
    digits = share.strip()
    if not (digits.isascii() and digits.isdigit() and 0 < int(digits) <= 1_000):
        raise BadInput(f"{text[:60]!r}: a share is a whole number from 1", remedy="Write A:B=1:1")
    return int(digits)


def parts(texts: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Several parts, in the order given."""
    return tuple(read_part(text) for text in texts)
