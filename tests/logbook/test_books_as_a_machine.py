"""A machine plays the painter: any sequence of errands, late ones among them, keeps the books adding up.

The machine keeps a ledger of its own: what each errand changed, and when. After each errand the bottles and the open
orders of the books are what that ledger adds up to, and any past day is shown as it was; `prove` is the very function
behind `ullage check`. A refused errand must have changed nothing.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.reduction import Reduction
from stock.bench.step_requests import StepRequest
from stock.bench.steps import book_back, book_step
from stock.bench.washing import wash
from stock.errors import UllageError
from stock.exchange import incoming
from stock.forecast import orders
from stock.logbook import stock_value
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.logbook.valuation import METHODS
from stock.shelf import counts, deliveries, handling, products, studio
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection, open_books
from stock.store.models import Booking, Bottle, BottleChange, Movement, Undone, database
from tests import templates
from tests.clock import clock_at

FIRST = datetime(2026, 3, 2, 8, tzinfo=UTC)
PAINTS = ("Harbour Blue", "Gull White")
REDUCER, CLEANER = "Slow Thinner", "Wash Down"
PRODUCTS = st.sampled_from([*PAINTS, REDUCER, CLEANER])
SIZES = st.sampled_from([30_000, 60_000, 120_000])
AMOUNTS = st.integers(1, 9_000) | st.integers(1, 150_000)
WHICH = st.integers(0, 3)
"""Which of the newest mixes or orders."""
LATE = st.sampled_from([0, 0, 0, 1, 2, 5])
"""Days ago that an errand is dated."""
TAKEN = ("poured", "washed", "moved_out", "moved_in")
LOOKED_EVERY = 6
"""After so many errands all is looked at that takes long; what the bottles hold, after each."""


def make_studio(address):
    """Make the books that a machine begins with."""
    studio.make(address, name="S", currency="EUR", time_zone="UTC", measures="metric")
    with connection():
        products.add({"name": REDUCER, "role": "reducer", "flash_point": "none"})
        products.add({"name": CLEANER, "role": "cleaner", "flash_point": "none"})
        for paint in PAINTS:
            products.add({"name": paint, "role": "paint", "usual_reducer": REDUCER, "flash_point": "none"})


class Studio(RuleBasedStateMachine):
    """Errands are rules. A change is by bottle in microlitres, or by `(order, product)` in packs still to come."""

    bottles = Bundle("bottles")
    booked = Bundle("booked")
    numbers = itertools.count()
    folder: Path

    def __init__(self):
        super().__init__()
        self.errands = 0
        self.mixes = []
        self.orders = []
        self.held = defaultdict(int)
        self.log = []
        self.changes = {}
        self.parts = defaultdict(set)
        self.undone = set()
        self.turned = {}  # by each undo: what it turned over, and whether that stands since
        self.strange = set()

    @contextmanager
    def books(self) -> Iterator[None]:
        """Opened books of `make_studio`, for as long as a machine runs."""
        raise NotImplementedError

    @initialize(target=bottles)
    def open_a_studio(self):
        """Six days in which something came, was mixed and was ordered."""
        self.standing = ExitStack()
        self.clock = self.standing.enter_context(clock_at(FIRST))
        self.standing.enter_context(self.books())
        self.standing.enter_context(connection())
        stock = [
            bottle
            for product in (*PAINTS, REDUCER, CLEANER)
            for bottle in self.receive(product, 120_000, 2, 0).values
        ]
        for paint in PAINTS:
            self.mix(paint, 20_000, 20, None, 0)
        self.order(dict.fromkeys(PAINTS, 3), 60_000, 0)
        self.clock.tick(6 * 86_400)
        return multiple(*stock)

    def teardown(self):
        if hasattr(self, "standing"):
            try:
                self.look()
            finally:
                self.standing.close()

    def errand(self, work):
        """Run an errand a minute after the one before; a refused one must have changed nothing."""
        self.clock.tick(60)
        before = self.on_hand(), self.bookings()
        try:
            return work()
        except UllageError:
            assert (self.on_hand(), self.bookings()) == before
            return None

    def ago(self, days):
        """That many days before now, or none where it is now."""
        return self.clock.now() - timedelta(days) if days else None

    def note(self, booking, change, at=None):
        """Enter what a booking changed."""
        self.changes[booking] = change
        self.newest = self.clock.now()
        self.latest = max(self.newest, getattr(self, "latest", FIRST))
        for what, by in change.items():
            self.held[what] += by
            self.log.append((at or self.clock.now(), what, by))

    def then(self, what, at):
        """What a bottle held or an order awaited at a moment."""
        return sum(by for when, each, by in self.log if each == what and when <= at)

    def on_hand(self):
        return dict(database.execute_sql("SELECT id, on_hand_ul FROM bottle").fetchall())

    def bookings(self):
        return database.execute_sql("SELECT count(*), coalesce(max(id), 0) FROM booking").fetchone()

    @rule(days=st.integers(1, 3))
    def days_pass(self, days):
        self.clock.tick(days * 86_400)

    @rule(days=st.sampled_from([2, 4]))
    def the_clock_is_set_back(self, days):
        """By more than a day, so that what is booked from here on is dated by it, before what is in the books."""
        self.clock.move_to(self.newest - timedelta(days))
        self.order({REDUCER: 1}, 30_000, 0)

    @rule(target=bottles, product=PRODUCTS, size=SIZES, count=st.integers(1, 3), late=LATE)
    def receive(self, product, size, count, late):
        at = self.ago(late)
        answer = self.errand(lambda: deliveries.receive(product, size, count=count, on=at))
        return self.came(answer["delivery"], {bottle["id"]: size for bottle in answer["bottles"]}, at)

    def came(self, booking, bottles, at, more=None):
        assert not bottles.keys() & self.held.keys()
        self.note(booking, bottles | (more or {}), at)
        return multiple(*bottles)

    @rule(target=booked, bottle=bottles)
    def send_back(self, bottle):
        """The delivery, decant or close that made the bottle is taken back if nothing was done with it since."""
        if bottle in self.strange:
            return multiple()
        made = Booking.get_by_id(Bottle.get_by_id(bottle).delivery_id)
        return self.taken_back((made.kind, made.id))

    @rule(target=booked, bottle=bottles, late=LATE)
    def open_it(self, bottle, late):
        if self.errand(lambda: handling.open_bottle(str(bottle), on=self.ago(late))) is None:
            return multiple()
        number = self.bookings()[1]
        self.note(number, {})
        return "open", number

    @rule(
        target=booked,
        paint=st.sampled_from(PAINTS),
        amount=AMOUNTS,
        percent=st.sampled_from([None, 5, 20, Fraction(100, 7)]),
        picked=st.none() | bottles,
        late=LATE,
    )
    def mix(self, paint, amount, percent, picked, late):
        at = self.ago(late)
        request = MixRequest(
            parts=((paint, amount),),
            reduce=Fraction(percent) if percent else None,
            bottles=(str(picked),) if picked else (),
            at=at,
        )
        done = self.errand(lambda: book_mix(request))
        if done is not None:
            assert self.poured(done, paint) == amount
            self.mixes.append(done["mix"])
        return self.taken_off(done, "mix", at)

    @rule(target=booked, made=WHICH, points=st.sampled_from([1, 5, 20]), late=LATE)
    def step(self, made, points, late):
        return self.stepped(made, lambda mix, at: book_step(mix, StepRequest(Fraction(points)), at=at), late)

    @rule(target=booked, made=WHICH, percent=st.sampled_from([2, 10]), late=LATE)
    def bring_back(self, made, percent, late):
        target = Reduction(Fraction(percent))
        return self.stepped(made, lambda mix, at: book_back(mix, target, at=at), late)

    def stepped(self, made, work, late):
        mix, at = self.mixes[-1 - made % len(self.mixes)], self.ago(late)
        done = self.errand(lambda: work(mix, at))
        if done is not None:
            self.parts[mix].add(done["step"])
        return self.taken_off(done, "step", at)

    @rule(
        target=booked,
        made=WHICH,
        left=st.integers(0, 20_000),
        keep=st.booleans(),
        late=LATE,
    )
    def close(self, made, left, keep, late):
        mix, at = self.mixes[-1 - made % len(self.mixes)], self.ago(late)
        ending = Ending("good", left_ul=left, keep=keep)
        done = self.errand(lambda: close(mix, ending, at=at))
        if done is None:
            return multiple()
        self.parts[mix].add(done["close"])
        jar = {done["kept"]["bottle"]: left} if keep else {}
        self.strange |= jar.keys()
        self.note(done["close"], jar, at)
        return "close", done["close"]

    @rule(target=booked, amount=AMOUNTS, late=LATE)
    def wash(self, amount, late):
        at = self.ago(late)
        done = self.errand(lambda: wash(CLEANER, amount, on=at))
        assert done is None or self.poured(done, CLEANER) == amount
        return self.taken_off(done, "wash", at)

    def poured(self, answer, product):
        return sum(
            round(pour["volume_ml"] * 1000)
            for pour in answer["pours"]
            if pour.get("product", product) == product
        )

    def taken_off(self, done, kind, at):
        if done is None:
            return multiple()
        change = defaultdict(int)
        for pour in done["pours"]:
            change[pour["bottle"]] -= round(pour["volume_ml"] * 1000)
        self.note(done[kind], dict(change), at)
        return kind, done[kind]

    @rule(target=booked, bottle=bottles, measured=st.integers(0, 66_000), late=LATE)
    def count(self, bottle, measured, late):
        at = self.ago(late)
        done = self.errand(lambda: counts.count(str(bottle), measured, on=at))
        if done is None:
            return multiple()
        difference = measured - self.then(bottle, at or self.clock.now())
        assert round(done["difference_ml"] * 1000) == difference
        self.note(done["count"], {bottle: difference}, at)
        return "count", done["count"]

    @rule(target=booked, bottle=bottles, late=LATE)
    def discard(self, bottle, late):
        at = self.ago(late)
        done = self.errand(lambda: handling.discard(str(bottle), on=at))
        if done is None:
            return multiple()
        self.note(done["discard"], {bottle: -self.held[bottle]}, at)
        return "discard", done["discard"]

    @rule(target=bottles, bottle=bottles, amount=AMOUNTS, late=LATE)
    def decant(self, bottle, amount, late):
        at = self.ago(late)
        done = self.errand(lambda: handling.decant(str(bottle), amount, on=at))
        if done is None:
            return multiple()
        if bottle in self.strange:
            self.strange.add(done["into"])
        made = Bottle.get_by_id(done["into"]).delivery_id
        return self.came(made, {done["into"]: amount}, at, {bottle: -amount})

    @rule(bottle=bottles, into=WHICH, amount=AMOUNTS, late=LATE)
    def decant_into(self, bottle, into, amount, late):
        """Into another bottle of the product, or the same one where there is no other, which is refused."""
        at = self.ago(late)
        same = Bottle.select(Bottle.id).where(Bottle.product == Bottle.get_by_id(bottle).product_id)
        others = [number for (number,) in same.order_by(Bottle.id).tuples() if number != bottle] or [bottle]
        to = others[into % len(others)]
        if self.errand(lambda: handling.decant(str(bottle), amount, into=str(to), on=at)) is not None:
            number = self.bookings()[1]
            self.note(number, {bottle: -amount, to: amount}, at)

    @rule(
        target=booked,
        packs=st.dictionaries(PRODUCTS, st.integers(1, 3), min_size=1, max_size=2),
        size=SIZES,
        late=LATE,
    )
    def order(self, packs, size, late):
        at = self.ago(late)
        lines = [orders.NewOrderLine(name, size, count) for name, count in packs.items()]
        number = self.errand(lambda: orders.make(lines, on=at))["order"]
        self.note(number, {(number, name): count for name, count in packs.items()}, at)
        self.orders.append((number, size))
        return "order", number

    @rule(target=bottles, order=WHICH, packs=st.none() | st.integers(1, 4), product=PRODUCTS, late=LATE)
    def order_comes(self, order, packs, product, late):
        """All that is still to come, or so many packs of one product."""
        number, size = self.orders[-1 - order % len(self.orders)]
        at = self.ago(late)
        came = None if packs is None else {product: packs}
        done = self.errand(lambda: orders.receive(number, came, on=at))
        if done is None:
            return multiple()
        came = defaultdict(int)
        for bottle in done["bottles"]:
            came[number, bottle["product"]] -= 1
        assert came == (self.awaited(number) if packs is None else {(number, product): -packs})
        return self.came(done["delivery"], {each["id"]: size for each in done["bottles"]}, at, came)

    @rule(target=booked, order=WHICH, packs=st.none() | st.integers(1, 4), product=PRODUCTS, late=LATE)
    def order_cancelled(self, order, packs, product, late):
        number = self.orders[-1 - order % len(self.orders)][0]
        at = self.ago(late)
        gone = self.awaited(number) if packs is None else {(number, product): -packs}
        done = self.errand(lambda: orders.cancel(number, None if packs is None else {product: packs}, on=at))
        if done is None:
            return multiple()
        assert done["cancelled"] == -sum(gone.values())
        booking = self.bookings()[1]
        self.note(booking, gone, at)
        return "cancel", booking

    def awaited(self, order):
        """What would take an order's open packs away."""
        return {
            what: -count
            for what, count in self.held.items()
            if isinstance(what, tuple) and what[0] == order and count
        }

    @rule(
        target=booked,
        rows=st.lists(st.tuples(PRODUCTS, SIZES, st.integers(0, 30)), min_size=1, max_size=3),
    )
    def import_stock(self, rows):
        text = "Product,Size,Left\n" + "".join(
            f"{name},{size // 1000} ml,{left} ml\n" for name, size, left in rows
        )
        answer = self.imported(text, "stock")
        if answer is None:
            return multiple()
        first, last = answer["bookings"]
        made = list(
            Bottle.select(Bottle.id, Bottle.on_hand_ul).where(Bottle.delivery.between(first, last)).tuples()
        )
        assert sorted(held for _, held in made) == sorted(left * 1000 for *_, left in rows)
        self.turn_with(answer, dict(made))
        return "import", answer["import"]

    @rule(
        target=booked,
        rows=st.lists(
            st.tuples(st.sampled_from(PAINTS), st.integers(1, 30), st.integers(0, 9)), min_size=1, max_size=3
        ),
    )
    def import_mixes(self, rows):
        """Past mixes come from bottles of their own, which hold nothing afterwards."""
        today = self.clock.now().date()
        text = "Date,Paint,Amount\n" + "".join(
            f"{today - timedelta(1 + ago)} 10:00,{name},{amount} ml\n" for name, amount, ago in rows
        )
        answer = self.imported(text, "mixes")
        if answer is None:
            return multiple()
        first, last = answer["bookings"]
        made = [
            number
            for (number,) in Bottle.select(Bottle.id).where(Bottle.delivery.between(first, last)).tuples()
        ]
        assert len(made) == len({name for name, *_ in rows})
        self.turn_with(answer, dict.fromkeys(made, 0))
        return "import", answer["import"]

    def imported(self, text, kind):
        path = self.folder / f"{next(self.numbers)}.csv"
        path.write_text(text, encoding="utf-8")
        made = incoming.plan(str(path), incoming.Wishes(kind=kind, again=True))
        return self.errand(lambda: incoming.book(made))

    def turn_with(self, answer, bottles):
        """An import is one errand, whatever bookings it is made of."""
        assert not bottles.keys() & self.held.keys()
        self.strange |= bottles.keys()
        self.note(("import", answer["import"]), bottles)

    @rule(target=bottles, at=st.integers(0, 100))
    def take_up(self, at):
        """A jar, or a bottle of an import, is used as any other from here on."""
        return sorted(self.strange)[at % len(self.strange)] if self.strange else multiple()

    @rule(target=booked, entry=consumes(booked), late=LATE)
    def take_back(self, entry, late):
        return self.taken_back(entry, late)

    def taken_back(self, entry, late=0):
        """Undo an errand with all that goes with it, or do it again."""
        kind, number = entry
        at = self.ago(late) if kind != "import" else None
        done = self.errand(lambda: undo(kind, number, on=at))
        if done is None:
            return multiple()
        if kind == "undo":
            turned, stand = self.turned[number]
            reversed_ = [number]
        else:
            whole = ("import", number) if kind == "import" else number
            turned, stand = {whole, *self.parts[whole]} - self.undone, True
            reversed_ = turned
        self.undone = self.undone | turned if stand else self.undone - turned
        self.turned[done["undo"]] = turned, not stand
        assert {each["id"] for each in done["undid"]} == {
            one[1] if isinstance(one, tuple) else one for one in turned
        }
        back = defaultdict(int)
        for one in reversed_:
            for what, by in self.changes[one].items():
                back[what] -= by
        self.note(done["undo"], dict(back), at)
        return "undo", done["undo"]

    @rule(bottle=bottles, key=st.integers(0, 3))
    def the_same_request_twice(self, bottle, key):
        name = f"k{next(self.numbers)}"
        request = MixRequest(parts=((REDUCER, 1_000),))
        done = self.errand(lambda: book_mix(request, key=name))
        again = self.errand(lambda: book_mix(request, key=name))
        assert done == again
        self.taken_off(done, "mix", None)

    @rule(days=st.integers(1, 12))
    def a_past_day_is_as_it_was(self, days):
        """By the ledger: what was booked by the end of that day, and not what was taken back later."""
        day = self.clock.now().date() - timedelta(days)
        end = datetime.combine(day + timedelta(1), datetime.min.time(), UTC) - timedelta(microseconds=1)
        shown = {view.id: view.on_hand_ul for view in on_shelf(day) if view.id not in self.strange}
        kept = {what: self.then(what, end) for what in self.held if what not in self.strange}
        assert shown == {bottle: kept[bottle] for bottle in shown}
        assert {what for what, by in kept.items() if by and not isinstance(what, tuple)} <= shown.keys()
        assert self.open_orders(day) == {
            what: by for what, by in kept.items() if by and isinstance(what, tuple)
        }

    def open_orders(self, day=None):
        return {
            (line.order, line.product): line.open
            for lines in orders.listed(day)
            for line in lines
            if line.open
        }

    @invariant()
    def the_books_are_what_we_think(self):
        if not hasattr(self, "standing"):
            return
        assert self.on_hand() == {what: by for what, by in self.held.items() if not isinstance(what, tuple)}
        self.errands += 1
        if self.errands % LOOKED_EVERY == 0:
            self.look()

    def the_money_adds_up_as_the_volume_does(self):
        """Opening + purchases - used - written off = closing month by month, and the last closing is on the shelf."""
        for method in METHODS:
            months = stock_value.monthly(method=method)
            for each in months:
                for name, one in each.products:
                    led = one.opening_ul + one.purchased_ul - one.used_ul - one.written_off_ul
                    assert led == one.closing_ul, (method, each.until, name)
                    worth = one.opening + one.purchased - one.used - one.written_off
                    assert worth == one.closing, (method, each.until, name)
            own = sum(row.on_hand_ul for row in Bottle.select().where(Bottle.owner == ""))
            assert sum(one.closing_ul for _, one in months[-1].products) == own
            assert sum(one.closing for one in months[-1].places) == months[-1].owners[0].closing

    def look(self):
        """Look at everything, from the latest of all days where the clock was set back."""
        now = self.clock.now()
        self.clock.move_to(max(now, self.latest))
        self.all_of_it_adds_up()
        self.clock.move_to(now)

    def all_of_it_adds_up(self):
        """Prove the books, and compare what is worked out from more than the bottles' rows."""
        assert prove().problems == []
        self.the_money_adds_up_as_the_volume_does()
        level = defaultdict(int)
        for _, what, by in sorted(self.log, key=lambda entry: entry[0]):
            level[what] += by
            # What is open of an order is counted without what was undone, so its raw sum may dip in between.
            assert level[what] >= 0 or isinstance(what, tuple), f"{what} was below empty"
        assert self.open_orders() == {
            what: by for what, by in self.held.items() if by and isinstance(what, tuple)
        }
        opened = {
            view.id: view.opened_on is not None
            for view in on_shelf()
            if view.state != "discarded" and view.id not in self.strange
        }
        used = self.taken_or_noted()
        assert opened == {bottle: bottle in used for bottle in opened}

    def taken_or_noted(self):
        """By the movements and notes that stand: which bottles were opened."""
        stands = Booking.id.not_in(Undone.select(Undone.booking))
        taken = (
            Movement.select(Movement.bottle).join(Booking).where(stands & Movement.kind.in_(TAKEN)).tuples()
        )
        noted = (
            BottleChange.select(BottleChange.bottle)
            .join(Booking)
            .where(stands & (Booking.kind == "open"))
            .tuples()
        )
        return {bottle for (bottle,) in (*taken, *noted)}


def play(machine, examples, part, config):
    """Let a machine play; each part of a run has other examples, also where the run's seed is given."""
    chosen = config.getoption("--hypothesis-seed")
    seeded = seed(f"{config.getoption('sample_seed') if chosen is None else chosen}, part {part}")(machine)
    with TemporaryDirectory() as folder:
        seeded.folder = Path(folder)
        run_state_machine_as_test(
            seeded,
            settings=settings(
                max_examples=examples, stateful_step_count=40, deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )  # fmt: skip


def shares(ordinary, deep, parts):
    """How many examples a part of the ordinary run has, and each of those that only a deep run has."""
    more = [pytest.param(part, deep, id=str(part), marks=pytest.mark.deep) for part in range(1, 1 + parts)]
    return pytest.mark.parametrize(("part", "examples"), [pytest.param(0, ordinary, id="0"), *more])


@shares(10, 25, parts=4)
@pytest.mark.only("sqlite")
def test_any_sequence_on_a_file(part, examples, engine, request):
    class OnFile(Studio):
        @contextmanager
        def books(self):
            path = self.folder / f"{next(self.numbers)}.ullage"
            templates.file_like("machine", make_studio, str(path))
            yield

    play(OnFile, examples, part, request.config)


@shares(3, 15, parts=2)
@pytest.mark.only("postgresql")
def test_any_sequence_on_a_server(server, part, examples, engine, request):
    class OnServer(Studio):
        @contextmanager
        def books(self):
            with templates.database_like("machine", make_studio, server) as address:
                open_books(address)
                yield

    play(OnServer, examples, part, request.config)
