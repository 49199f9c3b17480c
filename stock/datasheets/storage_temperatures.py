"""The storage temperatures of a product in a sheet: section 7 of a safety sheet, or a technical sheet.

A sentence counts if it speaks of storing and prints a range or a bound in degrees. A warning about frost has no
figure; a single figure ("store at 20 °C") has no ends.
"""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction

from stock.datasheets.figures import NUMBER, Quantity, goes_on, number, quantities, without
from stock.datasheets.found_values import FoundValue
from stock.datasheets.labels import begins_another
from stock.datasheets.page_lines import SheetLine, joined
from stock.datasheets.properties import ABOUT, CELSIUS, FAHRENHEIT, ODD, TEMPERATURE, TEMPERATURES, common
from stock.grammar import pointed
from stock.language import _

_KEEP = re.compile(
    r"\b(?:stor(?:e[ds]?|age|ing)|keep|kept|lager(?:n|ung|temperatur|bedingung(?:en)?)|gelagert|aufbewahr(?:en|ung)|"
    r"aufzubewahren|conserv(?:er|ez|ation)|stock(?:er|ez|age)|entrepos(?:er|age)|almacen(?:ar|e|ado|amiento)|"
    r"conservar|gu[áa]rd(?:ar|ese)|mant[ée]n(?:er|gase))\b",
    re.IGNORECASE,
)
_DEGREES = r"(?:temperatures?|temperatur(?:en)?|temp[ée]ratures?|temperaturas?)"
_STORE = r"(?:be\s+)?(?:stored?|keep|kept|lagern|aufbewahren|almacenar|conservar|stocker|conserver)"
_NOT = r"(?:(?:do|must|should)\s+)?(?:not|never|nicht|niemals|no|nunca|ne\s+pas)"
_ABOVE = (
    r"(?:above|over|exceed(?:ing)?|(?:higher|more|greater|warmer) than|[üu]ber|h[öo]her als|au[- ]dessus de|"
    r"sup[ée]rieure?s? [àa]|superior(?:es)? a|por encima de|m[áa]s de|exced\w+(?: (?:de|los))?|supera\w*(?: los)?)"
)
_BELOW = (
    r"(?:below|under|(?:lower|less|colder) than|unter|niedriger als|en[- ]dessous de|inf[ée]rieure?s? [àa]|"
    r"inferior(?:es)? a|por debajo de|menos de)"
)
_BETWEEN_THEM = (
    rf"(?:{_STORE}\s+)?(?:(?:at|bei|a|[àa](?:\s+(?:une|des))?|a\s+una)\s+)?(?:{_DEGREES}\s+(?:de\s+)?)?"
)
_AT_MOST = re.compile(
    rf"\b{_NOT}\s+{_BETWEEN_THEM}{_ABOVE}|\b(?:n'exc[ée]d\w+|ne\s+d[ée]pass\w+)\s+pas|\bmaxim(?:um|al|ale?|o|a)\b",
    re.IGNORECASE,
)
_AT_LEAST = re.compile(
    rf"\b{_NOT}\s+{_BETWEEN_THEM}{_BELOW}|\bminim(?:um|al|ale?|o|a)\b|\bmindest(?:ens|temperatur:?)",
    re.IGNORECASE,
)
_MORE, _LESS = re.compile(rf"\b{_ABOVE}", re.IGNORECASE), re.compile(rf"\b{_BELOW}", re.IGNORECASE)
_OR_MORE = re.compile(rf"(\d\s*°?\s*[CF]?)\s+(?:or|nor|oder|noch|ou|ni|o)\s+{_ABOVE}", re.IGNORECASE)
_OR_LESS = re.compile(rf"(\d\s*°?\s*[CF]?)\s+(?:or|nor|oder|noch|ou|ni|o)\s+{_BELOW}", re.IGNORECASE)
_FROST = re.compile(
    r"\b(?:do not freeze|protect(?:ed)? from (?:frost|freezing)|(?:keep )?from freezing|frost-?free|"
    r"vor frost (?:zu )?sch[üu]tzen|frostfrei|nicht einfrieren|craint le gel|prot[ée]ger du gel|"
    r"[àa] l'abri du gel|ne pas (?:laisser )?geler|"
    r"proteger de las heladas|no congelar|evitar (?:la )?congelaci[óo]n)\b",
    re.IGNORECASE,
)
_OTHERWISE = re.compile(
    r"\b(?:not|never|nicht|keine?|niemals|ne|pas|no|nunca|"
    r"except|unless|ideal\w*|optim\w*|[óo]ptim\w*|prefer\w*|best|vorzugsweise|id[ée]al\w*|"
    r"short|kurz\w*|months?|monate?n?|mois|meses|weeks?|days?|hours?|years?|jahre?|ans|"
    r"flash|flamm\w*|[ée]clair|inflam\w*|ignit\w*|boil\w*|transport\w*|process\w*|verarbeit\w*|appl\w*|use|used|using|"
    r"mix\w*|bulk|drying|melt\w*|decompos\w*|opened|after)\b",
    re.IGNORECASE,
)
_AWAY = re.compile(
    r"\b(?:avoid\w*|vermeid\w*|vermied\w*|[ée]vit\w*|away|fern\w*|protect\w*|sch[üu]tz\w*|prot[ée]g\w*|proteg\w*|alej\w*)\b",
    re.IGNORECASE,
)
"""Words for what to keep it away from, which reverse the meaning of a bound."""
_RESULT = re.compile(
    r"\b(?:if|when|lead\w*|cause\w*|may|can|could|will|would|loses?|shorten\w*|reduc\w*|affect\w*|build\w*|wenn|falls|sofern|"
    r"f[üu]hr\w*|kann|k[öo]nn\w*|verk[üu]rz\w*|verlier\w*|bewirk\w*|si|lorsqu\w*|peut|peuvent|entra[îi]n\w*|alt[ée]r\w*|"
    r"provoqu\w*|r[ée]dui\w*|cuando|puede\w*|provoca\w*|reduc\w*|alter\w*|erw[äa]rm\w*|heat(?:ed|ing)|falls)\b",
    re.IGNORECASE,
)
"""Words about the result of wrong storage: such a sentence sets no limit by itself."""
_PLAIN = re.compile(
    r"\b(?:do|must|should|be|at|in|an?|the|and|only|always|product|container[s]?|original|closed|tightly|well|cool|dry|"
    r"ventilated|place|room|area|conditions?|for|safe|of|from|between|up|all|times|frost|protection|von|bei|zu|im|in|an|einem|"
    r"und|k[üu]hl\w*|trocken\w*|ort|nur|gebinde|originalgebinde|beh[äa]lter|verschlossen\w*|gut|produkt|sicher\w*|[àa]|au|"
    r"une?|de|des|du|la|le|les|dans|endroit|sec|frais|bien|et|produit|r[ée]cipient|ferm[ée]|en|una?|lugar|seco|fresco|y|el|los|"
    r"envase|cerrado|producto|conditions|p\d{3}|sp)\b",
    re.IGNORECASE,
)
"""Words that may be in a sentence with a single bound and don't change its meaning."""
_UNIT_BEFORE = re.compile(
    rf"[(\[]\s*(?:in\s+)?°\s?([CF])\s*[)\]]\s*:?\s*([-+]?{NUMBER}\s*(?:-|to|bis|[àa]|and|und|y)\s*[-+]?{NUMBER})(?![\d.,]|\s*°)",
    re.IGNORECASE,
)
_OTHER_SUBJECT = re.compile(
    r"\b(?:flash[ -]?point|flammpunkt|point d'?\s?[ée]clair|punto de inflamaci[óo]n|z[üu]ndtemperatur|auto-?ignition)",
    re.IGNORECASE,
)
_JOINS = re.compile(r"(?:and|und|et|y|e|but|to|bis|[àa]|-|at|bei|or)\b|[-(]|[<>≤≥]|\d", re.IGNORECASE)
_SENTENCE = re.compile(r"(?<=[^\s.])[.;!]\s+(?=[^\W\d_])(?!\S*\d)")
_ALONE = r"(?!\s*(?:-|to|bis|[àa]|and|und|et|y)\s*[-+]?\d)"
"""After the second figure of a pair of units; a range there pairs with a range."""
_C_THEN_F = re.compile(
    rf"([-+]?{NUMBER})\s*(?:{CELSIUS})\s*[(/\[]\s*([-+]?{NUMBER})\s*(?:{FAHRENHEIT}){_ALONE}\s*[)\]]?",
    re.IGNORECASE,
)
_F_THEN_C = re.compile(
    rf"([-+]?{NUMBER})\s*(?:{FAHRENHEIT})\s*[(/\[]\s*([-+]?{NUMBER})\s*(?:{CELSIUS}){_ALONE}\s*[)\]]?",
    re.IGNORECASE,
)
LIKELY = (-30, 60)
"""Degrees Celsius between which paints are kept."""
LIKELY_ALONE = {"low": (-30, 20), "high": (15, 60)}
"""The same for a bound that is the only one in its sentence."""
OTHERWISE = _("the sentence may mean something else than the limits of keeping")
UNITS_DIFFER = _("the degrees Celsius and Fahrenheit differ")


def storage_temperatures(
    lines: Sequence[SheetLine], section: int | None, *, comma_decimal: bool | None
) -> Iterator[FoundValue]:
    """The lowest and the highest storage temperature, from each sentence that gives one.

    Args:
        lines: those of section 7, or all of a technical sheet.
        section: 7, or None where the sheet has no sections.
        comma_decimal: whether its language writes decimals with a comma.
    """
    for at, line in enumerate(lines):
        for sentence, below in _sentences(lines, at):
            yield from _ends(sentence, joined(line, *below), section, comma_decimal)


def _sentences(lines: Sequence[SheetLine], at: int) -> Iterator[tuple[str, list[SheetLine]]]:
    """The sentences of a line that speak of storing, the last one with the lines in which it continues."""
    parts = _SENTENCE.split(lines[at].text)
    for which, part in enumerate(parts):
        if not _KEEP.search(part):
            continue
        text, further = part, []
        if which == len(parts) - 1 and not re.search(r"[.;!]\s*$", text):
            for below in lines[at + 1 : at + 3]:
                complete = (
                    quantities(text, TEMPERATURES) and not goes_on(text) and not _JOINS.match(below.text)
                )
                if complete or _KEEP.search(below.text) or begins_another(below.text):
                    break
                further.append(below)
                parted = _SENTENCE.split(below.text)
                text = f"{text} {parted[0]}"
                if len(parted) > 1 or re.search(r"[.;!]\s*$", below.text):
                    break
        yield text, further


def _ends(
    sentence: str, line: SheetLine, section: int | None, comma_decimal: bool | None
) -> Iterator[FoundValue]:
    bare = _FROST.sub(" ", sentence)
    if _OTHER_SUBJECT.search(bare):
        return
    doubts: list[str] = []
    text = _signed(_in_celsius(_UNIT_BEFORE.sub(r": \2 °\1", bare), doubts, comma_decimal))
    found = quantities(text, TEMPERATURES, comma_decimal=comma_decimal)
    if not found or any(one.low == one.high for one in found):
        return
    one = _as_one(found)
    away = _AWAY.search(bare) is not None
    alone = one is not None and (one.low is None or one.high is None)
    if one is None or (alone and (away or _RESULT.search(bare))):
        return
    doubts += [doubt for figure in found for doubt in figure.doubts]
    others = alone and re.search(r"[^\W\d_]{2}", _PLAIN.sub(" ", _bare(text, found)))
    if away or others or _OTHERWISE.search(text) or _RESULT.search(text) or goes_on(text):
        doubts.append(OTHERWISE)
    if one.sign == "~":
        doubts.append(ABOUT)
    if any(
        quantities(part, TEMPERATURES)
        for part in _SENTENCE.split(line.text)
        if part not in sentence and not _KEEP.search(part)
    ):
        doubts.append(_("other temperatures stand beside it"))
    for key, end in (("low", one.low), ("high", one.high)):
        if end is not None:
            lowest, highest = LIKELY_ALONE[key] if alone else LIKELY
            odd = () if lowest <= end <= highest else (ODD,)
            degrees = float(round(end, 3))
            yield FoundValue(
                "store_at", f"{pointed(end)}C", line, section, key=key, shown=f"{pointed(end)} °C",
                figures={"low": degrees, "high": degrees, "unit": "°C"}, doubts=tuple(dict.fromkeys((*doubts, *odd))),
            )  # fmt: skip


def _bare(text: str, found: Sequence[Quantity]) -> str:
    """The words of a sentence without its figures and without the words about storing at a temperature."""
    return re.sub(rf"\b{_DEGREES}\b", " ", _KEEP.sub(" ", without(text, found)), flags=re.IGNORECASE)


def _signed(text: str) -> str:
    """The text with signs in place of words for bounds; "not below 5 or above 30" becomes a range."""
    text = _AT_LEAST.sub("≥", _AT_MOST.sub("≤", text))
    text = _OR_MORE.sub(r"\1 and ≤", text) if "≥" in text else text
    text = _OR_LESS.sub(r"\1 and ≥", text) if "≤" in text else text
    text = re.sub(r"([<>≤≥])\s*(?:a|de|of|von)\s+(?=[-+]?\d)", r"\1 ", _LESS.sub("<", _MORE.sub(">", text)))
    return re.sub(r"([-+])\s+(?=\d+(?:[.,]\d+)?\s*°)", r"\1", text) if "+ " in text else text


def _in_celsius(text: str, doubts: list[str], comma_decimal: bool | None) -> str:
    """The text without degrees Fahrenheit beside degrees Celsius; a difference between them is a doubt."""

    def kept(celsius: str, fahrenheit: str) -> str:
        degrees, _ = number(celsius, comma_decimal=comma_decimal)
        other, _ = number(fahrenheit, comma_decimal=comma_decimal)
        if abs((other - 32) * Fraction(5, 9) - degrees) > 1:
            doubts.append(UNITS_DIFFER)
        return f"{celsius} °C "

    text = _C_THEN_F.sub(lambda found: kept(found[1], found[2]), text)
    return _F_THEN_C.sub(lambda found: kept(found[2], found[1]), text)


def _as_one(found: Sequence[Quantity]) -> Quantity | None:
    """The one range that a sentence prints, in two units or as a lower and an upper bound."""
    in_one = common(found, TEMPERATURE)
    if in_one is not None:
        return in_one
    lows, highs = ([one for one in found if one.sign == sign] for sign in "><")
    low, high = common(lows, TEMPERATURE) if lows else None, common(highs, TEMPERATURE) if highs else None
    if low is None or high is None or len(lows) + len(highs) < len(found):
        return None
    assert low.low is not None
    assert high.high is not None
    return low._replace(high=high.high, sign="") if low.low < high.high else None
