"""What scales send, and how it is read."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.scale.line_grammar import LONGEST_LINE, LineBuffer, read_line
from stock.scale.reading import OVERLOAD, UNDERLOAD


@pytest.mark.parametrize(
    ("line", "mass_mg", "resolution_mg", "stable"),
    [
        (b"ST,GS,+  12.34 g", 12_340, 10, True),
        (b"US,NT,-   0.5 g ", -500, 100, False),
        (b"S S     100.00 g", 100_000, 10, True),
        (b"S D       7.10 g", 7_100, 10, False),
        (b"+ 0012.3g", 12_300, 100, None),
        (b"  12,3 g", 12_300, 100, None),
        (b"0,125 kg", 125_000, 1_000, None),
        (b"? 12. g", 12_000, 1_000, False),
        (b"wn00.123kg", 123_000, 1_000, None),
        (b"\x0212.34 g\x03", 12_340, 10, None),
        (b".5 g S", 500, 100, True),
        (b"1,234.5 g", 1_234_500, 100, None),
        (b"5 12.3 g", 12_300, 100, None),
        (b"1000 mg", 1_000, 1, None),
    ],
)
def test_a_line_with_a_weight(line, mass_mg, resolution_mg, stable):
    reading = read_line(line)
    assert (reading.mass_mg, reading.resolution_mg, reading.stable) == (mass_mg, resolution_mg, stable)
    assert reading.refused == ""


@pytest.mark.parametrize(
    ("line", "exact_mg", "unit"),
    [
        (b"1.500 oz", Fraction("28349.523125") * Fraction(3, 2), "oz"),  # NIST SP 811: 28.349523125 g
        (b"2 lb", Fraction("453592.37") * 2, "lb"),
        (b"12.5 ct", Fraction(2_500), "ct"),  # the metric carat: 200 mg, 4th CGPM 1907
        (b"1 ozt", Fraction("31103.4768"), "ozt"),
        (b"100 GN", Fraction("6479.891"), "gn"),
        (b"1 dwt", Fraction("1555.17384"), "dwt"),
    ],
)
def test_another_unit_of_mass_is_turned_into_grams_and_said(line, exact_mg, unit):
    reading = read_line(line)
    assert reading.mass_mg == round(exact_mg)
    assert f"(the scale shows {unit})" in reading.words


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (b"12 pcs", "pieces"), (b"50.0 %", "per cent"), (b"3.2 tl", "taels"), (b"12 gr", "grains"),
        (b"12.3", "without a unit"), (b"12.3 xyz", "'xyz'"), (b"1 lb 2.3 oz", "two weights"),
        (b"1,234 g", "comma"), (b"1.2.3 g", "comma"), (b"12 ml", "volume"),
    ],
)  # fmt: skip
def test_what_could_mean_something_else_is_refused(line, why):
    reading = read_line(line)
    assert reading.mass_mg is None
    assert why in reading.refused
    assert not reading.noise


@pytest.mark.parametrize(
    "line", [b"OL", b"ST,OL,+9999.9 g", b"^^^^^^", b"S +", b"O-LD", b"+++++", b"OVERLOAD"]
)
def test_an_overload(line):
    assert read_line(line).refused == OVERLOAD
    assert not read_line(line).stable


@pytest.mark.parametrize("line", [b"UL", b"-----", b"S -", b"______"])
def test_less_than_it_can_show(line):
    assert read_line(line).refused == UNDERLOAD


@pytest.mark.parametrize(
    "line",
    [
        b"12.\xff4 g",
        b"1e5 g",
        b"12.3\x01 g",
        b"12.3 g\x7f",
        b"x" * 81,
        b"Net weight",
        b"2026-11-27 12.3 g",
        b"\x80\x81",
        b"1-2 g",
    ],
)
def test_a_damaged_line_is_no_weight(line):
    reading = read_line(line)
    assert (reading.mass_mg, reading.noise) == (None, True)


def test_nothing_and_a_unit_that_is_said_beside_the_port():
    assert read_line(b" \r") is None
    assert read_line(b"12.3", unit="g").mass_mg == 12_300
    assert read_line(b"12.3 pcs", unit="g").mass_mg is None


@given(st.binary(max_size=100))
def test_no_bytes_are_more_than_a_line(data):
    reading = read_line(data)
    if reading is not None:
        assert (reading.mass_mg is None) == bool(reading.refused)
        assert reading.heard.isprintable()


@given(st.integers(-999_999, 999_999), st.sampled_from([b"%s g", b"ST,GS,%s g", b"  %sg\x03"]))
def test_every_figure_comes_back(hundredths, form):
    text = f"{'-' if hundredths < 0 else '+'}{abs(hundredths) / 100:9.2f}".encode()
    assert read_line(form % text).mass_mg == hundredths * 10


def test_a_line_that_lost_its_beginning_is_dropped():
    buffer = LineBuffer()
    assert buffer.feed(b"2.34 g\r\n112") == []
    assert buffer.feed(b".34 g\r\n\r\n1") == [b"112.34 g"]
    quiet = LineBuffer()
    quiet.begin_whole()
    assert quiet.feed(b"112.34 g\r") == [b"112.34 g"]


def test_bytes_without_an_end_don_t_pile_up():
    buffer = LineBuffer()
    buffer.begin_whole()
    assert buffer.feed(b"9" * 5_000) == []
    assert buffer.feed(b" g\n12.3 g\n") == [b"12.3 g"]


def test_a_line_may_be_as_long_as_the_longest():
    fits = b"ST,GS," + b" " * (LONGEST_LINE - 12) + b"12.3 g"
    assert not read_line(fits).noise
    assert read_line(b"S" + fits).noise
