"""Which sheet rules, what is shown beside it, and how closed mixes move the start."""

import datetime as dt
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stock.bench import advice, outcomes, starting
from stock.bench.advice import advise
from stock.bench.outcomes import GridPoint, MixOutcome, bracket, enough, overshoots, posterior, too_thin
from stock.bench.ranges import RangeLevel, SheetRange, house_ranges
from stock.bench.starting import ENOUGH, SMALLEST_START, STEP_RISK, STEPS, _start


def sheet(level: RangeLevel, low: int, high: int, *, year: int = 2024, **more) -> SheetRange:
    return SheetRange(
        level, more.pop("title", f"sheet {year}"), dt.date(year, 1, 1), low * 1_000, high * 1_000, **more
    )


PAINT = RangeLevel.PAINT_AND_REDUCER


class TestWhichSheetRules:
    def test_without_any_sheet_the_houses_default(self):
        found = advise([], None)
        assert (found.start_milli, found.limit_milli, found.step_milli) == (5_000, 25_000, 5_000)
        assert found.as_json()["because"][0]["kind"] == "house_default"
        assert "common practice, no source" in found.notes[0]

    @pytest.mark.parametrize(("needle", "start", "limit"), [(150, 20, 30), (180, 20, 30), (350, 10, 20)])
    def test_the_houses_bands_by_needle(self, needle: int, start: int, limit: int):
        found = advise([], needle)
        assert (found.start_milli, found.limit_milli) == (start * 1_000, limit * 1_000)

    @pytest.mark.parametrize(
        ("needle", "shown"), [(250, ["small needle", "0.35 mm needle"]), (500, ["0.35 mm needle"])]
    )
    def test_between_bands_the_neighbours_are_shown_and_not_used(self, needle: int, shown: list[str]):
        found = advise([], needle)
        assert [each.title for each in found.neighbours] == shown
        assert found.start_milli == 5_000
        assert any("none is interpolated" in note for note in found.notes)

    def test_only_the_nearest_needle_on_each_side_is_a_neighbour(self):
        def bound(needle_um, level=PAINT):
            return sheet(
                level, 10, 20, title=f"{needle_um}", needle_low_um=needle_um, needle_high_um=needle_um
            )

        ranges = [sheet(PAINT, 5, 10, title="any"), *(bound(each) for each in (200, 250, 350, 400))]
        ranges.append(bound(290, RangeLevel.LINE))

        def shown(needle_um):
            there = [each.title for each in advise(ranges, needle_um).neighbours]
            back = [each.title for each in advise(ranges[::-1], needle_um).neighbours]
            assert sorted(back) == there  # whatever the order of the sheets
            return there

        assert shown(300) == ["250", "350"]
        assert shown(150) == ["200"]
        assert shown(500) == ["400"]
        assert shown(250) == []  # a range for this needle rules, so none is a neighbour
        assert shown(None) == ["200", "250", "350", "400"]

    def test_the_most_specific_first(self):
        ranges = [
            sheet(RangeLevel.REDUCER, 5, 10),
            sheet(RangeLevel.LINE, 10, 15),
            sheet(RangeLevel.PAINT, 12, 18),
            sheet(PAINT, 15, 25),
        ]
        for count in range(4, 0, -1):
            assert advise(ranges[:count], None).rule == ranges[count - 1]

    def test_a_range_for_the_needle_before_one_for_any(self):
        any_needle = sheet(PAINT, 10, 20, year=2025)
        small = sheet(PAINT, 20, 30, year=2022, title="needles", needle_high_um=200)
        assert advise([any_needle, small], 180).rule == small
        assert advise([any_needle, small], 350).rule == any_needle
        assert advise([any_needle, small], None).rule == any_needle

    def test_the_newest_revision_of_one_kind(self):
        old, new = sheet(PAINT, 10, 20, year=2020, title="A"), sheet(PAINT, 15, 25, year=2024, title="B")
        found = advise([old, new], None)
        assert found.rule == new
        assert any("10 to 20 %" in said for said in found.disagreements)

    def test_the_disagreement_is_shown_and_never_averaged(self):
        found = advise([sheet(PAINT, 20, 30), sheet(RangeLevel.REDUCER, 5, 10)], None)
        assert found.start_milli == 20_000
        assert found.limit_milli == 30_000
        assert any("the reducer's own sheet says 5 to 10 %" in said for said in found.disagreements)

    def test_a_range_that_only_an_older_revision_has_is_shown_as_dropped_and_not_used(self):
        old = sheet(PAINT, 20, 30, year=2020, replaced=True, needle_high_um=180)
        new = sheet(PAINT, 10, 15, year=2024)
        found = advise([old, new], 150)
        assert found.rule == new
        assert found.dropped == (old,)
        entry = next(each for each in found.as_json()["because"] if each["dropped"])
        assert (entry["low"], entry["high"], entry["used"]) == (20, 30, False)
        assert any("no such range" in said for said in found.disagreements)

    def test_a_withdrawn_sheet_alone_does_not_rule(self):
        found = advise([sheet(PAINT, 20, 30, withdrawn=True)], None)
        assert found.rule.level is RangeLevel.HOUSE
        assert [each["withdrawn"] for each in found.as_json()["because"]] == [False, True]

    def test_what_a_revision_changed_is_shown(self):
        old, new = sheet(PAINT, 20, 30, year=2020, replaced=True), sheet(PAINT, 10, 15)
        found = advise([old, new], None)
        assert found.dropped == ()
        assert any("replaced by a newer revision" in said for said in found.disagreements)

    def test_the_sheets_own_words_are_kept(self):
        found = advise([sheet(PAINT, 20, 20, wording="thin 1:5")], None)
        assert any("thin 1:5" in note for note in found.notes)


@given(st.integers(0, 60), st.integers(0, 60), st.one_of(st.none(), st.integers(100, 2_000)), st.data())
@settings(max_examples=60, deadline=None)
def test_any_range_gives_a_start_within_its_limit(
    low: int, width: int, needle: int | None, data: st.DataObject
):
    tried = data.draw(
        st.lists(
            st.builds(
                MixOutcome,
                st.floats(1, 80),
                st.sampled_from(["good", "thick", "thin", "ruined"]),
                st.one_of(st.none(), st.floats(0, 80)),
                st.sampled_from(sorted(outcomes.SPREAD_OF_KIN)),
                apart=st.floats(0, 20),
            ),
            max_size=6,
        )
    )
    found = advise([sheet(PAINT, low, low + width)], needle, tried)
    assert found.start_milli <= max(found.limit_milli, 1_000)
    assert 0 < found.step_milli <= 5_000
    assert found.as_json()


class TestOutcomes:
    def start(self, *tried: MixOutcome, low: int = 10, high: int = 30) -> float:
        return advise([sheet(PAINT, low, high)], None, tried).start_milli / 1_000

    def test_before_any_mix_the_low_end(self):
        assert self.start() == 10

    def test_good_ones_draw_the_start_up_to_them_and_not_beyond(self):
        good = MixOutcome(20, "good", thick_at=15)
        starts = [self.start(*[good] * n) for n in (1, 3, 10)]
        assert starts == sorted(starts)
        assert 15 < starts[-1] <= 20

    def test_too_thin_ones_draw_it_down_below_the_sheet(self):
        assert self.start(*[MixOutcome(10, "thin")] * 4) < 10

    def test_too_thick_ones_draw_it_up(self):
        assert self.start(*[MixOutcome(20, "thick")] * 4) > self.start(MixOutcome(20, "thick"))

    def test_a_ruined_one_counts_as_too_thin(self):
        assert self.start(*[MixOutcome(12, "ruined")] * 4) == self.start(*[MixOutcome(12, "thin")] * 4)

    def test_the_limit_stays_the_sheets(self):
        found = advise([sheet(PAINT, 10, 20)], None, [MixOutcome(35, "good", thick_at=30)] * 10)
        assert found.start_milli <= found.limit_milli == 20_000
        assert any("needed more than the range allows" in note for note in found.notes)

    def test_its_own_mixes_weigh_more_than_the_lines(self):
        line = [MixOutcome(12, "good", thick_at=8, kin="line")] * 20
        own = [MixOutcome(26, "good", thick_at=22)] * 8
        assert self.start(*line, *own) > 20

    def test_the_line_helps_where_there_are_none_of_its_own(self):
        line = [MixOutcome(24, "good", thick_at=20, kin="line")] * 10
        assert self.start(*line) > 10

    def test_the_step_shrinks_where_the_window_is_narrow(self):
        narrow = [MixOutcome(20, "good", thick_at=19), MixOutcome(22, "thin", thick_at=19)] * 8
        assert advise([sheet(PAINT, 10, 30)], None, narrow).step_milli < 5_000

    def test_the_step_keeps_to_the_sheets(self):
        assert advise([sheet(PAINT, 10, 30, step_milli=2_000)], None).step_milli == 2_000


class TestEstimate:
    CELLS = posterior(10, 30, [MixOutcome(20, "good", thick_at=15)] * 3)

    def test_weights_add_up(self):
        assert sum(cell.weight for cell in self.CELLS) == pytest.approx(1, abs=1e-4)

    def test_thinner_is_riskier_and_more_often_enough(self):
        risks = [too_thin(self.CELLS, percent) for percent in range(5, 40)]
        assert risks == sorted(risks)
        assert [enough(self.CELLS, p) for p in range(5, 40)] == sorted(
            enough(self.CELLS, p) for p in range(5, 40)
        )

    def test_a_larger_step_overshoots_more_often(self):
        chances = [overshoots(self.CELLS, 15, step) for step in (1, 2, 5, 10, 20)]
        assert chances == sorted(chances)
        assert all(0 <= chance <= 1 for chance in chances)

    def test_the_chance_to_overshoot_by_hand(self):
        """It sprays from 20 on, for four points, give or take two.

        At 20 half of such mixes are too thick. Five points more are too thin for one that sprays from below 21 on,
        half a standard deviation above 20: a chance of 0.6915, so (0.6915 - 0.5)/0.5.
        """
        cells = [GridPoint(20.0, 4.0, 2.0, 1.0)]
        assert enough(cells, 20) == 0.5
        assert too_thin(cells, 25) == pytest.approx(0.691462, abs=1e-6)
        assert overshoots(cells, 20, 5) == pytest.approx(0.382925, abs=1e-6)
        assert overshoots(cells, 20, 4) == 0.0  # the window is wider than the step
        assert overshoots(cells, 100, 5) == 0.0  # none is too thick there

    @pytest.mark.parametrize(
        ("tried", "interval"),
        [
            (MixOutcome(20, "good", 15), (15, 20)),
            (MixOutcome(20, "good"), (14, 20)),  # a window of six points: it just sprays at 14 or later
            (MixOutcome(20, "thick"), (20, float("inf"))),
            (MixOutcome(20, "thin"), (float("-inf"), 14)),
            (MixOutcome(20, "ruined", 10), (10, 14)),
        ],
    )
    def test_what_an_outcome_brackets(self, tried: MixOutcome, interval: tuple[float, float]):
        assert bracket(tried, 6) == interval

    @pytest.mark.parametrize(
        ("one", "other", "apart"),
        [
            ((20_000, None), (20_000, None), 0),
            ((20_000, None), (30_000, None), 2.5),
            ((30_000, None), (20_000, None), 2.5),
            ((None, None), (30_000, 50_000), 0),
            ((20_000, 40_000), (20_000, 80_000), 1),
        ],
    )
    def test_other_weather_sets_mixes_apart(self, one, other, apart: float):
        assert outcomes.weather_apart(one, other) == apart

    def test_mixes_of_other_weather_say_less(self):
        near = posterior(10, 30, [MixOutcome(26, "good", 22)] * 3)
        far = posterior(10, 30, [MixOutcome(26, "good", 22, apart=6.0)] * 3)
        assert too_thin(far, 20) > too_thin(near, 20)

    def test_borrowed_mixes_count_for_a_few_of_its_own_at_most(self):
        counted = outcomes._counted([MixOutcome(20, "good", kin="line")] * 20 + [MixOutcome(25, "good")] * 2)
        assert counted[MixOutcome(20, "good", kin="line")] == pytest.approx(outcomes.MOST_BORROWED)
        assert counted[MixOutcome(25, "good")] == 2


def test_the_houses_defaults_say_that_they_have_no_source():
    assert all("no source" in each.source for each in house_ranges())


def test_whole_per_cents_are_whole_figures_for_scripts():
    answer = advise(house_ranges(), 350).as_json()
    figures = [answer[name] for name in ("start_percent", "limit_percent", "step_percent")]
    assert [type(figure) for figure in figures] == [int if figure % 1 == 0 else float for figure in figures]
    assert int in map(type, figures)


def test_other_weather_sets_mixes_apart_in_halves_of_a_point():
    """3 K at a quarter of a point each are 0.75, which is nearer to 1 than to a half; a little less is not."""
    assert outcomes.weather_apart((20_000, None), (23_000, None)) == 1
    assert outcomes.weather_apart((20_000, None), (22_990, None)) == 0.5
    assert outcomes.weather_apart((20_000, None), (None, 50_000)) == 0


def test_the_start_is_no_more_than_what_is_enough_for_four_mixes_in_five():
    """Four in five spray unthinned and one in five never does: exactly enough at once, so nothing is added."""
    never_too_thin = 1_000.0
    at_once, never = (
        GridPoint(mu, never_too_thin, 1.0, share) for mu, share in ((-100.0, ENOUGH), (900.0, 1 - ENOUGH))
    )
    assert enough([at_once, never], SMALLEST_START) == ENOUGH
    assert _start([at_once, never], 20) == SMALLEST_START
    fewer = at_once._replace(weight=ENOUGH - 0.01)
    assert _start([fewer, never], 20) == 20


def test_an_advice_as_scripts_read_it():
    """What rules and what the studio's own mixes say is used; other, older and neighbouring ranges are only shown."""
    rule = sheet(PAINT, 15, 25, wording="one to five")
    other = sheet(RangeLevel.REDUCER, 5, 10)
    old = sheet(PAINT, 20, 30, year=2020, replaced=True, needle_high_um=180)
    tried = [MixOutcome(20, "good", 15), MixOutcome(21, "good", 15, kin="line")]
    answer = advise([rule, other, old], None, tried).as_json()
    assert [(each["kind"], each["used"]) for each in answer["because"]] == [
        ("sheet", True), ("outcomes", True), ("sheet", False), ("house_default", False), ("sheet", False),
    ]  # fmt: skip
    _, learnt, beside, _, older = answer["because"]
    assert (learnt["n"], learnt["own"], learnt["withdrawn"], learnt["revised"]) == (2, 1, False, None)
    assert [each["n"] for each in answer["because"]] == [0, 2, 0, 0, 0]
    assert learnt["low"] < learnt["high"]
    assert (beside["low"], beside["high"], older["dropped"]) == (5, 10, True)
    shown = advise([sheet(PAINT, 5, 10, needle_low_um=200, needle_high_um=250)], 300).as_json()
    assert [(each["low"], each["used"]) for each in shown["neighbours"]] == [(5, False)]


def test_what_is_noted_beside_an_advice():
    neighbour = sheet(PAINT, 5, 10, needle_low_um=200, needle_high_um=250)
    house = "no sheet in force gives a range here"
    for needle, note in ((None, "no needle is given"), (300, "needle of 0.3 mm, and none is interpolated")):
        notes = advise([neighbour], needle).notes
        assert [house in notes[0], note in notes[1], len(notes)] == [True, True, 2]
    assert advise([sheet(PAINT, 5, 10)], None).notes == ()
    thin = advise([sheet(PAINT, 20, 30)], None, [MixOutcome(12, "thin")] * 6).notes
    assert [note for note in thin if "too thin even at the range's low end" in note] == list(thin)


@pytest.mark.parametrize(
    ("window", "note"),
    [
        ((20.0, 24.0), None),
        ((20.001, 24.0), "needed more than the range allows"),
        ((6.0, 10.0), None),
        ((6.0, 9.999), "too thin even at the range's low end"),
        (None, None),
    ],
)
def test_mixes_are_beside_the_range_where_they_lie_wholly_beyond_one_end(window, note):
    """The range is from 10 to 20 %."""
    notes = advice._notes(sheet(PAINT, 10, 20), None, (), window)
    assert [note in each for each in notes] == ([True] if note else [])


class TestTheGridByHand:
    """The arithmetic of the posterior, one step at a time."""

    def test_the_prior_is_widest_around_two_fifths_of_the_range(self):
        """10 to 30: 18, give or take 12, cut off at 0; points a whole per cent apart; never narrower than 3."""
        cells = outcomes._prior(10, 30)
        mus = sorted({cell.mu for cell in cells})
        assert (mus[0], mus[-1]) == (0, 60)
        assert len(mus) == 61
        by_mu = {mu: sum(cell.weight for cell in cells if cell.mu == mu) for mu in mus}
        assert max(by_mu, key=by_mu.__getitem__) == 18
        assert by_mu[30] / by_mu[18] == pytest.approx(math.exp(-0.5))
        narrow = sorted({cell.mu for cell in outcomes._prior(20, 20)})
        assert (narrow[0], narrow[-1], len(narrow)) == (9.5, 30.5, 22)

    def test_the_share_of_a_normal_distribution_below_a_point(self):
        assert [outcomes._below(z) for z in (0, 1, -1)] == pytest.approx([0.5, 0.841345, 0.158655], abs=1e-6)

    def test_a_bracket_is_missed_now_and_then_and_an_impossible_one_always(self):
        missed = outcomes.MIS_SEEN
        assert outcomes._likelihood((20, 20), 20, 1) == outcomes._likelihood((21, 20), 20, 1) == missed
        assert outcomes._likelihood((-math.inf, 20), 20, 1) == pytest.approx(missed + (1 - missed) / 2)
        assert outcomes._likelihood((19, 21), 20, 1) == pytest.approx(
            missed + (1 - missed) * 0.682689, abs=1e-6
        )

    def test_the_median_is_the_first_point_with_half_of_the_weight(self):
        assert outcomes._median([(3.0, 0.25), (1.0, 0.5), (2.0, 0.25)]) == 1
        assert outcomes._median([(3.0, 0.5), (1.0, 0.25), (2.0, 0.25)]) == 2
        assert outcomes._median([(3.0, 0.5), (1.0, 0.25), (2.0, 0.24)]) == 3
        assert outcomes._median([]) == 0
        window = outcomes.median_window([GridPoint(20.0, 4.0, 2.0, 0.6), GridPoint(30.0, 1.0, 2.0, 0.4)])
        assert window == (20, 24)

    def test_weights_add_up_and_only_the_newest_count(self):
        old = [MixOutcome(50, "thin")] * 3
        new = [MixOutcome(20, "good", 15)] * outcomes.NEWEST
        assert posterior(10, 30, [*old, *new]) == posterior(10, 30, new)
        assert outcomes._counted([*old, *new]) == {new[0]: outcomes.NEWEST}
        few = outcomes._counted([MixOutcome(20, "good", kin="line")])
        assert list(few.values()) == [1]


def test_ranges_fit_the_needles_that_they_are_for():
    band = sheet(PAINT, 10, 20, needle_low_um=200, needle_high_um=300)
    assert [band.fits(needle) for needle in (None, 199, 200, 300, 301)] == [False, False, True, True, False]
    below, above = sheet(PAINT, 10, 20, needle_high_um=300), sheet(PAINT, 10, 20, needle_low_um=200)
    assert [below.fits(needle) for needle in (100, 300, 301)] == [True, True, False]
    assert [above.fits(needle) for needle in (199, 200, 900)] == [False, True, True]
    assert [sheet(PAINT, 10, 20).fits(needle) for needle in (None, 100)] == [True, True]
    assert [sheet(PAINT, 1, 2, **gone).in_force for gone in ({}, {"withdrawn": True}, {"replaced": True})] == [
        True, False, False,
    ]  # fmt: skip
    shown = sheet(PAINT, 10, 20, pressure_low_pa=150_000, pressure_high_pa=200_000)
    assert shown.pressure_words in shown.words
    assert sheet(PAINT, 10, 20).words == "10 to 20 %, any needle (sheet 2024 of 2024-01-01)"


def test_the_window_of_the_next_step_is_that_of_the_ruling_range():
    tried = (MixOutcome(15, "good"),)
    assert advise([sheet(PAINT, 10, 20)], None, tried).cells() == posterior(10, 20, tried)


def test_the_next_step_is_the_smallest_where_every_one_overshoots_too_often(monkeypatch):
    """And never larger than the sheet's own step."""
    monkeypatch.setattr(starting, "overshoots", lambda *_: 1.0)
    assert starting.next_step([], 20, 5) == STEPS[-1]
    assert starting.next_step([], 20, 0.25) == 0.25
    monkeypatch.setattr(starting, "overshoots", lambda cells, at, step: STEP_RISK)
    assert starting.next_step([], 20, STEPS[0]) == STEPS[0]
    assert starting.next_step([], 20, STEPS[0] - 0.1) == STEPS[1]
