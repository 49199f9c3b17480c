"""Recognising figures of an ingredient in section 9: they look like the product's, below a line that names it."""

import re
from collections.abc import Collection, Iterable, Sequence

from stock.datasheets.found_values import FoundValue
from stock.datasheets.labels import begins_another
from stock.datasheets.page_lines import SheetLine
from stock.datasheets.share_basis import CAS
from stock.language import _

_ANNOUNCES = re.compile(
    r"(?:data|values|properties|information|figures) (?:for|of|on)\b|(?:daten|angaben|werte|eigenschaften) "
    r"(?:f[üu]r|zu|von|der|des)\b|"
    r"(?:donn[ée]es|valeurs|propri[ée]t[ée]s|informations) (?:pour|sur|de|du|des|concernant)\b|"
    r"(?:datos|valores|propiedades|informaci[óo]n) (?:de|del|sobre|para)\b",
    re.IGNORECASE,
)
_INGREDIENT = re.compile(
    r"\b(?:ingredients?|components?|constituents?|(?:main |principal )?solvents?|inhaltsstoffe?|bestandteile?|"
    r"komponenten?|l[öo]semittel|l[öo]sungsmittel|composants?|constituants?|solvants?|componentes?|ingredientes?|"
    r"disolventes?)\b",
    re.IGNORECASE,
)
OF_AN_INGREDIENT = _("figures of an ingredient may stand among those of the product")


def names_of(substances: Iterable[FoundValue]) -> set[str]:
    """The substances of section 3 by their printed and their known names, folded."""
    said = {text for one in substances for text in (one.figures.get("name"), one.line.cells[0].text) if text}
    return {str(text).casefold().strip(" :") for text in said}


def of_an_ingredient(lines: Sequence[SheetLine], names: Collection[str]) -> bool:
    """Whether a line of section 9 heads figures of an ingredient: its name or CAS number, or words that announce it.

    Args:
        lines: of section 9.
        names: the substances of section 3, folded.
    """
    for line in lines:
        text = line.text.casefold().strip(" :*-•·")
        bare = re.sub(r"\([^)]*\)|\bcas\b.*$", " ", text).strip(" :,")
        if CAS.search(text) or bare in names or _ANNOUNCES.match(text):
            return True
        if (
            _INGREDIENT.search(text)
            and not re.search(r"\d", text)
            and len(text) < 60
            and not begins_another(text)
        ):
            return True
    return False
