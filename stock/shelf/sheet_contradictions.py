"""Contradictions in a product's record: between hazard statements, flash point, signal word and solvents.

Limits: Regulation (EC) 1272/2008 annex I, tables 2.6.1 and 2.6.2 and section 2.6.4.5. Temperatures are thousandths of
a degree C.
"""

from collections.abc import Sequence
from typing import Any

from stock.hazard_statements import statements
from stock.language import _
from stock.store.words import SIGNAL_WORDS
from stock.units import MilliCelsius, show_temperature

LIQUIDS = {"H224": 1, "H225": 2, "H226": 3, "H227": 4}
"""Statements that a flammable liquid has, and its GHS category."""
BURNS_OTHERWISE = ("H220", "H221", "H222", "H223", "H228", "H232", "H250")
"""Statements of gases, aerosols and solids that burn; then the flash point of a liquid in it decides nothing."""

LOW_MC, SUSTAINS_MC, MIDDLE_MC, BOILS_MC = 23_000, 35_000, 60_000, 35_000


def contradictions(
    codes: Sequence[str] | None,
    signal: str | None,
    *,
    flash_mc: MilliCelsius | None,
    no_flash_point: bool,
    boiling_mc: MilliCelsius | None,
    no_solvent: bool = False,
) -> list[str]:
    """The contradictions, each as a clause.

    Args:
        codes: the hazard statements noted; none of them for an empty list, not known for None.
        signal: the signal word noted; None where not known.
        flash_mc, no_flash_point, boiling_mc: what section 9 says.
        no_solvent: section 3 is noted to name no solvent.
    """
    found = [] if codes is None else _of_fire(codes, flash_mc, no_flash_point, boiling_mc)
    burns_otherwise = any(code in BURNS_OTHERWISE for code in codes or ())
    if no_solvent and flash_mc is not None and flash_mc <= MIDDLE_MC and not burns_otherwise:
        found.append(
            _("no solvent is noted, and a flash point of {flash_mc} is", flash_mc=_degrees(flash_mc))
        )
    asked = [statements()[code] for code in codes or () if code in statements()]
    graver = [
        one
        for one in asked
        if signal and SIGNAL_WORDS.index(one.signal or "none") > SIGNAL_WORDS.index(signal)
    ]
    if graver:
        found.append(
            _(
                "{code} asks for the signal word {signal}, and {noted} is noted",
                code=graver[0].code,
                signal=graver[0].signal,
                noted=signal,
            )
        )
    if codes == () and signal in ("warning", "danger"):
        found.append(_("the signal word {signal} is noted beside no hazard statement", signal=signal))
    return found


def of_record(row: Any) -> list[str]:
    """The contradictions in a product's or a line's record."""
    return contradictions(
        None if row.h_statements is None else tuple(row.h_statements.split()),
        row.signal_word,
        flash_mc=row.flash_point_mc,
        no_flash_point=row.no_flash_point,
        boiling_mc=row.boiling_point_mc,
        no_solvent=row.no_solvent,
    )


def _of_fire(
    codes: Sequence[str], flash_mc: MilliCelsius | None, no_flash_point: bool, boiling_mc: MilliCelsius | None
) -> list[str]:
    liquid = next((code for code in LIQUIDS if code in codes), None)
    if liquid is None:
        burns = any(code in codes for code in BURNS_OTHERWISE)
        if flash_mc is not None and flash_mc <= SUSTAINS_MC and not burns:
            return [
                _(
                    "a flash point of {flash_mc} asks for H224, H225 or H226, and none of them is noted",
                    flash_mc=_degrees(flash_mc),
                )
            ]
        return []
    if no_flash_point:
        return [_("{liquid} is noted, and that it has no flash point", liquid=liquid)]
    said = []
    low = {"H226": LOW_MC, "H227": MIDDLE_MC + 1}.get(liquid)
    high = {"H224": LOW_MC - 1, "H225": LOW_MC - 1, "H226": MIDDLE_MC}.get(liquid)
    if flash_mc is not None and (
        (low is not None and flash_mc < low) or (high is not None and flash_mc > high)
    ):
        said.append(
            _(
                "{liquid} means a flash point {ranges}, and {flash_mc} is noted",
                liquid=liquid,
                ranges=_RANGES[liquid],
                flash_mc=_degrees(flash_mc),
            )
        )
    if boiling_mc is not None and liquid == "H224" and boiling_mc > BOILS_MC:
        said.append(
            _(
                "H224 means that it boils at 35 °C or below, and {boiling_mc} is noted",
                boiling_mc=_degrees(boiling_mc),
            )
        )
    if boiling_mc is not None and liquid == "H225" and boiling_mc <= BOILS_MC:
        said.append(
            _(
                "H225 means that it boils above 35 °C, and {boiling_mc} is noted",
                boiling_mc=_degrees(boiling_mc),
            )
        )
    return said


_RANGES = {
    "H224": _("below 23 °C"), "H225": _("below 23 °C"), "H226": _("from 23 to 60 °C"), "H227": _("above 60 °C"),
}  # fmt: skip


def _degrees(mc: int) -> str:
    return show_temperature(MilliCelsius(mc))
