"""Reading the cells of a row about its product, in the form that `entry.read` takes."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from stock.errors import BadInput
from stock.exchange.bad_cells import RowCells
from stock.exchange.figures import Figures
from stock.language import _
from stock.shelf import entry, hazard_entry
from stock.store.words import ROLES
from stock.text import folded, plain
from stock.text import name as clean_name

ALSO_CALLED = {
    "colour": "paint", "color": "paint", "farbe": "paint", "varnish": "clear", "clear coat": "clear",
    "thinner": "reducer", "cleaning": "cleaner",
}  # fmt: skip
FIGURES = (
    "density", "drops_per_ml", "water", "solids", "flash_point", "boiling_point", "ph", "opened_life",
    "sealed_life", "lead_time",
)  # fmt: skip
"""Fields whose texts hold a figure, possibly with a decimal comma, or with the unit in the head."""
LISTS = ("solvent", "not_with")
"""Fields that list several things between semicolons."""
NAMES = ("supplier", "usual_reducer", "line")
OF_PRODUCTS = (
    "role", "line", "code", "maker", "color", "supplier", "pot_life", "store_at", "usual_reducer", "groups",
    "voc_categories", "discontinued", "note", *FIGURES, *LISTS, *hazard_entry.READERS,
)  # fmt: skip
"""Every field of a product's record but its name, its sizes and their prices."""
STILL_SOLD = ("no", "false", "nein", "não", "nao", "non")
SINCE_TODAY = ("yes", "true", "x", "ja", "sim", "sí", "si", "oui")


def read(cell: Mapping[str, str], figures: Figures) -> dict[str, Any]:
    """The facts of a row about its product, by the fields of `entry.read`.

    Args:
        cell: the row's cells by our field; empty ones are not given.
        figures: how its figures are written.
    Raises:
        BadInput, BadCells: the cells that can't be read, and why.
    """
    given: dict[str, Any] = {}
    row = RowCells()
    for key in OF_PRODUCTS:
        if key in cell:
            reader = figures.plain if key in FIGURES else figures.text
            given[key] = row.read(key, "", reader, key, cell[key], partial(_checked, key, figures=figures))
    row.end()
    return {key: value for key, value in given.items() if value != ""}


def _checked(key: str, text: str, *, figures: Figures) -> Any:
    """The text, if it can be read as that field; empty if it says nothing."""
    if key == "role":
        word = folded(text)
        return role_of(ALSO_CALLED.get(word, word))
    if key in NAMES:
        return clean_name(text, what=key.replace("_", " "))
    if key == "discontinued":
        word = folded(text)
        if word in STILL_SOLD:
            return ""
        return figures.today().isoformat() if word in SINCE_TODAY else figures.day(key, text).isoformat()
    entry.read(
        {key: value_of(key, text)},
        measures=figures.measures,
        currency=figures.currency,
        today=figures.today(),
    )
    return text


def value_of(key: str, text: str) -> Any:
    """A cell's text as `entry.read` takes it: a list for a field with several values."""
    return entry.parted(text) if key in LISTS else text


def role_of(word: str) -> str:
    """The role, if it is one that can be bought.

    Raises:
        BadInput: it isn't.
    """
    if word not in ROLES or word == "mixed":
        raise BadInput(
            _("{word!r} is no role", word=plain(word, 30)),
            remedy=_("Write one of {roles}", roles=", ".join(ROLES[:-1])),
        )
    return word
