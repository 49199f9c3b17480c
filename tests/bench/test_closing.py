"""Closing a mix, and the jar of what is left."""

import datetime as dt
import threading
from fractions import Fraction

import pytest

from stock.bench import books, leftovers, mixes, steps
from stock.bench.closing import Ending, close
from stock.bench.leftovers import contents, in_the_jar
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.cautions.facts import ProductFacts, SolventShare
from stock.errors import BadInput, NotFound, UllageError
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, products
from stock.shelf.bottles import numbered, on_shelf
from stock.store.connection import connection
from stock.store.models import Close, NotWith, Product, Solvent
from stock.text import LONGEST_NAME


def test_sprayed_is_what_was_poured_and_added_less_what_is_left(mixed: int):
    steps.book_step(mixed, StepRequest(Fraction(5)))
    answer = close(mixed, Ending("good", left_ul=3_000, note="even"))
    assert answer["sprayed_ml"] == 7
    assert answer["left_ml"] == 3
    assert answer["kept"] is None
    assert answer["reduction"]["percent_of_paint"] == 25
    assert mixes.mix(mixed).closed.note == "even"


def test_the_settings_are_kept(mixed: int):
    close(
        mixed,
        Ending("thick", needle_um=350, pressure_pa=150_000, room_mc=21_000, humidity_milli=45_000),
    )
    found = mixes.mix(mixed).closed
    assert (found.needle_um, found.pressure_pa, found.room_mc, found.humidity_milli) == (
        350,
        150_000,
        21_000,
        45_000,
    )


def test_what_is_kept_becomes_a_labelled_jar_and_the_proof_holds(mixed: int):
    answer = close(mixed, Ending("good", left_ul=3_000, keep=True))
    jar = numbered(answer["kept"]["label"])
    assert answer["kept"]["label"] == f"M{mixed}"
    assert jar.on_hand_ul == 3_000
    assert jar.best_before == jar.received_on + dt.timedelta(7)
    assert Product.get_by_id(jar.product_id).role == "mixed"
    proof = prove()
    assert not proof.problems
    assert proof.sums["kept"] == 3_000


def test_the_jar_is_offered_for_its_colour_next_time(mixed: int):
    close(mixed, Ending("good", left_ul=3_000, keep=True))
    blue, white = (products.find(name).id for name in ("Harbour Blue", "Gull White"))
    assert [jar.label for jar in books.jars_with(blue)] == [f"M{mixed}"]
    assert books.jars_with(white) == []


def test_the_jar_can_be_sprayed_like_a_paint(mixed: int):
    label = close(mixed, Ending("good", left_ul=3_000, keep=True))["kept"]["label"]
    name = Product.get_by_id(numbered(label).product_id).name
    answer = book_mix(MixRequest(parts=((name, 2_000),)), accept=["mix-flash-unknown"])
    assert [pour["on_hand_ml"] for pour in answer["pours"]] == [1]
    assert not prove().problems


def test_undoing_the_close_takes_the_jar_away(mixed: int):
    answer = close(mixed, Ending("good", left_ul=3_000, keep=True))
    undo("close", answer["close"])
    assert [jar for jar in on_shelf() if jar.role == "mixed"] == []
    assert not prove().problems
    again = close(mixed, Ending("good", left_ul=3_000, keep=True))
    assert numbered(again["kept"]["label"]).id == again["kept"]["bottle"]


def test_a_jar_that_was_sprayed_from_keeps_its_close(mixed: int):
    answer = close(mixed, Ending("good", left_ul=3_000, keep=True))
    name = Product.get_by_id(numbered(answer["kept"]["label"]).product_id).name
    book_mix(MixRequest(parts=((name, 2_000),)), accept=["mix-flash-unknown"])
    with pytest.raises(UllageError, match="was used since"):
        undo("close", answer["close"])


@pytest.mark.parametrize(
    ("ending", "said"),
    [
        (Ending("splendid"), "is not an outcome"),
        (Ending(""), "is not an outcome"),
        (Ending("good", left_ul=9_601), "can't be left of a mix of 9.6 ml"),
        (Ending("good", keep=True), "nothing is left to keep"),
        (Ending("good", left_ul=3_000, keep=True, jar_ul=2_000), "smaller than what is to be kept"),
        (Ending("good", left_ul=3_000, keep=True, label="\x1b[31m"), "control"),
    ],
)
def test_refused(mixed: int, ending: Ending, said: str):
    with pytest.raises(BadInput, match=said):
        close(mixed, ending)
    assert mixes.mix(mixed).closed is None


def test_a_label_that_another_bottle_has(mixed: int):
    close(mixed, Ending("good", left_ul=3_000, keep=True, label="Blue jar"))
    other = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))["mix"]
    with pytest.raises(BadInput, match="the label Blue jar is on another bottle"):
        close(other, Ending("good", left_ul=3_000, keep=True, label="Blue jar"))


def test_no_such_place_for_the_jar(mixed: int):
    with pytest.raises(NotFound):
        close(mixed, Ending("good", left_ul=3_000, keep=True, place="Attic"))
    assert mixes.mix(mixed).closed is None


def test_closed_once(mixed: int):
    first = close(mixed, Ending("good"), key="once")
    assert close(mixed, Ending("good"), key="once") == first
    with pytest.raises(mixes.ClosedAlready, match="was closed as good"):
        close(mixed, Ending("thin"))


def test_two_benches_closing_the_same_mix(mixed: int):
    """One closes it; the other is told how it was closed."""
    said: list[str] = []
    ready = threading.Barrier(2)

    def bench(outcome: str) -> None:
        with connection():
            ready.wait(timeout=180)
            try:
                said.append(close(mixed, Ending(outcome))["outcome"])
            except mixes.ClosedAlready as refusal:
                said.append(refusal.code)

    benches = [threading.Thread(target=bench, args=(outcome,)) for outcome in ("good", "thin")]
    for each in benches:
        each.start()
    for each in benches:
        each.join(timeout=300)
    assert len(said) == 2
    assert "closed" in said
    assert Close.select().where(Close.mix == mixed).count() == 1


def test_a_mix_with_hardener_is_not_kept(stocked: str):
    products.add({"name": "Set Fast", "role": "hardener", "flash_point": "none", "water": "100"})
    deliveries.receive("Set Fast", 30_000)
    mix = book_mix(
        MixRequest(parts=(("Harbour Blue", 8_000), ("Set Fast", 1_000))),
        accept=["incompatible", "unknown-with-reactive", "isocyanate-mist", "not-with"],
    )["mix"]
    with pytest.raises(BadInput, match="hardener"):
        close(mix, Ending("good", left_ul=2_000, keep=True))
    assert close(mix, Ending("good", left_ul=2_000))["kept"] is None


class TestContents:
    """What a jar is said to hold, without any books."""

    PAINT = ProductFacts(
        1, "Paint", solvents=(), water_milli=60_000, no_flash_point=True, groups=("waterborne",)
    )
    THINNER = ProductFacts(
        2, "Thinner", "reducer", solvents=(SolventShare("ethanol", 50_000),), water_milli=50_000,
        flash_point_mc=24_000, boiling_point_mc=78_000, not_with=(9,),
    )  # fmt: skip
    UNKNOWN = ProductFacts(3, "Unknown", "reducer")

    def test_the_worst_of_both(self):
        made = contents([(self.PAINT, 8_000), (self.THINNER, 2_000)])
        assert made.flash_point_mc == 24_000
        assert not made.no_flash_point
        assert made.boiling_point_mc == 78_000
        assert made.groups == ("waterborne",)
        assert made.not_with == (9,)
        assert not made.no_solvent

    def test_shares_by_volume_rounded_up(self):
        made = contents([(self.PAINT, 8_000), (self.THINNER, 2_000)])
        assert made.solvents == {("ethanol", "volume"): (10_000, 10_000)}
        assert made.water_milli == 58_000

    def test_what_is_not_known_of_one_is_not_known_of_the_jar(self):
        made = contents([(self.PAINT, 8_000), (self.UNKNOWN, 2_000)])
        assert made.water_milli is None
        assert made.solvents == {}
        assert made.flash_point_mc is None
        assert not made.no_flash_point
        assert not made.no_solvent
        assert contents([(self.THINNER, 2_000), (self.UNKNOWN, 2_000)]).solvents == {}
        said = self.UNKNOWN._replace(no_flash_point=True)
        assert not contents([(self.PAINT, 8_000), (said, 2_000)]).no_flash_point
        unnoted = self.PAINT._replace(no_flash_point=False)
        for parts in ([self.PAINT, unnoted], [unnoted, self.PAINT]):
            assert not contents([(part, 1_000) for part in parts]).no_flash_point

    def test_no_flash_point_only_if_no_part_has_one(self):
        assert contents([(self.PAINT, 8_000)]).no_flash_point

    def test_the_jar_holds_the_parts_in_proportion(self):
        parts = [(1, "Paint", "paint", 8_000), (2, "Thinner", "reducer", 1_600)]
        assert [volume for *_, volume in in_the_jar(parts, 3_001)] == [2_501, 500]

    def test_a_share_that_is_no_whole_thousandth_is_rounded_up(self):
        """A third of half a litre's ethanol: 16.6667 per cent counts as 16.667 and never as 16.666."""
        made = contents([(self.PAINT, 2_000), (self.THINNER, 1_000)])
        assert made.solvents == {("ethanol", "volume"): (16_667, 16_667)}
        ranged = self.THINNER._replace(solvents=(SolventShare("ethanol", 50_000, "volume", 10_000),))
        made = contents([(self.PAINT, 2_000), (ranged, 1_000)])
        assert made.solvents == {("ethanol", "volume"): (3_333, 16_667)}

    def test_a_figure_by_volume_is_the_mean_and_unknown_if_one_is(self):
        """8 ml of 1.2 g/ml and 2 ml of 0.8 g/ml: 1.12 g/ml."""
        heavy, light = (part._replace(density_ug_per_ml=ug, solids_milli=milli) for part, ug, milli in (
            (self.PAINT, 1_200_000, 40_000), (self.THINNER, 800_000, 10_000),
        ))  # fmt: skip
        made = contents([(heavy, 8_000), (light, 2_000)])
        assert (made.density_ug_per_ml, made.solids_milli) == (1_120_000, 34_000)
        unknown = contents([(heavy, 8_000), (self.THINNER, 2_000)])
        assert (unknown.density_ug_per_ml, unknown.solids_milli) == (None, None)

    def test_it_is_kept_where_all_its_parts_may_be(self):
        cold, warm = (self.PAINT._replace(store_low_mc=low, store_high_mc=high) for low, high in (
            (2_000, 25_000), (5_000, 30_000),
        ))  # fmt: skip
        for parts in ([cold, warm], [warm, cold]):
            made = contents([(part, 1_000) for part in parts])
            assert (made.store_low_mc, made.store_high_mc) == (5_000, 25_000)
        made = contents([(cold, 1_000), (self.PAINT, 1_000)])
        assert (made.store_low_mc, made.store_high_mc) == (None, None)

    def test_the_lowest_boiling_point_and_the_known_flash_point_of_the_worst_class_stand(self):
        """Below 23 °C no other part makes it worse; from there on an unknown one may."""
        low = self.THINNER._replace(boiling_point_mc=56_000, not_with=(1, 4, 9, 2))
        for flash_mc, known in ((22_999, 22_999), (23_000, None)):
            made = contents([(low._replace(flash_point_mc=flash_mc), 1_000), (self.UNKNOWN, 1_000)])
            assert made.flash_point_mc == known
        both = contents([(low, 1_000), (self.THINNER, 1_000), (self.PAINT, 1_000)])
        assert (both.boiling_point_mc, both.not_with, both.no_flash_point) == (56_000, (4, 9), False)

    def test_its_name_is_that_of_its_parts_unless_that_is_too_long(self):
        parts = [
            (1, "Blue", "paint", 1),
            (2, "White", "paint", 1),
            (1, "Blue", "paint", 2),
            (3, "Slow", "reducer", 1),
        ]
        assert leftovers._name(parts, 7) == "Left of Blue + White with Slow"
        assert leftovers._name(parts[:3], 7) == "Left of Blue + White"
        fits = LONGEST_NAME - len("Left of ")
        assert leftovers._name([(1, "b" * fits, "paint", 1)], 7) == "Left of " + "b" * fits
        assert leftovers._name([(1, "b" * (fits + 1), "paint", 1)], 7) == "Left of mix 7"


def test_of_two_jars_of_the_same_parts_the_stronger_one_s_solvent_counts(stocked: str):
    """The second mix holds more thinner; the product that both jars are keeps the larger share, in either order."""
    products.change("Slow Thinner", {"solvent": ["ethanol=30% by volume"]})
    products.change("Harbour Blue", {"solvent": ["none"]})

    def kept(percent: int) -> int:
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(percent)))["mix"]
        close(int(mix), Ending("good", left_ul=2_000, keep=True))
        [(share,)] = (
            Solvent.select(Solvent.percent_milli).join(Product).where(Product.role == "mixed").tuples()
        )
        return int(share)

    weak, strong = kept(10), kept(30)
    assert weak < strong
    assert kept(10) == strong


def test_a_second_jar_of_the_same_parts_keeps_each_product_that_it_may_not_meet_once(stocked: str):
    products.add({"name": "Oxidiser", "role": "cleaner"})
    products.change("Slow Thinner", {"not_with": ["Wash Down"]})

    def kept() -> list[str]:
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))["mix"]
        close(int(mix), Ending("good", left_ul=2_000, keep=True))
        jar = Product.get(Product.role == "mixed")
        rows = NotWith.select(Product.name).join(Product, on=(NotWith.other == Product.id))
        return sorted(name for (name,) in rows.where(NotWith.product == jar).tuples())

    assert kept() == ["Wash Down"]
    products.change("Slow Thinner", {"not_with": ["Wash Down", "Oxidiser"]})
    assert kept() == kept() == ["Oxidiser", "Wash Down"]


def test_of_two_jars_of_the_same_parts_the_least_and_the_most_of_a_solvent_are_kept(stocked: str):
    """
    thinner   20 to 30 % ethanol, by volume
    jar       10 % thinner in 8 ml of paint: 1.818 to 2.728 %; 30 %: 4.615 to 6.924 %; 20 %: within both
    """
    products.change("Slow Thinner", {"solvent": ["ethanol=20-30% by volume"]})
    products.change("Harbour Blue", {"solvent": ["none"]})

    def kept(percent: int) -> tuple[int, int]:
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(percent)))["mix"]
        close(int(mix), Ending("good", left_ul=4_000 + 40 * percent, keep=True))
        rows = Solvent.select(Solvent.low_milli, Solvent.percent_milli).join(Product)
        [ends] = rows.where(Product.role == "mixed").tuples()
        return ends

    assert kept(30) == (4_615, 6_924)
    assert kept(10) == kept(20) == kept(30) == (1_818, 6_924)


def test_the_jars_ph_and_storage_are_the_narrowest_and_worst_of_its_parts(stocked: str):
    """A jar of parts at pH 7.5 and 8 to 9 reaches from 7.5 to 9; it may stand where both may."""
    products.change("Harbour Blue", {"ph": "7.5", "store_at": "5C..30C"})
    products.change("Slow Thinner", {"ph": "8-9", "store_at": "10C..35C"})
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))["mix"]
    close(int(mix), Ending("good", left_ul=2_000, keep=True))
    jar = Product.get(Product.role == "mixed")
    assert (jar.ph_low_milli, jar.ph_high_milli) == (7_500, 9_000)
    assert (jar.store_low_mc, jar.store_high_mc) == (10_000, 30_000)
    assert (jar.opened_life, jar.sealed_life, jar.color) == ("7d", "7d", "#2a6f97")
