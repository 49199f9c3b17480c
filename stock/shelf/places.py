"""Where bottles stand: places, what kind they are and what they may hold."""

from typing import Any

from stock.errors import Ambiguous, BadInput, NotFound, UllageError
from stock.store.connection import connection, writing
from stock.store.models import Place
from stock.store.words import PLACE_KINDS, PREMISES
from stock.text import folded
from stock.text import name as clean_name


def add(name: str, **columns: Any) -> Place:
    """Add a place.

    Args:
        name: its name.
        columns: any of `kind`, `premises`, `building`, `flammable_limit_ul`, `low_mc`, `high_mc`,
            `ignition`, `note`; None leaves one out.
    Raises:
        UllageError: there is a place of that name.
        BadInput: an unknown kind or premises, or a range upside down.
    """
    cleaned = clean_name(name, what="place's name")
    with connection(), writing():
        if Place.select().where(Place.name_key == folded(cleaned)).exists():
            raise UllageError(
                f"there is a place called {cleaned} already", remedy="Change it instead", code="exists"
            )
        return Place.create(name=cleaned, name_key=folded(cleaned), **_checked(columns))


def change(name: str, **columns: Any) -> Place:
    """Change the given columns of a place; None leaves one as it is."""
    with connection(), writing():
        place = find(name)
        checked = _checked(columns)
        if checked:
            Place.update(**checked).where(Place.id == place.id).execute()
        return Place.get_by_id(place.id)


def _checked(columns: dict[str, Any]) -> dict[str, Any]:
    given = {key: value for key, value in columns.items() if value is not None}
    for key, accepted in (("kind", PLACE_KINDS), ("premises", PREMISES)):
        if key in given and given[key] not in accepted:
            raise BadInput(
                f"{given[key]!r} is no {key} of a place", remedy=f"Write one of {', '.join(accepted)}"
            )
    low, high = given.get("low_mc"), given.get("high_mc")
    if low is not None and high is not None and low > high:
        raise BadInput("the place's lowest temperature is above its highest", remedy="Swap them")
    return given


def find(name: str) -> Place:
    """The place that a name, or a part of one, means.

    Raises:
        NotFound, Ambiguous: none or several fit; the message lists them.
    """
    wanted = folded(name)
    rows = everything()
    fitting = [row for row in rows if row.name_key == wanted] or [
        row for row in rows if wanted and wanted in row.name_key
    ]
    if len(fitting) == 1:
        return fitting[0]
    names = ", ".join(row.name for row in (fitting or rows)[:8])
    if fitting:
        raise Ambiguous(f"several places fit {name[:40]!r}: {names}", remedy="Write more of the name")
    raise NotFound(
        f"no place is called {name[:40]!r}",
        remedy=f"The books have {names}" if names else "Add it with `ullage place add`",
    )


def everything() -> list[Place]:
    """All places by name."""
    with connection():
        return list(Place.select().order_by(Place.name_key))
