"""Places where bottles stand: their kind and what they may hold."""

from collections.abc import Callable, Collection, Mapping
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.grammar import figure_and_unit
from stock.language import _
from stock.remedies import Do, Remedy
from stock.shelf import names
from stock.store.connection import connection, writing
from stock.store.models import Place
from stock.store.settings import settings
from stock.store.words import PLACE_KINDS, PREMISES
from stock.text import name as clean_name
from stock.text import note as clean_note
from stock.text import plain


def add(name: str, **columns: Any) -> Place:
    """Add a place.

    Args:
        name: its name.
        columns: any of `kind`, `premises`, `building`, `flammable_limit_ul` or `flammable_limit_mg`,
            `low_mc`, `high_mc`, `ignition`, `note`; None leaves one out.
    Raises:
        UllageError: there is a place of that name.
        BadInput: an unknown kind or premises, or a range upside down.
    """
    row = names.columns("place", name) | checked(columns)
    with connection(), writing(), names.free(Place, _("place"), row, remedy=_("Change it instead")):
        return Place.create(**row)


def change(name: str, *, rename: str | None = None, forget: Collection[str] = (), **columns: Any) -> Place:
    """Change the given columns of a place; None leaves one as it is.

    Args:
        name: the place.
        rename: its new name.
        forget: columns that are not known any more.
        columns: as for `add`.
    Raises:
        UllageError: another place has the new name.
        BadInput: as for `add`.
    """
    with connection(), writing():
        place = find(name)
        forgotten = {key: "" if key in _TEXTS else None for key in forget}
        given = checked(columns) | forgotten
        checked({"low_mc": place.low_mc, "high_mc": place.high_mc} | given)
        if rename is not None:
            given |= names.columns("place", rename)
        if given:
            with names.free(Place, _("place"), given, remedy=_("Nothing was changed"), but=place.id):
                Place.update(**given).where(Place.id == place.id).execute()
        return Place.get_by_id(place.id)


def read(given: Mapping[str, str | None]) -> tuple[dict[str, Any], set[str]]:
    """Read a place's fields.

    Args:
        given: texts by `kind premises building flammable_limit lowest highest ignition note`; None was not
            given, an empty one is unknown.
    Returns:
        The columns for `add` and `change`, and those to forget.
    Raises:
        BadInput: a figure that can't be read.
    """
    said = {key: text for key, text in given.items() if text is not None and key in _FIELDS}
    empty = {key for key, text in said.items() if not text.strip() and key != "kind"}
    columns: dict[str, Any] = {}
    forget = {column for key in empty for column in _FIELDS[key]}
    for key, text in said.items():
        if key == "flammable_limit" and text.strip():
            columns |= limit(text)
            forget |= {column for column in _FIELDS[key] if column not in columns}
        elif key not in empty:
            columns[_FIELDS[key][0]] = _READERS[key](text)
    return columns, forget


def limit(text: str) -> dict[str, int]:
    """The column and figure of a limit of flammable stock, by volume or by mass: `20 l`, `10 gal`, `20 kg`, `40 lb`.

    Raises:
        BadInput: neither a volume nor a mass; an ounce is one of volume here.
    """
    accepted = _("a volume or a mass, such as 20 l, 10 us gal, 20 kg or 40 lb")
    __, unit = figure_and_unit(text, _("limit"), accepted)
    if unit in units.MASS_UNITS:
        return {"flammable_limit_mg": units.mass(text, what=_("limit"))}
    try:
        return {"flammable_limit_ul": units.volume(text, what=_("limit"), measures=settings().measures)}
    except BadInput as error:
        unknown = not unit or "no known unit" in error.message
        raise BadInput(
            error.message, remedy=_("Write {accepted}", accepted=accepted) if unknown else error.remedy
        ) from None


def yes(text: str) -> bool:
    """Yes or no.

    Raises:
        BadInput: neither.
    """
    word = text.strip().lower()
    if word not in ("yes", "no"):
        raise BadInput(_("{text!r} is neither", text=plain(text, 20)), remedy=_("Write yes or no"))
    return word == "yes"


_FIELDS: Mapping[str, tuple[str, ...]] = {
    "kind": ("kind",),
    "premises": ("premises",),
    "building": ("building",),
    "flammable_limit": ("flammable_limit_ul", "flammable_limit_mg"),
    "lowest": ("low_mc",),
    "highest": ("high_mc",),
    "ignition": ("ignition",),
    "note": ("note",),
}
"""The columns that each field fills; a limit fills the one of its unit and empties the other."""

_READERS: Mapping[str, Callable[[str], Any]] = {
    "kind": lambda text: text.strip().lower().replace(" ", "_"),
    "premises": lambda text: text.strip().lower().replace(" ", "_"),
    "building": lambda text: clean_name(text, what=_("building's name")),
    "lowest": units.temperature,
    "highest": units.temperature,
    "ignition": yes,
    "note": clean_note,
}
_TEXTS = ("building", "note")


def checked(columns: dict[str, Any]) -> dict[str, Any]:
    """The columns that are given, each in reach.

    Raises:
        BadInput: an unknown kind or premises, or a range upside down.
    """
    given = {key: value for key, value in columns.items() if value is not None}
    for key, accepted in (("kind", PLACE_KINDS), ("premises", PREMISES)):
        if key in given and given[key] not in accepted:
            raise BadInput(
                _("{given!r} is no {key} of a place", given=given[key], key=key),
                remedy=_("Write one of {accepted}", accepted=", ".join(accepted)),
            )
    low, high = given.get("low_mc"), given.get("high_mc")
    if low is not None and high is not None and low > high:
        raise BadInput(_("the place's lowest temperature is above its highest"), remedy=_("Swap them"))
    return given


def find(name: str) -> Place:
    """The place that a name, or a part of one, means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    return names.find(
        everything(),
        name,
        what=_("place"),
        several=_("places"),
        remedy=Remedy(_("Add it with "), Do("place add", "NAME")),
    )


def everything() -> list[Place]:
    """All places by name."""
    with connection():
        return list(Place.select().where(~Place.taken_back).order_by(Place.name_key))
