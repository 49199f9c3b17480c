"""The lines of data sheets from which the figures behind a finding were read."""

from collections.abc import Iterable, Mapping

from stock.cautions.facts import Finding
from stock.language import _
from stock.shelf import figure_sources, record_texts
from stock.shelf.figure_sources import FigurePlace
from stock.store.connection import connection, reading
from stock.store.models import Product

_STATEMENTS = ("h_statements",)
_FIRE = ("flash_point", "boiling_point", "h_statements")
_CONTENTS = ("solvent", "water", "solids")
_LIVES = ("opened_life", "sealed_life")
EXPLAINS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("flammable", "between-codes", "sheet-contradicts", "boiling-point-unknown"), _FIRE),
    **dict.fromkeys(
        (
            "explosive", "organic-peroxide", "water-reactive", "self-heating", "toxic", "corrosive",
            "corrosive-in-metal", "breathing-allergy", "skin-allergy", "cancer-genes-unborn", "harms-water",
            "gas-under-pressure", "aerosol-can", "aerosol-too-warm",
        ),
        _STATEMENTS,
    ),
    **dict.fromkeys(("incompatible", "reacts", "cures", "stored-apart"), ("incompatible", *_STATEMENTS, "solvent")),
    **dict.fromkeys(("dichloromethane", "target-metals", "toxic-metal", "peroxides"), ("solvent", *_STATEMENTS)),
    **dict.fromkeys(("air-while-spraying", "isocyanate-mist", "voc-over-limit"), (*_CONTENTS, "density", "voc")),
    **dict.fromkeys(("hazardous-waste", "waste-apart"), (*_FIRE, "solvent", "ph", "ph_printed")),
    **dict.fromkeys(("open-too-long", "open-nearly-too-long", "hardener-open", "opened-day-unknown"), _LIVES),
    **dict.fromkeys(("frost", "wrong-temperature"), ("store_at",)),
}  # fmt: skip
"""The fields of a record that each rule's findings rest on; other rules use no figure of a sheet."""


def read_from(findings: Iterable[Finding]) -> dict[Finding, list[FigurePlace]]:
    """Where the figures of findings about one product were read; findings without such a figure are left out.

    A figure that was changed by hand since no longer comes from the sheet.
    """
    wanted = [each for each in findings if each.product and each.code in EXPLAINS]
    names = {each.product for each in wanted}
    with connection(), reading():
        by_name: dict[str | None, list[FigurePlace]] = {}
        for product in Product.select().where(Product.name.in_(names)) if names else ():
            sources = figure_sources.of_product(product)
            if sources:
                by_name[product.name] = figure_sources.unchanged(sources, record_texts.exact(product.name))
    found = {
        each: [
            one for one in by_name.get(each.product, ()) if one.field.partition(":")[0] in EXPLAINS[each.code]
        ]
        for each in wanted
    }
    return {each: places for each, places in found.items() if places}


def in_words(places: Iterable[FigurePlace]) -> list[str]:
    """The places for people: `read in Safety data sheet of 2024-03-14, page 4, section 9: "Flash point 12 °C"`."""
    return [_('read in {place}: "{words}"', place=one.place, words=one.words) for one in places]
