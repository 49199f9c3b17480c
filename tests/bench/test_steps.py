"""Steps on an open mix, in the books of both engines."""

import datetime as dt
from fractions import Fraction

import pytest

from stock.bench import closing, mixes, request_parser, step_requests, steps
from stock.bench.books import advice_for, outcomes_of
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix, plan
from stock.bench.reduction import Reduction
from stock.bench.step_requests import StepRequest
from stock.errors import BadInput, NotEnough, NotFound, Stopped
from stock.logbook.history import entries
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products, sheets
from stock.shelf.bottles import numbered
from stock.shelf.dosings import read as dosing
from stock.store.models import Weighing
from stock.units import MOST_REDUCTION, Microlitres


def test_a_step_comes_from_the_same_bottle(mixed: int):
    answer = steps.book_step(mixed, StepRequest(Fraction(5)))
    assert answer["added_ml"] == 0.4
    assert answer["reduction"]["percent_of_paint"] == 25
    assert [pour["bottle"] for pour in answer["pours"]] == [3]
    assert numbered("3").on_hand_ul == 120_000 - 1_600 - 400
    assert not prove().problems


def test_what_is_poured_from_is_open_from_then_on(stocked: str):
    """A sealed bottle goes bad sooner once it is open; the other of the two stays sealed."""
    assert [numbered(bottle).opened_on for bottle in ("1", "2", "3")] == [None, None, None]
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    assert [numbered(bottle).opened_on is not None for bottle in ("1", "2", "3")] == [True, False, True]


def test_without_a_size_it_is_the_advised_one(mixed: int):
    planned = steps.plan_step(mixed)
    answer = steps.book_step(mixed)
    assert answer["added_ml"] == planned.as_json()["added_ml"] > 0


def test_a_plan_books_nothing(mixed: int):
    steps.plan_step(mixed, StepRequest(Fraction(5)))
    assert mixes.mix(mixed).cup.reducer_ul == 1_600
    assert numbered("3").on_hand_ul == 120_000 - 1_600


def test_a_step_after_spraying_is_of_the_paint_that_is_left(mixed: int):
    """Of 9.6 ml at 20 % 3 ml are used: five points are 0.275 ml, and what is left stands at 25 %."""
    answer = steps.book_step(mixed, StepRequest(Fraction(5), left_ul=6_600))
    assert answer["added_ml"] == 0.275
    assert answer["reduction"]["percent_of_paint"] == 25
    found = mixes.mix(mixed)
    assert found.reduction is not None
    assert found.reduction.percent_of_paint == 25
    assert found.poured_ul() == 9_600 + 275


@pytest.mark.parametrize("left_ul", [0, -1, 9_601])
def test_more_can_not_be_left_than_the_cup_held(mixed: int, left_ul: int):
    with pytest.raises(BadInput, match=r"can't be left of a mix of 9\.6 ml"):
        steps.plan_step(mixed, StepRequest(Fraction(5), left_ul=left_ul))


def test_the_same_key_books_once(mixed: int):
    first = steps.book_step(mixed, StepRequest(Fraction(5)), key="one")
    assert steps.book_step(mixed, StepRequest(Fraction(5)), key="one") == first
    assert mixes.mix(mixed).cup.reducer_ul == 2_000


def test_a_step_bigger_than_the_sheet_allows_is_warned_of_with_the_reason(mixed: int):
    sheets.add(
        "Slow Thinner",
        "Thinner guide",
        dt.date(2024, 5, 1),
        dosings=[dosing("line=Quay low=10 high=30 step=2")],
    )
    planned = steps.plan_step(mixed, StepRequest(Fraction(5)))
    assert [found.code for found in planned.cautions] == ["step-too-large"]
    assert "congeal" in planned.cautions[0].message
    assert "Thinner guide of 2024-05-01" in planned.cautions[0].source
    assert steps.plan_step(mixed, StepRequest(Fraction(2))).cautions == ()


def test_a_step_is_never_too_large_by_the_microlitre_it_is_rounded_to(stocked: str):
    sheets.add(
        "Slow Thinner",
        "Thinner guide",
        dt.date(2024, 5, 1),
        dosings=[dosing("line=Quay low=10 high=25 step=5")],
    )
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_150),), reduce=Fraction(20)))["mix"]
    planned = steps.plan_step(mix, StepRequest(Fraction(5)))
    assert planned.pours[0].volume_ul == 408  # of 407.5
    assert planned.cautions == ()
    more = steps.plan_step(mix, StepRequest(Fraction(51, 10)))
    assert {found.code for found in more.cautions} == {"step-too-large", "beyond-range"}


def test_beyond_the_range_is_warned_of(mixed: int):
    planned = steps.plan_step(mixed, StepRequest(Fraction(10)))
    assert "beyond-range" in [found.code for found in planned.cautions]
    assert planned.used_milli is not None
    assert planned.used_milli > 100_000


@pytest.mark.parametrize("points", [Fraction(0), Fraction(-5)])
def test_a_step_of_nothing(mixed: int, points: Fraction):
    with pytest.raises(BadInput, match="a step adds reducer"):
        steps.plan_step(mixed, StepRequest(points))


def test_a_step_out_of_all_reason(mixed: int):
    with pytest.raises(BadInput, match="that would be 1020 % of the paint"):
        steps.plan_step(mixed, StepRequest(Fraction(1_000)))


def test_no_such_mix(stocked: str):
    with pytest.raises(NotFound, match="there is no mix 99"):
        steps.book_step(99, StepRequest(Fraction(5)))


class TestNeatPours:
    """Drops straight into the cup, thinned afterwards."""

    def test_the_first_step_is_the_advised_start_of_the_usual_reducer(self, stocked: str):
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))["mix"]
        start = advice_for("Harbour Blue").advice.start_milli
        planned = steps.plan_step(mix)
        assert planned.points == Fraction(start, 1_000)
        assert [pour.product for pour in planned.pours] == ["Slow Thinner"]
        assert "step-too-large" not in [found.code for found in planned.cautions]
        answer = steps.book_step(mix)
        assert answer["reduction"]["percent_of_paint"] == start / 1_000
        assert answer["next_step_percent"] > 0
        assert not prove().problems

    def test_neat_paint_starts_where_its_sheet_does_and_thinned_paint_goes_on_by_the_sheets_steps(
        self, mixed: int
    ):
        sheets.add("Harbour Blue", "Sheet", dt.date(2024, 1, 1), dosings=[dosing("low=15 high=30 step=3")])
        start = advice_for("Harbour Blue").advice.start_milli
        assert start > 10_000
        neat = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))["mix"]
        assert steps.plan_step(neat).points == Fraction(start, 1_000)
        assert 0 < steps.plan_step(mixed).points <= 3

    def test_more_than_a_step_beyond_the_start_is_warned_of(self, stocked: str):
        sheets.add(
            "Slow Thinner",
            "Thinner guide",
            dt.date(2024, 5, 1),
            dosings=[dosing("line=Quay low=10 high=60 step=5")],
        )
        mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))["mix"]
        codes = [
            [found.code for found in steps.plan_step(mix, StepRequest(Fraction(points))).cautions]
            for points in (15, 16)
        ]
        assert ["step-too-large" in each for each in codes] == [False, True]

    def test_two_reducers_and_no_usual_one_must_be_named(self, stocked: str):
        products.add({"name": "Plain Blue", "role": "paint", "water": "55", "solvent": "none"})
        products.add({"name": "Fast Thinner", "role": "reducer", "flash_point": "40C", "water": "60"})
        deliveries.receive("Plain Blue", 60_000)
        mix = book_mix(MixRequest(parts=(("Plain Blue", 8_000),)))["mix"]
        with pytest.raises(BadInput, match="holds no reducer") as refusal:
            steps.book_step(mix, StepRequest(Fraction(5)))
        assert "--with" in refusal.value.remedy
        named = StepRequest(Fraction(5), reducers=(("Slow Thinner", 1),))
        assert steps.book_step(mix, named)["reducer_ml"] == 0.4


class TestAmountsAndOtherReducers:
    def test_drops_and_millilitres_are_read_by_the_reducers_own_drops(self, mixed: int):
        products.change("Slow Thinner", {"drops_per_ml": "40"})
        asked = step_requests.read(mixed, "2 drops")
        assert asked.reducer_ul == 50
        answer = steps.book_step(mixed, asked)
        assert answer["reducer_ml"] == 1.65
        assert answer["added"] == [
            {"product": "Slow Thinner", "part": "reducer", "volume_ml": 0.05, "drops": 2.0, "mass_g": None}
        ]
        assert step_requests.read(mixed, "0.1 ml").reducer_ul == 100
        assert step_requests.read(mixed, "5 %").points == 5

    def test_grams_are_read_by_the_density_of_what_is_poured_and_keep_their_weighing(self, mixed: int):
        """0.425 g of 0.85 g/ml are 0.5 ml; 10.0..10.21 g of 1.05 g/ml are 0.2 ml."""
        products.change("Slow Thinner", {"density": "0.85"})
        asked = step_requests.read(mixed, "0.425 g", parts=["Harbour Blue=10.0..10.21 g"])
        answer = steps.book_step(mixed, asked)
        added = {each["product"]: (each["volume_ml"], each["mass_g"]) for each in answer["added"]}
        assert added == {"Slow Thinner": (0.5, 0.425), "Harbour Blue": (0.2, 0.21)}
        kept = {
            row.product.name: (
                row.tare_mg,
                row.reading_mg,
                row.density_ug_per_ml,
                row.volume_ul,
                row.bottle_id,
            )
            for row in Weighing.select().where(Weighing.booking == answer["step"])
        }
        assert kept == {
            "Slow Thinner": (0, 425, 850_000, 500, 3),
            "Harbour Blue": (10_000, 10_210, 1_050_000, 200, 1),
        }
        weighed = "by weight: Harbour Blue 0.21 g at 1.05 g/ml and Slow Thinner 0.425 g at 0.85 g/ml"
        assert weighed in next(entry.words() for entry in entries() if entry.id == answer["step"])
        reduced = request_parser.request(["Harbour=4ml"], reduce="0.34 g")
        assert (reduced.reduce, reduced.weighed) == (10, (("Slow Thinner", 0, 340),))
        number = book_mix(reduced)["mix"]
        assert Weighing.get(Weighing.booking == number).volume_ul == 400
        assert not Weighing.select().where(Weighing.booking == mixed).exists()

    @pytest.mark.parametrize(
        ("how_much", "reducer", "parts", "why"),
        [
            ("0.5 g", None, (), "no density of Slow Thinner is known"),
            ("5%", None, ("White=0.5 g",), "no density of White is known"),
            ("0.5 g", "Harbour Thin:Slow Thinner=1:1", (), "a blend can't be read by weight"),
            ("-0.5 g", "Harbour Thin", (), "negative"),
            ("0.5 oz", None, (), "oz"),
            ("10.0..9.5 g", "Harbour Thin", (), "the scale did not rise"),
            ("5", None, (), "neither a per cent nor a ratio"),
            ("0 drops", None, (), "is nothing"),
            ("5 apples", None, (), "no known unit"),
            ("5%", "Harbour Blue", (), "is a paint, not a reducer"),
            ("5%", "Slow Thinner:Slow Thinner=1:1", (), "can't be blended with itself"),
            (None, "Slow Thinner", ("White=1ml",), "a reducer is named without an amount"),
            (None, None, ("White",), "has no amount"),
        ],
    )
    def test_what_can_not_be_read(self, mixed: int, how_much, reducer, parts, why):
        products.add({"name": "White", "role": "paint", "water": "55", "solvent": "none"})
        products.add({"name": "Harbour Thin", "role": "reducer", "water": "60", "density": "0.9"})
        with pytest.raises((BadInput, NotFound), match=why):
            steps.plan_step(mixed, step_requests.read(mixed, how_much, reducer=reducer, parts=parts))
        assert mixes.mix(mixed).cup.total_ul == 9_600

    def test_another_reducer_and_a_blend(self, mixed: int):
        products.add({"name": "Fast Thinner", "role": "reducer", "flash_point": "40C", "water": "60"})
        deliveries.receive("Fast Thinner", 120_000)
        answer = steps.book_step(mixed, step_requests.read(mixed, "0.4 ml", reducer="Fast"))
        assert answer["reduction"]["percent_of_paint"] == 25
        assert [pour["product"] for pour in answer["pours"]] == ["Fast Thinner"]
        blend = step_requests.read(mixed, "10%", reducer="Fast Thinner:Slow Thinner=3:1")
        answer = steps.book_step(mixed, blend)
        assert {pour["product"]: pour["volume_ml"] for pour in answer["pours"]} == {
            "Fast Thinner": 0.6,
            "Slow Thinner": 0.2,
        }
        undo("step", answer["step"])
        assert list(mixes.mix(mixed).cup.shares("reducer").values()) == [1_600, 400]
        assert not prove().problems


class TestTints:
    @pytest.fixture
    def tinted(self, mixed: int) -> int:
        products.add({"name": "White", "role": "paint", "color": "#ffffff", "water": "55", "solvent": "none"})
        deliveries.receive("White", 60_000)
        return mixed

    def test_a_tint_comes_off_its_bottle_and_lowers_the_reduction(self, tinted: int):
        answer = steps.book_step(tinted, step_requests.read(tinted, parts=["White=2ml"]))
        assert answer["reduction"]["percent_of_paint"] == 16
        assert (answer["paint_ml"], answer["reducer_ml"], answer["total_ml"]) == (10, 1.6, 11.6)
        assert mixes.mix(tinted).words == "Harbour Blue + White with Slow Thinner"
        undone = undo("step", answer["step"])
        assert mixes.mix(tinted).reduction.percent_of_paint == 20
        undo("undo", undone["undo"])
        assert mixes.mix(tinted).cup.paint_ul == 10_000
        undo("mix", tinted)
        assert not prove().problems

    def test_more_of_the_same_paint_with_its_reducer(self, tinted: int):
        asked = step_requests.read(tinted, "0.4ml", parts=["Harbour Blue=2ml"])
        answer = steps.book_step(tinted, asked)
        assert answer["reduction"]["percent_of_paint"] == 20
        assert {pour["bottle"] for pour in answer["pours"]} == {1, 3}

    def test_a_tint_after_spraying_counts_what_is_left(self, tinted: int):
        """9.6 ml at 20 %, half sprayed: 4 ml of blue left; 4 ml of white make the jar half and half."""
        asked = step_requests.read(tinted, parts=["White=4ml"], left="4.8 ml")
        assert steps.book_step(tinted, asked)["reduction"]["percent_of_paint"] == 10
        cup = mixes.mix(tinted).cup
        assert list(cup.shares("paint").values()) == [4_000, 4_000]
        kept = close(tinted, Ending("good", left_ul=8_800, keep=True))["kept"]
        assert kept["on_hand_ml"] == 8.8

    def test_a_tint_that_may_not_meet_the_mix_is_stopped_and_only_what_is_new_is_said(self, tinted: int):
        whole = plan(MixRequest((("Harbour Blue", 8_000),), Fraction(20))).cautions
        before = {(found.code, found.product) for found in whole}
        plain = steps.plan_step(tinted, step_requests.read(tinted, parts=["White=1ml"]))
        assert before
        assert not {(found.code, found.product) for found in plain.cautions} & before
        products.change("White", {"not_with": ["Slow Thinner"]})
        asked = step_requests.read(tinted, parts=["White=1ml"])
        with pytest.raises(Stopped) as refusal:
            steps.book_step(tinted, asked)
        code = next(
            found.code for found in steps.plan_step(tinted, asked).cautions if found.severity == "stop"
        )
        assert f"--accept {code}" in refusal.value.remedy
        assert mixes.mix(tinted).cup.total_ul == 9_600
        assert steps.book_step(tinted, asked, accept=[code])["paint_ml"] == 9
        again = steps.plan_step(tinted, asked)
        assert code not in [found.code for found in again.cautions]

    def test_an_additive_leaves_the_reduction(self, tinted: int):
        products.add({"name": "Flow Aid", "role": "additive", "water": "90", "solvent": "none"})
        deliveries.receive("Flow Aid", 30_000)
        answer = steps.book_step(tinted, step_requests.read(tinted, parts=["Flow Aid=2 drops"]))
        assert answer["reduction"]["percent_of_paint"] == 20
        assert answer["total_ml"] == 9.7

    def test_more_than_the_shelf_holds_books_nothing(self, tinted: int):
        with pytest.raises(NotEnough, match="White"):
            steps.book_step(tinted, step_requests.read(tinted, "5%", parts=["White=61ml"]))
        assert mixes.mix(tinted).cup.total_ul == 9_600

    def test_it_teaches_nothing_about_thinning(self, tinted: int):
        """Thinned by a step, tinted, thinned again: only the steps of reducer say that it was too thick."""
        steps.book_step(tinted, StepRequest(Fraction(5)))
        steps.book_step(tinted, step_requests.read(tinted, parts=["White=2ml"]))
        close(tinted, Ending("good"))
        found = outcomes_of(mixes.mix(tinted))
        assert [each.outcome for each in found] == ["good"]


def test_a_closed_mix_is_not_stepped_again(mixed: int):
    close(mixed, Ending("good"))
    with pytest.raises(mixes.ClosedAlready, match="was closed as good") as refusal:
        steps.book_step(mixed, StepRequest(Fraction(5)))
    assert "undo close" in refusal.value.remedy
    assert numbered("3").on_hand_ul == 120_000 - 1_600


def test_an_undone_mix_is_not_stepped(mixed: int):
    undo("mix", mixed)
    with pytest.raises(NotFound):
        steps.book_step(mixed, StepRequest(Fraction(5)))


def test_not_before_the_mix_was_made(mixed: int):
    with pytest.raises(BadInput, match="after that"):
        steps.book_step(mixed, StepRequest(Fraction(5)), at=mixes.mix(mixed).at - dt.timedelta(days=1))


def test_when_the_bottle_is_empty_the_next_one_is_opened(mixed: int):
    deliveries.receive("Slow Thinner", 120_000)
    handling.decant("3", 120_000 - 1_600 - 100)  # 0.1 ml stays in it; the jar is bottle 6
    answer = steps.book_step(mixed, StepRequest(Fraction(5)))
    assert sum(pour["volume_ml"] for pour in answer["pours"]) == pytest.approx(0.4)
    assert not prove().problems


def test_when_all_are_empty_it_is_refused(mixed: int):
    handling.discard("3")
    with pytest.raises(NotEnough):
        steps.book_step(mixed, StepRequest(Fraction(5)))


def test_a_cut_blend_is_stepped_in_its_own_proportion(stocked: str):
    products.add({"name": "Fast Thinner", "role": "reducer", "flash_point": "40C", "water": "60"})
    deliveries.receive("Fast Thinner", 120_000)
    mix = book_mix(
        MixRequest(
            parts=(("Harbour Blue", 10_000),),
            reduce=Fraction(20),
            reducers=(("Slow Thinner", 3), ("Fast Thinner", 1)),
        )
    )["mix"]
    answer = steps.book_step(mix, StepRequest(Fraction(4)))
    assert {pour["product"]: pour["volume_ml"] for pour in answer["pours"]} == {
        "Slow Thinner": 0.3,
        "Fast Thinner": 0.1,
    }


class TestBringingBack:
    def test_says_and_books_how_much_paint(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(10)))
        target = Reduction(Fraction(20))
        assert steps.plan_back(mixed, target).as_json()["added_ml"] == 4
        answer = steps.book_back(mixed, target)
        assert answer["reduction"]["percent_of_paint"] == 20
        assert answer["paint_ml"] == 12
        assert [pour["bottle"] for pour in answer["pours"]] == [1]
        assert not prove().problems

    def test_a_mix_that_is_not_too_thin(self, mixed: int):
        with pytest.raises(BadInput, match="is at 20 %, which is not thinner than that"):
            steps.plan_back(mixed, Reduction(Fraction(25)))

    def test_it_can_be_undone(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(10)))
        back = steps.book_back(mixed, Reduction(Fraction(20)))
        undo("step", back["step"])
        found = mixes.mix(mixed).reduction
        assert found is not None
        assert found.percent_of_paint == 30


def test_open_mixes_stay_on_the_bench_until_they_are_closed(mixed: int):
    assert [each.id for each in mixes.open_mixes()] == [mixed]
    close(mixed, Ending("thin"))
    assert mixes.open_mixes() == []
    undo("close", mixes.mix(mixed).closed.id)
    assert [each.id for each in mixes.open_mixes()] == [mixed]


def test_a_mix_tells_what_it_held_after_each_step(mixed: int):
    steps.book_step(mixed, StepRequest(Fraction(5)))
    steps.book_step(mixed, StepRequest(Fraction(5)))
    stages = [(stage.paint_ul, stage.reducer_ul) for stage in mixes.mix(mixed).stages]
    assert stages == [(8_000, 1_600), (8_000, 2_000), (8_000, 2_400)]
    assert mixes.mix(mixed).words == "Harbour Blue with Slow Thinner"


def test_a_step_after_a_pour_of_two_bottles_comes_from_the_one_that_still_holds_enough(stocked: str):
    """
    bottle 3 holds 1 ml of thinner and bottle 5 120 ml
    a mix takes 1 ml of 3 and 0.6 ml of 5, so its step comes from 5
    """
    counts.count("3", 1_000)
    deliveries.receive("Slow Thinner", 120_000)
    handling.open_bottle("3")
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    assert [pour["bottle"] for pour in mix["pours"]] == [1, 3, 5]
    planned = steps.plan_step(int(mix["mix"]), StepRequest(Fraction(5)))
    assert [(pour.bottle, pour.volume_ul, pour.why) for pour in planned.pours] == [
        (5, 400, "the same bottle as before")
    ]


def test_a_step_stays_with_the_bottle_that_was_picked_for_the_mix(stocked: str):
    """
    bottle 3 is open and would be taken first
    bottle 5 was picked for the mix, so the step comes from 5
    """
    deliveries.receive("Slow Thinner", 120_000)
    handling.open_bottle("3")
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), bottles=("1", "5")))
    counts.count("3", 20_000)
    assert [pour["bottle"] for pour in mix["pours"]] == [1, 5]
    assert [pour.bottle for pour in steps.plan_step(int(mix["mix"]), StepRequest(Fraction(5))).pours] == [5]


def test_the_end_of_the_range_is_still_within_it(mixed: int):
    """8 ml with 20 %; the sheet says 10 to 30: ten points more stand exactly at its end."""
    sheets.add(
        "Slow Thinner",
        "Thinner guide",
        dt.date(2024, 5, 1),
        dosings=[dosing("line=Quay low=10 high=30 step=10")],
    )
    at_the_end = steps.plan_step(mixed, StepRequest(Fraction(10)))
    assert at_the_end.cautions == ()
    assert at_the_end.used_milli == 100_000
    beyond = steps.plan_step(mixed, StepRequest(Fraction(101, 10)))
    assert "beyond-range" in [found.code for found in beyond.cautions]


@pytest.mark.parametrize(
    ("module", "booked"),
    [
        (steps, lambda mix: steps.book_step(mix, StepRequest(Fraction(5)))),
        (steps, lambda mix: steps.book_back(mix, Reduction(Fraction(10)))),
        (closing, lambda mix: close(mix, Ending("good"))),
    ],
)
def test_what_changes_an_open_mix_locks_it_before_it_looks_at_it(mixed: int, monkeypatch, module, booked):
    """Else two benches on a server would each go by what the cup held before the other."""
    did: list[tuple[str, int]] = []
    for name in ("lock", "open_one"):
        real = getattr(module, name)
        monkeypatch.setattr(
            module, name, lambda mix, name=name, real=real: did.append((name, mix)) or real(mix)
        )
    booked(mixed)
    assert did[:2] == [("lock", mixed), ("open_one", mixed)]


def test_how_much_of_the_range_a_step_uses_is_unknown_without_one_and_a_figure_with_one(mixed: int):
    planned = steps.plan_step(mixed, StepRequest(Fraction(5)))
    assert planned.as_json()["range_used_percent"] == planned.used_milli / 1_000
    assert planned._replace(used_milli=None).as_json()["range_used_percent"] is None
    assert planned._replace(used_milli=0).as_json()["range_used_percent"] == 0
    assert mixes.mix(mixed).poured_ul("paint") == 8_000
    assert mixes.mix(mixed).poured_ul("reducer") == 1_600
    assert mixes.mix(mixed).poured_ul() == 9_600


def test_a_mix_and_a_step_written_down_late_say_what_the_bottle_holds_now(mixed: int):
    """
    the day before    10 ml were poured from a bottle of 60 ml
    two days before   a mix written down late can use 50 ml of it; a count since of 55 ml is what the bottle holds now
    """
    now = mixes.mix(mixed).at
    for days in (9, 8):
        deliveries.receive("Harbour Blue", 60_000, on=now - dt.timedelta(days=days))
    assert numbered("5").received_on < numbered("1").received_on
    book_mix(
        MixRequest((("Harbour Blue", 10_000),), bottles=("5",), at=now - dt.timedelta(days=1)), judge=False
    )
    planned = plan(MixRequest((("Harbour Blue", 4_000),), bottles=("5",), at=now - dt.timedelta(days=2)))
    assert [(pour.bottle, pour.before_ul) for pour in planned.pours] == [(5, 50_000)]
    counts.count("5", 55_000)
    again = plan(MixRequest((("Harbour Blue", 4_000),), bottles=("5",), at=now - dt.timedelta(days=2)))
    assert [(pour.bottle, pour.before_ul) for pour in again.pours] == [(5, 55_000)]


def test_a_mix_closed_on_a_day_is_closed_as_of_that_day(mixed: int):
    close(mixed, Ending("good"))
    day = mixes.mix(mixed).day
    thinner = products.find("Slow Thinner").id
    [same] = mixes.closed_with([thinner], as_of=day)
    assert same.closed is not None
    assert mixes.closed_with([thinner], as_of=day - dt.timedelta(days=1)) == []


def test_the_part_that_a_mix_holds_most_of_counts_all_its_pours(mixed: int):
    """8 ml of blue in one pour, 3 and 6 ml of white in two."""
    view = mixes.mix(mixed)
    [blue] = [pour for pour in view.pours if pour.part == "paint"]
    white = blue._replace(product_id=99, product="Gull White")
    both = view._replace(pours=(blue, white._replace(volume_ul=3_000), white._replace(volume_ul=6_000)))
    assert both.main_paint == white._replace(volume_ul=3_000)
    assert both.shares("paint") == {blue.product_id: 8_000, 99: 9_000}
    assert view.main_paint == blue
    assert view.largest("hardener") is None
    with pytest.raises(BadInput, match="a step adds reducer"):
        steps.plan_step(mixed, StepRequest(reducer_ul=0))


def test_an_advised_step_is_the_sheets_to_the_thousandth_and_a_plan_is_not_booked(mixed: int):
    sheets.add(
        "Slow Thinner", "Guide", dt.date(2024, 5, 1), dosings=[dosing("line=Quay low=10 high=60 step=2")]
    )
    planned = steps.plan_step(mixed)
    assert planned.points == 2
    assert planned.as_json()["booked"] is False
    assert steps.book_step(mixed)["booked"] is True


def test_a_mix_may_be_thinned_up_to_the_most_that_a_reduction_may_be(mixed: int):
    """It holds 8 ml of paint and 1.6 ml of reducer, 20 % of it."""
    left = (MOST_REDUCTION - 20) * 8_000 // 100
    cup = mixes.mix(mixed).cup
    reducer = products.find("Slow Thinner")
    view = mixes.mix(mixed)
    for more_ul, fits in ((left, True), (left + 1, False)):
        asked = (view, cup, StepRequest(), [(reducer, Microlitres(more_ul))], None)
        if fits:
            assert steps._poured(*asked).reduction.percent_of_paint == MOST_REDUCTION
        else:
            with pytest.raises(BadInput, match="Stay within"):
                steps._poured(*asked)


def test_paint_does_not_bring_a_mix_back_before_it_was_made(mixed: int):
    steps.book_step(mixed, StepRequest(Fraction(20)))
    before = mixes.mix(mixed).at - dt.timedelta(minutes=1)
    with pytest.raises(BadInput, match="after that time"):
        steps.book_back(mixed, Reduction(Fraction(20)), at=before)
