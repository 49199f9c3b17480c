"""What of a safety sheet contradicts itself, at the edges of the categories of flammable liquids."""

import pytest

from stock.shelf.sheet_contradictions import contradictions


@pytest.mark.parametrize(
    ("statement", "signal", "flash_mc", "fits"),
    [
        ("H226", "warning", 22_999, False),
        ("H226", "warning", 23_000, True),
        ("H226", "warning", 60_000, True),
        ("H226", "warning", 60_001, False),
        ("H227", "warning", 60_000, False),
        ("H227", "warning", 60_001, True),
        ("H225", "danger", 22_999, True),
        ("H225", "danger", 23_000, False),
    ],
)
def test_a_flash_point_fits_its_statement_up_to_the_edge(statement, signal, flash_mc, fits):
    """UN GHS table 2.6.1: category 3 from 23 °C to 60 °C, category 4 above 60 °C."""
    found = contradictions((statement,), signal, flash_mc=flash_mc, no_flash_point=False, boiling_mc=100_000)
    assert [one for one in found if "flash" in one] == [] if fits else found != []


@pytest.mark.parametrize(
    ("codes", "flash_mc", "asked_for"),
    [
        ((), 35_000, True),
        ((), 35_001, False),
        (("H319",), 20_000, True),
        (("H222",), 20_000, False),  # an aerosol has its own statement
        (("H226",), 35_000, False),
        ((), None, False),
        (None, 20_000, False),
    ],
)
def test_a_liquid_that_burns_without_a_statement_of_it_is_a_contradiction(codes, flash_mc, asked_for):
    """Above 35 °C a liquid may be one that sustains no combustion, which asks for no statement."""
    found = contradictions(codes, None, flash_mc=flash_mc, no_flash_point=False, boiling_mc=None)
    assert any("asks for H224, H225 or H226" in one for one in found) is asked_for


@pytest.mark.parametrize(
    ("statement", "boiling_mc", "fits"),
    [
        ("H224", 35_000, True),
        ("H224", 35_001, False),
        ("H225", 35_000, False),
        ("H225", 35_001, True),
        ("H225", None, True),
        ("H226", 30_000, True),  # its category asks for no boiling point
    ],
)
def test_a_boiling_point_fits_its_statement_up_to_the_edge(statement, boiling_mc, fits):
    """UN GHS table 2.6.1: category 1 boils at 35 °C or below, category 2 above it."""
    found = contradictions((statement,), None, flash_mc=None, no_flash_point=False, boiling_mc=boiling_mc)
    assert [one for one in found if "boils" in one] == [] if fits else any("boils" in one for one in found)


@pytest.mark.parametrize(
    ("codes", "flash_mc", "no_solvent", "contradicts"),
    [
        (None, 12_000, True, True),
        (None, 60_000, True, True),
        (None, 60_001, True, False),  # what is left of an oil or a resin has a flash point, too
        (("H222",), 12_000, True, False),  # of an aerosol it is the propellant's
        (None, None, True, False),
        (None, 12_000, False, False),
    ],
)
def test_no_solvent_and_a_flash_point_contradict_each_other(codes, flash_mc, no_solvent, contradicts):
    """UN GHS table 2.6.1: up to 60 °C it is classified as a flammable liquid, so something in it gives off vapour."""
    found = contradictions(
        codes, None, flash_mc=flash_mc, no_flash_point=False, boiling_mc=None, no_solvent=no_solvent
    )
    assert any("no solvent is noted" in one for one in found) is contradicts


@pytest.mark.parametrize(
    ("codes", "signal", "contradicts"),
    [
        ((), "warning", True),
        ((), "danger", True),
        ((), "none", False),
        ((), None, False),
        (None, "danger", False),  # nobody has noted the statements
        (("H319",), "warning", False),
    ],
)
def test_a_signal_word_stands_beside_a_hazard_statement(codes, signal, contradicts):
    found = contradictions(codes, signal, flash_mc=None, no_flash_point=False, boiling_mc=None)
    assert any("beside no hazard statement" in one for one in found) is contradicts
