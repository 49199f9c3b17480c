"""The lines of Today: from what the books tell of a day to what stands on the screen."""

from collections.abc import Mapping
from typing import Any

from stock.logbook.today import Caution, ToOrder
from stock.logbook.usual import UsualMix
from stock.units import plain_figure
from tui.shelf.detail import GRAVITY
from tui.shelf.layout import MARKS
from tui.today.screen import Item, TodayBooks, some
from tui.widgets.drawing import Run
from tui.widgets.rows import Heading
from tui.widgets.say import count, ml, short_day


def must(books: TodayBooks, room: int) -> list[Item | Heading]:
    """What to order, and what not to use or to mind, in `room` lines."""
    seen = books.seen
    none = "Nothing within four weeks" if books.forecast else "Working out the forecast …"
    orders = [_order(one, seen) for one in seen.order] or [Item("no order", ("", (Run(none, "quiet"),), ""))]
    shut = sorted(seen.cautions, key=lambda one: not one.not_to_use)
    found = [_caution(one) for one in shut] or [
        Item("no caution", ("", (Run("Nothing stands against any bottle", "quiet"),), ""))
    ]
    inside = max(4, room - 2)
    few = min(len(orders), max(2, inside // 2))
    rest = max(2, inside - few)
    few = min(len(orders), max(few, inside - len(found)))
    first = some(
        orders, few, "forecast", Heading("Order", count(len(seen.order), "product") if books.forecast else "")
    )
    return first + some(found, rest, "cautions", Heading("Don't use, look out", count(len(shut), "finding")))


def did(seen: Any, room: int, colors: Mapping[str, str | None]) -> list[Item | Heading]:
    """The usual mixes, and what was just done, in `room` lines."""
    mixes = [_usual(one, colors) for one in seen.usual] or [
        Item("no usual", ("", (Run("A mix made twice stands here", "quiet"),), ""), "bench")
    ]
    done = [_done(one, seen) for one in seen.done] or [
        Item("not done", ("", (Run("Nothing booked yet", "quiet"),), ""), "logbook")
    ]
    inside = max(4, room - 2)
    few = min(len(mixes), max(2, inside // 2))
    first = some(mixes, few, "bench", Heading("Mix again", "Enter shows it, Enter books it"))
    return first + some(done, max(2, inside - few), "logbook", Heading("Just done"))


def _order(one: ToOrder, seen: Any) -> Item:
    when = "now" if one.late else f"by {short_day(one.order_by, seen.as_of)}"
    ink = "stop" if one.late else ("warn" if (one.order_by - seen.as_of).days <= 7 else "ink")
    mark = "! " if one.late else "  "
    left = f", {count(one.sprays, 'spray')} left" if one.sprays is not None else ""
    left += "; may come too late" if one.late else ""
    return Item(
        f"order {one.product}",
        (
            (Run(mark + when, ink, None, one.late),),
            (Run(one.product, "ink", None, bold=True), Run(left, "quiet")),
            one.what("metric").replace(" x ", " × "),
        ),
        "forecast",
    )


def _caution(one: Caution) -> Item:
    first = one.first
    ink = first.severity if first.severity in ("stop", "warn") else "quiet"
    word = GRAVITY["stop"] if one.not_to_use else GRAVITY[first.severity]
    mark = MARKS["stop"] if one.not_to_use else MARKS[first.severity]
    bottles = one.bottles
    about = ", ".join(one.about[:2]) + (f" +{len(one.about) - 2}" if len(one.about) > 2 else "")
    which = f"bottle {bottles[0]}" if len(bottles) == 1 else (f"{len(bottles)} bottles" if bottles else "")
    key = f"caution {first.code} {first.product} {first.bottle} {first.place}"
    act, target = ("bottle", bottles[0]) if len(bottles) == 1 else ("cautions", None)
    return Item(
        key,
        (
            (Run(f"{mark} {word}", ink, None, one.not_to_use),),
            (Run(f"{about}: ", "ink", None, bold=True), Run(first.message, "ink")),
            which,
        ),
        act,
        target,
    )


def _usual(one: UsualMix, colors: Mapping[str, str | None]) -> Item:
    request = one.request
    color = colors.get(request.parts[0][0])
    paint = " + ".join(f"{name} {ml(volume)} ml" for name, volume in request.parts)
    cut = f" {plain_figure(request.reduce, 1)} %" if request.reduce is not None else ""
    short = f"short of {one.short[0]}" if one.short else f"made {one.times} times"
    return Item(
        f"usual {one.like.mix}",
        (
            (Run("███████", color) if color else Run("▒▒▒▒▒▒▒", "outline"),),
            (Run(paint, "ink", None, bold=True), Run(cut, "ink")),
            (Run(short, "warn" if one.short else "quiet"),),
        ),
        "mix",
        request,
    )


def _done(one: Any, seen: Any) -> Item:
    gone = one.undone_by is not None
    return Item(
        f"done {one.id}",
        (
            (Run(short_day(one.day, seen.as_of), "quiet"),),
            (
                Run(f"{one.kind}: ", "ink", None, bold=True),
                Run(one.words() or one.note, "quiet" if gone else "ink"),
            ),
            (Run("taken back" if gone else (one.job or ""), "quiet"),),
        ),
        "logbook",
    )
