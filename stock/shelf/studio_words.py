"""The studio's settings as a person reads and writes them, one by one."""

from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.grammar import figure_and_unit, plain_figure
from stock.language import _
from stock.money import show_money
from stock.named_tuples import NamedTuple
from stock.notation import DATE_ORDERS, DECIMAL_MARKS, show_day
from stock.shelf.entry import drops_per_ml
from stock.shelf.studio import (
    MEASURES,
    Settings,
    change,
    require_mark,
    require_measures,
    require_order,
    require_paper,
)
from stock.store.settings import change_settings, settings
from stock.store.words import PAPERS
from stock.text import name as clean_name

_SIDES = 3


class Setting(NamedTuple):
    """One setting.

    Args:
        column: its name in `Settings`.
        label: its name for a person.
        about: what it decides, in a sentence.
        accepts: the accepted texts.
        read: converts a text to the value in the books; None if the setting can't be changed.
        write: converts the value in the books to a text that reads back.
        unset: what applies while it isn't set; empty if it always is.
        choices: the words to choose from, if there are only a few.
    """

    column: str
    label: str
    about: str
    accepts: str
    read: Callable[[str], Any] | None
    write: Callable[[Any], str] = str
    unset: str = ""
    choices: tuple[str, ...] = ()


def _word(require: Callable[[str], str]) -> Callable[[str], str]:
    return lambda text: require(text.strip().lower())


def _percent(text: str) -> int:
    bare = text.strip()
    return units.percent(bare if bare.endswith("%") else f"{bare}%", what=_("chance"))


def _fan(text: str) -> int:
    accepted = _("cubic metres an hour, such as 400 m3/h")
    figure, unit = figure_and_unit(text, _("fan's air"), accepted)
    if unit not in {"", "m3/h", "m³/h"} or figure.denominator != 1:
        raise BadInput(
            _("{text!r} is no air that a fan moves", text=text[:30]),
            remedy=_("Write {accepted}", accepted=accepted),
        )
    return int(figure)


def room(text: str) -> int:
    """Litres of a room from its cubic metres, as `30 m3`, or from its measures, as `4x3x2.5 m`.

    Raises:
        BadInput: neither.
    """
    accepted = _("cubic metres, as 30 m3, or length, width and height, as 4x3x2.5 m")
    bare = text.strip().lower().replace("³", "3")
    sides = [side.strip() for side in bare.removesuffix("m").split("x")]
    if len(sides) == _SIDES:
        litres = Fraction(1_000)
        for side in sides:
            figure, unit = figure_and_unit(side, _("room"), accepted)
            if unit not in {"", "m"}:
                raise BadInput(
                    _("{text!r} is no room", text=text[:30]), remedy=_("Write {accepted}", accepted=accepted)
                )
            litres *= figure
        return round(litres)
    figure, unit = figure_and_unit(bare, _("room"), accepted)
    if unit not in {"", "m3"}:
        raise BadInput(
            _("{text!r} is no room", text=text[:30]), remedy=_("Write {accepted}", accepted=accepted)
        )
    return round(figure * 1_000)


def _day(text: str) -> date:
    return units.day(text, settings().today())


def _money(text: str) -> int:
    currency = settings().currency
    return units.money(text.replace(currency, "").strip(), currency)


def _markup(text: str) -> int:
    bare = text.strip()
    return units.percent(bare if bare.endswith("%") else f"{bare}%", what=_("mark-up"), most=1_000)


def _thousandths(figure: int) -> str:
    return plain_figure(Fraction(figure, 1_000))


SETTINGS: tuple[Setting, ...] = (
    Setting(
        "name", _("Name"), _("It stands on top of every screen and on labels."), _("1 to 80 letters"),
        lambda text: clean_name(text, what=_("studio's name")),
    ),
    Setting(
        "measures", _("Measures"), _("What an ounce or a pint means where it is typed, and how volumes are shown."),
        _("metric, us or imperial"), _word(require_measures), choices=MEASURES,
    ),
    Setting(
        "decimal_mark", _("Decimal mark"),
        _("What stands before the decimals where figures are shown; with comma, both marks are "
"read. Files keep points."),
        _("point or comma"), _word(require_mark), choices=DECIMAL_MARKS,
    ),
    Setting(
        "date_order", _("Dates"),
        _("How days are shown; 2026-11-27 is always read. Files keep it."),
        _("iso (2026-11-27), day-first (27.11.2026, 27/11/2026) or month-first (11/27/2026)"),
        _word(require_order), choices=DATE_ORDERS,
    ),
    Setting(
        "paper", _("Paper"), _("The sheets that pages and labels are printed on."),
        _("a4 or letter; empty goes by the measures"), _word(require_paper),
        unset=_("by the measures: letter where they are us, a4 elsewhere"), choices=PAPERS[1:],
    ),
    Setting(
        "drops_milli", _("Drops per ml"), _("How many drops make a millilitre of a product that says none of its own."),
        _("a number from 1 to 200; water gives about 20"), drops_per_ml, _thousandths,
    ),
    Setting(
        "dry_risk_milli", _("Chance to run dry"),
        _("How likely it may be that a product runs out before its delivery: the less, the earlier "
"it is ordered."),
        _("0.1% to 50%"), _percent, lambda milli: f"{_thousandths(milli)}%",
    ),
    Setting(
        "fan_m3_per_h", _("Fan"),
        _("What your fan was measured to move; the cautions compare it with what spraying needs."),
        _("cubic metres an hour, as 400 m3/h; empty if it wasn't measured"), _fan, lambda m3: f"{m3} m3/h",
        unset=_("not known: the room is taken to be still"),
    ),
    Setting(
        "room_l", _("Room"),
        _("The air in the room that you spray in; with the fan it says how thick the vapour gets."),
        _("cubic metres, as 30 m3, or 4x3x2.5 m; empty if it isn't known"), room,
        lambda litres: f"{_thousandths(litres)} m3",
        unset=_("not known: 10 m3 is taken, a small room"),
    ),
    Setting(
        "spray_ul_per_min", _("Spray rate"),
        _("What your airbrush uses of a mix in a minute of spraying; the air that a mix needs is "
"worked out by it."),
        _("millilitres a minute, as 1.5ml; empty if it wasn't measured"), units.volume,
        lambda volume_ul: f"{_thousandths(volume_ul)} ml",
        unset=_("not known: 3 ml a minute is taken, the fast end of an airbrush"),
    ),
    Setting(
        "waste_collected_on", _("Waste collected"),
        _("The day on which your hazardous waste last left: what was thrown away since counts as "
"on hand."),
        _("a day, as 2026-03-01 or today; empty if none was collected yet"), _day, show_day,
        unset=_("not known: all that was ever thrown away counts as on hand"),
    ),
    Setting(
        "labour_minor_per_h", _("Hour of work"),
        _("What an hour of work on a job costs; a job's price is worked out with it."),
        _("an amount, as 45; empty if it isn't set"), _money, lambda minor: show_money(minor, settings().currency),
        unset=_("not known: a job's price holds its material only"),
    ),
    Setting(
        "markup_milli", "Mark-up", _("What is added to the material and the work of a job for its price."),
        _("0% to 1000%; empty for none"), _markup, lambda milli: f"{_thousandths(milli)}%",
        unset="none",
    ),
    Setting(
        "address", _("Address"), _("It stands on every page that is printed."),
        _("one line, as 4 Quay Street, Quillhaven; empty for none"), str.strip, unset=_("none on printed pages"),
    ),
    Setting(
        "voc_limit_mg", _("Emission limit"),
        _("The volatile organic compounds that you may emit in twelve months; the emissions of a "
"year stand beside it."),
        _("a mass, as 25 kg; empty if you have none"), units.mass, lambda mg: f"{_thousandths(mg // 1_000)} kg"
        if mg % 1_000_000 == 0 else f"{_thousandths(mg)} g",
        unset=_("none noted"),
    ),
    Setting(
        "currency", _("Currency"), _("All prices in these books are in it, so it stays as the books were made."),
        "", None,
    ),
    Setting(
        "time_zone", _("Time zone"), _("All days in these books are its days, so it stays as the books were made."),
        "", None,
    ),
)  # fmt: skip
TEXTS = ("address", "paper")
"""Settings that are empty while they aren't set."""
ELSEWHERE = ("rule_sets",)
"""Settings that another room reads and writes: the cautions know which rule sets there are."""


def reads(column: str, text: str | None) -> Any:
    """The value of a setting's text for the books; None if it was not given.

    Raises:
        BadInput: it can't be read.
    """
    setting = next(one for one in SETTINGS if one.column == column)
    return setting.read(text) if text is not None and setting.read is not None else None


def settings_in_words() -> list[tuple[Setting, str]]:
    """Every setting with its value as text; empty if it isn't set."""
    now = settings()
    values = [(one, getattr(now, one.column)) for one in SETTINGS]
    return [(one, "" if value is None else one.write(value)) for one, value in values]


def unlisted() -> set[str]:
    """Columns of `Settings` that are not covered here; a test keeps this empty."""
    return set(Settings._fields) - {one.column for one in SETTINGS} - set(ELSEWHERE)


def put(setting: Setting, text: str) -> Settings:
    """Set one setting from a text; an empty one unsets it, if it may be unset.

    Raises:
        BadInput: it can't be read, is out of range, or stays as the books were made.
    """
    if setting.read is None:
        raise BadInput(
            _("the {label} stays as the books were made", label=setting.label.lower()), remedy=setting.about
        )
    if setting.unset and not text.strip():
        return change_settings(**{setting.column: "" if setting.column in TEXTS else None})
    return change(**{setting.column: setting.read(text)})
