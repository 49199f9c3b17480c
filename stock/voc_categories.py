"""Categories of products with a limit of solvent: vehicle refinishing in the EU and the US, consumer products.

Each is a row of voc_categories.csv with its limit, the unit of its rule and whether water counts in the volume.
`source` says where the limit was seen, `status` is `verified` or `memory`. Some states and districts have lower limits.
"""

from functools import lru_cache

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shipped_files import text_of


class Category(NamedTuple):
    """One category.

    `limit` is grams a litre ready to use, or per cent by weight where `by_weight`; `water_counts` says whether the
    litre is one of everything or one without its water (and, in the US, without exempt compounds).
    """

    word: str
    regime: str
    name: str
    limit: int
    by_weight: bool
    water_counts: bool
    status: str
    source: str


@lru_cache(maxsize=1)
def categories() -> dict[str, Category]:
    """Every category by its word, such as `eu:topcoat`."""
    import csv  # only where a product has one

    text = text_of("voc_categories.csv")
    return {
        row["word"]: Category(
            word=row["word"],
            regime=row["regime"],
            name=row["name"],
            limit=int(row["limit"]),
            by_weight=row["unit"] != "g/L",
            water_counts=row["water"] == "counted",
            status=row["status"],
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def read(text: str) -> tuple[str, ...]:
    """Read the categories in a text: their words in the order of the table, each once.

    Raises:
        BadInput: a word that isn't one of them.
    """
    given = {word.strip().casefold() for word in text.replace(",", " ").replace(";", " ").split()}
    strange = sorted(given - set(categories()))
    if strange:
        raise BadInput(
            _("{strange!r} is no category of a VOC limit", strange=strange[0][:30]),
            remedy=_("Write some of {categories}", categories=", ".join(categories())),
        )
    return tuple(word for word in categories() if word in given)
