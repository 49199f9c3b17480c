"""The fields that a product inherits from its line unless it has a value of its own.

A field is what a person enters in one place: a flash point and "it has none" are one field, and so are both ends of a
range of temperatures. Everything else (name, colour, note, the day it was discontinued) belongs to the product alone.
"""

from collections.abc import Collection, Mapping

from stock.language import _

FIELDS: Mapping[str, tuple[str, ...]] = {
    "role": ("role",),
    "maker": ("maker",),
    "supplier": ("supplier",),
    "lead_time": ("lead_time",),
    "density": ("density_ug_per_ml",),
    "drops_per_ml": ("drops_milli",),
    "water": ("water_milli",),
    "solids": ("solids_milli",),
    "flash_point": ("flash_point_mc", "no_flash_point"),
    "boiling_point": ("boiling_point_mc",),
    "ph": ("ph_low_milli", "ph_high_milli"),
    "opened_life": ("opened_life",),
    "sealed_life": ("sealed_life",),
    "pot_life": ("pot_life_minutes", "hot_pot_life_minutes", "hot_pot_life_mc"),
    "store_at": ("store_low_mc", "store_high_mc"),
    "usual_reducer": ("usual_reducer",),
    "groups": ("groups",),
    "voc_categories": ("voc_categories",),
    "signal_word": ("signal_word",),
    "h_statements": ("h_statements",),
    "p_statements": ("p_statements",),
    "pictograms": ("pictograms",),
    "gloves": ("gloves",),
    "eye_protection": ("eye_protection",),
    "breathing_protection": ("breathing_protection",),
    "incompatible": ("incompatible",),
    "un_number": ("un_number",),
    "transport_class": ("transport_class",),
    "packing_group": ("packing_group",),
    "solvent": ("no_solvent",),
    "packs": (),
    "not_with": (),
}
"""The columns of `Product` of each field, by the field's key in `entry.read`; `Line` has the same columns."""
LISTED: Mapping[str, tuple[str, str]] = {
    "packs": ("pack", "line_pack"),
    "solvent": ("solvent", "line_solvent"),
    "not_with": ("not_with", "line_not_with"),
}
"""Fields with rows of their own: the product's table and the line's."""
COLUMNS = tuple(column for columns in FIELDS.values() for column in columns)


def words(fields: set[str]) -> str:
    """The text of the column `own_fields`: keys in the order of `FIELDS`, then single sizes, between blanks."""
    return " ".join([field for field in FIELDS if field in fields] + sorted(fields - FIELDS.keys()))


def is_said(value: object, *, null: bool) -> bool:
    """Whether a column has a known value.

    Args:
        value: the column's value.
        null: whether None means "not known"; otherwise an empty text or an unset mark does. A flash point of 0 °C is
            known, and an empty list of statements means that the sheet has none.
    """
    return value is not None if null else bool(value)


IN_WORDS = {
    "packs": "sizes", "solvent": "solvents", "h_statements": "H-statements", "p_statements": "P-statements",
    "un_number": _("UN number"), "ph": "pH", "store_at": _("keeping temperatures"),
}  # fmt: skip
"""The words of fields whose name differs from their column's."""


def own_in_words(own: Collection[str], *, most: int = 4) -> str:
    """A product's own fields in words; its own sizes are "sizes", and the role is left out.

    Args:
        own: the keys of the fields.
        most: how many are named at most; of more, the first three and the number of others.
    """
    said = {word.partition("@")[0] for word in own} - {"role"}
    words = [IN_WORDS.get(field, field.replace("_", " ")) for field in FIELDS if field in said]
    if len(words) > most:
        words = [*words[: most - 1], _("{words} more", words=len(words) - most + 1)]
    return ", ".join(words)
