"""Reading the books for the bench's advice: sheets, closed mixes, jars of leftovers."""

import math
from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from typing import Any, Literal, cast

from stock.bench.advice import Advice, advise
from stock.bench.mixes import MixView, closed_with
from stock.bench.outcomes import Kin, MixOutcome, weather_apart
from stock.bench.ranges import RangeLevel, SheetRange
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf import products, sheets
from stock.shelf.bottles import BottleView, on_shelf
from stock.shelf.sheets import SheetView
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Close, Movement, Pour, Product
from stock.text import folded
from stock.units import Micrometres, MilliCelsius, MilliPercent

PAINTS = ("paint", "clear", "mixed")
SMALL_UM = 180  # 0.18 mm and smaller count as one band (common practice, no source)
SAME_NEEDLE = 0.15  # needles within about 15 % of each other count as the same (a setting)


class PaintAdvice(NamedTuple):
    """Advice with the paint, reducers and needle it is for."""

    product: str
    reducers: tuple[str, ...]
    needle_um: Micrometres | None
    advice: Advice
    notes: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The answer of `ullage advise`, as pinned."""
        answer = self.advice.as_json()
        return {
            "product": self.product,
            "with": list(self.reducers),
            "needle_mm": self.needle_um / 1_000 if self.needle_um else None,
            **answer,
            "notes": [*self.notes, *answer["notes"]],
        }


def advice_for(
    product: str,
    *,
    reducers: Sequence[str] = (),
    needle_um: Micrometres | None = None,
    room_mc: MilliCelsius | None = None,
    humidity_milli: MilliPercent | None = None,
    as_of: date | None = None,
) -> PaintAdvice:
    """The advice on thinning a paint, from the books.

    Args:
        product: the paint's name or a part of it.
        reducers: the reducer's name, or those of a blend; the paint's usual one when empty.
        needle_um: the needle's bore in micrometres, if known.
        room_mc: the room's temperature, thousandths of a degree Celsius, if known.
        humidity_milli: relative humidity, thousandths of a per cent, if known.
        as_of: sheets and mixes after that day are left out.
    Raises:
        NotFound, Ambiguous: a product.
        BadInput: the product is not a paint, or a reducer is not a reducer.
    """
    with connection(), reading():
        paint = products.find(product)
        if paint.role not in PAINTS:
            raise BadInput(
                _("{name} is a {role}; only paint is thinned", name=paint.name, role=_(paint.role)),
                remedy=_("Name a paint"),
            )
        thinners, notes = _reducers(paint, reducers)
        ranges = _ranges(paint, thinners, as_of)
        tried = _tried(paint, thinners, needle_um, (room_mc, humidity_milli), as_of)
    return PaintAdvice(
        paint.name,
        tuple(each.name for each in thinners),
        needle_um,
        advise(ranges, needle_um, tried),
        tuple(notes),
    )


def _reducers(paint: Product, names: Sequence[str]) -> tuple[list[Product], list[str]]:
    if not names:
        usual = products.reducer_of(paint)
        if usual is None:
            return [], [
                _(
                    "the usual reducer of {name} is unknown: name a reducer to get its figures",
                    name=paint.name,
                )
            ]
        noted = paint.usual_reducer_id is not None
        return [usual], [] if noted else [
            _("no usual reducer is noted, so the only one in the books counts: {name}", name=usual.name)
        ]
    found = [products.find(name) for name in names]
    for each in found:
        if each.role not in ("reducer", "cleaner"):
            raise BadInput(
                _("{name} is a {role}, not a reducer", name=each.name, role=_(each.role)),
                remedy=_("Name a reducer"),
            )
    notes = (
        [_("a blend of reducers: the sheets give figures for each reducer alone")] if len(found) > 1 else []
    )
    return found, notes


def _ranges(paint: Product, reducers: Sequence[Product], as_of: date | None) -> list[SheetRange]:
    ids = {paint.id, *(each.id for each in reducers)}
    if paint.line:
        ids |= {number for (number,) in Product.select(Product.id).where(Product.line == paint.line).tuples()}
    names = {folded(each.name) for each in reducers}
    found = []
    for sheet in sheets.views(sorted(ids), as_of=as_of):
        for at, entry in enumerate(sheet.dosings):
            level = _level(sheet, entry, paint, names)
            if level is not None:
                found.append(_range(sheet, at, level))
    return found


def _level(sheet: SheetView, entry: Any, paint: Product, reducers: set[str]) -> RangeLevel | None:
    """How specific a dosing is for this paint with these reducers; None if it is for other products."""
    about = folded(entry.with_product) if entry.with_product else None
    line = folded(entry.for_line)
    of_line = bool(line) and line == folded(paint.line)
    if folded(sheet.product) in reducers:
        if about is not None:
            return RangeLevel.PAINT_AND_REDUCER if about == folded(paint.name) else None
        return RangeLevel.LINE if of_line else RangeLevel.REDUCER if not line else None
    if about is not None and about not in reducers:
        return None
    if folded(sheet.product) == folded(paint.name) and not line:
        return RangeLevel.PAINT_AND_REDUCER if about is not None else RangeLevel.PAINT
    return RangeLevel.LINE if of_line else None


def _range(sheet: SheetView, at: int, level: RangeLevel) -> SheetRange:
    entry = sheet.dosings[at]
    return SheetRange(
        level=level,
        title=sheet.title,
        revised=sheet.revised_on,
        low_milli=entry.low_milli,
        high_milli=entry.high_milli,
        step_milli=entry.step_milli,
        needle_low_um=entry.needle_low_um,
        needle_high_um=entry.needle_high_um,
        withdrawn=sheet.withdrawn,
        replaced=sheet.replaced_by is not None,
        source=sheet.source,
        wording=entry.wording,
        pressure_low_pa=entry.pressure_low_pa,
        pressure_high_pa=entry.pressure_high_pa,
        humidity=entry.humidity,
    )


def _tried(
    paint: Product,
    reducers: Sequence[Product],
    needle_um: Micrometres | None,
    weather: tuple[int | None, int | None],
    as_of: date | None,
) -> list[MixOutcome]:
    numbers = {each.id for each in reducers}
    found: list[MixOutcome] = []
    for each in closed_with(sorted(numbers), as_of=as_of):
        if set(each.shares("reducer")) == numbers:
            kin = _kin(each, paint, needle_um)
            if kin is not None and each.closed is not None:
                then = each.closed.room_mc, each.closed.humidity_milli
                apart = weather_apart(weather, then)
                found += [one._replace(apart=apart) for one in outcomes_of(each, kin)]
    return found


def _kin(each: MixView, paint: Product, needle_um: Micrometres | None) -> Kin | None:
    main = each.main_paint
    if main is None or each.closed is None:
        return None
    same_needle = _same_needle(each.closed.needle_um or each.needle_um, needle_um)
    if main.product_id == paint.id:
        return "own" if same_needle else "own_needle"
    if paint.line and folded(main.line) == folded(paint.line):
        return "line" if same_needle else "line_needle"
    return "reducer" if same_needle else None


def _same_needle(one: int | None, other: int | None) -> bool:
    if one is None or other is None:
        return one is other
    if one <= SMALL_UM and other <= SMALL_UM:
        return True
    return abs(math.log(one / other)) <= SAME_NEEDLE


def outcomes_of(each: MixView, kin: Kin = "own") -> list[MixOutcome]:
    """What a closed mix showed: its outcome, and the earlier reductions at which it was too thick or too thin.

    A step of reducer shows that the mix was too thick before it; paint that brought it back shows that it was too thin.
    A tint, or more of the mix, shows neither.
    """
    held = [at for at in each.stages if at.paint_ul]
    percents = [100 * at.reducer_ul / at.paint_ul for at in held]
    if not percents or each.closed is None or percents[-1] == 0:
        return []
    outcome = cast('Literal["good", "thick", "thin", "ruined"]', each.closed.outcome)
    thick_at: float | None = None
    found = []
    for at, (before, after) in zip(held[1:], pairwise(percents), strict=True):
        if at.purpose == "add":
            continue
        if after > before:
            thick_at = max(before, thick_at or 0.0)
        elif after < before:
            found.append(MixOutcome(before, "thin", thick_at, kin))
    if thick_at is not None and thick_at >= percents[-1]:
        thick_at = None
    return [*found, MixOutcome(percents[-1], outcome, thick_at, kin)]


def room_noted(day: date) -> tuple[MilliCelsius | None, MilliPercent | None]:
    """The room's temperature and humidity last noted with a mix closed on that day; None if none was noted."""
    with connection():
        row = (
            Close.select(Close.room_mc, Close.humidity_milli)
            .join(Booking, on=(Close.id == Booking.id))
            .where((Booking.day == day) & Close.room_mc.is_null(False))
            .order_by(Close.id.desc())
            .tuples()
            .first()
        )
    return (row[0], row[1]) if row else (None, None)


def jars_with(product: int, as_of: date | None = None) -> list[BottleView]:
    """Jars of leftovers that contain a paint; the one that goes bad first comes first.

    Args:
        product: the paint's number.
        as_of: the day; today when None.
    """
    with connection(), reading():
        jars = [each for each in on_shelf(as_of) if each.left_of is not None and not each.gone]
        if not jars:
            return []
        poured = (
            Pour.select(Pour.mix)
            .join(Movement)
            .join(Bottle)
            .where((Pour.part == "paint") & (Bottle.product == product))
            .where(Pour.mix.in_([each.left_of for each in jars]))
        )
        mixes = {number for (number,) in poured.tuples()}
    fitting = [each for each in jars if each.left_of in mixes]
    return sorted(fitting, key=lambda each: (each.good_until or date.max, each.id))
