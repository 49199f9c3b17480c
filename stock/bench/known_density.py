"""The density by which a weight becomes a volume, and the one refusal where none is known."""

from stock.errors import NotFound
from stock.language import _
from stock.remedies import Do, Remedy


def known_density(product: str, density_ug_per_ml: int | None) -> int:
    """The density of a product that is to be weighed, in micrograms a millilitre.

    Args:
        product: its name.
        density_ug_per_ml: what its record has; None if nobody has entered or learnt it.
    Raises:
        NotFound: there is none; says how to enter it and how to learn it by weighing.
    """
    if not density_ug_per_ml:
        raise NotFound(
            _("no density of {product} is known", product=product),
            remedy=Remedy(
                _("Enter it with "), Do("product change", "NAME", "--density", "1.05"),
                _(", weigh a measured volume with "),
                Do("product weigh", "NAME", "10ml", "--weight", "MASS"), _(", or give a volume"),
            ),
        )  # fmt: skip
    return density_ug_per_ml
