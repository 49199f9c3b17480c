"""The mixes a studio makes again and again."""

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stock.bench.mixing import MixRequest
from stock.logbook.usual import AT_LEAST, RECENT_DAYS, PastMix, usual

DAY = date(2026, 3, 1)


def made(number: int, ago: int, paint: int, reducer: int, *, name: str = "Blue", **more: object) -> PastMix:
    reducers = (("Thinner", reducer),) if reducer else ()
    return PastMix(number, DAY - timedelta(days=ago), ((name, paint),), reducers, paint, **more)  # type: ignore[arg-type]


def test_what_was_made_once_is_no_habit() -> None:
    assert usual([made(1, 1, 8_000, 1_600)], DAY) == []


def test_the_habit_is_a_mix_that_was_really_made_at_the_usual_size() -> None:
    mixes = [
        made(1, 30, 8_000, 800),
        made(2, 20, 8_000, 1_600),
        made(3, 10, 30_000, 3_000),
        made(4, 5, 4_000, 400),
    ]
    (habit,) = usual(mixes, DAY)
    assert habit.like.mix == 2  # the middle size is 8 ml; the newest of those
    assert habit.times == 4
    assert habit.last_on == DAY - timedelta(days=5)
    assert habit.request == MixRequest(
        parts=(("Blue", 8_000),), reduce=Fraction(20), reducers=(("Thinner", 1_600),)
    )


def test_a_mix_that_went_wrong_is_not_proposed_again() -> None:
    mixes = [made(1, 9, 8_000, 1_600, outcome="good"), made(2, 2, 8_000, 2_400, outcome="thin")]
    assert usual(mixes, DAY)[0].like.mix == 1


def test_where_all_went_wrong_the_newest_is_still_the_habit() -> None:
    mixes = [made(1, 9, 8_000, 1_600, outcome="thick"), made(2, 2, 8_000, 2_400, outcome="thin")]
    assert usual(mixes, DAY)[0].like.mix == 2


def test_recent_habits_come_before_old_ones() -> None:
    old = [made(number, 150 + number, 5_000, 0, name="Old") for number in range(4)]
    new = [made(10 + number, number, 5_000, 0, name="New") for number in range(2)]
    assert [one.request.parts[0][0] for one in usual(old + new, DAY)] == ["New", "Old"]


def test_a_mix_without_reducer_or_without_paint_is_poured_again_as_it_was() -> None:
    alone = PastMix(3, DAY, (), (("Thinner", 5_000), ("Slow", 1_000)), 0)
    assert alone.request().parts == (("Thinner", 5_000), ("Slow", 1_000))
    assert alone.request().reduce is None


def test_says_what_there_is_too_little_of() -> None:
    mixes = [made(1, 9, 8_000, 1_600), made(2, 2, 8_000, 1_600)]
    assert usual(mixes, DAY, usable_ul={"Blue": 8_000, "Thinner": 1_599})[0].short == ("Thinner",)
    assert usual(mixes, DAY, usable_ul={"Blue": 8_000, "Thinner": 1_600})[0].short == ()
    assert usual(mixes, DAY, usable_ul={})[0].short == ("Blue", "Thinner")


@given(
    st.lists(
        st.builds(
            made,
            st.integers(1, 10_000),
            st.integers(-30, 400),
            st.integers(1, 200_000),
            st.integers(0, 60_000),
            name=st.sampled_from(["Blue", "White", "Red"]),
            outcome=st.sampled_from([None, "good", "thin", "ruined"]),
        ),
        max_size=30,
    )
)
def test_a_habit_pours_the_very_volumes_of_a_mix_that_was_made(mixes: list[PastMix]) -> None:
    from stock.units import split

    for habit in usual(mixes, DAY):
        assert habit.like in mixes
        assert habit.times >= AT_LEAST
        assert 0 <= (DAY - habit.last_on).days < RECENT_DAYS
        again = habit.request
        if again.reduce is not None:
            total = round(habit.like.paint_ul * again.reduce / 100)
            assert total == sum(ul for _, ul in habit.like.reducers)
            assert split(total, [weight for _, weight in again.reducers]) == [
                ul for _, ul in habit.like.reducers
            ]


def test_a_mix_counts_up_to_the_last_of_the_recent_days_and_not_from_the_future() -> None:
    """Two mixes make a habit; the older one is still recent on day 179 and no more on day 180."""
    assert RECENT_DAYS == 180
    assert len(usual([made(1, 179, 8_000, 0), made(2, 1, 8_000, 0)], DAY)) == 1
    assert usual([made(1, 180, 8_000, 0), made(2, 1, 8_000, 0)], DAY) == []
    assert len(usual([made(1, 0, 8_000, 0), made(2, 1, 8_000, 0)], DAY)) == 1
    assert usual([made(1, -1, 8_000, 0), made(2, 1, 8_000, 0)], DAY) == []


def test_a_habit_in_words_and_as_scripts_read_it() -> None:
    mixes = [made(1, 9, 8_000, 1_600, needle_um=350), made(2, 2, 8_000, 1_600, needle_um=350)]
    (habit,) = usual(mixes, DAY, usable_ul={"Blue": 8_000})
    assert habit.words() == "Blue 8 ml, 20 % Thinner, needle 0.35 mm"
    assert habit.as_json() == {
        "parts": [{"product": "Blue", "volume_ml": 8}], "percent_of_paint": 20.0,
        "reducers": [{"product": "Thinner", "volume_ml": 1.6}], "needle_mm": 0.35, "times": 2,
        "last_on": "2026-02-27", "like_mix": 2, "short": ["Thinner"],
    }  # fmt: skip
    (neat,) = usual([made(1, 9, 8_000, 0), made(2, 2, 8_000, 0)], DAY)
    assert neat.words() == "Blue 8 ml"
    assert (neat.as_json()["percent_of_paint"], neat.as_json()["needle_mm"], neat.short) == (None, None, ())


def test_of_habits_as_strong_the_one_made_last_is_first_and_no_more_than_asked_for_are_proposed() -> None:
    mixes = [
        made(number, 3, 5_000, 0, name=name) for number, name in enumerate(("Old", "Old", "New", "New"), 1)
    ]
    assert [one.request.parts[0][0] for one in usual(mixes, DAY)] == ["New", "Old"]
    assert len(usual(mixes, DAY, most=1)) == 1


def test_the_usual_size_is_that_of_the_last_nine_that_went_well() -> None:
    large = [made(number, 60, 30_000, 0) for number in range(1, 30)]
    small = [made(100 + number, 5, 8_000, 0) for number in range(5)]
    assert usual([*large, *small], DAY)[0].like.paint_ul == 8_000
    assert usual([*large, *small[:4]], DAY)[0].like.paint_ul == 30_000


def test_the_least_of_what_is_not_there_at_all_is_too_little() -> None:
    mixes = [made(1, 2, 8_000, 1), made(2, 1, 8_000, 1)]
    [habit] = usual(mixes, DAY, usable_ul={"Blue": 8_000})
    assert habit.short == ("Thinner",)
    [enough] = usual(mixes, DAY, usable_ul={"Blue": 8_000, "Thinner": 1})
    assert enough.short == ()
    [scant] = usual(mixes, DAY, usable_ul={"Blue": 7_999, "Thinner": 1})
    assert scant.short == ("Blue",)
