"""Facts for the tests of the cautions, short enough to be read."""

from datetime import date

from stock.cautions.facts import (
    BottleFacts,
    Finding,
    MixPart,
    PlaceFacts,
    ProductFacts,
    SolventShare,
    StudioFacts,
)
from stock.cautions.findings import findings
from stock.spans import duration

TODAY = date(2026, 3, 1)


def share(name, percent, basis="weight"):
    return SolventShare(name, int(percent * 1000), basis)


def product(number=1, name=None, **known):
    """A waterborne paint of which everything is known and nothing is wrong, but for what is given."""
    calm = {
        "role": "paint", "solvents": (), "water_milli": 60_000, "no_flash_point": True,
        "opened_life": "12mo", "sealed_life": "3y", "density_ug_per_ml": 1_050_000,
        "store_low_mc": 5_000, "store_high_mc": 35_000,
        "h_statements": fire_statements(known.get("flash_point_mc"), known.get("boiling_point_mc", 0)),
    }  # fmt: skip
    calm.update(known)
    for life in ("opened_life", "sealed_life"):
        if isinstance(calm[life], str):
            calm[life] = duration(calm[life])
    return ProductFacts(number, name or f"Product {number}", **calm)


def fire_statements(flash_mc, boils_mc):
    """The statements that go with a flash point; not known where its boiling point isn't."""
    if flash_mc is None or flash_mc > 60_000:
        return ()
    if boils_mc is None:
        return None
    return ("H225",) if flash_mc < 23_000 else ("H226",)


def reducer(number=2, solvent="ethanol", percent=50, **known):
    """A reducer of one solvent and water, with the class its solvent has."""
    flash = {"ethanol": 20_000, "acetone": -15_000, "propan-2-ol": 19_000, "2-butoxyethanol": 65_000}
    given = {
        "role": "reducer", "solvents": (share(solvent, percent),), "water_milli": 100_000 - int(percent * 1000),
        "no_flash_point": False, "flash_point_mc": flash.get(solvent, 15_000), "boiling_point_mc": 78_000,
        "density_ug_per_ml": 900_000,
    }  # fmt: skip
    return product(number, **{**given, **known})


def bottle(number=1, of=1, **known):
    """A sealed 60 ml bottle that came two months ago, with two years to go."""
    calm = {
        "state": "sealed", "size_ul": 60_000, "on_hand_ul": 60_000, "received_on": date(2026, 1, 1),
        "best_before": date(2028, 1, 1), "container": "plastic", "place_id": 1,
    }  # fmt: skip
    return BottleFacts(number, of, **{**calm, **known})


def place(number=1, name="Cabinet", **known):
    calm = {"kind": "cabinet", "premises": "workshop", "low_mc": 12_000, "high_mc": 24_000, "ignition": False}
    return PlaceFacts(number, name, **{**calm, **known})


def studio(*things, **settings):
    """A studio of products, bottles and places, in any order; with none, bottles stand in a calm cabinet."""
    stands = tuple(each for each in things if isinstance(each, PlaceFacts)) or (place(),)
    return StudioFacts(
        products=tuple(each for each in things if isinstance(each, ProductFacts)),
        bottles=tuple(each for each in things if isinstance(each, BottleFacts)),
        places=stands,
        **settings,
    )


def said(*things, as_of=TODAY, **settings) -> list[Finding]:
    return findings(studio(*things, **settings), as_of)


def codes(found):
    return {each.code for each in found}


def one(found, code):
    """The only finding of that code."""
    [only] = [each for each in found if each.code == code]
    return only


def part(of, ml, bottle=None):
    return MixPart(of, int(ml * 1000), bottle)
