"""Facts with something blanked, and what the cautions say of a thing before and after."""

from stock.cautions.composition import free_of_solvent
from stock.cautions.facts import SEVERITIES, MixPart, StudioFacts
from stock.cautions.hazards import contradictions_of
from stock.cautions.mix import mix_findings, wash_findings
from stock.shelf.hazard_entry import KEPT_KNOWN
from stock.shelf.ph import is_extreme
from stock.shelf.reactive import STAYS_KNOWN
from tests.cautions.sample_facts import TODAY

UNKNOWN = {
    "flash_point": {"flash_point_mc": None, "no_flash_point": False},
    "boiling_point": {"boiling_point_mc": None},
    "ph": {"ph_low_milli": None, "ph_high_milli": None},
    "solvent": {"solvents": None},
    "water": {"water_milli": None},
    "solids": {"solids_milli": None},
    "density": {"density_ug_per_ml": None},
    "opened_life": {"opened_life": None},
    "sealed_life": {"sealed_life": None},
    "store_at": {"store_low_mc": None, "store_high_mc": None},
    "lowest": {"store_low_mc": None},
    "highest": {"store_high_mc": None},
    "groups": {"groups": ()},
    "h_statements": {"h_statements": None}, "signal_word": {"signal_word": None}, "pictograms": {"pictograms": None},
    "un_number": {"un_number": None}, "transport_class": {"transport_class": None},
    "packing_group": {"packing_group": None}, "gloves": {"protection": ""},
    "incompatible": {"incompatible": ""},
}  # fmt: skip
"""What can be unknown of a product, by the field that `ullage product change` blanks, and how that is told."""

STATEMENTS = {"id", "line", "name", "role", "not_with", "discontinued", "voc_categories"}
"""Columns of a product that have no "not known": which it is, and the studio's own word on it."""

OF_BOTTLES = {
    "place": {"place_id": None}, "received": {"received_on": None}, "made": {"made_on": None},
    "opened": {"opened_on": None}, "best_before": {"best_before": None}, "container": {"container": None},
}  # fmt: skip
STATEMENTS_OF_BOTTLES = {
    "id",
    "product_id",
    "state",
    "size_ul",
    "on_hand_ul",
    "frozen_on",
    "kept",
    "tested_until",
}
"""What is in it, how much, and what happened to it: that it froze, is a leftover or was tested is an event, or none."""

OF_PLACES = {
    "premises": {"premises": None}, "building": {"building": ""}, "lowest": {"low_mc": None},
    "highest": {"high_mc": None}, "ignition": {"ignition": None},
}  # fmt: skip
STATEMENTS_OF_PLACES = {"id", "name", "kind", "limit_ul", "limit_mg"}
"""Which place it is, of which kind, and the studio's own limit for it, which is no knowledge of anything."""


def less(thing, field, fields):
    """The thing with one field not known; what is noted as reactive or as solvent can't become unknown and stays,
    nor can what a safety sheet warns of, a corrosive pH, or that something is an aerosol can.

    A record of no solvent and of a flash point contradicts itself, and so may its statements and its flash point;
    without the one it is no less known.
    """
    blank = dict(fields[field])
    if field in KEPT_KNOWN and getattr(thing, field) not in (None, (), "", "none"):
        return thing
    if field == "ph" and is_extreme(thing.ph_low_milli, thing.ph_high_milli):
        return thing
    if field == "container" and thing.container == "aerosol_can":
        return thing
    if field in ("flash_point", "boiling_point") and contradictions_of(thing):
        return thing
    if "flash_point_mc" in blank and thing.solvents == () and not free_of_solvent(thing):
        return thing
    if "groups" in blank:
        blank["groups"] = tuple(word for word in thing.groups if word in STAYS_KNOWN)
    return thing._replace(**blank)


def without(facts: StudioFacts, kind: str, number: int, field: str, fields) -> StudioFacts:
    """The same studio with a field of one product, bottle or place not known."""
    things = getattr(facts, kind)
    return facts._replace(
        **{kind: tuple(less(one, field, fields) if one.id == number else one for one in things)}
    )


def gravity(found) -> int:
    return max((SEVERITIES.index(each.severity) for each in found), default=-1)


def about(found, facts: StudioFacts, kind: str, number: int):
    """The findings that speak of a thing: its own, those of its bottles, and those of where they stand."""
    if kind == "products":
        bottles = [each for each in facts.bottles if each.product_id == number]
    elif kind == "bottles":
        bottles = [each for each in facts.bottles if each.id == number]
    else:
        bottles = [each for each in facts.bottles if each.place_id == number]
    ids, goods = {each.id for each in bottles}, {each.product_id for each in bottles}
    places = {each.place_id for each in bottles} | ({number} if kind == "places" else set())
    return [
        each
        for each in found
        if each.bottle in ids
        or ids.intersection(each.bottles)
        or (each.product_id in goods and each.bottle is None and not each.bottles)
        or (each.product_id is None and not each.bottles and each.place_id in places - {None})
    ]


def of_a_mix(parts, studio=None) -> int:
    return gravity(mix_findings(parts, TODAY, studio) if studio else mix_findings(parts, TODAY))


def of_a_wash(cleaner, washed) -> int:
    return gravity(wash_findings(MixPart(cleaner, 15_000), [washed]))
