"""Jars of leftovers: products of role `mixed`, with the contents and the worst hazards of their parts.

Mixing never improves what the label of the jar says: it has the lowest flash and boiling point, every solvent in
its share, every group, and everything that one of its parts must not be mixed with. What is unknown about one
part is unknown about the jar.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from math import ceil, floor

from stock.cautions.books import read_products
from stock.cautions.classification import GHS_LOW_MC
from stock.cautions.facts import ProductFacts
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf import ph
from stock.store.models import NotWith, Product, Solvent
from stock.text import LONGEST_NAME, folded
from stock.units import Microlitres, MilliCelsius, MilliPercent, split

LIFE_DAYS = 7  # common practice, no source; a sheet that says otherwise decides


class JarContents(NamedTuple):
    """The properties of a jar by its parts; None always means unknown.

    `ph` holds both ends in thousandths.
    `solvents` maps (name, basis) to the least and the most share in thousandths of a per cent.
    """

    flash_point_mc: MilliCelsius | None
    no_flash_point: bool
    boiling_point_mc: MilliCelsius | None
    ph: tuple[int | None, int | None]
    density_ug_per_ml: int | None
    water_milli: MilliPercent | None
    solids_milli: MilliPercent | None
    solvents: Mapping[tuple[str, str], tuple[MilliPercent, MilliPercent]]
    no_solvent: bool
    store_low_mc: MilliCelsius | None
    store_high_mc: MilliCelsius | None
    groups: tuple[str, ...]
    not_with: tuple[int, ...]


def contents(parts: Sequence[tuple[ProductFacts, Microlitres]]) -> JarContents:
    """The properties of a mixture.

    Args:
        parts: product and microlitres, at least one.
    """
    facts = [product for product, _ in parts]
    solvents_noted = all(each.solvents is not None for each in facts)
    flash_noted = all(each.flash_point_mc is not None or each.no_flash_point for each in facts)
    flash_known = solvents_noted and flash_noted
    flashes = [each.flash_point_mc for each in facts if each.flash_point_mc is not None]
    boiling = [each.boiling_point_mc for each in facts if each.boiling_point_mc is not None]
    ids = {each.id for each in facts}
    return JarContents(
        flash_point_mc=_worst_flash(flashes, all_noted=flash_noted),
        no_flash_point=not flashes and flash_known,
        boiling_point_mc=min(boiling) if boiling else None,
        ph=ph.of_parts([(each.ph_low_milli, each.ph_high_milli) for each in facts]),
        density_ug_per_ml=_mean(parts, "density_ug_per_ml"),
        water_milli=_mean_share(parts, "water_milli") if solvents_noted else None,
        solids_milli=_mean_share(parts, "solids_milli") if solvents_noted else None,
        solvents=_solvents(parts) if solvents_noted else {},
        no_solvent=solvents_noted and not any(each.solvents for each in facts),
        store_low_mc=_narrowest(max, [each.store_low_mc for each in facts]),
        store_high_mc=_narrowest(min, [each.store_high_mc for each in facts]),
        groups=tuple(dict.fromkeys(group for each in facts for group in each.groups)),
        not_with=tuple(sorted({other for each in facts for other in each.not_with} - ids)),
    )


def _narrowest(
    pick: Callable[[list[MilliCelsius]], MilliCelsius], ends: Sequence[MilliCelsius | None]
) -> MilliCelsius | None:
    """One end of the temperatures at which all parts may be stored; None if it is unknown for one of them."""
    noted = [end for end in ends if end is not None]
    return pick(noted) if len(noted) == len(ends) else None


def _mean(parts: Sequence[tuple[ProductFacts, Microlitres]], field: str) -> int | None:
    """The mean of a figure by volume; None if it is unknown for one part."""
    figures = [(getattr(product, field), volume) for product, volume in parts]
    if any(figure is None for figure, _ in figures):
        return None
    return round(Fraction(sum(figure * volume for figure, volume in figures), sum(v for _, v in figures)))


def _mean_share(parts: Sequence[tuple[ProductFacts, Microlitres]], field: str) -> MilliPercent | None:
    mean = _mean(parts, field)
    return None if mean is None else MilliPercent(mean)


def _solvents(
    parts: Sequence[tuple[ProductFacts, Microlitres]],
) -> dict[tuple[str, str], tuple[MilliPercent, MilliPercent]]:
    """The least and the most of each solvent; a range is rounded outwards, an exact share upwards."""
    total = sum(volume for _, volume in parts)
    shares: dict[tuple[str, str], tuple[Fraction, Fraction]] = {}
    for product, volume in parts:
        for solvent in product.solvents or ():
            place = (solvent.name, solvent.basis)
            least, most = shares.get(place, (Fraction(0), Fraction(0)))
            shares[place] = (
                least + Fraction(solvent.least_milli * volume, total),
                most + Fraction(solvent.percent_milli * volume, total),
            )
    return {
        place: (MilliPercent(ceil(least) if least == most else floor(least)), MilliPercent(ceil(most)))
        for place, (least, most) in shares.items()
    }


def product_of(
    parts: Sequence[tuple[int, str, str, Microlitres]], *, color: str | None, day: date, mix: int
) -> int:
    """The number of the product for a jar of these parts; it is made if there is none yet.

    Args:
        parts: (product's number, its name, its part, microlitres).
        color: the main paint's, as #rrggbb.
        day: the day of the closing.
        mix: the mix's number, for the name where the parts' names are too long.
    """
    facts = read_products(day, [number for number, *_ in parts])
    mixture = contents([(facts[number], volume) for number, _, _, volume in parts])
    name = _name(parts, mix)
    row = Product.get_or_none(Product.name_key == folded(name))
    if row is None:
        row = Product.create(
            name=name,
            name_key=folded(name),
            role="mixed",
            color=color,
            opened_life=f"{LIFE_DAYS}d",
            sealed_life=f"{LIFE_DAYS}d",
            flash_point_mc=mixture.flash_point_mc,
            no_flash_point=mixture.no_flash_point,
            no_solvent=mixture.no_solvent,
            store_low_mc=mixture.store_low_mc,
            store_high_mc=mixture.store_high_mc,
            boiling_point_mc=mixture.boiling_point_mc,
            ph_low_milli=mixture.ph[0],
            ph_high_milli=mixture.ph[1],
            density_ug_per_ml=mixture.density_ug_per_ml,
            water_milli=mixture.water_milli,
            solids_milli=mixture.solids_milli,
            groups=" ".join(mixture.groups),
            note="made at the bench; estimates from its parts",
        )
    _worsen(row, mixture)
    return int(row.id)


def _name(parts: Sequence[tuple[int, str, str, Microlitres]], mix: int) -> str:
    colours = dict.fromkeys(name for _, name, part, _ in parts if part != "reducer")
    reducers = dict.fromkeys(name for _, name, part, _ in parts if part == "reducer")
    name = (
        _(
            "Left of {colours} with {reducers}",
            colours=" + ".join(colours),
            reducers=_(" and ").join(reducers),
        )
        if reducers
        else _("Left of {colours}", colours=" + ".join(colours))
    )
    return name if len(name) <= LONGEST_NAME else _("Left of mix {mix}", mix=mix)


def _worst_flash(flashes: Sequence[MilliCelsius], *, all_noted: bool) -> MilliCelsius | None:
    """The lowest flash point; None if a part's is unknown and the lowest known one is not in the worst class anyway."""
    lowest = min(flashes, default=None)
    return lowest if all_noted or (lowest is not None and lowest < GHS_LOW_MC) else None


def _worse_flash(*both: Product | JarContents) -> MilliCelsius | None:
    flashes = [each.flash_point_mc for each in both if each.flash_point_mc is not None]
    noted = all(each.flash_point_mc is not None or each.no_flash_point for each in both)
    return _worst_flash(flashes, all_noted=noted)


def _worsen(row: Product, mixture: JarContents) -> None:
    """Worsen the product's record by this mixture, because an earlier jar had the same parts in other shares."""
    low, high = ph.of_parts([(row.ph_low_milli, row.ph_high_milli), mixture.ph])
    Product.update(
        ph_low_milli=low,
        ph_high_milli=high,
        flash_point_mc=_worse_flash(row, mixture),
        no_flash_point=bool(row.no_flash_point and mixture.no_flash_point),
        no_solvent=bool(row.no_solvent and mixture.no_solvent),
    ).where(Product.id == row.id).execute()
    for (name, basis), ends in mixture.solvents.items():
        known = Solvent.get_or_none((Solvent.product == row) & (Solvent.name == name))
        before = [known.percent_milli] if known is not None else []
        if known is not None and known.low_milli is not None:
            before.append(known.low_milli)
        most = min(max(*ends, *before), 100_000)
        least = min(*ends, *before)
        wider = {"percent_milli": most, "low_milli": least if least < most else None}
        if known is None:
            Solvent.create(product=row, name=name, basis=basis, **wider)
        else:
            Solvent.update(wider).where(Solvent.id == known.id).execute()
    for other in mixture.not_with:
        if NotWith.get_or_none((NotWith.product == row) & (NotWith.other == other)) is None:
            NotWith.create(product=row, other=other)


def in_the_jar(
    parts: Sequence[tuple[int, str, str, Microlitres]], left_ul: Microlitres
) -> list[tuple[int, str, str, Microlitres]]:
    """The parts of what is left, in the proportion of the mix; they add up to `left_ul`."""
    shares = split(left_ul, [volume for *_, volume in parts])
    return [(number, name, part, share) for (number, name, part, _), share in zip(parts, shares, strict=True)]
