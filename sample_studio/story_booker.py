"""Telling the story to the books: each verb calls the function that its command calls."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from sample_studio.story import Happening
from stock import clock, units
from stock.bench import amounts, closing, mixing, steps, washing
from stock.errors import BadInput, UllageError
from stock.forecast import orders
from stock.logbook.undo import undo
from stock.shelf import bottles, counts, deliveries, handling, jobs, places

STEP_MINUTES = 4
SPRAY_MINUTES = 25
LEFTOVER = "leftover"
"""What a kept jar is called in the story, with its number: `leftover #3` is the third that was kept."""


class StoryBooker:
    """The story while it is told: which bottles, orders and mixes its names mean.

    Args:
        today: the day from which the story's days are counted back.
        zone: the studio's time zone, in which its times of day are told.
    """

    def __init__(self, today: date, zone: str) -> None:
        self.today = today
        self.zone = clock.zone(zone)
        self.bottles: dict[str, list[str]] = {}
        self.orders: dict[str, int] = {}
        self.last: dict[str, int] = {}

    def tell(self, happenings: Iterable[Happening]) -> None:
        """Book every happening, in order.

        Raises:
            UllageError: a line that the books refuse; the message names file and line.
        """
        for told in happenings:
            try:
                getattr(self, f"_{told.verb}")(told)
            except UllageError as error:
                error.message = f"{told.where}: {error.message}"
                raise

    def _at(self, told: Happening, minutes: int = 0) -> datetime:
        day = self._day(f"-{told.days_ago}")
        return datetime.combine(day, told.at, self.zone).astimezone(UTC) + timedelta(minutes=minutes)

    def _day(self, text: str) -> date:
        """A day of the story, `-41` or `+9`, as a calendar day."""
        return self.today + timedelta(int(text))

    def _said(self, told: Happening, word: str) -> date | None:
        """The day that a word of the line gives, or None where it hasn't that word."""
        text = told.word(word)
        return self._day(text) if text is not None else None

    def _bottle(self, name: str) -> str:
        """The number of the bottle that `Gannet White #3` means."""
        product, _, number = name.rpartition(" #")
        known = self.bottles.get(product, [])
        if not number.isdigit() or not 1 <= int(number) <= len(known):
            raise BadInput(f"{name!r} has not come yet", remedy=f"{len(known)} of {product!r} have")
        return known[int(number) - 1]

    def _came(self, product: str, number: int) -> None:
        self.bottles.setdefault(product, []).append(str(number))

    def _job(self, told: Happening) -> None:
        jobs.add(
            told.about[0],
            self._day(f"-{told.days_ago}"),
            customer=told.word("for") or "",
            due_on=self._said(told, "due"),
        )

    def _finished(self, told: Happening) -> None:
        jobs.close(told.about[0], self._day(f"-{told.days_ago}"))

    def _receive(self, told: Happening) -> None:
        product, size = told.about
        answer = deliveries.receive(
            product,
            units.volume(size),
            count=_whole(told.word("count") or "1"),
            lot=told.word("lot") or "",
            best_before=self._said(told, "best-before"),
            made_on=self._said(told, "made"),
            opened_on=self._said(told, "opened"),
            place=told.word("place"),
            container=told.word("container"),
            on=self._at(told),
        )
        for bottle in answer["bottles"]:
            self._came(bottle["product"], bottle["id"])

    def _open(self, told: Happening) -> None:
        handling.open_bottle(self._bottle(told.about[0]), on=self._at(told))

    def _move(self, told: Happening) -> None:
        handling.move_bottle(self._bottle(told.about[0]), told.words["to"][0], on=self._at(told))

    def _count(self, told: Happening) -> None:
        bottle, volume = told.about
        counts.count(self._bottle(bottle), units.volume(volume, zero=True), on=self._at(told))

    def _discard(self, told: Happening) -> None:
        handling.discard(self._bottle(told.about[0]), reason=told.word("because") or "", on=self._at(told))

    def _decant(self, told: Happening) -> None:
        name, volume = told.about
        size = told.word("into")
        answer = handling.decant(
            self._bottle(name),
            units.volume(volume),
            size_ul=units.volume(size) if size else None,
            on=self._at(told),
        )
        self._came(name.rpartition(" #")[0], answer["into"])

    def _frozen(self, told: Happening) -> None:
        """A night in which everything at a place froze; the place keeps how cold it got."""
        place = places.find(told.about[0])
        places.change(place.name, low_mc=units.temperature(told.words["at"][0]))
        for view in bottles.on_shelf():
            if view.place_id == place.id and not view.gone:
                handling.freeze(str(view.id), on=self._at(told))

    def _mix(self, told: Happening) -> None:
        reduce, blend, needle = told.word("reduce"), told.word("with"), told.word("needle")
        request = mixing.MixRequest(
            parts=amounts.parts(told.about),
            reduce=units.reduction(reduce) if reduce else None,
            reducers=amounts.read_blend(blend) if blend else (),
            needle_um=units.needle(needle) if needle else None,
            job=told.word("job"),
            at=self._at(told),
            note=told.word("note") or "",
        )
        mix = self.last["mix"] = mixing.book_mix(request, judge=False)["mix"]
        for number, points in enumerate(told.words.get("step", ()), 1):
            steps.book_step(
                mix, units.reduction(points), at=self._at(told, number * STEP_MINUTES), judge=False
            )
        if "outcome" in told.words:
            self._close(mix, told)

    def _close(self, mix: int, told: Happening) -> None:
        keep, left = told.word("keep"), told.word("keep") or told.word("throw")
        ending = closing.Ending(
            outcome=told.words["outcome"][0],
            left_ul=units.volume(left) if left else 0,
            keep=keep is not None,
            place=told.word("place"),
        )
        kept = closing.close(mix, ending, at=self._at(told, SPRAY_MINUTES))["kept"]
        if kept is not None:
            self._came(LEFTOVER, kept["bottle"])

    def _wash(self, told: Happening) -> None:
        product, volume_ul = amounts.read_part(told.about[0])
        self.last["wash"] = washing.wash(product, volume_ul, on=self._at(told))["wash"]

    def _undo(self, told: Happening) -> None:
        kind = told.about[0]
        if kind not in self.last:
            raise BadInput(f"there is no {kind} to undo yet", remedy="Undo a mix or a wash")
        undo(kind, self.last.pop(kind), on=self._at(told))

    def _order(self, told: Happening) -> None:
        answer = orders.make(
            [_wanted(text) for text in told.about],
            supplier=told.word("from"),
            expected_on=self._said(told, "expected"),
            on=self._at(told),
        )
        self.orders[told.words["as"][0]] = answer["order"]

    def _arrive(self, told: Happening) -> None:
        order, packs = self._packs(told)
        answer = orders.receive(
            order,
            packs,
            lot=told.word("lot") or "",
            best_before=self._said(told, "best-before"),
            place=told.word("place"),
            on=self._at(told),
        )
        for bottle in answer["bottles"]:
            self._came(bottle["product"], bottle["id"])

    def _cancel(self, told: Happening) -> None:
        order, packs = self._packs(told)
        orders.cancel(order, packs, on=self._at(told))

    def _packs(self, told: Happening) -> tuple[int, dict[str, int] | None]:
        """The order that a line speaks of, and how many packs of which product; None for all still open."""
        name, *parts = told.about
        if name not in self.orders:
            raise BadInput(f"there is no order {name!r} yet", remedy="Name it where it is made: as NAME")
        packs = [part.rpartition("=") for part in parts]
        return self.orders[name], {product: _whole(count) for product, _, count in packs} or None

    def _plan(self, told: Happening) -> None:
        product, volume = told.about
        orders.plan_use(
            product,
            units.volume(volume),
            self._day(told.words["on"][0]),
            job=told.word("job"),
            on=self._at(told),
        )


def _wanted(text: str) -> orders.Wanted:
    """`Lantern Black=2x60ml` as a line of an order."""
    product, _, packs = text.rpartition("=")
    count, _, size = packs.partition("x")
    return orders.Wanted(product, packs=_whole(count), size_ul=units.volume(size))


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise BadInput(f"{text!r} is no count", remedy="Write a whole number")
    return int(text)
