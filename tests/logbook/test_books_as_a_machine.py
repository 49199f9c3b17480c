"""A machine plays the painter: any sequence of errands keeps the books adding up.

The machine keeps a ledger of its own, a plain dictionary of bottles, and after each errand compares it with
the books bottle by bottle; `prove` is the very function behind `ullage check`. A refused errand must have
changed nothing.
"""

import itertools
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import psycopg
from hypothesis import HealthCheck, settings
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

from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.errors import UllageError
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products, studio
from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from stock.store.models import Booking, Bottle, BottleChange, Movement, Undone
from stock.store.orm import pw

PAINTS = ("Harbour Blue", "Gull White")
REDUCER, CLEANER = "Slow Thinner", "Wash Down"
SIZES = st.sampled_from([30_000, 60_000, 120_000])
AMOUNTS = st.integers(1, 70_000)
TAKEN = ("poured", "washed", "moved_out", "moved_in")


class Studio(RuleBasedStateMachine):
    """Errands are rules; `held` is the machine's own idea of every bottle."""

    bottles = Bundle("bottles")
    booked = Bundle("booked")
    place: str
    numbers = itertools.count()

    def __init__(self):
        super().__init__()
        self.held: dict[int, int] = {}
        self.gone: set[int] = set()
        self.before: dict[int, dict[int, int]] = {}

    @initialize()
    def open_a_studio(self):
        self.address = self.new_address()
        studio.make(self.address, name="S", currency="EUR", time_zone="UTC", measures="metric")
        self.connection = connection()
        self.connection.__enter__()
        products.add({"name": REDUCER, "role": "reducer", "flash_point": "none"})
        products.add({"name": CLEANER, "role": "cleaner", "flash_point": "none"})
        for paint in PAINTS:
            products.add({"name": paint, "role": "paint", "usual_reducer": REDUCER, "flash_point": "none"})

    def teardown(self):
        if hasattr(self, "connection"):
            self.connection.__exit__(None, None, None)

    def errand(self, kind, work):
        """Run an errand; a refused one must have moved nothing."""
        before = self.on_hand()
        try:
            answer = work()
        except UllageError:
            assert self.on_hand() == before
            return None
        return kind, answer

    def on_hand(self):
        return dict(Bottle.select(Bottle.id, Bottle.on_hand_ul).tuples())

    @rule(
        target=bottles,
        product=st.sampled_from([*PAINTS, REDUCER, CLEANER]),
        size=SIZES,
        count=st.integers(1, 3),
    )
    def receive(self, product, size, count):
        answer = deliveries.receive(product, size, count=count)
        numbers = [bottle["id"] for bottle in answer["bottles"]]
        self.held |= dict.fromkeys(numbers, size)
        return multiple(*numbers)

    @rule(target=booked, bottle=bottles)
    def send_back(self, bottle):
        """The bottle's delivery, or the decant that made it, is taken back if nothing was done with it since."""
        made = Booking.get_by_id(Bottle.get_by_id(bottle).delivery_id)
        change = dict(
            Movement.select(Movement.bottle, Movement.change_ul).where(Movement.booking == made).tuples()
        )
        return self.taken_back((made.kind, made.id, change))

    @rule(target=booked, bottle=bottles)
    def open_it(self, bottle):
        if self.errand("open", lambda: handling.open_bottle(str(bottle))) is None:
            return multiple()
        return "open", Booking.select(pw.fn.MAX(Booking.id)).tuples().get()[0], {}

    @rule(
        target=booked,
        paint=st.sampled_from(PAINTS),
        amount=AMOUNTS,
        percent=st.sampled_from([None, 5, 20, Fraction(100, 7)]),
        picked=st.none() | bottles,
    )
    def mix(self, paint, amount, percent, picked):
        request = MixRequest(
            parts=((paint, amount),),
            reduce=Fraction(percent) if percent else None,
            bottles=(str(picked),) if picked else (),
        )
        done = self.errand("mix", lambda: book_mix(request))
        return self.take_off(done, "mix")

    @rule(target=booked, amount=AMOUNTS)
    def wash(self, amount):
        return self.take_off(self.errand("wash", lambda: wash(CLEANER, amount)), "wash")

    def take_off(self, done, kind):
        if done is None:
            return multiple()
        change = {}
        for pour in done[1]["pours"]:
            change[pour["bottle"]] = change.get(pour["bottle"], 0) - round(pour["volume_ml"] * 1000)
        self.apply(change)
        return kind, done[1][kind], change

    def apply(self, change):
        for bottle, moved in change.items():
            self.held[bottle] += moved

    @rule(target=booked, bottle=bottles, measured=st.integers(0, 66_000))
    def count(self, bottle, measured):
        done = self.errand("count", lambda: counts.count(str(bottle), measured))
        if done is None:
            return multiple()
        change = {bottle: measured - self.held[bottle]}
        self.apply(change)
        return "count", done[1]["count"], change

    @rule(target=booked, bottle=bottles)
    def discard(self, bottle):
        done = self.errand("discard", lambda: handling.discard(str(bottle)))
        if done is None:
            return multiple()
        change = {bottle: -self.held[bottle]}
        self.apply(change)
        return "discard", done[1]["discard"], change

    @rule(target=bottles, bottle=bottles, amount=AMOUNTS)
    def decant(self, bottle, amount):
        done = self.errand("decant", lambda: handling.decant(str(bottle), amount))
        if done is None:
            return multiple()
        self.held[done[1]["into"]] = amount
        self.apply({bottle: -amount})
        return done[1]["into"]

    @rule(bottle=bottles, into=bottles, amount=AMOUNTS)
    def decant_into(self, bottle, into, amount):
        if self.errand("decant", lambda: handling.decant(str(bottle), amount, into=str(into))) is not None:
            self.apply({bottle: -amount, into: amount})

    @rule(target=booked, entry=consumes(booked))
    def take_back(self, entry):
        return self.taken_back(entry)

    def taken_back(self, entry):
        kind, number, change = entry
        done = self.errand("undo", lambda: undo(kind, number))
        if done is None:
            return multiple()
        back = {bottle: -moved for bottle, moved in change.items()}
        self.apply(back)
        return "undo", done[1]["undo"], back

    @rule(bottle=bottles, key=st.integers(0, 3))
    def the_same_request_twice(self, bottle, key):
        name = f"k{next(self.numbers)}"
        request = MixRequest(parts=((REDUCER, 1_000),))
        done = self.errand("mix", lambda: book_mix(request, key=name))
        again = self.errand("mix", lambda: book_mix(request, key=name))
        assert done == again
        self.take_off(done, "mix")

    @invariant()
    def the_books_are_what_we_think(self):
        if not hasattr(self, "connection"):
            return
        assert self.on_hand() == self.held
        assert prove().problems == []
        assert self.open_since() == {
            view.id: view.opened_on is not None for view in on_shelf() if view.state != "discarded"
        }

    def open_since(self):
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
        opened = {bottle for (bottle,) in taken} | {bottle for (bottle,) in noted}
        return {view.id: view.id in opened for view in on_shelf() if view.state != "discarded"}


def test_any_sequence_on_a_file():
    with TemporaryDirectory() as folder:
        names = itertools.count()

        class OnFile(Studio):
            def new_address(self):
                return str(Path(folder) / f"{next(names)}.ullage")

        run_state_machine_as_test(
            OnFile,
            settings=settings(
                max_examples=60,
                stateful_step_count=40,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )


def test_any_sequence_on_a_server(server):
    names = itertools.count()

    class OnServer(Studio):
        def new_address(self):
            return f"{server}{'&' if '?' in server else '?'}schema=machine_{next(names)}"

        def teardown(self):
            super().teardown()
            schema = self.address.rpartition("=")[2]
            with psycopg.connect(server, autocommit=True) as engine:
                engine.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")

    run_state_machine_as_test(
        OnServer,
        settings=settings(
            max_examples=20, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
        ),
    )
