"""A product as a person or a file writes it, read into the figures that the books keep.

The command, the form on the screen and the sample studio all pass their texts to `read`, so a field has the same
meaning everywhere.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.grammar import figure_and_unit
from stock.hazard_statements import HAZARD_GROUPS
from stock.language import _
from stock.shelf import hazard_entry, ph, pot_life
from stock.shelf.shares import Share, refuse_doubled, refuse_overfull, solvent
from stock.store.line_fields import FIELDS
from stock.store.words import ROLES
from stock.text import name as clean_name
from stock.text import note as clean_note

GROUPS = (
    "waterborne", "solventborne", "waterborne_two_pack", "alcohol", "ketone", "ester", "glycol_ether", "glycol",
    "amine", "isocyanate", "acid", "organic_acid", "oxidising_acid", "base", "oxidiser", "bleach", "ammonia",
    "peroxide", "organic_peroxide", "accelerator", "metal_salt", "reducing_agent", "epoxy", "nitrocellulose",
    "aluminium_powder", "zinc_powder", *HAZARD_GROUPS,
)  # fmt: skip
"""Groups that react, by the words of the cautions' matrix, and hazards; `waterborne_two_pack` is a hardener that its
sheet says is made for waterborne paint."""
NONE = "none"
UNKNOWN = ("unknown", "not known")
"""The text for a figure that the line has and this product doesn't know: it counts as unknown and stays so."""
_LISTS = ("size", "price", "packs", "solvent", "not_with")


class Entry:
    """The facts given for a product: plain columns, and lists and names that have tables of their own.

    `columns` are those of `models.Product`; a key that is absent was not given and stays as it is. `packs`
    are added to the known ones, or replace them if `only_these_packs`. `said` names the fields that were given a value
    (`UNKNOWN` included), `emptied` those that were given an empty text.
    """

    def __init__(self) -> None:
        self.columns: dict[str, Any] = {}
        self.said: set[str] = set()
        self.emptied: set[str] = set()
        self.line: str | None = None
        self.supplier: str | None = None
        self.usual_reducer: str | None = None
        self.not_with: Sequence[str] | None = None
        self.packs: dict[int, int | None] = {}
        self.only_these_packs = False
        self.solvents: list[Share] | None = None


def read(given: Mapping[str, Any], *, measures: str, currency: str, today: date) -> Entry:
    """Read a product's fields.

    Args:
        given: texts (or lists of texts) by field: `name role line code maker color size price packs supplier
            lead_time density drops_per_ml solvent water solids flash_point boiling_point ph
            opened_life sealed_life pot_life store_at usual_reducer not_with groups discontinued note`, and those of
            `hazard_entry.READERS`. A field that is None was
            not given; an empty text makes a figure unknown again; `none` means that there is no solvent or no flash
            point, `unknown` that the line's figure doesn't apply and the product's is unknown.
        measures, currency: the studio's.
        today: the day from which `discontinued` counts if it is given without a date.
    Raises:
        BadInput: a field that can't be read, saying what is accepted.
    """
    entry = Entry()
    said = {key: value for key, value in given.items() if value is not None}
    for key, value in said.items():
        field = "packs" if key in ("size", "price") else key
        if field in FIELDS:
            (entry.emptied if _is_empty(value) else entry.said).add(field)
        if _is_unknown(value) and field in FIELDS and field != "role":
            said[key] = [] if key in _LISTS else ""
    for key, value in said.items():
        reader = _COLUMNS.get(key)
        if key in FORGOTTEN and isinstance(value, str) and not value.strip():
            entry.columns.update(FORGOTTEN[key])
        elif reader is not None:
            entry.columns.update(reader(value))
    if said.get("discontinued"):
        text = said["discontinued"]
        entry.columns["discontinued_on"] = today if text is True else units.day(str(text), today)
    elif "discontinued" in said:
        entry.columns["discontinued_on"] = None
    if "line" in said:
        entry.line = clean_name(said["line"], what=_("line")) if said["line"].strip() else ""
    entry.supplier = said.get("supplier")
    entry.usual_reducer = said.get("usual_reducer")
    entry.not_with = _list(said["not_with"]) if "not_with" in said else None
    for size in _list(said.get("size", ())):
        entry.packs[units.volume(size, measures=_measures(measures))] = None
    for price in _list(said.get("price", ())):
        size_ul, minor = _pack(price, measures, currency)
        _refuse_second_price(entry.packs.get(size_ul), minor, price)
        entry.packs[size_ul] = minor
    if "packs" in said:
        entry.only_these_packs = True
        entry.packs = dict(_pack(text, measures, currency) for text in _list(said["packs"]))
    if "solvent" in said:
        listed = [text for text in _list(said["solvent"]) if text.strip()]
        none = [text.strip().lower() for text in listed] == [NONE]
        entry.columns["no_solvent"] = none
        entry.solvents = [] if none else [solvent(text) for text in listed]
        refuse_doubled(entry.solvents)
        refuse_overfull(entry.solvents)
    return entry


def _is_empty(value: Any) -> bool:
    """Whether a text is blank, or a list of blank texts."""
    return not any(text.strip() for text in _list(value)) if not isinstance(value, bool) else not value


def _is_unknown(value: Any) -> bool:
    texts = [text.strip().casefold() for text in _list(value)] if not isinstance(value, bool) else []
    return len(texts) == 1 and texts[0] in UNKNOWN


def _measures(text: str) -> units.Measures:
    return text  # type: ignore[return-value]  # the studio's row holds nothing else: a CHECK sees to it


def _pack(text: str, measures: str, currency: str) -> tuple[int, int | None]:
    """Read `60ml=7.90`, or a size alone: microlitres, and minor units if there is a price."""
    size, sign, price = text.partition("=")
    volume = units.volume(size, measures=_measures(measures), what=_("size"))
    return volume, units.money(price, currency) if sign else None


def _refuse_second_price(before: int | None, minor: int | None, text: str) -> None:
    if before is not None and before != minor:
        raise BadInput(
            _("{text!r} is a second price of that size", text=text),
            remedy=_("Name each size once, with what it costs now"),
        )


def parted(text: str) -> list[str]:
    """A list typed in one line: parts between semicolons, or between commas that a blank follows.

    `1,2-propanediol=4%, ethanol=30%` is two.
    """
    between = ";" if ";" in text else ", "
    return [part.strip() for part in text.strip().removesuffix(",").split(between) if part.strip()]


def joined(parts: Sequence[str]) -> str:
    """The line that `parted` reads as these parts."""
    return (
        "; ".join(parts) + ";" * (len(parts) == 1) if any(", " in one for one in parts) else ", ".join(parts)
    )


def _list(value: str | Sequence[str]) -> Sequence[str]:
    return [value] if isinstance(value, str) else value


def _with_sign(share: str) -> str:
    return share if share.strip().endswith("%") else f"{share.strip()}%"


def _role(text: str) -> dict[str, Any]:
    return {"role": role_of(text)} if text.strip() else {}


def role_of(text: str) -> str:
    """A role, if it is one.

    Raises:
        BadInput: it isn't.
    """
    if text not in ROLES:
        raise BadInput(
            _("{text!r} is no role", text=text), remedy=_("Write one of {roles}", roles=", ".join(ROLES))
        )
    return text


def _color(text: str) -> dict[str, Any]:
    from stock.shelf import colours  # only where a colour is written

    return {"color": colours.read(text) if text.strip() else None}


def _flash(text: str) -> dict[str, Any]:
    if text.strip().lower() == NONE:
        return {"flash_point_mc": None, "no_flash_point": True}
    return {"flash_point_mc": units.temperature(text), "no_flash_point": False}


def _store_at(text: str) -> dict[str, Any]:
    low, high = units.temperature_range(text)
    return {"store_low_mc": low, "store_high_mc": high}


def _groups(value: str | Sequence[str]) -> dict[str, Any]:
    words = [word.strip().lower() for text in _list(value) for word in text.split()]
    strange = [word for word in words if word not in GROUPS]
    if strange:
        raise BadInput(
            _("{strange!r} is no group", strange=strange[0]),
            remedy=_("Write some of {groups}", groups=", ".join(GROUPS)),
        )
    return {"groups": " ".join(dict.fromkeys(words))}


def _voc_categories(value: str | Sequence[str]) -> dict[str, Any]:
    from stock import voc_categories  # few products have one

    return {"voc_categories": " ".join(voc_categories.read(" ".join(_list(value))))}


def drops_per_ml(text: str) -> int:
    """Drops in a millilitre, in thousandths.

    Raises:
        BadInput: no number from 1 to 200.
    """
    figure, unit = figure_and_unit(text, _("drops per ml"), _("a number from 1 to 200"))
    if unit or not 1 <= figure <= 200:
        raise BadInput(
            _("{text!r} is no number of drops in a millilitre", text=text),
            remedy=_("Write a number from 1 to 200"),
        )
    return round(figure * 1000)


_COLUMNS: Mapping[str, Callable[[Any], dict[str, Any]]] = {
    "name": lambda text: {"name": clean_name(text, what=_("product's name"))},
    "role": _role,
    "maker": lambda text: {"maker": clean_name(text, what=_("maker")) if text.strip() else ""},
    "code": lambda text: {"code": clean_name(text, what=_("code")) if text.strip() else ""},
    "color": _color,
    "lead_time": lambda text: {"lead_time": str(units.duration(text, zero=True))},
    "density": lambda text: {"density_ug_per_ml": units.density(text)},
    "drops_per_ml": lambda text: {"drops_milli": drops_per_ml(text)},
    "water": lambda text: {"water_milli": units.percent(_with_sign(text))},
    "solids": lambda text: {"solids_milli": units.percent(_with_sign(text))},
    "flash_point": _flash,
    "boiling_point": lambda text: {"boiling_point_mc": units.temperature(text)},
    "ph": ph.read,
    "opened_life": lambda text: {"opened_life": str(units.duration(text))},
    "sealed_life": lambda text: {"sealed_life": str(units.duration(text))},
    "pot_life": pot_life.read,
    "store_at": _store_at,
    "groups": _groups,
    "voc_categories": _voc_categories,
    "note": lambda text: {"note": clean_note(text)},
    **{key: hazard_entry.column(key) for key in hazard_entry.READERS},
}

FORGOTTEN: Mapping[str, dict[str, Any]] = {
    "lead_time": {"lead_time": None},
    "density": {"density_ug_per_ml": None},
    "drops_per_ml": {"drops_milli": None},
    "water": {"water_milli": None},
    "solids": {"solids_milli": None},
    "flash_point": {"flash_point_mc": None, "no_flash_point": False},
    "boiling_point": {"boiling_point_mc": None},
    "ph": {"ph_low_milli": None, "ph_high_milli": None},
    "opened_life": {"opened_life": None},
    "sealed_life": {"sealed_life": None},
    "pot_life": {"pot_life_minutes": None, "hot_pot_life_minutes": None, "hot_pot_life_mc": None},
    "store_at": {"store_low_mc": None, "store_high_mc": None},
    **hazard_entry.FORGOTTEN,
}
"""The value that an empty text gives a field: unknown."""
