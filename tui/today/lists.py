"""The lines of Today, from what was read of the day."""

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

from stock import clock
from stock.language import _
from stock.logbook.today import CautionGroup, ToOrder
from stock.logbook.usual import UsualMix
from stock.named_tuples import NamedTuple
from stock.units import plain_figure
from tui.drawing.bottle import Run
from tui.drawing.figures import count, ml, short_day
from tui.drawing.sentences import by_keys
from tui.drawing.severity import sign
from tui.drawing.strips import shown
from tui.today.books import TodayBooks
from tui.today.screen import Item
from tui.widgets.rows import Heading, Under

Listed = Item | Heading | Under


def one_list(books: TodayBooks, room: int) -> list[Listed]:
    """All parts in one list of `room` lines."""
    parts = [*_two_part(books), _orders(books), _found(books), _mixes(books), _done(books)]
    shares = shared(room, [len(part.items) + 1 for part in parts])
    return [line for part, share in zip(parts, shares, strict=True) for line in part.cut(share)]


def left_side(books: TodayBooks, room: int) -> list[Listed]:
    """What to order, the usual mixes and what was just done, in `room` lines."""
    parts = [*_two_part(books), _orders(books), _mixes(books), _done(books)]
    shares = shared(room, [len(part.items) + 1 for part in parts])
    return [line for part, share in zip(parts, shares, strict=True) for line in part.cut(share)]


def right_side(books: TodayBooks, width: int) -> list[Listed]:
    """What not to use, each with its remedy beneath."""
    found = _found(books)
    lines: list[Listed] = [found.heading]
    for item, caution in zip(found.items, _cautions(books), strict=False):
        lines.append(item)
        if caution.not_to_use:
            texts = wrap(_("Do: {remedy}.", remedy=shown(by_keys(caution.first.remedy))), max(20, width - 16))
            lines += [Under((Run(" " * 13, "ink"), Run(text, "quiet"))) for text in texts]
    return lines or found.cut(2)


def shared(room: int, sizes: list[int]) -> list[int]:
    """Share `room` lines among parts by the lines that each wants; each gets up to three in any case."""
    shares = [min(want, 3) for want in sizes]
    while sum(shares) < room and shares != sizes:
        at = min((n for n in range(len(sizes)) if shares[n] < sizes[n]), key=lambda n: shares[n])
        shares[at] += 1
    return shares


class Part(NamedTuple):
    """One part of Today: its heading, its lines, and the screen with more about it."""

    heading: Heading
    items: list[Item]
    more: str

    def cut(self, most: int) -> list[Listed]:
        """The heading and its lines in at most `most` lines; the last line says how many more there are."""
        if len(self.items) < most:
            return [self.heading, *self.items]
        kept = self.items[: most - 2]
        left = len(self.items) - len(kept)
        line = Item(
            f"more {self.heading.text}",
            ("", (Run(_("and {left} more", left=left), "quiet"),), ""),
            self.more,
        )
        return [self.heading, *kept, line]


def _only_text(key: str, text: str, act: str = "") -> list[Item]:
    return [Item(key, ("", (Run(text, "quiet"),), ""), act)]


def _two_part(books: TodayBooks) -> list[Part]:
    """The open mixes whose pot life runs; no part without one."""
    now = clock.now()
    items = [
        Item(
            f"pot {mix.id}",
            (
                (
                    Run(
                        mix.pot_life.short(now), "stop" if mix.pot_life.gone(now) else "warn", None, bold=True
                    ),
                ),
                (Run(f"{mix.pot_life.brief(now)}, ", "ink", None, bold=True), Run(mix.words, "ink")),
                _("mix {id}", id=mix.id),
            ),
            "bench",
        )
        for mix in books.day.two_part
    ]
    return (
        [Part(Heading(_("Mixed with hardener"), count(len(items), "mix", "mixes")), items, "bench")]
        if items
        else []
    )


def _orders(books: TodayBooks) -> Part:
    none = _("Nothing within four weeks") if books.forecast else _("Working out the forecast …")
    items = [_order(one, books.day) for one in books.day.order] or _only_text(_("no order"), none)
    note = count(len(books.day.order), "product") if books.forecast else ""
    return Part(Heading(_("Order"), note), items, "forecast")


def _cautions(books: TodayBooks) -> list[CautionGroup]:
    return sorted(books.day.cautions, key=lambda one: (not one.first.deadly, not one.not_to_use))


def _found(books: TodayBooks) -> Part:
    found = _cautions(books)
    items = [_caution(one) for one in found] or _only_text(_("no caution"), _("No caution forbids a bottle"))
    return Part(Heading(_("Don't use, look out"), count(len(found), "finding")), items, "cautions")


def _mixes(books: TodayBooks) -> Part:
    colors = {view.product: view.color for view in books.bottles}
    items = [_usual(one, colors) for one in books.day.usual]
    items = items or _only_text(_("no usual"), _("Mixes made twice or more are listed here"), "bench")
    return Part(Heading(_("Mix again"), _("m shows the first, Enter books it")), items, "bench")


def _done(books: TodayBooks) -> Part:
    items = [_entry(one, books.day) for one in books.day.done] or _only_text(
        _("not done"), _("Nothing booked yet"), "logbook"
    )
    return Part(Heading(_("Just done")), items, "logbook")


def _order(one: ToOrder, day: Any) -> Item:
    when = _("now") if one.late else _("by {order_by}", order_by=short_day(one.order_by, day.as_of))
    ink = "stop" if one.late else ("warn" if (one.order_by - day.as_of).days <= 7 else "ink")
    mark = "! " if one.late else "  "
    left = _(", {sprays} left", sprays=count(one.sprays, "spray")) if one.sprays is not None else ""
    left += _("; may come too late") if one.late else ""
    return Item(
        f"order {one.product}",
        (
            (Run(mark + when, ink, None, one.late),),
            (Run(one.product, "ink", None, bold=True), Run(left, "quiet")),
            one.what("metric").replace(" x ", " × "),
        ),
        "forecast",
    )


def _caution(one: CautionGroup) -> Item:
    first = one.first
    ink = first.severity if first.severity in ("stop", "warn") else "quiet"
    bottles = one.bottles
    about = ", ".join(one.about[:2]) + (f" +{len(one.about) - 2}" if len(one.about) > 2 else "")
    which = (
        _("bottle {bottles}", bottles=bottles[0])
        if len(bottles) == 1
        else (_("{bottles} bottles", bottles=len(bottles)) if bottles else "")
    )
    key = _(
        "caution {code} {product} {bottle} {place}",
        code=first.code,
        product=first.product,
        bottle=first.bottle,
        place=first.place,
    )
    act, target = ("bottle", bottles[0]) if len(bottles) == 1 else ("cautions", None)
    return Item(
        key,
        (
            (Run(sign(first), ink, None, one.not_to_use),),
            _message(about, first.message),
            which,
        ),
        act,
        target,
    )


def _message(about: str, message: str) -> tuple[Run, Run]:
    """The product's or place's name and the message; a message that begins with the name doesn't repeat it."""
    if message.startswith(f"{about} "):
        return Run(about, "ink", None, bold=True), Run(message.removeprefix(about), "ink")
    return Run(f"{about}: ", "ink", None, bold=True), Run(message, "ink")


def _usual(one: UsualMix, colors: Mapping[str, str | None]) -> Item:
    request = one.request
    color = colors.get(request.parts[0][0])
    paint = " + ".join(f"{name} {ml(volume)} ml" for name, volume in request.parts)
    reduction = f" {plain_figure(request.reduce, 1)} %" if request.reduce is not None else ""
    short = _("too little") if one.short else _("made {times} times", times=one.times)
    return Item(
        f"usual {one.like.mix}",
        (
            (Run("███████", color) if color else Run("▒▒▒▒▒▒▒", "outline"),),
            (Run(paint, "ink", None, bold=True), Run(reduction, "ink")),
            (Run(short, "warn" if one.short else "quiet"),),
        ),
        "mix",
        request,
    )


def _entry(one: Any, day: Any) -> Item:
    gone = one.undone_by is not None
    return Item(
        f"done {one.id}",
        (
            (Run(short_day(one.day, day.as_of), "quiet"),),
            (
                Run(f"{_(one.kind)}: ", "ink", None, bold=True),
                Run(one.words() or one.note, "quiet" if gone else "ink"),
            ),
            (Run(_("taken back") if gone else (one.job or ""), "quiet"),),
        ),
        "logbook",
    )
