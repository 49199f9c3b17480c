"""Families that section 10 of a safety data sheet forbids a product to meet, as groups of the matrix.

The books keep the sheet's words as printed. This module finds the families in them, in English, German, French, Spanish
and Portuguese; a family that it doesn't find gives no finding.
"""

from __future__ import annotations

import re
from functools import lru_cache

PREFIX = "not beside "
"""Stands before the name of a group that the product's sheet forbids it to meet."""

_FAMILIES = (
    (r"acid|säure|saeure|acide|ácido", ("acid", "oxidising_acid", "organic_acid")),
    (r"\bbases?\b|\bbasen\b|alkali|alcali|álcali|álcalis|\blye\b|lauge|caustic", ("base", "ammonia")),
    (
        r"oxidi[sz]|oxidation|oxidant|oxydant|comburant",
        ("oxidiser", "oxidising_acid", "peroxide", "organic_peroxide", "bleach"),
    ),
    (r"reducing|reduktion|réducteur|reductor|redutor", ("reducing_agent",)),
    (
        r"\bwater\b|wasser|\beau\b|agua|água|moisture|feuchtigkeit|humidi|humedad|umidade",
        ("water", "waterborne"),
    ),
    (r"amine?[sn]?\b|amina", ("amine",)),
    (r"alcohol|alkohol|alcool|álcool", ("alcohol", "glycol")),
    (r"peroxid|peroxyd|peróxid", ("peroxide", "organic_peroxide")),
    (r"ammonia|ammoniak|ammoniac|amoníaco|amoniaco", ("ammonia",)),
    (r"hypochlorit|hipoclorit|bleach|\bchlor(?:ine|bleiche)?\b", ("bleach",)),
    (r"isocyanat|isocianat", ("isocyanate",)),
    (r"alumini", ("aluminium_powder",)),
    (r"\bzinc\b|\bzink\b|\bcinc\b", ("zinc_powder",)),
)
_NONE = r"none|no data|not known|keine|aucun|ninguno|nenhum|-|n/?a"


@lru_cache(maxsize=512)
def avoided(printed: str) -> frozenset[str]:
    """The groups that a sheet's text of section 10 names.

    Args:
        printed: the text, empty where nobody noted it.
    """
    text = printed.casefold().strip()
    if re.fullmatch(_NONE, text.rstrip(". ")):
        return frozenset()
    return frozenset(group for words, groups in _FAMILIES if re.search(words, text) for group in groups)
