"""Reading the solvents of a product as people and sheets write them: a share, or a range."""

import re
from collections.abc import Sequence

from stock import units
from stock.errors import BadInput
from stock.grammar import refuse, tidy
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.substance_table import cas_number, is_cas, row_of
from stock.text import name as clean_name
from stock.units import MilliPercent

_BOUND = r"(?:(<=|>=|<|>)[ ]*)?([^<>]+?)[ ]*"
_RANGE = re.compile(rf"{_BOUND}(?:(?:-|to\b|and\b)[ ]*{_BOUND})?")
_AS_WRITTEN = str.maketrans({"≤": "<=", "≥": ">=", "–": "-", "—": "-", "−": "-", "‑": "-"})


class Share(NamedTuple):
    """A solvent's share in thousandths of a per cent; `low_milli` is the low end of a range, None if exact."""

    name: str
    percent_milli: MilliPercent
    basis: str
    low_milli: MilliPercent | None

    @property
    def least_milli(self) -> MilliPercent:
        """The least share that it may have."""
        return self.percent_milli if self.low_milli is None else self.low_milli


def solvent(text: str) -> Share:
    """Read `ethanol=45%`, `ethanol=10-25%` or `ethanol=45% by volume`; by weight unless noted, as in sheets.

    Raises:
        BadInput: no share, a share of nothing, or one that can't be read.
    """
    name, sign, share = text.partition("=")
    basis = "weight"
    for ending, meant in ((" by volume", "volume"), (" by weight", "weight")):
        if share.strip().lower().endswith(ending):
            basis, share = meant, share.strip()[: -len(ending)]
    if not sign:
        raise BadInput(
            _("{text!r} says no share", text=text),
            remedy=_("Write a solvent as ethanol=45%, ethanol=10-25% or ethanol=45% by volume"),
        )
    if is_cas(name):
        cas_number(name)
    low_milli, milli = percent_range(share)
    if not milli:
        raise BadInput(
            _("{text!r} says that there is none of it", text=text),
            remedy=_("Leave it out; write none where the sheet says that there is no solvent"),
        )
    return Share(clean_name(name, what=_("solvent's name")).lower(), milli, basis, low_milli)


def percent_range(text: str, *, what: str = _("share")) -> tuple[MilliPercent | None, MilliPercent]:
    """Read a share, or the range that a sheet prints, in thousandths of a per cent.

    `45%`, `10-25%`, `10 to 25 %`, `10..25%`, `>= 10 - < 25 %`, `< 5%` (from nothing), `>= 90%` (to all of it). Whether
    an end belongs to the range is not kept.

    Returns:
        The low end, None for a plain share, and the high end or the share.
    Raises:
        BadInput: not a share or a range, an end above 100 %, or the higher end first.
    """
    accepted = _("a per cent such as 45%, or a range such as 10-25%, >=10 - <25% or <5%")
    written = tidy(text.translate(_AS_WRITTEN), what, accepted).replace("..", "-").casefold()
    written = written.replace("per cent", "%").replace("percent", "%")
    found = _RANGE.fullmatch(written)
    if found is None:
        refuse(what, text, _("is neither a share nor a range"), accepted)
    first_bound, first, second_bound, second = found.groups()
    one = _share(first, what)
    if second is None:
        if first_bound is None:
            return None, one
        return (MilliPercent(0), one) if first_bound[0] == "<" else (one, MilliPercent(100_000))
    other = _share(second, what)
    if (first_bound or ">")[0] != ">" or (second_bound or "<")[0] != "<" or one > other:
        refuse(what, text, _("does not have the lower end first"), accepted)
    return (one, other) if one < other else (None, other)


def _share(text: str, what: str) -> MilliPercent:
    return units.percent(text if text.strip().endswith("%") else f"{text.strip()}%", what=what)


def refuse_doubled(shares: Sequence[Share]) -> None:
    """Refuse a substance that is named twice, by the same name or by two of its names.

    A name that is not in the table of substances counts as the same only if it is written the same.

    Raises:
        BadInput: two shares name one substance.
    """
    seen: dict[str, str] = {}
    for share in shares:
        row = row_of(share.name)
        number = row["cas"] if row else share.name
        if number in seen:
            same = seen[number] == share.name
            raise BadInput(
                _("{name} is named twice among the solvents", name=share.name)
                if same
                else _("{name} is the same substance as {other}", name=share.name, other=seen[number]),
                remedy=_("Name it once, with the share of it all"),
            )
        seen[number] = share.name


def refuse_overfull(
    shares: Sequence[Share], water_milli: MilliPercent | None = None, solids_milli: MilliPercent | None = None
) -> None:
    """Refuse shares that exceed the whole, each counted at its least.

    Args:
        shares: the solvents. Shares by volume are left out if there is water or solids, which are by weight.
        water_milli, solids_milli: None where not noted.
    Raises:
        BadInput: more than 100 %.
    """
    others = (water_milli or 0) + (solids_milli or 0)
    counted = [share for share in shares if not others or share.basis == "weight"]
    total = sum(share.least_milli for share in counted) + others
    if total > 100_000:
        least = _("at least ") if any(share.low_milli is not None for share in counted) else ""
        with_them = _(" with water and solids") if others else ""
        raise BadInput(
            _(
                "the solvents{with_them} make {least}{total} together",
                with_them=with_them,
                least=least,
                total=units.show_percent(units.MilliPercent(total)),
            ),
            remedy=_("They may make 100 % at most; compare them with section 3 of the safety data sheet"),
        )
