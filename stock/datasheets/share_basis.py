"""The basis of the shares in section 3: the product's weight or volume, or something else."""

import re
from collections.abc import Iterator, Sequence

from stock.datasheets.page_lines import SheetLine
from stock.language import _

CAS = re.compile(r"(?<![\d-])(\d{2,7}-\d{2}-\d)(?![\d-])")
WEIGHT = re.compile(
    r"%\s*\(?\s*(?:by\s+)?(?:w\s?/\s?w|wt\.?|weight|m\s?/\s?m|mass)|(?:wt|w|gew\.?|gewichts|mass(?:e|"
    r"en)?)[.\s-]*%|"
    r"%\s*(?:en|de|in)?\s*(?:poids|peso|masse|p\s?/\s?p|gew)|weight",
    re.IGNORECASE,
)
VOLUME = re.compile(
    r"%\s*\(?\s*(?:by\s+)?(?:v\s?/\s?v|vol(?:ume)?)|vol\w*\.?[\s-]*(?:%|per ?cent|prozent)|"
    r"(?:%|per ?cent|prozent|pourcentage|porcentaje)\s*(?:by|en|de|in)?\s*vol|v\s?/\s?v",
    re.IGNORECASE,
)
_OF_ELSE = (
    r"(?:voc|cov|purity|reinheit|puret[ée]|pureza|solids?|festk[öo]rper|solides|s[óo]lidos|active|aktiv\w*|activ[oe]s?|"
    r"volatiles?|fl[üu]chtig\w*)"
)
_OTHER_BASIS = re.compile(
    r"\bmol\b|mol[ -]?%|w\s?/\s?v|m\s?/\s?v|"
    r"g\s?/\s?(?:l|ml|100)|concentrate|konzentrat|wirkstoff|(?:without|excluding) propellant|"
    r"ohne treib|hardener|h[äa]rter|after mixing|ready[ -](?:to[ -](?:use|spray)|for[ -]use)|fraction|"
    r"fraktion|fracci[óo]n|\bdilut|\bverd[üu]nnt|gebrauchsfertig|spritzfertig|\bdilu[ée]e?s?\b|"
    r"pr[êe]te? [àa] l'?emploi|\bdiluid|listo para|"
    rf"%\s*(?:of\s+|in\s+)?{_OF_ELSE}|{_OF_ELSE}\W{{0,3}}(?:in\s)?%",
    re.IGNORECASE,
)


def of_table(lines: Sequence[SheetLine]) -> tuple[str, tuple[str, ...]]:
    """`weight`, or `volume` if the table says volume and nothing says weight; and the doubts about it."""
    text = " ".join(line.text for line in lines)
    by_volume, by_weight = VOLUME.search(text) is not None, WEIGHT.search(text) is not None
    return "volume" if by_volume and not by_weight else "weight", tuple(_doubts(lines, by_volume, by_weight))


def _doubts(lines: Sequence[SheetLine], by_volume: bool, by_weight: bool) -> Iterator[str]:
    rows = [line for line in lines if CAS.search(line.text)]
    heads = [line for line in lines if not CAS.search(line.text)]
    of_some_rows = by_volume and not all(VOLUME.search(line.text) for line in rows)
    if (by_volume and by_weight) or (of_some_rows and not any(VOLUME.search(line.text) for line in heads)):
        yield _("shares by weight and by volume stand on this sheet")
    if any(_OTHER_BASIS.search(line.text) for line in heads):
        yield _("the shares may be of something else than the product's weight or volume")
