"""Section 3: the substances of a mixture with their CAS numbers and the ranges of their shares.

A share belongs to a substance if it stands in the same row of a table; if substances take several lines, shares and
substances are matched in order. EC, index and registration numbers are no CAS numbers, and the concentration limits
from which an ingredient counts as hazardous are no shares.
"""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from stock.datasheets import share_basis
from stock.datasheets.figures import NUMBER, Quantity, goes_on, quantities
from stock.datasheets.found_values import FoundValue
from stock.datasheets.page_lines import Cell, SheetLine
from stock.datasheets.share_basis import CAS
from stock.grammar import pointed
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.substance_table import check_digit, row_of

_NUMBERS = re.compile(
    r"(?<![\d-])(?:\d{3}-\d{3}-\d{2}-[\dXx]|0?[1-9]-\d{10}-\d{2}(?:-[\dxX]{4})?|\d{3}-\d{3}-\d(?![\d-]))"
)
"""Index numbers, registration numbers and EC numbers."""
_LIMITS = re.compile(
    r"(?:\b[Cc]\s*(?=[≥<≤>])|"
    r"\d[\d.,]*\s*%?\s*[≤<]\s*[Cc]\b\s*)(?:\s*[≥<≤>]\s*\d[\d.,]*\s*%?)?(?:\s*[-<≤]+\s*[Cc]?\s*[≤<]?\s*\d[\d.,]*\s*%)?|"
    r"\b(?:M|ATE|LD50|LC50|SCL|M-?factor|M-?faktor)\b[^;]*",
)
_CLASSES = re.compile(
    r"\b(?:EU)?H\d{3}[A-Za-z]{0,2}\b|\bGHS0\d\b|\b(?:Flam|Acute|Eye|Skin|Resp|STOT|Asp|Aquatic|Repr|Carc|"
    r"Muta|Ox|Press|Met|Org|Self|Water|Pyr|"
    r"Lact|Ozone)\b\.?\s*[A-Za-z.]*\s*(?:Liq|Sol|Gas|Tox|Dam|Irrit|Corr|Sens|SE|RE|Acute|Chronic|Perox|"
    r"react)?\.?\s*\d?[A-F]?\b",
)
_LIMITS_BESIDE = re.compile(
    r"ppm|mg\s?/\s?m|\b(?:twa|tlv|pel|oel|wel|agw|mak|vme|vla|stel)\b|exposure", re.IGNORECASE
)
_OTHER_UNITS = re.compile(
    rf"(?:(?:[<≤≥>~]|ca\.?)\s*)?{NUMBER}(?:\s*(?:-|to|bis|[àa])\s*[<≤]?\s*{NUMBER})?\s*"
    r"(?:pp[mb]|[mµμ]?g\s?/\s?(?:kg|l|ml|m\s?3|100)|ml\s?/\s?(?:kg|l|m\s?3)|lb|kg)(?![A-Za-z])",
    re.IGNORECASE,
)
"""A figure or range that is no share of a hundred."""
_LIMIT_BEHIND = re.compile(r"%\W{0,3}(?:max|min|h[öo]chst|m[áa]x|m[íi]n|or less|or more)", re.IGNORECASE)
_NO_SHARE_LINE = re.compile(r"limit|grenz|l[íi]mit|konzentrationsg|spez\.", re.IGNORECASE)
_HALF = re.compile(
    rf"(?:[<≤≥>]\s*)?{NUMBER}\s*%?\s*(?:-|to|bis|und|and|[àa]|et|y)\s*[<≤]?|[<≤≥>]|(?:-|to|bis|[àa])\s*[<≤]?\s*(?:{NUMBER}\s*%?)?",
    re.IGNORECASE,
)
"""A cell with one half of a range that a narrow column broke in two."""
_WITHIN = re.compile(r"\((?:contained |enthalten )?(?:in|as|als|aus|dans|en)\s+[^\W\d]", re.IGNORECASE)
_SECRET_MARK = re.compile(r"^\W*\*+", re.IGNORECASE)
_HEAD = re.compile(
    r"%|conc|anteil|gehalt|content|weight|gew|poids|peso|teneur|quantit|menge|amount|share|range|bereich",
    re.IGNORECASE,
)
SECRET = re.compile(
    r"trade[ -]?secret|proprietary|confidential|betriebsgeheimnis|gesch[äa]ftsgeheimnis|"
    r"secret (?:commercial|de fabrication)|"
    r"confidentiel|secreto (?:comercial|industrial)|confidencial|withheld",
    re.IGNORECASE,
)
_BETWEEN_SIGNS = re.compile(
    rf"(?<![\d.,<≤>≥-])({NUMBER})\s*%?\s*[<≤]\s*(?:x\s*%?\s*[<≤]\s*)?({NUMBER})\s*%?(?![\d.,])", re.IGNORECASE
)
"""`10 < 25 %` and `10 ≤ x % < 25`, as sheets in French and Spanish write a range."""
_PROSE = re.compile(
    r"\b(?:contains?|note|less than|stabili[sz]ed|impurit|enth[äa]lt|anmerkung|hinweis|weniger als|"
    r"stabilisiert|contient|remarque|moins de|"
    r"contiene|nota|menos d)",
    re.IGNORECASE,
)
PROSE = _("it stands in a sentence, not in a row")
_AT_MOST = re.compile(
    r"less than|maximum|max\.?\b|weniger als|h[öo]chst|moins de|menos de|m[áa]ximo|<\s*%|%\s*<", re.IGNORECASE
)
LONGEST_BLOCK = 8
"""Lines that the last substance of a table may take."""
BROKEN = _("the range may go on in another line")
NO_SHARE = _("no share was found for it")
PAIRED = _("the share stands on another line")
SEVERAL = _("several shares stand beside it")
WRONG_DIGIT = _("the CAS number's last digit is wrong")
OTHER_NAME = _("the name printed beside it means another substance")


class Ingredient(NamedTuple):
    """A substance of section 3, with the shares in its row."""

    cas: str
    line: SheetLine
    name: str
    shares: tuple[Quantity, ...]
    at: int
    secret: bool

    def with_line(self, other: SheetLine) -> "Ingredient":
        """The ingredient with the words of the line of its share appended to its own."""
        return self._replace(line=self.line._replace(cells=(*self.line.cells, Cell("…"), *other.cells)))


def composition(lines: Sequence[SheetLine], *, comma_decimal: bool | None) -> Iterator[FoundValue]:
    """The substances of section 3 with their shares, in order."""
    all_text = " ".join(line.text for line in lines)
    basis, other = share_basis.of_table(lines)
    limits = any(_LIMITS_BESIDE.search(line.text) and not CAS.search(line.text) for line in lines)
    starred = any(_SECRET_MARK.match(line.text) and SECRET.search(line.text) for line in lines)
    unitless = not re.search(
        r"%|percent|per cent|prozent|pourcent|porcentaje|por ?ciento", all_text, re.IGNORECASE
    )
    at_most = any(_AT_MOST.search(line.text) and not CAS.search(line.text) for line in lines)
    parts, loose = _parts(lines, comma_decimal)
    paired = _paired(parts, loose)
    columns = any(len(part.shares) > 1 for part in parts)
    too_much = sum(shares[0].low or 0 for shares, _doubts in paired.values() if len(shares) == 1) > 100
    elsewhere = {id(figure): line for _, figure, line in loose}
    for part in parts:
        shares, doubts = paired[part.at]
        doubts = (*doubts, *other)
        if unitless and shares:
            doubts = (*doubts, _("no per cent sign is printed"))
        if _WITHIN.search(part.line.text):
            doubts = (*doubts, _("perhaps its share of another ingredient"))
        if limits and any(share.low == share.high for share in shares) and "%" not in part.line.text:
            doubts = (*doubts, _("limits of exposure stand in the same table"))
        if starred and "*" in part.line.text:
            doubts = (*doubts, _("its true share is kept secret"))
        if at_most and any(share.low == share.high for share in shares):
            doubts = (*doubts, _("the head of the table says less than"))
        if columns and len(part.shares) == 1 and len(part.line.cells) > 2:
            doubts = (*doubts, _("other rows have several shares"))
        if too_much:
            doubts = (*doubts, _("the shares are more than the whole"))
        if _LIMIT_BEHIND.search(part.line.text):
            doubts = (*doubts, _("only one end is printed"))
        if any(share.sign == ">" for share in shares) and "%" not in part.line.text:
            doubts = (*doubts, _("only the lower end is printed beside it"))
        if part.shares and any(abs(at - part.at) == 1 for at, _, _ in loose):
            doubts = (*doubts, BROKEN)
        if any(
            _HALF.fullmatch(cell.text) and not _is_empty(cell, line)
            for line in lines[max(0, part.at - 2) : part.at + 3]
            for cell in line.cells
        ):
            doubts = (*doubts, BROKEN)
        beside = elsewhere.get(id(shares[0])) if shares else None
        yield _found_value(part if beside is None else part.with_line(beside), shares, doubts, basis)
    yield from _without_numbers(lines, comma_decimal, basis)


def _is_empty(cell: Cell, line: SheetLine) -> bool:
    """Whether a dash means an empty cell; the dash of a range stands on a line without words."""
    return cell.text == "-" and re.search(r"[^\W\d]{3}", line.text) is not None


def _parts(
    lines: Sequence[SheetLine], comma_decimal: bool | None
) -> tuple[list[Ingredient], list[tuple[int, Quantity, SheetLine]]]:
    """The substances, and the shares in lines without a substance; each with the number of its line."""
    parts: list[Ingredient] = []
    loose: list[tuple[int, Quantity, SheetLine]] = []
    headed = any(_HEAD.search(line.text) for line in lines)
    for at, line in enumerate(lines):
        numbers = CAS.findall(_NUMBERS.sub(" ", line.text))
        shares = _shares(line, comma_decimal, bare=headed and bool(numbers) and len(line.cells) > 1)
        if len(numbers) == 1:
            parts.append(
                Ingredient(
                    numbers[0],
                    line,
                    _name(line),
                    tuple(shares),
                    at,
                    bool(SECRET.search(line.text)),
                )
            )
        elif numbers:
            for one in numbers:
                parts.append(Ingredient(one, line, "", tuple(shares) if len(shares) > 1 else (), at, False))
        elif not _NO_SHARE_LINE.search(line.text):
            loose += [(at, figure, line) for figure in shares]
    return parts, loose


def _shares(line: SheetLine, comma_decimal: bool | None, *, bare: bool) -> list[Quantity]:
    """The shares of a line: figures with a per cent sign, ranges and bounds; a plain figure only if it fills a cell."""
    found: list[Quantity] = []
    for cell in line.cells:
        between = _BETWEEN_SIGNS.sub(r"\1 - \2 %", cell.text)
        text = _OTHER_UNITS.sub(" ", _NUMBERS.sub(" ", CAS.sub(" ", between)))
        text = _CLASSES.sub(" ", _LIMITS.sub(" ", text))
        broken = (BROKEN,) if goes_on(text) else ()
        with_sign = quantities(text, {"%": r"%"}, comma_decimal=comma_decimal)
        if any(re.search(r"(?:^|\s)\d{1,2}\s+$", text[: figure.span[0]]) for figure in with_sign):
            broken = (BROKEN,)  # "2 5 - 50 %"
        if with_sign:
            found += [figure._replace(doubts=(*figure.doubts, *broken)) for figure in with_sign]
            continue
        plain = quantities(text, {}, comma_decimal=comma_decimal, unitless="%")
        whole = (
            re.fullmatch(r"[\s\d.,≤≥<>~-]*(?:to|bis|[àa]|and|und|et|y|-)?[\s\d.,≤≥<>~*-]*", text) is not None
        )
        ranged = [figure for figure in plain if figure.low != figure.high]
        if (len(plain) == 1 and whole and (ranged or bare)) or (
            len(plain) == 1 and ranged and len(line.cells) == 1 and CAS.search(line.text)
        ):
            found += [figure._replace(doubts=(*figure.doubts, *broken)) for figure in plain]
    return [figure for figure in found if _possible(figure)]


def _possible(figure: Quantity) -> bool:
    return all(0 <= end <= 100 for end in (figure.low, figure.high) if end is not None)


def _paired(
    parts: Sequence[Ingredient], loose: Sequence[tuple[int, Quantity, SheetLine]]
) -> dict[int, tuple[list[Quantity], tuple[str, ...]]]:
    """The shares of each substance by its line: those in its row, else matched in order."""
    by_row: dict[int, tuple[list[Quantity], tuple[str, ...]]] = {
        part.at: (list(part.shares), () if len(part.shares) == 1 else (SEVERAL,)) for part in parts
    }
    lacking = [part for part in parts if not part.shares]
    if not lacking:
        return by_row
    if len(lacking) == len(parts) == len({part.at for part in parts}):
        ordered = _alternating(parts, loose)
        if ordered is not None:
            return {part.at: ([figure], ()) for part, figure in zip(parts, ordered, strict=True)}
    blocks = _blocks(parts, loose)
    for part in lacking:
        if part.at in blocks:
            by_row[part.at] = blocks[part.at], ()
            continue
        near = [figure for at, figure, _ in loose if abs(at - part.at) <= 2]
        by_row[part.at] = (near, (PAIRED,) if near else (NO_SHARE,))
    return by_row


def _blocks(
    parts: Sequence[Ingredient], loose: Sequence[tuple[int, Quantity, SheetLine]]
) -> dict[int, list[Quantity]]:
    """Shares matched as the only one between a substance and the next, if none comes before the first substance."""
    starts = sorted({part.at for part in parts})
    if any(at < starts[0] for at, _, _ in loose):
        return {}
    found: dict[int, list[Quantity]] = {}
    for start, end in zip(starts, [*starts[1:], starts[-1] + LONGEST_BLOCK], strict=True):
        inside = [figure for at, figure, _ in loose if start < at < end]
        if len(inside) == 1:
            found[start] = inside
    return found


def _alternating(
    parts: Sequence[Ingredient], loose: Sequence[tuple[int, Quantity, SheetLine]]
) -> list[Quantity] | None:
    """Shares matched if exactly one follows every substance, or exactly one precedes every substance."""
    events = sorted(
        [(part.at, None) for part in parts] + [(at, figure) for at, figure, _ in loose],
        key=lambda each: each[0],
    )
    are_parts = [figure is None for _, figure in events]
    if len(loose) != len(parts) or any(a == b for a, b in pairwise(are_parts)):
        return None
    return [figure for _, figure in events if figure is not None]


def _name(line: SheetLine) -> str:
    """The substance's name in a row: the first cell of letters."""
    for cell in line.cells:
        text = CAS.sub(" ", _NUMBERS.sub(" ", cell.text)).strip(" :;,|-")
        text = re.sub(r"\b(?:CAS|EC|EG|EINECS|CE|index|reach)\b[^;,]*$", "", text, flags=re.IGNORECASE).strip(
            " :;,|-"
        )
        text = re.split(r"\s[≥<>≤~]?\s?\d[\d.,]*\s*(?:-|%)", text)[0].strip(" ≥<>≤-")
        if re.search(r"[^\W\d]{3}", text) and not _CLASSES.match(text):
            return text
    return ""


def _found_value(
    part: Ingredient, shares: Sequence[Quantity], doubts: tuple[str, ...], basis: str
) -> FoundValue:
    row = row_of(part.cas)
    printed = row_of(part.name) if part.name else None
    doubts = tuple(doubts)
    if int(part.cas[-1]) != check_digit(part.cas):
        doubts = (*doubts, WRONG_DIGIT)
    if row is not None and printed is not None and printed["cas"] != row["cas"]:
        doubts = (*doubts, OTHER_NAME)
    named = row["name"] if row is not None else part.cas
    if len(part.line.cells) == 1 and _PROSE.search(part.line.text):
        doubts = (*doubts, PROSE)
    share = shares[0] if shares else None
    figures: dict[str, object] = {
        "cas": part.cas,
        "name": (row["name"] if row else part.name) or None,
        "basis": basis,
    }
    if share is None:
        return FoundValue(
            "solvent", None, part.line, 3, key=part.cas, shown=_("{named}: share not known", named=named),
            figures=figures,
            doubts=doubts,
        )  # fmt: skip
    if share.sign == "~":
        doubts = (*doubts, _("printed as about"))
    doubts = tuple(dict.fromkeys((*doubts, *share.doubts)))
    low, high = _ends(share)
    figures |= {"low": _printed(share.low), "high": _printed(share.high), "trade_secret": part.secret}
    text = share_text(low, high)
    label = part.name if row is None and part.name else named
    shown = f"{label} {text}" + ("" if label == part.cas else f" (CAS {part.cas})")
    if row is not None and row["cas"] == "7732-18-5":
        return FoundValue(
            "water", text if low == high else None, part.line, 3, shown=shown, figures=figures, doubts=doubts
        )
    if high == 0:
        doubts = (*doubts, _("a share of nothing"))
    return FoundValue(
        "solvent",
        f"{named}={text} by {basis}",
        part.line,
        3,
        key=part.cas,
        shown=shown,
        figures=figures,
        doubts=doubts,
    )


def _ends(share: Quantity) -> tuple[Fraction, Fraction]:
    """The ends of a share; a single bound starts at nothing, or ends at the whole."""
    return (
        share.low if share.low is not None else Fraction(0),
        share.high if share.high is not None else Fraction(100),
    )


def _printed(end: Fraction | None) -> float | None:
    """An end as printed; a bound has only one."""
    return None if end is None else float(end)


def share_text(low: Fraction, high: Fraction) -> str:
    """A share as `shelf.shares` reads it: `45%`, `10-25%`."""
    if low == high:
        return f"{pointed(low)}%"
    return f"{pointed(low)}-{pointed(high)}%"


def _without_numbers(
    lines: Sequence[SheetLine], comma_decimal: bool | None, basis: str
) -> Iterator[FoundValue]:
    """Substances whose CAS number is kept secret: rows with a name and a share."""
    for line in lines:
        if CAS.search(line.text) or not SECRET.search(line.text) or len(line.cells) < 2:
            continue
        shares = _shares(line, comma_decimal, bare=False)
        name = SECRET.sub("", line.cells[0].text).strip(" :()*-")
        if len(shares) != 1 or not re.search(r"[^\W\d]{3}", name):
            continue
        low, high = _ends(shares[0])
        yield FoundValue(
            "solvent", f"{name[:60]}={share_text(low, high)} by {basis}",
            line, 3, key=name.casefold(),
            shown=_("{name} {low} (number kept secret)", name=name, low=share_text(low, high)),
            figures={"cas": None, "name": name, "basis": basis, "low": _printed(shares[0].low),
            "high": _printed(shares[0].high), "trade_secret": True},
            doubts=(_("its CAS number is kept secret"),),
        )  # fmt: skip
