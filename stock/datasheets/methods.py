"""Words beside a figure that say how it was measured (cups, standards), and words that need no attention."""

import re
from collections.abc import Iterable

from stock.datasheets.labels import LABELS

OPEN_CUP = re.compile(
    r"open[ -]?cup|(?<![\w.])[ct]?\.?o\.?c\.?(?!\w)|cleveland|offener? tiegel|o\.?\s?t\.|(?:vase|coupelle|creuset|"
    r"coupe) ouverte?|"
    r"(?:copa|vaso|crisol) abiert[oa]|iso 2592|d\s?92\b|d\s?1310",
    re.IGNORECASE,
)
CLOSED_CUP = re.compile(
    r"(?:pensky[ -]?martens|abel(?:[ -]?pensky)?|seta(?:flash)?|tag(?:liabue)?)?\s*closed[ -]?cup|"
    r"\bc\.?c\.?\b|\bpmcc\b|\btcc\b|"
    r"\bsfcc\b|pensky[ -]?martens|abel(?:[ -]?pensky)?|setaflash|tagliabue|geschlossener? tiegel|"
    r"(?:vase|coupelle|creuset|coupe) (?:clos|ferm[ée])e?|(?:copa|vaso|crisol) cerrad[oa]",
    re.IGNORECASE,
)
FIRE_POINT = re.compile(LABELS["fire_point"], re.IGNORECASE)
CUPS = {"open": OPEN_CUP, "closed": CLOSED_CUP}
METHOD = re.compile(
    r"(?:(?:din|en|iso|astm|oecd|ec|eec|eu|cipac|ta|luft)\b[\s\-]*)+(?:(?:d|no\.?|nr\.?|a|b|iso|"
    r"en)?[\s.\-]*\d[\d\-/:.]*)?|"
    r"\b(?:test )?(?:methode?|m[ée]thode|m[ée]todo|verfahren|norm|standard|nach|per|according to|"
    r"gem[äa][sß]+|selon|seg[úu]n)\b:?",
    re.IGNORECASE,
)
FILL = re.compile(
    r"\b(?:range|bereich|and|und|et|y|or|oder|ou|o|interval(?:le|o)?|boiling|siede(?:bereich|punkt|beginn)?|"
    r"d'[ée]bullition|"
    r"de ebullici[óo]n|initial[e]?|inicial|value|wert|valeur|valor|product|mixture|gemisch|m[ée]lange|"
    r"mezcla|liquid|calculated|"
    r"typical(?:ly)?|pe|fp|note|the|of|is|at)\b",
    re.IGNORECASE,
)


def words_left(rest: str, units: Iterable[str]) -> str:
    """The words beside a figure that are not understood.

    Args:
        rest: the text without its figures.
        units: patterns of the units that may stand beside them.
    """
    for pattern in (CLOSED_CUP, OPEN_CUP, METHOD, FILL):
        rest = pattern.sub(" ", rest)
    for unit in units:
        rest = re.sub(rf"(?<!\w)(?:{unit})(?!\w)", " ", rest, flags=re.IGNORECASE)
    rest = re.sub(r"\b[a-z]\.(?=\s|$)|\*+|\b\d\)", " ", rest)
    return "".join(sign for sign in rest if sign.isalnum() or sign in "<>≤≥+±~≈")
