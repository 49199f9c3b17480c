"""What people write, read exactly; what can't be read, refused with what is accepted."""

import datetime as dt
import re
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock import spans, units
from stock.errors import BadInput
from stock.grammar import LONGEST, in_drops, in_full, in_short, tidy
from stock.money import minor_of
from stock.spans import Duration, duration
from stock.units import MOST_UL
from tui.drawing.figures import ml

NOW = dt.datetime(2026, 3, 1, 12, 0, tzinfo=dt.UTC)
TODAY = dt.date(2026, 3, 1)


class TestVolume:
    @pytest.mark.parametrize(
        ("text", "microlitres"),
        [
            ("8ml", 8_000),
            ("8 ml", 8_000),
            ("8.5 mL", 8_500),
            ("5 ML", 5_000),  # capitals are a habit of keyboards; nobody here pours five megalitres
            (".5 ml", 500),
            ("1/2 ml", 500),
            ("1 1/2 ml", 1_500),
            ("250 ul", 250),
            ("250 µl", 250),
            ("2 cl", 20_000),
            ("1 dl", 100_000),
            ("1 litre", 1_000_000),
            ("3 drops", 150),
            ("2 tsp", 10_000),
            ("1 tbsp", 15_000),
            ("+2 ml", 2_000),
            ("1 fl oz", 29_574),
            ("1 fl. oz", 29_574),
            ("1 us pint", 473_176),
            ("1 imp fl oz", 28_413),
            ("1 uk pint", 568_261),
        ],
    )
    def test_reads_what_a_metric_studio_writes(self, text: str, microlitres: int):
        assert units.volume(text) == microlitres

    @pytest.mark.parametrize(
        ("measures", "text", "microlitres"),
        [
            ("us", "1/2 oz", 14_787),
            ("us", "1 1/2 fl oz", 44_360),
            ("us", "1 tsp", 4_929),
            ("us", "1 quart", 946_353),
            ("imperial", "1 oz", 28_413),
            ("imperial", "1 gallon", 4_546_090),
            ("imperial", "1 dram", 3_552),
            ("imperial", "1 tsp", 5_000),  # no statute defines an imperial spoon
            ("us", "1 imp pint", 568_261),
        ],
    )
    def test_reads_the_measures_of_the_studio(self, measures: str, text: str, microlitres: int):
        assert units.volume(text, measures=measures) == microlitres

    def test_drops_belong_to_the_product(self):
        assert units.volume("20 drops") == 1_000
        assert units.volume("50 drops", drops_milli=50_000) == 1_000

    def test_a_half_rounds_to_the_even_microlitre(self):
        assert units.volume("2.5 ul") == 2
        assert units.volume("3.5 ul") == 4

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("-5 ml", "is negative"),
            ("−5 ml", "is negative"),
            ("nan", "is not a figure"),
            ("nan ml", "is not a figure"),
            ("inf l", "is not a figure"),
            ("1e9 l", "exponent"),
            ("1E3ml", "exponent"),
            ("5 apples", "no known unit"),
            ("5", "has no unit"),
            ("", "is empty"),
            ("   ", "is empty"),
            ("ml", "does not begin with a figure"),
            ("1,5 ml", "write 1.5 ml"),
            ("1,000 ml", "write 1000 ml or 1.000 ml"),
            ("30 ml ml", "no known unit"),
            ("9**9**9 ml", "more than one figure"),
            ("2*3 ml", "more than one figure"),
            ("5-3 ml", "more than one figure"),
            ("1 2 ml", "more than one figure"),
            ("1/0 ml", "divides by nothing"),
            ("1//2 ml", "more than one figure"),
            ("0 ml", "is nothing"),
            ("0.0001 ml", "less than the books can hold"),
            ("1000.001 l", "too large"),
            ("1 gallon", "us gallon or imp gallon"),
            ("1 oz", "us fl oz or imp fl oz"),
            ("1 metric pint", "could be two measures"),
            ("5\x1b[31mml", "control"),
            ("5\u202eml", "control"),
            ("5\nml", "control"),
            ("x" * 10_000, "has 10000 letters"),
            ("9" * 41 + "ml", "letters"),
            ("١ ml", "does not begin with a figure"),  # digits of another script are no digits of the books
            ("5 ml; drop table", "no known unit"),
            ("__import__('os') ml", "does not begin with a figure"),
        ],
    )
    def test_refuses_and_says_what_is_accepted(self, text: str, said: str):
        with pytest.raises(BadInput) as refusal:
            units.volume(text)
        assert said.casefold() in str(refusal.value).casefold()
        assert refusal.value.remedy.startswith("Write ")
        assert "\x1b" not in str(refusal.value)

    def test_nothing_is_an_answer_where_it_is_asked_for(self):
        assert units.volume("0 ml", zero=True) == 0

    @given(st.integers(1, units.MOST_UL))
    def test_what_is_shown_is_read_back_the_same(self, volume_ul: int):
        assert units.volume(units.show_volume(volume_ul)) == volume_ul

    @given(
        st.integers(0, 10**6), st.integers(1, 999), st.sampled_from(["ul", "ml", "fl oz", "us pint", "drops"])
    )
    def test_is_never_a_float(self, whole: int, part: int, unit: str):
        try:
            read = units.volume(f"{whole}.{part:03d} {unit}")
        except BadInput:
            return
        assert type(read) is int

    @given(st.text(max_size=60))
    def test_any_text_is_read_or_refused(self, text: str):
        for read in (
            units.volume,
            units.mass,
            units.reduction,
            units.temperature,
            units.needle,
            units.density,
        ):
            try:
                read(text)
            except BadInput as refusal:
                assert refusal.remedy

    def test_metric_amounts_do_without_pint(self):
        script = (
            "import sys; from stock import units;"
            "units.volume('8 ml'); units.volume('3 drops'); units.mass('3 g'); units.money('7.90', 'EUR');"
            "print('pint' in sys.modules, 'zoneinfo' in sys.modules)"
        )
        shown = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, check=True
        ).stdout
        assert shown.split() == ["False", "False"]


class TestMass:
    @pytest.mark.parametrize(
        ("text", "milligrams"),
        [("63.2g", 63_200), ("500 mg", 500), ("1.2 kg", 1_200_000), ("1 lb", 453_592), ("2 oz av", 56_699)],
    )
    def test_reads(self, text: str, milligrams: int):
        assert units.mass(text) == milligrams

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("2 oz", "could be a volume"),
            ("5 ml", "no known unit"),
            ("5", "no unit"),
            ("-1 g", "negative"),
            ("2 t", "unit"),
        ],
    )
    def test_refuses(self, text: str, said: str):
        with pytest.raises(BadInput, match=said):
            units.mass(text)

    def test_an_empty_scale_is_a_reading(self):
        assert units.mass("0 g", zero=True) == 0
        with pytest.raises(BadInput, match="is nothing"):
            units.mass("0 g")


class TestReduction:
    @pytest.mark.parametrize(
        ("text", "percent_of_paint"),
        [
            ("20%", 20),
            ("20 %", 20),
            ("12.5%", Fraction(25, 2)),
            ("5:1", 20),
            ("3 : 1", Fraction(100, 3)),
            ("1:1", 100),
            ("20% of the paint", 20),
            ("16 2/3 % of the mix", 20),
            ("100%", 100),
            ("200%", 200),
        ],
    )
    def test_reads_per_cents_and_ratios(self, text: str, percent_of_paint: Fraction):
        assert units.reduction(text) == percent_of_paint

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("0%", "is no reducer"),
            ("1000%", "more than two parts"),
            ("201%", "more than two parts"),
            ("-5%", "is negative"),
            ("20", "neither a per cent nor a ratio"),
            ("0.2", "neither a per cent nor a ratio"),
            ("5:0", "not a ratio"),
            ("0:5", "not a ratio"),
            ("5:1:1", "more than one figure|no known|not a ratio"),
            ("5 ml:1 ml", "not a ratio"),
            ("100% of the mix", "leaves no paint"),
            ("thin", "does not begin"),
        ],
    )
    def test_refuses(self, text: str, said: str):
        with pytest.raises(BadInput, match=said):
            units.reduction(text)

    def test_a_ratio_the_trade_reads_both_ways_is_refused_with_both_spelled_out(self):
        with pytest.raises(BadInput) as refusal:
            units.reduction("2:3")
        assert "read both ways" in refusal.value.message
        assert "3:2" in refusal.value.remedy
        assert "66.667 %" in refusal.value.remedy
        assert "150%" in refusal.value.remedy

    def test_one_to_five_is_not_taken_for_twenty_per_cent(self):
        with pytest.raises(BadInput, match="read both ways"):
            units.reduction("1:5")


@pytest.mark.parametrize(
    ("text", "milli"), [("20%", 20_000), ("0%", 0), ("16.667 %", 16_667), ("100%", 100_000)]
)
def test_shares_are_thousandths_of_a_per_cent(text: str, milli: int):
    assert units.percent(text) == milli


@pytest.mark.parametrize("text", ["20", "101%", "-1%", "5:1", "%"])
def test_shares_refused(text: str):
    with pytest.raises(BadInput):
        units.percent(text)


@pytest.mark.parametrize(
    ("text", "milli"),
    [
        ("18C", 18_000),
        ("18 °C", 18_000),
        ("-18C", -18_000),
        ("64F", 17_778),
        ("32F", 0),
        ("212 °F", 100_000),
        ("23.5c", 23_500),
    ],
)
def test_temperatures(text: str, milli: int):
    assert units.temperature(text) == milli


@pytest.mark.parametrize("text", ["18", "18K", "-300C", "5000C", "warm", "1e2C", "18,5C"])
def test_temperatures_refused(text: str):
    with pytest.raises(BadInput):
        units.temperature(text)


@pytest.mark.parametrize(
    ("text", "range_mc"),
    [
        ("5C..35C", (5_000, 35_000)),
        ("5..35C", (5_000, 35_000)),
        ("-5C..5C", (-5_000, 5_000)),
        ("41F..95F", (5_000, 35_000)),
    ],
)
def test_temperature_ranges(text: str, range_mc: tuple[int, int]):
    assert units.temperature_range(text) == range_mc


@pytest.mark.parametrize("text", ["35C..5C", "5C", "5C-35C", "..35C", "5C..", "5C..5C"])
def test_temperature_ranges_refused(text: str):
    with pytest.raises(BadInput):
        units.temperature_range(text)


@pytest.mark.parametrize(
    ("text", "um"), [("0.35", 350), ("0.18 mm", 180), (".2", 200), ("2", 2_000), ("0.1", 100)]
)
def test_needles(text: str, um: int):
    assert units.needle(text) == um


@pytest.mark.parametrize("text", ["abc", "0.05", "2.1", "0,35", "350", "0.35 in", "-0.35"])
def test_needles_refused(text: str):
    with pytest.raises(BadInput):
        units.needle(text)


@pytest.mark.parametrize(
    ("text", "pa"), [("1.5 bar", 150_000), ("150 kPa", 150_000), ("20 psi", 137_895), ("1500 mbar", 150_000)]
)
def test_pressures(text: str, pa: int):
    assert units.pressure(text) == pa


@pytest.mark.parametrize("text", ["20", "0 bar", "11 bar", "20 atm"])
def test_pressures_refused(text: str):
    with pytest.raises(BadInput):
        units.pressure(text)


@pytest.mark.parametrize("text", ["1.05", "1.05 g/ml", "1.05 kg/l", "1050 kg/m3", "1050 g/l"])
def test_densities(text: str):
    assert units.density(text) == 1_050_000


@pytest.mark.parametrize("text", ["0.2", "1050", "5.1", "1.05 lb", "-1"])
def test_densities_refused(text: str):
    with pytest.raises(BadInput):
        units.density(text)


class TestMoney:
    @pytest.mark.parametrize(
        ("text", "currency", "minor"),
        [
            ("7.90", "EUR", 790),
            ("7.90 EUR", "EUR", 790),
            ("EUR 7.90", "EUR", 790),
            ("7.9 eur", "EUR", 790),
            ("790", "JPY", 790),
            ("1.250", "KWD", 1_250),
            ("0", "EUR", 0),
        ],
    )
    def test_reads_the_minor_unit(self, text: str, currency: str, minor: int):
        assert units.money(text, currency) == minor

    @pytest.mark.parametrize(
        ("text", "currency"),
        [
            ("7.905", "EUR"),
            ("7.90", "JPY"),
            ("7.90 USD", "EUR"),
            ("-1", "EUR"),
            ("7,90", "EUR"),
            ("1e5", "EUR"),
            ("1000000000", "EUR"),
            ("€5", "EUR"),
            ("5", "QQQ"),
        ],
    )
    def test_refuses(self, text: str, currency: str):
        with pytest.raises(BadInput):
            units.money(text, currency)

    @given(st.integers(0, 10**9 - 1), st.sampled_from(["EUR", "JPY", "KWD", "CLF"]))
    def test_what_is_shown_is_read_back_the_same(self, minor: int, currency: str):
        assert units.money(units.show_money(minor, currency), currency) == minor

    def test_shown_with_every_digit(self):
        assert units.show_money(790, "EUR") == "7.90 EUR"
        assert units.show_money(-5, "EUR") == "-0.05 EUR"
        assert units.show_money(790, "JPY") == "790 JPY"

    def test_a_currency_is_three_letters_in_use(self):
        assert units.currency("eur") == "EUR"
        with pytest.raises(BadInput):
            units.currency("EURO")


class TestLives:
    @pytest.mark.parametrize(
        ("text", "months", "days"),
        [
            ("12mo", 12, 0),
            ("3y", 36, 0),
            ("90d", 0, 90),
            ("2w", 0, 14),
            ("1y 6mo", 18, 0),
            ("12mo10d", 12, 10),
        ],
    )
    def test_reads(self, text: str, months: int, days: int):
        assert units.duration(text) == units.Duration(months, days)

    @pytest.mark.parametrize(
        "text", ["12", "12m", "0d", "1.5y", "101y", "-3d", "long", "3y3", "1/2y", "99999d"]
    )
    def test_refuses(self, text: str):
        with pytest.raises(BadInput):
            units.duration(text)

    def test_no_time_at_all_is_a_lead_time(self):
        assert units.duration("0d", zero=True) == units.Duration()

    @given(st.integers(0, 1_200), st.integers(0, 36_525))
    def test_what_is_shown_is_read_back_the_same(self, months: int, days: int):
        life = units.Duration(months, days)
        assert units.duration(str(life), zero=True) == life

    def test_the_end_of_a_month_clamps(self):
        assert units.Duration(1).after(dt.date(2027, 1, 31)) == dt.date(2027, 2, 28)
        assert units.Duration(1).after(dt.date(2028, 1, 31)) == dt.date(2028, 2, 29)
        assert units.Duration(12).after(dt.date(2028, 2, 29)) == dt.date(2029, 2, 28)
        assert units.Duration(11, 1).after(dt.date(2027, 1, 31)) == dt.date(2028, 1, 1)


class TestDays:
    @pytest.mark.parametrize(
        ("text", "day"),
        [
            ("2026-02-28", dt.date(2026, 2, 28)),
            ("2028-02-29", dt.date(2028, 2, 29)),
            ("today", TODAY),
            ("Yesterday", dt.date(2026, 2, 28)),
            ("tomorrow", dt.date(2026, 3, 2)),
            ("-3d", dt.date(2026, 2, 26)),
            ("+2w", dt.date(2026, 3, 15)),
        ],
    )
    def test_reads(self, text: str, day: dt.date):
        assert units.day(text, TODAY) == day

    @pytest.mark.parametrize(
        "text", ["2026-02-29", "2026-13-01", "01.03.2026", "3d", "1026-01-01", "9999-01-01", "soon", ""]
    )
    def test_refuses(self, text: str):
        with pytest.raises(BadInput):
            units.day(text, TODAY)


class TestInstants:
    def read(self, text: str, zone: str = "Europe/Lisbon") -> str:
        return units.instant(text, zone, NOW).isoformat(timespec="minutes")

    @pytest.mark.parametrize(
        ("text", "utc"),
        [
            ("now", "2026-03-01T12:00+00:00"),
            ("today", "2026-03-01T12:00+00:00"),
            ("yesterday", "2026-02-28T12:00+00:00"),
            ("-3d", "2026-02-26T12:00+00:00"),
            ("2026-07-01", "2026-07-01T11:00+00:00"),  # noon, an hour ahead of UTC in summer
            ("2026-07-01 14:30", "2026-07-01T13:30+00:00"),
            ("2026-07-01T14:30", "2026-07-01T13:30+00:00"),
            ("2026-07-01 14:30Z", "2026-07-01T14:30+00:00"),
            ("2026-07-01T14:30+02:00", "2026-07-01T12:30+00:00"),
            ("9:05", "2026-03-01T09:05+00:00"),
            ("yesterday 23:59", "2026-02-28T23:59+00:00"),
        ],
    )
    def test_reads(self, text: str, utc: str):
        assert self.read(text) == utc

    @pytest.mark.parametrize(
        "text", ["25:00", "2026-07-01 14", "2026-07-01 14:75", "noon", "2026-07-01 14:30+99:00"]
    )
    def test_refuses(self, text: str):
        with pytest.raises(BadInput):
            self.read(text)

    def test_a_time_that_the_clocks_skipped_is_refused(self):
        with pytest.raises(BadInput, match="skipped by the clocks in Europe/Lisbon"):
            self.read("2026-03-29 01:30")

    def test_a_time_that_happened_twice_is_the_first(self):
        assert self.read("2026-10-25 01:30") == "2026-10-25T00:30+00:00"


class TestSplit:
    def test_a_thousand_and_one_in_halves(self):
        assert units.split(1_001, [1, 1]) == [501, 500]

    @given(st.integers(0, 10**9), st.lists(st.integers(0, 10**6), min_size=1, max_size=8).filter(any))
    def test_the_sum_is_kept_and_no_share_is_a_microlitre_off(self, total: int, weights: list[int]):
        shares = units.split(total, weights)
        assert sum(shares) == total
        for share, weight in zip(shares, weights, strict=True):
            assert abs(share - Fraction(total * weight, sum(weights))) < 1

    @pytest.mark.parametrize(("total", "weights"), [(1, []), (1, [0, 0]), (1, [-1, 2]), (-1, [1])])
    def test_refuses(self, total: int, weights: list[int]):
        with pytest.raises(BadInput):
            units.split(total, weights)


def test_shown_to_people():
    assert units.show_volume(8_000) == "8 ml"
    assert units.show_volume(8_250) == "8.25 ml"
    assert units.show_volume(-400) == "-0.4 ml"
    assert units.show_volume(60_000, "us") == "2.03 fl oz"
    assert units.show_volume(60_000, "imperial") == "2.11 fl oz"
    assert units.show_volume(400, "us") == "0.4 ml"
    assert units.show_percent(16_667) == "16.7 %"
    assert units.show_temperature(17_778) == "17.8 °C"
    assert units.show_needle(350) == "0.35 mm"
    assert units.show_pressure(150_000) == "1.5 bar"
    assert units.show_mass(63_200) == "63.2 g"


def test_millilitres_for_scripts_are_whole_where_they_are():
    assert repr(units.ml(8_000)) == "8"
    assert repr(units.ml(1_600)) == "1.6"
    assert repr(units.ml(-400)) == "-0.4"


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (1191.785, 3, "1191.785"), (8.215, 3, "8.215"), (1200, 3, "1200"), (1_200_000.5, 3, "1200000.5"),
        (1e-05, 3, "0"), (1e-05, 5, "0.00001"), (1e22, 3, "1" + "0" * 22), (-0.25, 3, "-0.25"), (0.0, 3, "0"),
        (Fraction(100, 3), 1, "33.3"), (999_999_999.999, 3, "999999999.999"), (16.666666666666668, 3, "16.667"),
    ],
)  # fmt: skip
def test_a_figure_is_written_out_in_full(value, digits, shown):
    assert in_full(value, digits) == shown


@given(st.integers(0, MOST_UL))
def test_every_volume_is_shown_to_the_microlitre(volume_ul):
    assert Fraction(in_full(units.ml(volume_ul))) == Fraction(volume_ul, 1_000)


@pytest.mark.deep
def test_mypy_keeps_the_units_apart(tmp_path: Path) -> None:
    """Each line marked `no` hands one unit to what takes another, in every room that has figures."""
    lines = (
        "from stock import units",
        "from stock.bench import coverage, pour_by_weight, reduction, weighing",
        "from stock.bench.advice import Advice",
        "from stock.bench.mixing import MixRequest, PlannedPour",
        "from stock.cautions import classification, limits",
        "from stock.cautions.facts import ProductFacts",
        "from stock.exchange.stock_rows import BottleRow",
        "from stock.forecast.usable import StockBottle, Usable",
        "from stock.ledger import Errand",
        "from stock.scale.reading import ScaleReading",
        "from tui.drawing.figures import ml as on_screen",
        "units.ml(units.volume('8ml'))",
        "units.ml(units.percent('20%'))  # no",
        "units.ml(20_000)  # no",
        "units.show_percent(units.volume('8ml'))  # no",
        "units.show_temperature(units.needle('0.35'))  # no",
        "units.show_volume(units.mass('8g'))  # no",
        "units.show_needle(units.needle('0.35'))",
        "def of_the_bench(advice: Advice, pour: PlannedPour, part: pour_by_weight.WeighedPart) -> None:",
        "    units.ml(pour.volume_ul)",
        "    units.ml(advice.start_milli)  # no",
        "    units.show_percent(pour.volume_ul)  # no",
        "    units.show_volume(part.target_mg)  # no",
        "    units.show_mass(part.target_mg)",
        "    part.progress(part.poured_ul)  # no",
        "    weighing.Weighed(pour.volume_ul, units.mass('20g'), 1_000_000)  # no",
        "    weighing.by_level(units.needle('0.35'), pour.volume_ul, pour.size_ul)  # no",
        "    coverage.Film(units.needle('0.35'), units.temperature('20C'))  # no",
        "    reduction.reducer_for(advice.start_milli, reduction.Reduction.of(pour.volume_ul, pour.before_ul))  # no",
        "    MixRequest(parts=(('Harbour Blue', units.mass('8g')),))  # no",
        "    units.ml(units.split(pour.volume_ul, [1, 1])[0])",
        "    units.show_mass(units.split(pour.volume_ul, [1, 1])[0])  # no",
        "def of_the_cautions(held: limits.Amount, facts: ProductFacts) -> None:",
        "    limits.kilograms(held.mass_mg)",
        "    limits.kilograms(held.volume_ul)  # no",
        "    classification.classify(facts.water_milli, facts.boiling_point_mc)  # no",
        "def of_other_rooms(row: BottleRow, shown: ScaleReading, stock: Usable, errand: Errand) -> None:",
        "    units.show_mass(row.left_ul)  # no",
        "    units.ml(shown.resolution_mg)  # no",
        "    units.show_percent(stock.now_ul)  # no",
        "    StockBottle(shown.resolution_mg, False, None, None)  # no",
        "    errand.move(1, 'counted', row.left_ul)",
        "    errand.move(1, 'counted', shown.resolution_mg)  # no",
        "    on_screen(shown.resolution_mg)  # no",
    )
    (tmp_path / "mixed_up.py").write_text("\n".join(lines) + "\n", encoding="utf-8")
    house = Path(__file__).parents[1]
    run = [
        sys.executable,
        "-m",
        "mypy",
        "--config-file",
        str(house / "pyproject.toml"),
        str(tmp_path / "mixed_up.py"),
    ]
    done = subprocess.run(run, capture_output=True, text=True, check=False, cwd=house)
    refused = {int(number) for number in re.findall(r"mixed_up\.py:(\d+): error:.*\[arg-type\]", done.stdout)}
    wrong = {number for number, line in enumerate(lines, 1) if line.endswith("# no")}
    assert refused == wrong, done.stdout + done.stderr


def test_a_hundred_fluid_ounces_are_a_hundred():
    """29.5735295625 ml each by the Weights and Measures definition; a sixteen-thousandth more would show."""
    assert units.show_volume(units.Microlitres(2_957_353), "us") == "100 fl oz"


@pytest.mark.parametrize(
    ("volume_ul", "shown"),
    [(0, "0"), (4, "0.004"), (10, "0.01"), (52, "0.05"), (999, "1"), (3_497, "3.5"), (99_940, "99.9"),
     (227_988, "228"), (-1_512, "-1.5"), (500_000_000, "500000")],
)  # fmt: skip
def test_millilitres_for_the_eye(volume_ul: int, shown: str) -> None:
    """A command and a screen round a volume alike, and nothing but nothing is shown as 0."""
    assert in_short(Fraction(volume_ul, 1_000)) == shown
    assert in_short(volume_ul / 1_000) == shown
    assert ml(volume_ul).replace(",", "") == shown
    assert units.show_volume(units.Microlitres(volume_ul), short=True) == f"{shown} ml"


def test_a_density_is_taken_at_either_end_of_what_liquids_have_and_not_beyond():
    assert (units.density("0.3 g/ml"), units.density("5 g/ml")) == (300_000, 5_000_000)
    for text in ("0.299999 g/ml", "5.000001 g/ml"):
        with pytest.raises(BadInput):
            units.density(text)


def test_a_text_of_forty_letters_is_read_and_a_longer_one_refused():
    assert tidy("1" * LONGEST, "figure", "5") == "1" * 40
    with pytest.raises(BadInput, match="has 41 letters, at most 40 are read"):
        tidy("1" * 41, "figure", "5")


def test_a_duration_has_two_parts_at_most():
    assert duration("12mo10d") == Duration(12, 10)
    with pytest.raises(BadInput):
        duration("12mo2w3d")


@pytest.mark.parametrize(
    ("drops", "said"),
    [(2.0, "2 drops"), (1, "1 drop"), (2.02, "2 drops"), (2.05, "2 drops"), (2.06, "about 2 drops"),
     (10.4, "about 10 drops"), (0.4, "less than a drop"), (0.8, "about 1 drop"), (157.3, "157 drops")],
)  # fmt: skip
def test_drops_are_told_as_a_hand_counts_them(drops: float, said: str) -> None:
    assert in_drops(drops) == said


def test_a_duration_is_a_hundred_years_at_most():
    assert duration("36525d") == Duration(0, 36_525)
    assert duration("100y") == Duration(1_200, 0)
    for text in ("36526d", "1201mo", "101y"):
        with pytest.raises(BadInput, match="longer than 100 years"):
            duration(text)


def test_a_refusal_shows_an_amount_of_that_currency_and_what_a_range_lacks():
    with pytest.raises(BadInput, match=r"such as 7\.90? EUR"):
        units.money("seven", "EUR")
    with pytest.raises(BadInput, match="such as 790 JPY"):
        units.money("seven", "JPY")
    with pytest.raises(BadInput, match="has no two points between two temperatures"):
        units.temperature_range("5C")


@pytest.mark.parametrize(
    ("text", "why"),
    [("12", "has no unit"), ("12m", "could be months or minutes"), ("12 parsecs", "has no known unit")],
)
def test_a_duration_without_a_unit_that_is_known_says_which_is_missing(text: str, why: str):
    with pytest.raises(BadInput, match=why):
        duration(text)


def test_the_measures_of_a_system_that_is_named_are_its_own_whatever_the_studio_s():
    """A US teaspoon is a sixth of a fluid ounce, 4.929 ml; without a system a metric studio's is 5 ml."""
    assert units.volume("1 us tsp") == 4_929
    assert units.volume("1 tsp") == units.volume("1 metric tsp", measures="us") == 5_000
    assert units.volume("1 tsp", measures="imperial") == 5_000
    assert units.volume("10000000 drops") == 500_000_000


def test_fluid_ounces_are_shown_from_a_tenth_on_and_a_gallon_is_128_or_160():
    """3.785411784 L and 4.54609 L; a tenth of an ounce is 2,957.35 µl and 2,841.31 µl."""
    assert (units.show_volume(3_785_412, "us"), units.show_volume(4_546_090, "imperial")) == (
        "128 fl oz",
        "160 fl oz",
    )
    shown = [units.show_volume(ul, system) for ul, system in (
        (2_957, "us"), (2_958, "us"), (2_841, "imperial"), (2_842, "imperial"), (-2_958, "us"),
    )]  # fmt: skip
    assert shown == ["2.957 ml", "0.1 fl oz", "2.841 ml", "0.1 fl oz", "-0.1 fl oz"]


@pytest.mark.parametrize(
    ("figure", "unit", "milligrams"),
    [
        (3, "g", 3_000), (Fraction(1, 2), "kg", 500_000), (7, "mg", 7), (1, "oz", Fraction(28_349_523_125, 10**6)),
        (2, "lb", 907_184.74), (1, "ozt", Fraction(311_034_768, 10**4)), (1, "ct", 200),
        (1, "gn", Fraction(6_479_891, 10**5)), (1, "dwt", Fraction(155_517_384, 10**5)),
    ],
)  # fmt: skip
def test_what_a_scale_shows_in_milligrams(figure, unit: str, milligrams):
    """The international pound of 1959 is 453.59237 g: an ounce is a sixteenth, a grain a 7,000th, a troy ounce 480."""
    assert units.milligrams(Fraction(figure), unit) == Fraction(str(milligrams))


@pytest.mark.parametrize(
    ("read", "least", "most", "beyond"),
    [
        (units.temperature, ("-100C", -100_000), ("500C", 500_000), ("-100.001C", "500.001C", "932.1F")),
        (units.needle, ("0.1", 100), ("2.0", 2_000), ("0.099", "2.001")),
        (units.pressure, ("1 pa", 1), ("10 bar", 1_000_000), ("1000001 pa", "0.4 pa")),
        (units.density, ("0.3", 300_000), ("5", 5_000_000), ("0.299", "5.001")),
        (units.percent, ("0%", 0), ("100%", 100_000), ("100.001%",)),
    ],
)
def test_the_least_and_the_most_of_each_measure_are_read_and_nothing_beyond(read, least, most, beyond):
    for text, kept in (least, most):
        assert read(text) == kept
    for text in beyond:
        with pytest.raises(BadInput):
            read(text)


@pytest.mark.parametrize(("text", "why"), [("20", "has no unit"), ("20 quux", "has no known unit")])
def test_a_pressure_says_whether_its_unit_is_missing_or_not_known(text: str, why: str):
    with pytest.raises(BadInput, match=why):
        units.pressure(text)


def test_nothing_is_shared_out_as_nothing_and_a_share_may_be_none():
    assert units.split(0, [1, 2]) == [0, 0]
    assert units.split(1, [1]) == [1]
    assert units.split(10, [0, 1, 1]) == [0, 5, 5]
    for total, weights in ((-1, [1]), (1, [0, 0]), (1, [2, -1])):
        with pytest.raises(BadInput):
            units.split(total, weights)


def test_a_ratio_is_paint_to_reducer_and_the_other_way_round_up_to_200_per_cent():
    assert units.reduction("5:2") == 40
    assert units.reduction("1:1") == 100
    with pytest.raises(BadInput) as refused:
        units.reduction("1:2")
    assert "2:1 for 2 parts paint to 1 of reducer, which is 50 %, or 200% for more" in refused.value.remedy
    with pytest.raises(BadInput) as refused:
        units.reduction("1:2.1")
    assert "for more reducer" not in refused.value.remedy


@pytest.mark.parametrize("start", [dt.date(2026, 1, 31), dt.date(2024, 2, 29), dt.date(2026, 12, 31)])
def test_months_run_through_years_and_end_with_their_last_day(start: dt.date):
    for months in range(40):
        year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
        in_it = [each for each in range(1, start.day + 1) if _is_day(year, month + 1, each)]
        assert Duration(months).after(start) == dt.date(year, month + 1, in_it[-1])
        assert Duration(months, 3).after(start) == dt.date(year, month + 1, in_it[-1]) + dt.timedelta(3)


def _is_day(year: int, month: int, day: int) -> bool:
    try:
        return bool(dt.date(year, month, day))
    except ValueError:
        return False


def test_two_years_and_more_that_are_whole_are_shown_as_years():
    shown = {months: str(Duration(months)) for months in (1, 12, 23, 24, 25, 36)}
    assert shown == {1: "1mo", 12: "12mo", 23: "23mo", 24: "2y", 25: "25mo", 36: "3y"}
    assert (str(Duration()), str(Duration(24, 5)), str(Duration(0, 5))) == ("0d", "2y5d", "5d")


@pytest.mark.parametrize("text", ["1.5mo 2d", "1/2 y", "1.5 y"])
def test_a_life_is_in_whole_units(text: str):
    with pytest.raises(BadInput):
        duration(text)


def test_the_first_and_the_last_day_that_are_read():
    assert units.day("1970-01-01", TODAY) == dt.date(1970, 1, 1)
    assert units.day("2199-12-31", TODAY) == dt.date(2199, 12, 31)
    for text in ("1969-12-31", "2200-01-01"):
        with pytest.raises(BadInput, match="lies outside 1970 to 2199"):
            units.day(text, TODAY)


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-03-01 00:00", "2026-03-01 00:00"), ("2026-03-01 14:30:05", "2026-03-01 14:30:05"),
        ("2026-07-01 14:30", "2026-07-01 13:30"), ("2026-07-01T14:30Z", "2026-07-01 14:30"),
        ("2026-07-01T14:30+02:00", "2026-07-01 12:30"), ("2026-07-01", "2026-07-01 11:00"),
    ],
)  # fmt: skip
def test_an_instant_is_to_the_second_in_the_studio_s_zone_or_its_own(text: str, utc: str):
    found = units.instant(text, "Europe/Lisbon", NOW)
    assert found == dt.datetime.fromisoformat(utc).replace(tzinfo=dt.UTC)


@pytest.mark.parametrize(
    "text", ["2026-03-01 24:00", "2026-03-01 12:60", "2026-03-01 1430:", "2026-03-01 12:3"]
)
def test_no_time_of_a_day_is_refused(text: str):
    with pytest.raises(BadInput, match="has no such time"):
        units.instant(text, "Europe/Lisbon", NOW)


def test_an_amount_of_a_script_in_minor_units_and_a_code_before_the_figure():
    assert (units.money("EUR 7.90", "EUR"), units.money("790", "JPY"), units.money("KWD 1.234", "KWD")) == (
        790,
        790,
        1_234,
    )
    assert [minor_of(7.9, code) for code in ("EUR", "JPY", "KWD")] == [790, 8, 7_900]


@pytest.mark.parametrize(
    ("ml", "shown"),
    [
        (99.96, "100"), (99.94, "99.9"), (100.4, "100"), (100, "100"), (99.5, "99.5"), (100.5, "100"),
        (0.996, "1"), (0.994, "0.99"), (0.01, "0.01"), (0.0096, "0.01"), (0.0094, "0.009"),
        (1.04, "1"), (-41.46, "-41.5"),
    ],
)  # fmt: skip
def test_the_eye_gets_as_many_digits_as_it_can_tell_apart(ml: float, shown: str):
    """Whole millilitres from 100 on, tenths from one, hundredths from a hundredth, thousandths below."""
    assert in_short(ml) == shown


FIGURES = (
    "0",
    "01",
    "7",
    "100",
    "101",
    "1200",
    "1201",
    "5217",
    "5218",
    "9999",
    "36525",
    "36526",
    "-1",
    "1.5",
)


@pytest.mark.parametrize("figure", FIGURES)
def test_a_life_as_the_books_write_it_is_read_as_by_the_grammar(figure, monkeypatch):
    written = [
        f"{figure}{unit}"
        for unit in ("mo", "month", "y", "yr", "d", "w", "wk", "week", "m", "", "dd", "yd", " mo", "MO")
    ]

    def read(text):
        spans.duration.cache_clear()
        try:
            return spans.duration(text)
        except BadInput as refused:
            return str(refused)

    quickly = [read(text) for text in written]
    monkeypatch.setattr(spans, "_plain_duration", lambda _text: None)
    assert [read(text) for text in written] == quickly


@pytest.mark.parametrize(
    ("drops", "said"),
    [
        (0.5, "less than a drop"), (0.51, "about 1 drop"), (1.05, "1 drop"), (1.06, "about 1 drop"), (5.05, "5 drops"),
        (5.06, "about 5 drops"), (10.1, "10 drops"), (10.11, "about 10 drops"), (99.01, "99 drops"),
        (200, "200 drops"), (202.1, "202 drops"),
    ],
)  # fmt: skip
def test_drops_are_exact_within_a_twentieth_or_one_per_cent(drops: float, said: str) -> None:
    assert in_drops(drops) == said
