"""What mixes cost, and how waste is shared out: the arithmetic, with no books."""

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from stock.logbook.costing import CostedMix, MaterialUse, costs

MARCH, APRIL = "2026-03", "2026-04"


def made(mix: int, job: str | None = None, day: int = 1, month: int = 3) -> CostedMix:
    return CostedMix(mix, date(2026, month, day), job)


def test_waste_follows_material() -> None:
    """
    Mix 1 for Hull  9.00, mix 2 for Hull 3.00, mix 3 for no job 12.00; a wash of 2 names mix 1; waste 4.80
    share: 4.80 * 9/24 = 1.80, 0.60, 2.40
    """
    report = costs(
        [made(1, "Hull"), made(2, "Hull", 2), made(3, None, 3)],
        [
            MaterialUse("material", 7, 9_000, Fraction(900), MARCH, 1),
            MaterialUse("material", 7, 3_000, Fraction(300), MARCH, 2),
            MaterialUse("material", 8, 3_000, Fraction(1200), MARCH, 3),
            MaterialUse("wash", 9, 1_000, Fraction(200), MARCH, 1),
            MaterialUse("waste", 9, 1_000, Fraction(480), MARCH),
        ],
    )
    hull, none = report.jobs
    assert [(mix.material, mix.washes, mix.share) for mix in hull.mixes] == [(900, 200, 180), (300, 0, 60)]
    assert (none.name, none.total()) == (None, 1440)
    assert hull.total() == 1640
    assert report.total() == 3080
    assert (report.unshared, report.unpriced) == (0, {})


def test_each_month_shares_its_own_waste() -> None:
    report = costs(
        [made(1, "Hull"), made(2, "Hull", month=4)],
        [
            MaterialUse("material", 7, 1, Fraction(100), MARCH, 1),
            MaterialUse("material", 7, 1, Fraction(100), APRIL, 2),
            MaterialUse("waste", 9, 1, Fraction(50), APRIL),
            MaterialUse("waste", 9, 1, Fraction(30), "2026-02"),
        ],
    )
    assert [mix.share for mix in report.jobs[0].mixes] == [0, 50]
    assert report.unshared == 30


def test_what_has_no_price_is_named_and_not_guessed() -> None:
    report = costs(
        [made(1)],
        [MaterialUse("material", 7, 2_500, None, MARCH, 1), MaterialUse("waste", 7, 500, None, MARCH)],
    )
    assert report.total() == 0
    assert report.unpriced == {7: 3_000}


def test_what_a_jar_took_is_not_in_the_mix() -> None:
    report = costs(
        [made(1)],
        [
            MaterialUse("material", 7, 10_000, Fraction(1000), MARCH, 1),
            MaterialUse("material", 9, -3_000, Fraction(-300), MARCH, 1),
        ],
    )
    assert report.jobs[0].mixes[0].material == 700


USES = st.lists(
    st.builds(
        MaterialUse,
        st.sampled_from(["material", "wash", "waste"]),
        st.integers(1, 5),
        st.integers(1, 60_000),
        st.fractions(0, 5_000, max_denominator=480),
        st.sampled_from([MARCH, APRIL]),
        st.integers(1, 6),
    ).map(
        lambda use: MaterialUse(
            use.kind,
            use.bottle,
            use.volume_ul,
            use.value,
            use.month,
            None if use.kind == "waste" else use.mix,
        )
    ),
    max_size=40,
)


@given(USES)
def test_nothing_is_lost_or_made_but_by_rounding(uses: list[MaterialUse]) -> None:
    mixes = [made(number, ["A", "B", None][number % 3], month=3 + number % 2) for number in range(1, 7)]
    report = costs(mixes, uses)
    spent = sum((use.value for use in uses if use.value is not None), Fraction(0))
    assert abs(report.total() + report.unshared - spent) <= Fraction(3 * len(mixes) + 1, 2)
    for job in report.jobs:
        assert job.total() == sum(job.total(figure) for figure in ("material", "washes", "share"))


def test_a_loss_belongs_to_its_month_and_to_no_job() -> None:
    report = costs(
        [made(1, "Hull")],
        [
            MaterialUse("material", 7, 1, Fraction(100), MARCH, 1),
            MaterialUse("loss", 7, 1, Fraction(79, 2), MARCH),
            MaterialUse("loss", 7, 1, Fraction(10), APRIL),
            MaterialUse("loss", 7, 2, None, APRIL),
        ],
    )
    assert (report.written_off_in, report.written_off) == ({MARCH: 40, APRIL: 10}, 50)
    assert (report.total(), report.unshared, report.unpriced) == (100, 0, {7: 2})


def test_waste_of_a_month_whose_mixes_cost_nothing_is_shared_out_to_none() -> None:
    """Their paint has no price, or all of it went into a jar; the smallest priced mix bears it all."""
    waste = MaterialUse("waste", 9, 1, Fraction(50), MARCH)
    nothing = costs([made(1), made(2)], [MaterialUse("material", 7, 1, None, MARCH, 1), waste])
    assert (nothing.total(), nothing.unshared_in) == (0, {MARCH: 50})
    jar = [MaterialUse("material", 7, 1, Fraction(sum_), MARCH, 1) for sum_ in (10, -10)]
    assert costs([made(1)], [*jar, waste]).unshared_in == {MARCH: 50}
    least = MaterialUse("material", 7, 1, Fraction(1, 2), MARCH, 2)
    report = costs([made(1), made(2)], [least, waste])
    assert ([mix.share for mix in report.jobs[0].mixes], report.unshared_in) == ([0, 50], {})


def test_jobs_are_in_the_order_of_their_names_and_mixes_in_that_of_their_days() -> None:
    mixes = [made(5, None), made(4, "zinc", 2), made(3, "Hull", 9), made(2, "Hull", 3), made(1, "Hull", 9)]
    found = [(job.name, [mix.made.mix for mix in job.mixes]) for job in costs(mixes, []).jobs]
    assert found == [("Hull", [2, 1, 3]), ("zinc", [4]), (None, [5])]
    uses = [
        MaterialUse(kind, 7, 1, Fraction(value), MARCH, 4) for kind, value in (("material", 7), ("wash", 3))
    ]
    [zinc] = costs([made(4, "zinc")], uses).jobs
    assert [zinc.total(figure) for figure in ("material", "washes", "share", "total")] == [7, 3, 0, 10]
