"""Findings about storage: limits of litres, containers, neighbours, frost, flames."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from stock.cautions.ageing import bottles_in_words
from stock.cautions.compatibility import stars
from stock.cautions.containers import aerosols_in_place
from stock.cautions.facts import Finding, PlaceFacts
from stock.cautions.limits import building_sums, over, own_limits
from stock.cautions.rags import bottles_in_bin
from stock.cautions.rules import RuleBook
from stock.cautions.stored_bottles import NOWHERE, StoredBottle, flammable, held_ul, lit, litres, not_silenced
from stock.cautions.temperatures import FREEZES_MC, beyond, may_freeze, range_in_words, reaches
from stock.language import _
from stock.units import Microlitres, show_temperature

_AT_HOME = {
    "home": _("is at home"),
    "garage": _("is a garage at a dwelling"),
    None: _("isn't noted as home, garage, workshop or spray room"),
}


def storage(stored: list[StoredBottle], day_use_ul: Microlitres | None, book: RuleBook) -> Iterator[Finding]:
    """Every finding about the places of stored bottles.

    Args:
        stored: every bottle that holds something.
        day_use_ul: microlitres of flammable stock that the studio sprays on its busiest day; None if unknown.
    """
    by_place: dict[PlaceFacts, list[StoredBottle]] = {}
    for each in stored:
        by_place.setdefault(each.place, []).append(each)
    astray = by_place.get(NOWHERE, [])
    for place in sorted(by_place, key=lambda place: place.id):
        yield from place_findings(place, by_place[place], day_use_ul, book, astray=astray)
    yield from neighbours_anywhere(astray, stored, book)
    for counted in building_sums(by_place):
        yield from counted.findings(by_place, book)
    yield from _not_noted(by_place, book)


def place_findings(
    place: PlaceFacts,
    here: list[StoredBottle],
    day_use_ul: Microlitres | None,
    book: RuleBook,
    *,
    astray: Sequence[StoredBottle] = (),
) -> Iterator[Finding]:
    """The findings about one place and its bottles.

    Args:
        astray: bottles without a noted place, which may stand here.
    """
    yield from flammable_findings(place, here, day_use_ul, book, astray=astray)
    yield from aerosols_in_place(place, here, book)
    yield from bottles_in_bin(place, here, book)
    yield from neighbour_findings(place, here, book)
    yield from _temperatures(place, here, book)


def flammable_findings(
    place: PlaceFacts,
    here: list[StoredBottle],
    day_use_ul: Microlitres | None,
    book: RuleBook,
    *,
    astray: Sequence[StoredBottle] = (),
) -> Iterator[Finding]:
    """The findings about flammable bottles in a place: litres, flames, spraying."""
    about = (place.id, place.name) if place.id else None
    burns = flammable(here)
    volume_ul = held_ul(burns)
    for own in own_limits(place, burns)[:1]:
        if own.times > 1:
            yield from book.find(
                "place-over-limit", place=about, held=own.held, limit=own.limit, over=own.over
            )
    if place.kind == "cabinet":
        yield from over("over-code-limit", "cabinet", [*here, *astray], book, where=place.name, about=about)
    if burns and place.ignition:
        yield from book.find("flame-near", place=about, held=litres(volume_ul))
    if place.kind == "spray_area" and burns:
        yield from _spray_area(place, burns, day_use_ul, book)


def neighbour_findings(place: PlaceFacts, here: list[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """The findings about products that must not stand in one place together."""
    yield from _neighbours((place.id, place.name), here, here, book) if place.id else ()


def _not_noted(by_place: Mapping[PlaceFacts, list[StoredBottle]], book: RuleBook) -> Iterator[Finding]:
    """The findings about unknown facts of places, and bottles without a place."""
    for place, here in sorted(by_place.items(), key=lambda pair: pair[0].id):
        if place is NOWHERE:
            lost = [each.bottle.id for each in not_silenced("place-unknown", here, book)]
            if lost:
                yield from book.find("place-unknown", bottles=tuple(lost), which=bottles_in_words(lost))
            continue
        missing = not_described(place, burns=any(lit(each) for each in here))
        if missing:
            yield from book.find(
                "place-not-described",
                place=(place.id, place.name),
                missing=missing,
                options=_place_options(place),
            )


def not_described(place: PlaceFacts, *, burns: bool) -> str:
    """The unknown facts of a place that decide whether it is suitable, in words; empty if nothing is missing.

    Args:
        burns: whether a bottle that stands or shall stand there can burn.
    """
    missing = [word for word, known in (("cold", place.low_mc), ("warm", place.high_mc)) if known is None]
    said = [_("how {missing} it gets", missing=_(" and how ").join(missing))] if missing else []
    if place.ignition is None and burns:
        said.append(_("whether a flame, a heater or sparking gear is near"))
    return _(" and ").join(said)


def _place_options(place: PlaceFacts) -> tuple[str, ...]:
    wanted = (
        (("--lowest", "5C"), place.low_mc is None),
        (("--highest", "28C"), place.high_mc is None),
        (("--ignition", "no"), place.ignition is None),
    )
    return tuple(word for words, missing in wanted if missing for word in words)


def _spray_area(
    place: PlaceFacts, burns: list[StoredBottle], day_use_ul: Microlitres | None, book: RuleBook
) -> Iterator[Finding]:
    about = (place.id, place.name)
    here_ul = held_ul(burns)
    if day_use_ul is None or here_ul > day_use_ul:
        day = (
            _("what a day uses isn't known")
            if day_use_ul is None
            else _("a busy day uses {day_use_ul}", day_use_ul=litres(day_use_ul))
        )
        yield from book.find("more-than-a-day", place=about, held=litres(here_ul), day=day)
    if place.premises in ("home", "garage", None):
        yield from book.find(
            "spraying-at-home",
            place=about,
            what=_AT_HOME[place.premises],
        )
    loose = not_silenced("glass-in-spray-room", burns, book)
    glass = [each.bottle.id for each in loose if each.bottle.container in ("glass", None)]
    if place.premises == "spray_room" and glass:
        yield from book.find(
            "glass-in-spray-room", place=about, bottles=tuple(glass), which=bottles_in_words(glass)
        )


def _neighbours(
    about: tuple[int, str] | None, mine: list[StoredBottle], here: list[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    """Findings about products in one place that must be kept apart, each around the product with the most conflicts.

    Args:
        about: the place; None if it isn't noted.
        mine: the bottles of `here` that a finding must contain one of.
    """
    products = list({each.product.id: each.product for each in here}.values())
    large_ul = book.figure("stored-apart", "large_ul")
    own = {each.product.id for each in mine}
    silent = partial(book.silent_of_pair, "stored-apart")
    for star in stars(products, apart=True, about=own, silent=silent):
        first = [each for each in here if each.product.id == star.product.id]
        others = [each for each in here if each.product in star.others]
        yield from book.find(
            "stored-apart",
            place=about,
            product=first[0].about,
            bottle=first[0].bottle.id,
            bottles=tuple(each.bottle.id for each in (*first, *others)),
            severity=None if held_ul(first) > large_ul and held_ul(others) > large_ul else "warn",
            where=_("in {about} beside", about=about[1])
            if about
            else _("perhaps beside, for nobody has noted where,"),
            names=star.names,
            others=tuple(other.name for other in star.others),
            effect=star.effect,
            danger=star.danger,
        )


def neighbours_anywhere(
    astray: list[StoredBottle], stored: list[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    """Findings about bottles without a noted place, which may stand beside any other."""
    if astray:
        yield from _neighbours(None, astray, stored, book)


def _temperatures(place: PlaceFacts, here: list[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    about = (place.id, place.name) if place.id else None
    wet: list[int] = []
    if place.low_mc is not None and place.low_mc <= FREEZES_MC:
        wet = [each.bottle.id for each in here if may_freeze(each.product)]
        low = show_temperature(place.low_mc)
        judged_wet = [each.bottle.id for each in not_silenced("frost", here, book) if each.bottle.id in wet]
        if judged_wet:
            yield from book.find(
                "frost", place=about, bottles=tuple(judged_wet), low=low, which=bottles_in_words(judged_wet)
            )
    for each in here:
        judged_place = place._replace(low_mc=None) if each.bottle.id in wet else place
        if reaches(judged_place, each.product):
            yield from _wrong_temperature(judged_place, each, about, book)


def _wrong_temperature(
    place: PlaceFacts, each: StoredBottle, about: tuple[int, str] | None, book: RuleBook
) -> Iterator[Finding]:
    return book.find(
        "wrong-temperature",
        product=each.about,
        bottle=each.bottle.id,
        place=about,
        keeps=range_in_words(each.product),
        reaches=reaches(place, each.product),
        how_much=beyond(place, each.product),
    )
