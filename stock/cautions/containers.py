"""Findings about containers: wrong size, aerosol cans, metal that corrodes, two-part cans.

Sources stand with the rules. An unknown material counts as the worse one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from stock.cautions.ageing import bottles_in_words
from stock.cautions.facts import BottleFacts, Finding, PlaceFacts, ProductFacts
from stock.cautions.groups import groups_of
from stock.cautions.hazards import hazards_of, is_aerosol
from stock.cautions.limits import kilograms, mass_of
from stock.cautions.rules import Limit, RuleBook
from stock.cautions.stored_bottles import StoredBottle, litres, not_silenced
from stock.language import _, ngettext
from stock.notation import show_day
from stock.spans import Duration
from stock.units import Microlitres, Milligrams, show_temperature

_KINDS = {
    "glass": _("glass"),
    "plastic": _("plastic"),
    "metal": _("a metal can"),
    "safety_can": _("a safety can"),
    "aerosol_can": _("an aerosol can"),
    "drum": _("a drum"),
    None: _("glass or plastic (what it is isn't noted)"),
}

_EATEN = ("metal", "safety_can", "drum", None)
"""Kinds of container that are or may be of metal."""
_SETS_INSIDE = ("isocyanate", "organic_peroxide")


def container_findings(stored: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """Findings about containers that are too large for their content or corroded by it, in any place."""
    bottles = list(stored)
    for each in bottles:
        yield from _container(each, book)
    yield from _eaten(bottles, book)


def _container(each: StoredBottle, book: RuleBook) -> Iterator[Finding]:
    """A container larger than its kind may be; one of unknown kind counts as plastic or glass."""
    category = each.category
    if category is None or each.bottle.kept:
        return
    kinds = (each.bottle.container,) if each.bottle.container else ("glass", "plastic")
    over: tuple[Microlitres, Limit] | None = None
    for limit in book.limits("container-too-big"):
        most_ul = limit.figures.get(f"category_{category}_milli", 0) * 1_000
        bound = any(kind in limit.figures["containers"] for kind in kinds)
        if bound and most_ul and each.bottle.size_ul > most_ul and (over is None or most_ul < over[0]):
            over = (most_ul, limit)
    if over is not None:
        yield from book.find(
            "container-too-big",
            product=each.about,
            bottle=each.bottle.id,
            place=(each.place.id, each.place.name) if each.place.id else None,
            source=over[1].source,
            size=litres(each.bottle.size_ul),
            limit=litres(over[0]),
            category=category,
            kind=_KINDS[each.bottle.container],
        )


def aerosols(stored: Iterable[StoredBottle]) -> list[StoredBottle]:
    """The aerosol cans among bottles."""
    return [each for each in stored if is_aerosol(each.product, each.bottle)]


def aerosol_findings(stored: Sequence[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """One finding on how to keep the aerosol cans, and one if there are too many outside cabinets."""
    cans = aerosols(stored)
    if not cans:
        return
    judged = not_silenced("aerosol-can", cans, book)
    numbers = [each.bottle.id for each in judged]
    count = ngettext("{number} aerosol can", "{number} aerosol cans", len(judged))
    if judged:
        which = bottles_in_words(numbers)
        yield from book.find("aerosol-can", bottles=tuple(numbers), count=count, which=which)
    loose = [each for each in cans if each.place.kind != "cabinet"]
    most_cans = book.figure("aerosol-cans-many", "most_cans")
    most_mg = Milligrams(book.figure("aerosol-cans-many", "most_mg"))
    held_mg = mass_of(loose)
    if len(loose) > most_cans or held_mg > most_mg:
        yield from book.find(
            "aerosol-cans-many",
            bottles=tuple(each.bottle.id for each in loose),
            count=len(loose),
            held=kilograms(held_mg),
            most=most_cans,
            limit=kilograms(most_mg),
        )


def aerosols_in_place(place: PlaceFacts, here: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """Aerosol cans that stand where they could burst."""
    hottest_mc = book.figure("aerosol-too-warm", "most_mc")
    why = []
    if place.high_mc is not None and place.high_mc >= hottest_mc:
        why.append(_("it gets {high_mc} warm there", high_mc=show_temperature(place.high_mc)))
    if place.ignition:
        why.append(_("a flame, a heater or sparking gear is near"))
    cans = not_silenced("aerosol-too-warm", aerosols(here), book) if why else []
    if cans:
        numbers = [each.bottle.id for each in cans]
        yield from book.find(
            "aerosol-too-warm",
            place=(place.id, place.name) if place.id else None,
            bottles=tuple(numbers),
            why=_(" and ").join(why),
            which=bottles_in_words(numbers),
        )


def _eaten(stored: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """Findings about bottles that are or may be of metal and contain something that corrodes it."""
    for each in stored:
        said = hazards_of(each.product).get("corrosive_to_metals")
        if said and each.bottle.container in _EATEN and not each.bottle.kept:
            yield from book.find(
                "corrosive-in-metal",
                product=each.about,
                bottle=each.bottle.id,
                place=(each.place.id, each.place.name) if each.place.id else None,
                said=", ".join(said),
                kind=_KINDS[each.bottle.container] if each.bottle.container else _("what nobody has noted"),
            )


def two_part_can(
    bottle: BottleFacts, product: ProductFacts, as_of: date, book: RuleBook
) -> Iterator[Finding]:
    """An aerosol can into which its hardener was let: how long it can still be sprayed."""
    if bottle.state != "open" or not is_aerosol(product, bottle):
        return
    if groups_of(product).isdisjoint(_SETS_INSIDE) and "respiratory_sensitiser" not in hazards_of(product):
        return
    life = product.opened_life or Duration(days=book.figure("two-part-can-open", "life_days"))
    until = life.after(bottle.opened_on) if bottle.opened_on is not None else None
    late = until is None or as_of > until
    yield from book.find(
        "two-part-can-open",
        product=(product.id, product.name),
        bottle=bottle.id,
        since=bottle.opened_on,
        severity=None if late else "note",
        action=None if late else "use_first",
        let_in=_("on {opened_on}", opened_on=show_day(bottle.opened_on))
        if bottle.opened_on is not None
        else _("nobody noted when"),
        when=_sprayable(until, as_of),
    )


def _sprayable(until: date | None, as_of: date) -> str:
    """`2 days over, sprayable until 2026-03-04`."""
    if until is None:
        return _("counts as set")
    days = (until - as_of).days
    return _(
        "{days}, sprayable until {until}",
        days=_("{days} days over", days=-days) if days < 0 else _("{days} days left", days=days),
        until=show_day(until),
    )
