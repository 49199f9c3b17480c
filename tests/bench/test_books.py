"""Advice from the books: which sheets speak of this paint, and what its mixes taught."""

import datetime as dt
from fractions import Fraction
from types import SimpleNamespace

import pytest

from stock import clock
from stock.bench import advised_air, books, mixes, steps
from stock.bench.books import advice_for, outcomes_of
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.outcomes import MixOutcome
from stock.bench.ranges import RangeLevel
from stock.bench.reduction import Reduction
from stock.bench.step_requests import StepRequest
from stock.errors import BadInput, NotFound
from stock.logbook.undo import undo
from stock.shelf import deliveries, products, sheets
from stock.shelf.dosings import read as dosing
from stock.shelf.studio import settings

DAY = dt.date(2024, 1, 1)


def sheet(product: str, *texts: str, title: str = "Sheet", day: dt.date = DAY, **more) -> None:
    sheets.add(product, title, day, dosings=[dosing(text) for text in texts], **more)


def mix(percent: int = 20, *, paint: str = "Harbour Blue", needle_um: int | None = None) -> int:
    request = MixRequest(parts=((paint, 2_000),), reduce=Fraction(percent), needle_um=needle_um)
    return int(book_mix(request, judge=False)["mix"])


class TestWhichSheetsSpeakOfIt:
    def test_the_paints_own_then_its_line_then_the_reducers(self, stocked: str):
        sheet("Slow Thinner", "low=5 high=10", title="Thinner")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.REDUCER
        sheet("Slow Thinner", "line=Quay low=8 high=15", title="Quay")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.LINE
        sheet("Harbour Blue", "low=10 high=20", title="Blue")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.PAINT
        sheet("Harbour Blue", "with=Slow Thinner low=12 high=22", title="Blue, slow")
        asked = advice_for("Harbour Blue")
        assert asked.advice.rule.level is RangeLevel.PAINT_AND_REDUCER
        assert asked.reducers == ("Slow Thinner",)
        assert len(asked.advice.disagreements) == 3

    def test_a_reducers_sheet_may_name_the_paint(self, stocked: str):
        sheet("Slow Thinner", "with=Harbour Blue low=12 high=22")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.PAINT_AND_REDUCER
        assert advice_for("Gull White").advice.rule.level is RangeLevel.HOUSE

    def test_a_sheet_of_another_paint_of_the_line_that_speaks_of_the_line(self, stocked: str):
        sheet("Gull White", "line=Quay low=12 high=22")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.LINE

    def test_what_is_about_another_reducer_or_line_does_not_count(self, stocked: str):
        products.add({"name": "Fast Thinner", "role": "reducer"})
        sheet("Harbour Blue", "with=Fast Thinner low=30 high=40")
        sheet("Slow Thinner", "line=Other low=30 high=40")
        assert advice_for("Harbour Blue").advice.rule.level is RangeLevel.HOUSE
        assert advice_for("Harbour Blue", reducers=["Fast"]).advice.rule.low_milli == 30_000

    def test_a_revision_that_dropped_the_needles(self, stocked: str):
        sheet("Harbour Blue", "needle<=0.18 low=20 high=30", day=dt.date(2020, 1, 1))
        sheet("Harbour Blue", "low=10 high=15")
        asked = advice_for("Harbour Blue", needle_um=150)
        assert asked.advice.start_milli == 10_000
        assert [each.low_milli for each in asked.advice.dropped] == [20_000]

    def test_as_of_a_day_before_the_sheet(self, stocked: str):
        sheet("Harbour Blue", "low=10 high=15")
        assert advice_for("Harbour Blue", as_of=dt.date(2023, 1, 1)).advice.rule.level is RangeLevel.HOUSE

    def test_a_blend_says_that_sheets_speak_of_each_alone(self, stocked: str):
        products.add({"name": "Fast Thinner", "role": "reducer"})
        asked = advice_for("Harbour Blue", reducers=["Slow Thinner", "Fast Thinner"])
        assert any("each reducer alone" in note for note in asked.notes)


@pytest.mark.parametrize(
    ("product", "reducers", "error"),
    [
        ("Slow Thinner", (), BadInput),
        ("Nothing", (), NotFound),
        ("Harbour Blue", ("Gull White",), BadInput),
        ("Harbour Blue", ("Nothing",), NotFound),
        ("", (), BadInput),
    ],
)
def test_refused(stocked: str, product: str, reducers: tuple[str, ...], error: type[Exception]):
    with pytest.raises(error):
        advice_for(product, reducers=reducers)


def test_without_a_usual_reducer_the_only_one_known_is_meant(stocked: str):
    products.add({"name": "Plain Grey", "role": "paint"})
    asked = advice_for("Plain Grey")
    assert asked.reducers == ("Slow Thinner",)
    assert (
        "no usual reducer is noted, so the only one in the books counts: Slow Thinner"
        in asked.as_json()["notes"]
    )


def test_of_two_reducers_none_is_chosen(stocked: str):
    products.add({"name": "Plain Grey", "role": "paint"})
    products.add({"name": "Quick Thinner", "role": "reducer"})
    asked = advice_for("Plain Grey")
    assert asked.reducers == ()
    assert any("the usual reducer of Plain Grey is unknown" in note for note in asked.as_json()["notes"])


class TestWhatMixesTaught:
    def test_its_own_closed_mixes_move_the_start(self, stocked: str):
        sheet("Harbour Blue", "low=10 high=30 step=5")
        assert advice_for("Harbour Blue").advice.start_milli == 10_000
        for _ in range(5):
            number = mix(15)
            steps.book_step(number, StepRequest(Fraction(5)))
            close(number, Ending("good"))
        asked = advice_for("Harbour Blue")
        assert asked.advice.own == 5
        assert 15_000 < asked.advice.start_milli <= 20_000
        entry = next(each for each in asked.as_json()["because"] if each["kind"] == "outcomes")
        assert entry["n"] == 5

    def test_open_undone_and_later_ones_do_not_count(self, stocked: str):
        mix(15)
        closed = mix(15)
        close(closed, Ending("good"))
        assert advice_for("Harbour Blue").advice.own == 1
        assert advice_for("Harbour Blue", as_of=dt.date(2020, 1, 1)).advice.own == 0
        undo("mix", closed)
        assert advice_for("Harbour Blue").advice.own == 0

    def test_kinds_of_kin(self, stocked: str):
        close(mix(15, needle_um=350), Ending("good"))
        kin = {
            name: [each.kin for each in advice_for(paint, needle_um=needle).advice.tried]
            for name, paint, needle in [
                ("own", "Harbour Blue", 350),
                ("much the same needle", "Harbour Blue", 380),
                ("another needle", "Harbour Blue", 180),
                ("its line", "Gull White", 350),
                ("its line, another needle", "Gull White", None),
            ]
        }
        assert kin == {
            "own": ["own"],
            "much the same needle": ["own"],
            "another needle": ["own_needle"],
            "its line": ["line"],
            "its line, another needle": ["line_needle"],
        }

    def test_the_needle_that_it_was_closed_with_counts(self, stocked: str):
        close(mix(15, needle_um=350), Ending("good", needle_um=180))
        assert [each.kin for each in advice_for("Harbour Blue", needle_um=150).advice.tried] == ["own"]

    def test_another_reducer_teaches_nothing_about_this_one(self, stocked: str):
        products.add({"name": "Fast Thinner", "role": "reducer"})
        close(mix(15), Ending("good"))
        assert advice_for("Harbour Blue", reducers=["Fast Thinner"]).advice.tried == ()

    def test_mixes_of_other_weather_are_set_apart(self, stocked: str):
        close(mix(15), Ending("good", room_mc=30_000))
        apart = {
            room: [each.apart for each in advice_for("Harbour Blue", room_mc=room).advice.tried]
            for room in (None, 30_000, 20_000)
        }
        assert apart == {None: [0.0], 30_000: [0.0], 20_000: [2.5]}

    def test_the_room_as_noted_today(self, stocked: str):
        today = settings().today()
        assert books.room_noted(today) == (None, None)
        close(mix(15), Ending("good", room_mc=21_000, humidity_milli=45_000))
        close(mix(15), Ending("good"))
        assert books.room_noted(today) == (21_000, 45_000)
        yesterday = today - dt.timedelta(1)
        deliveries.receive("Gull White", 60_000, on=clock.now() - dt.timedelta(1))
        assert books.room_noted(yesterday) == (None, None)

    def test_a_step_says_that_it_was_too_thick_before(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(5)))
        close(mixed, Ending("good"))
        assert outcomes_of(mixes.mix(mixed)) == [MixOutcome(25, "good", 20)]

    def test_paint_added_says_that_it_was_too_thin_before(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(10)))
        steps.book_back(mixed, Reduction(Fraction(25)))
        close(mixed, Ending("good"))
        thin, good = outcomes_of(mixes.mix(mixed))
        assert thin == MixOutcome(30, "thin", 20)
        assert (round(good.final), good.outcome, good.thick_at) == (25, "good", 20)


def test_a_small_needle_is_a_band():
    assert books._same_needle(150, 180)
    assert not books._same_needle(180, 250)
    assert books._same_needle(None, None)
    assert not books._same_needle(None, 180)


def test_the_air_of_an_advised_mix_is_that_of_its_paint_with_the_reducer_that_it_starts_at(
    stocked: str, monkeypatch
):
    """20 ml of paint start at 5 %: 1 ml of one reducer; of a blend of 1 to 3 a quarter and three quarters of it."""
    products.add({"name": "Fast Thinner", "role": "reducer"})
    blue, slow, fast = (products.find(name).id for name in ("Harbour Blue", "Slow Thinner", "Fast Thinner"))
    asked_for = []
    monkeypatch.setattr(advised_air.books, "for_mix", lambda parts, **_: asked_for.append(parts) or [])
    assert advised_air.air_for(advice_for("Harbour Blue"), {}, 20_000) == []
    blend = advice_for("Harbour Blue", reducers=["Slow Thinner", "Fast Thinner"])
    advised_air.air_for(blend, {"Slow Thinner": 1, "Fast Thinner": 3}, 20_000)
    advised_air.air_for(blend, {}, 20_000)
    assert [advice_for("Harbour Blue").advice.start_milli, blend.advice.start_milli] == [5_000, 5_000]
    assert asked_for == [
        [(blue, 20_000, 0), (slow, 1_000, 0)],
        [(blue, 20_000, 0), (slow, 250, 0), (fast, 750, 0)],
        [(blue, 20_000, 0), (slow, 500, 0), (fast, 500, 0)],
    ]


def test_the_needle_of_an_advice_is_in_millimetres(stocked: str):
    assert advice_for("Harbour Blue", needle_um=350).as_json()["needle_mm"] == 0.35
    assert advice_for("Harbour Blue").as_json()["needle_mm"] is None


def test_another_paint_of_another_line_is_kin_by_its_reducer_at_the_same_needle_alone():
    blue, red = (SimpleNamespace(id=number, product_id=number, line="") for number in (1, 2))
    made = SimpleNamespace(main_paint=red, needle_um=350, closed=SimpleNamespace(needle_um=None))
    for needle, kin in ((350, "reducer"), (800, None)):
        assert books._kin(made, blue, needle) == kin
    assert books._kin(SimpleNamespace(main_paint=None, closed=made.closed), blue, 350) is None
    assert books._kin(SimpleNamespace(main_paint=red, closed=None), blue, 350) is None


def test_a_mix_that_is_no_kin_teaches_nothing(monkeypatch):
    thinner = SimpleNamespace(id=3)
    made = SimpleNamespace(shares=lambda _: {3: 1}, closed=SimpleNamespace(room_mc=None, humidity_milli=None))
    monkeypatch.setattr(books, "closed_with", lambda *_, **__: [made])
    monkeypatch.setattr(books, "outcomes_of", lambda *_: [MixOutcome(20, "good")])
    for kin, many in (("own", 1), (None, 0)):
        monkeypatch.setattr(books, "_kin", lambda *_, kin=kin: kin)
        assert len(books._tried(thinner, [thinner], None, (None, None), None)) == many


def test_what_leaves_the_reduction_as_it_was_shows_neither_too_thick_nor_too_thin():
    """Stages of (paint, reducer, purpose): more of the same mix, then a step, then paint that brings it back."""

    def shown(*held: tuple[int, int, str]) -> list[tuple[float, str, float | None]]:
        stages = [SimpleNamespace(paint_ul=paint, reducer_ul=cut, purpose=why) for paint, cut, why in held]
        made = SimpleNamespace(stages=stages, closed=SimpleNamespace(outcome="good"))
        return [(one.final, one.outcome, one.thick_at) for one in outcomes_of(made)]

    start = (1_000, 200, "")
    assert shown(start, (2_000, 400, "thin")) == [(20, "good", None)]
    assert shown(start, (1_000, 250, "thin")) == [(25, "good", 20)]
    assert shown(start, (1_000, 250, "thin"), (1_250, 250, "bring_back")) == [
        (25, "thin", 20),
        (20, "good", None),
    ]
    assert shown(start, (1_000, 250, "add")) == [(25, "good", None)]
    assert shown((1_000, 0, "")) == shown((0, 200, "")) == []
