"""Booking the sample studio's story: each verb calls the function that its command calls."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from sample_studio.story import UNKNOWN, StoryLine
from stock import clock, units
from stock.bench import amounts, closing, mixing, steps, washing
from stock.bench.step_requests import StepRequest
from stock.cautions.silences import note_card_test
from stock.errors import BadInput, UllageError
from stock.forecast import orders
from stock.logbook.undo import undo
from stock.shelf import bottle_facts, bottles, counts, deliveries, handling, jobs, places

STEP_MINUTES = 4
SPRAY_MINUTES = 25
RINSED_ALL_THE_SAME = "not-with"
"""What the painter accepts when Gullwash follows a paint of Tarnwick's: the gun is rinsed with water in between."""
LEFTOVER = "leftover"
"""The name of a kept jar in the story: `leftover #3` is the third that was kept."""


class StoryBooker:
    """Books the story, and keeps which bottles, orders and mixes its names stand for.

    Args:
        today: the day from which the story's days are counted back.
        zone: the studio's time zone, in which the times of day are written.
    """

    def __init__(self, today: date, zone: str) -> None:
        self.today = today
        self.zone = clock.zone(zone)
        self.bottles: dict[str, list[str]] = {}
        self.orders: dict[str, int] = {}
        self.made: dict[str, list[int]] = {}
        """The numbers of what the story may undo, by kind, the newest last."""

    def book(self, lines: Iterable[StoryLine]) -> None:
        """Book every line, in order.

        Raises:
            UllageError: the books refuse a line; the message names file and line.
        """
        for event in lines:
            try:
                getattr(self, f"_{event.verb}")(event)
            except UllageError as error:
                error.message = f"{event.where}: {error.message}"
                raise

    def _at(self, event: StoryLine, minutes: int = 0) -> datetime:
        day = self._day(f"-{event.days_ago}")
        return datetime.combine(day, event.at, self.zone).astimezone(UTC) + timedelta(minutes=minutes)

    def _day(self, text: str) -> date:
        """A day of the story, `-41` or `+9`, as a calendar day."""
        return self.today + timedelta(int(text))

    def _day_of(self, event: StoryLine, word: str) -> date | None:
        """The day that a word of the line gives, or None where the line doesn't have that word."""
        text = event.word(word)
        return self._day(text) if text is not None else None

    def _bottle(self, name: str) -> str:
        """The number in the books of the bottle `Gannet White #3`."""
        product, _, number = name.rpartition(" #")
        numbers = self.bottles.get(product, [])
        if not number.isdigit() or not 1 <= int(number) <= len(numbers):
            raise BadInput(f"{name!r} was not received yet", remedy=f"{len(numbers)} of {product!r} were")
        return numbers[int(number) - 1]

    def _came(self, product: str, number: int) -> None:
        self.bottles.setdefault(product, []).append(str(number))

    def _job(self, event: StoryLine) -> None:
        jobs.add(
            event.about[0],
            self._day(f"-{event.days_ago}"),
            customer=event.word("for") or "",
            due_on=self._day_of(event, "due"),
        )

    def _finished(self, event: StoryLine) -> None:
        jobs.close(event.about[0], self._day(f"-{event.days_ago}"))

    def _receive(self, event: StoryLine) -> None:
        product, size = event.about
        answer = deliveries.receive(
            product,
            units.volume(size),
            count=_whole(event.word("count") or "1"),
            lot=event.word("lot") or "",
            best_before=self._day_of(event, "best-before"),
            made_on=self._day_of(event, "made"),
            opened_on=None if event.word("opened") == UNKNOWN else self._day_of(event, "opened"),
            opened_unknown=event.word("opened") == UNKNOWN,
            place=event.word("place"),
            container=event.word("container"),
            on=self._at(event),
        )
        self._undoable("delivery", answer["delivery"])
        for bottle in answer["bottles"]:
            self._came(bottle["product"], bottle["id"])

    def _open(self, event: StoryLine) -> None:
        handling.open_bottle(self._bottle(event.about[0]), on=self._at(event))

    def _unlabelled(self, event: StoryLine) -> None:
        """Nobody knows any more since when it is open."""
        bottle_facts.note_days(self._bottle(event.about[0]), {"opened_on": None})

    def _move(self, event: StoryLine) -> None:
        handling.move_bottle(self._bottle(event.about[0]), event.words["to"][0], on=self._at(event))

    def _count(self, event: StoryLine) -> None:
        bottle, volume = event.about
        counts.count(self._bottle(bottle), units.volume(volume, zero=True), on=self._at(event))

    def _discard(self, event: StoryLine) -> None:
        reason = event.word("because") or ""
        answer = handling.discard(self._bottle(event.about[0]), reason=reason, on=self._at(event))
        self._undoable("discard", answer["discard"])

    def _tested(self, event: StoryLine) -> None:
        note_card_test(
            self._bottle(event.about[0]),
            until=self._day(event.words["until"][0]).isoformat(),
            remark=event.word("note") or "",
            on=self._at(event),
        )

    def _decant(self, event: StoryLine) -> None:
        name, volume = event.about
        size = event.word("into")
        answer = handling.decant(
            self._bottle(name),
            units.volume(volume),
            size_ul=units.volume(size) if size else None,
            on=self._at(event),
        )
        self._came(name.rpartition(" #")[0], answer["into"])

    def _frozen(self, event: StoryLine) -> None:
        """Everything at a place froze; the place's lowest temperature is set to how cold it was."""
        place = places.find(event.about[0])
        places.change(place.name, low_mc=units.temperature(event.words["at"][0]))
        for view in bottles.on_shelf():
            if view.place_id == place.id and not view.gone:
                handling.freeze(str(view.id), on=self._at(event))

    def _mix(self, event: StoryLine) -> None:
        reduce, blend, needle = event.word("reduce"), event.word("with"), event.word("needle")
        request = mixing.MixRequest(
            parts=amounts.parts(event.about),
            reduce=units.reduction(reduce) if reduce else None,
            reducers=amounts.read_blend(blend) if blend else (),
            needle_um=units.needle(needle) if needle else None,
            job=event.word("job"),
            at=self._at(event),
            note=event.word("note") or "",
        )
        mix = self._undoable("mix", mixing.book_mix(request, judge=False)["mix"])
        for number, points in enumerate(event.words.get("step", ()), 1):
            asked = StepRequest(units.reduction(points))
            steps.book_step(mix, asked, at=self._at(event, number * STEP_MINUTES), judge=False)
        if "outcome" in event.words:
            self._close(mix, event)

    def _close(self, mix: int, event: StoryLine) -> None:
        keep, left = event.word("keep"), event.word("keep") or event.word("throw")
        ending = closing.Ending(
            outcome=event.words["outcome"][0],
            left_ul=units.Microlitres(units.volume(left) if left else 0),
            keep=keep is not None,
            place=event.word("place"),
        )
        kept = closing.close(mix, ending, at=self._at(event, SPRAY_MINUTES))["kept"]
        if kept is not None:
            self._came(LEFTOVER, kept["bottle"])

    def _wash(self, event: StoryLine) -> None:
        product, volume_ul = amounts.read_part(event.about[0])
        answer = washing.wash(product, volume_ul, on=self._at(event), accept=(RINSED_ALL_THE_SAME,))
        self._undoable("wash", answer["wash"])

    def _undo(self, event: StoryLine) -> None:
        """The newest of a kind that still stands is taken back."""
        kind = event.about[0]
        if not self.made.get(kind):
            raise BadInput(
                f"there is no {kind} to undo yet", remedy="Undo a mix, a wash, a delivery or a discard"
            )
        undo(kind, self.made[kind].pop(), on=self._at(event))

    def _undoable(self, kind: str, number: int) -> int:
        self.made.setdefault(kind, []).append(number)
        return number

    def _order(self, event: StoryLine) -> None:
        answer = orders.make(
            [_order_line(text) for text in event.about],
            supplier=event.word("from"),
            expected_on=self._day_of(event, "expected"),
            on=self._at(event),
        )
        self.orders[event.words["as"][0]] = answer["order"]

    def _arrive(self, event: StoryLine) -> None:
        order, packs = self._packs(event)
        answer = orders.receive(
            order,
            packs,
            lot=event.word("lot") or "",
            best_before=self._day_of(event, "best-before"),
            place=event.word("place"),
            on=self._at(event),
        )
        for bottle in answer["bottles"]:
            self._came(bottle["product"], bottle["id"])

    def _cancel(self, event: StoryLine) -> None:
        order, packs = self._packs(event)
        orders.cancel(order, packs, on=self._at(event))

    def _packs(self, event: StoryLine) -> tuple[int, dict[str, int] | None]:
        """The order that a line names, and how many packs of which product; None for all that are open."""
        name, *parts = event.about
        if name not in self.orders:
            raise BadInput(f"there is no order {name!r} yet", remedy="Name it where it is made: as NAME")
        packs = [part.rpartition("=") for part in parts]
        return self.orders[name], {product: _whole(count) for product, _, count in packs} or None

    def _plan(self, event: StoryLine) -> None:
        product, volume = event.about
        orders.plan_use(
            product,
            units.volume(volume),
            self._day(event.words["on"][0]),
            job=event.word("job"),
            on=self._at(event),
        )


def _order_line(text: str) -> orders.NewOrderLine:
    """`Lantern Black=2x60ml` as a line of an order."""
    product, _, packs = text.rpartition("=")
    count, _, size = packs.partition("x")
    return orders.NewOrderLine(product, packs=_whole(count), size_ul=units.volume(size))


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise BadInput(f"{text!r} is not a count", remedy="Write a whole number")
    return int(text)
