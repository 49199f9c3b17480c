"""A dosing as people write it: `with=Slow Reducer needle<=0.18 low=20 high=30 step=5`."""

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.text import name as clean_name
from stock.text import note as clean_note
from stock.text import plain
from stock.units import Micrometres, MilliPercent, Pascals

KEYS = ("with", "line", "needle", "low", "high", "step", "pressure", "humidity", "wording")
ACCEPTED = _("Write it as 'with=NAME needle<=0.18 low=20 high=30 step=5'")
_KEY = re.compile(rf"(?:^|\s)({'|'.join(KEYS)})\s*(<=|>=|=)", re.IGNORECASE)
LONGEST = 500


class DosingEntry(NamedTuple):
    """One range of a sheet: thousandths of a per cent of the paint's volume, needles in micrometres.

    `with_product` names the reducer (or, on a reducer's own sheet, the paint); `for_line` a whole line.
    `wording` keeps the sheet's words if its ratio could be read in two ways.
    """

    low_milli: MilliPercent
    high_milli: MilliPercent
    step_milli: MilliPercent | None = None
    with_product: str | None = None
    for_line: str = ""
    needle_low_um: Micrometres | None = None
    needle_high_um: Micrometres | None = None
    pressure_low_pa: Pascals | None = None
    pressure_high_pa: Pascals | None = None
    humidity: str = ""
    wording: str = ""


def read(text: str) -> DosingEntry:
    """Read a dosing: `with=`, `line=`, `needle<=`, `needle>=`, `needle=0.2..0.3`, `low=`, `high=`, `step=`.

    Also `pressure=1.2..1.8 bar`, `humidity=`, and `wording=` for the sheet's own words. Names may hold
    blanks: a value runs until the next key.

    Raises:
        BadInput: an unknown key, no low and high, a range upside down, or a figure that can't be read.
    """
    if len(text) > LONGEST:
        raise BadInput(
            _("the dosing has {text} letters, at most {longest} are read", text=len(text), longest=LONGEST),
            remedy=ACCEPTED,
        )
    found = list(_KEY.finditer(text))
    if not found or text[: found[0].start()].strip():
        raise BadInput(_("{text!r} is no dosing", text=plain(text, 60)), remedy=ACCEPTED)
    given: dict[str, Any] = {}
    for at, match in enumerate(found):
        end = found[at + 1].start() if at + 1 < len(found) else len(text)
        key = match[1].lower()
        if key in given or (key != "needle" and match[2] != "="):
            raise BadInput(_("the dosing says {key} twice or oddly", key=key), remedy=ACCEPTED)
        given[key] = (match[2], text[match.end() : end].strip())
    return _entry({key: value for key, (_, value) in given.items()}, given.get("needle"))


def of_fields(fields: Mapping[str, str]) -> DosingEntry:
    """A dosing from one text for each key, as in a form; an empty text counts as not given.

    Args:
        fields: by `KEYS`; `needle` with its sign, as `<=0.18`, `>=0.5`, `0.2..0.3` or `0.35`.
    Raises:
        BadInput: as `read`.
    """
    given = {key: text.strip() for key, text in fields.items() if text.strip()}
    needle = given.pop("needle", None)
    if needle is None:
        return _entry(given, None)
    sign = next((sign for sign in ("<=", ">=") if needle.startswith(sign)), "=")
    return _entry(given, (sign, needle.removeprefix(sign)))


def _entry(given: dict[str, str], needle: tuple[str, str] | None) -> DosingEntry:
    if "low" not in given and "high" not in given:
        raise BadInput(_("a dosing needs its range"), remedy=ACCEPTED)
    low = _percent(given.get("low", given.get("high", "")))
    high = _percent(given.get("high", given.get("low", "")))
    if low > high:
        raise BadInput(_("a dosing's low figure is above its high one"), remedy=_("Write low=10 high=20"))
    smallest, largest = _needles(*needle) if needle else (None, None)
    least, most = _pressures(given["pressure"]) if "pressure" in given else (None, None)
    return DosingEntry(
        low_milli=low,
        high_milli=high,
        step_milli=_step(given["step"]) if "step" in given else None,
        with_product=given["with"] if given.get("with") else None,
        for_line=clean_name(given["line"], what=_("line")) if given.get("line") else "",
        needle_low_um=smallest,
        needle_high_um=largest,
        pressure_low_pa=least,
        pressure_high_pa=most,
        humidity=clean_note(given.get("humidity", "")),
        wording=clean_note(given.get("wording", "")),
    )


def _percent(text: str) -> MilliPercent:
    """Thousandths of a per cent, from `20`, `20%` or `5:1`."""
    if ":" in text:
        return MilliPercent(round(units.reduction(text) * 1_000))
    return units.percent(text if "%" in text else f"{text}%", what=_("dosing"), most=units.MOST_REDUCTION)


def _step(text: str) -> MilliPercent:
    step = _percent(text)
    if step == 0:
        raise BadInput(_("a dosing's step is nothing"), remedy=_("Write step=5, or leave it out"))
    return step


def _needles(sign: str, text: str) -> tuple[Micrometres | None, Micrometres | None]:
    first, dots, second = text.partition("..")
    if sign == "<=":
        return None, units.needle(text)
    if sign == ">=":
        return units.needle(text), None
    low = units.needle(first)
    high = units.needle(second) if dots else low
    if low > high:
        raise BadInput(_("a dosing's smaller needle comes first"), remedy=_("Write needle=0.2..0.3"))
    return low, high


def _pressures(text: str) -> tuple[Pascals, Pascals]:
    first, dots, second = text.partition("..")
    unit = "".join(letter for letter in text if letter.isalpha())
    high = units.pressure(second if dots else first)
    low = units.pressure(first if not dots or first.strip()[-1:].isalpha() else f"{first} {unit}")
    if low > high:
        raise BadInput(_("a dosing's lower pressure comes first"), remedy=_("Write pressure=1.2..1.8 bar"))
    return low, high


def show_range(low_milli: MilliPercent, high_milli: MilliPercent) -> str:
    """A range of per cents for a person: `20 to 30 %`, or a single one if they are equal."""
    if low_milli == high_milli:
        return units.show_percent(low_milli)
    low = units.show_percent(low_milli).removesuffix(" %")
    return _("{low} to {high_milli}", low=low, high_milli=units.show_percent(high_milli))


def show_needles(low_um: Micrometres | None, high_um: Micrometres | None) -> str:
    """The needles that a range is for, in words."""
    if low_um is None and high_um is None:
        return _("any needle")
    if low_um == high_um and low_um is not None:
        return _("needle {low_um}", low_um=units.show_needle(low_um))
    if low_um is None:
        return _("needle up to {high_um}", high_um=units.show_needle(units.Micrometres(high_um or 0)))
    if high_um is None:
        return _("needle from {low_um}", low_um=units.show_needle(low_um))
    between = units.plain_figure(Fraction(low_um, 1_000))
    return _(
        "needle {between} to {high_um}",
        between=between,
        high_um=units.show_needle(high_um),
    )


def show_pressures(low_pa: Pascals | None, high_pa: Pascals | None) -> str:
    """The spraying pressure of a range, in words; empty if the sheet gives none."""
    if low_pa is None or high_pa is None:
        return ""
    low, high = (units.show_pressure(pa) for pa in (low_pa, high_pa))
    return _("at {low}", low=low) if low == high else _("at {low} to {high}", low=low, high=high)


def as_json(entry: DosingEntry) -> dict[str, Any]:
    """A dosing as scripts read it: per cent, millimetres, bar."""
    return {
        "with": entry.with_product,
        "line": entry.for_line or None,
        "needle_low_mm": _thousandth(entry.needle_low_um),
        "needle_high_mm": _thousandth(entry.needle_high_um),
        "low": _thousandth(entry.low_milli),
        "high": _thousandth(entry.high_milli),
        "step": _thousandth(entry.step_milli),
        "pressure_low_bar": entry.pressure_low_pa / 100_000 if entry.pressure_low_pa else None,
        "pressure_high_bar": entry.pressure_high_pa / 100_000 if entry.pressure_high_pa else None,
        "humidity": entry.humidity,
        "wording": entry.wording,
    }


def _thousandth(figure: int | None) -> float | int | None:
    return None if figure is None else units.from_thousandths(figure)


def words(entry: DosingEntry) -> str:
    """A dosing in one line, for people."""
    for_what = (
        _("with {with_product}", with_product=entry.with_product)
        if entry.with_product
        else _("with any reducer")
    )
    line = _(" for the line {for_line}", for_line=entry.for_line) if entry.for_line else ""
    step = (
        _(", steps of {step_milli}", step_milli=units.show_percent(entry.step_milli))
        if entry.step_milli
        else ""
    )
    quoted = f' ("{entry.wording}")' if entry.wording else ""
    needles = show_needles(entry.needle_low_um, entry.needle_high_um)
    pressure = show_pressures(entry.pressure_low_pa, entry.pressure_high_pa)
    sprayed = f", {pressure}" if pressure else ""
    return (
        f"{show_range(entry.low_milli, entry.high_milli)} {for_what}{line}, {needles}{sprayed}{step}{quoted}"
    )
