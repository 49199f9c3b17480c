"""Reading how much is in a bottle that comes part-used: a volume, a share of its size, or its weight."""

import re
from fractions import Fraction

from stock import units
from stock.bench import weighing
from stock.bench.amounts import read_count
from stock.bench.bottle_level import read_level
from stock.bench.known_density import known_density
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.remedies import Option, Remedy
from stock.shelf import products
from stock.store.models import Pack
from stock.text import plain
from stock.units import Microlitres, Milligrams

WORDS = {
    "full": Fraction(1), "three quarters": Fraction(3, 4), "half": Fraction(1, 2), "a half": Fraction(1, 2),
    "half full": Fraction(1, 2), "a third": Fraction(1, 3), "two thirds": Fraction(2, 3), "a quarter": Fraction(1, 4),
    "quarter": Fraction(1, 4), "nearly empty": Fraction(1, 20), "empty": Fraction(0),
}  # fmt: skip
"""Levels in words; nearly empty is a twentieth of the bottle (common practice, no source)."""
SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_SHARE = re.compile(r"[\d.]+\s*%|\d+\s*/\s*\d+|[01]?\.\d+|[01]", re.ASCII)
_WEIGHT = re.compile(r"[\d\s.]+(mg|g|kg)", re.ASCII | re.IGNORECASE)
ACCEPTED = _("Write what is left as 22ml, half, 3/4, 40% or 0.4, or what the bottle weighs, as 63.2g")


def read(
    text: str, size_ul: Microlitres, *, product: str | None = None, tare_mg: Milligrams | None = None
) -> units.Microlitres:
    """Read what is left in a bottle, in microlitres.

    Args:
        text: `22ml`, `half`, `3/4`, `40%`, `0.4`, or a weight `63.2g` of the bottle as it stands.
        size_ul: what the bottle holds when it is full.
        product: its name, for a weight.
        tare_mg: the empty bottle's weight; what is on record for the product's size when None.
    Raises:
        BadInput: the text is none of these, more than the bottle holds, or lighter than the empty bottle.
        NotFound: the text is a weight, and the density or the empty weight is not known.
    """
    written = " ".join(text.casefold().split())
    written = SIGNS.get(written, written)
    if written in WORDS:
        return units.Microlitres(round(size_ul * WORDS[written]))
    if _SHARE.fullmatch(written):
        level = read_level(written if len(written) > 1 else f"{written}.0")
        if level.share is None:
            raise BadInput(_("{text!r} is no level", text=plain(text, 30)), remedy=ACCEPTED)
        return units.Microlitres(weighing.by_fraction(level.share, size_ul).volume_ul)
    if _WEIGHT.fullmatch(written) and product is not None:
        return units.Microlitres(_by_weight(written, size_ul, product, tare_mg))
    try:
        left_ul = read_count(text)
    except BadInput as refusal:
        raise BadInput(refusal.message, remedy=ACCEPTED) from None
    if left_ul * 10 > size_ul * 11:
        raise BadInput(
            _("{text} are more than the bottle holds", text=plain(text, 30)),
            remedy=_("Swap or correct them; nothing was booked"),
        )
    return left_ul


def _by_weight(text: str, size_ul: Microlitres, name: str, tare_mg: Milligrams | None) -> int:
    product = products.find(name)
    density = known_density(product.name, product.density_ug_per_ml)
    if tare_mg is None:
        pack = Pack.get_or_none((Pack.product == product) & (Pack.size_ul == size_ul))
        tare_mg = pack.tare_mg if pack is not None else None
    if tare_mg is None:
        raise NotFound(
            _("the empty weight of a bottle of {name} is not known", name=product.name),
            remedy=Remedy(_("Give it "), Option("tare"), _(", or give a volume or a level")),
        )
    weighed = weighing.Weighed(units.mass(text, zero=True), tare_mg, density)
    return weighing.by_weight(weighed).volume_ul
