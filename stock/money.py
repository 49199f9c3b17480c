"""Money as people write it, and the whole minor units that the books keep (ISO 4217)."""

from fractions import Fraction
from functools import lru_cache

from stock import notation
from stock.grammar import figure_and_unit, plain_figure, refuse, tidy
from stock.language import _
from stock.shipped_files import text_of

_THREE = 3
"""Decimals of a dinar; every price of such a currency has them, so three digits are no thousands."""


@lru_cache(maxsize=1)
def _currencies() -> dict[str, int]:
    lines = text_of("currencies.txt").splitlines()
    rows = [line.split() for line in lines if line and not line.startswith("#")]
    return {code: int(digits) for digits, *codes in rows for code in codes}


def currency(text: str) -> str:
    """Read an ISO 4217 code; returns it in capitals.

    Raises:
        BadInput: no currency in use has it.
    """
    code = tidy(text, _("currency"), _("three letters such as EUR")).upper()
    if code not in _currencies():
        refuse(
            _("currency"),
            text,
            _("is not one in use"),
            _("its three letters of ISO 4217, such as EUR, USD or JPY"),
        )
    return code


def minor_digits(code: str) -> int:
    """How many digits the currency's minor unit has: JPY 0, EUR 2, KWD 3."""
    return _currencies()[currency(code)]


def money(text: str, currency: str) -> int:
    """Read a price in the currency's minor unit: `7.90`, `7.90 EUR`, `EUR 7.90`; 0 is a price, too.

    Raises:
        BadInput: no amount, another currency, a digit too many, negative, or 1,000,000,000 and more.
    """
    digits = minor_digits(currency)
    accepted = _(
        "an amount such as {fraction} {currency}",
        fraction=plain_figure(Fraction(790, 100) if digits else Fraction(790)),
        currency=currency,
    )
    tidied = tidy(text, _("price"), accepted)
    leading = tidied[:3].upper()
    bare = tidied[3:] if leading == currency.upper() else tidied
    figure, unit = figure_and_unit(bare, _("price"), accepted, grouped=digits != _THREE)
    if unit not in {"", currency.casefold()}:
        refuse(_("price"), text, _("is not in {currency}", currency=currency), accepted)
    exact = figure * 10**digits
    if exact.denominator != 1:
        refuse(
            _("price"),
            text,
            _("has more digits than {currency} has ({digits})", currency=currency, digits=digits),
            accepted,
        )
    if figure >= 1_000_000_000:
        refuse(_("price"), text, _("is too large"), accepted)
    return int(exact)


def show_money(minor: int, currency: str) -> str:
    """A price to read, with all digits of the currency: `7.90 EUR`, `790 JPY`."""
    return f"{money_figure(minor, currency)} {currency}"


def minor_of(units: float, currency: str) -> int:
    """Convert an amount from JSON's main units to minor units of the currency: 7.9 EUR are 790."""
    return round(units * 10 ** minor_digits(currency))


def money_figure(minor: int, currency: str) -> str:
    """A price to read without its currency, with all digits: `7.90`, `790`."""
    digits = minor_digits(currency)
    whole, part = divmod(abs(minor), 10**digits)
    return notation.shown().figure(
        f"{'-' if minor < 0 else ''}{whole}{f'.{part:0{digits}d}' if digits else ''}"
    )
