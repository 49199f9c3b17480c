"""What is said when a product was spilled: whether it burns, and what to put out first."""

import pytest

from stock.cautions.spills import clean_up
from tests.cautions.sample_facts import product, reducer


@pytest.mark.parametrize(
    ("known", "severity", "says", "first"),
    [
        ({}, "warn", "it burns (H225), and its vapour", "Put out flames, touch no switch, air the room; "),
        ({"flash_point_mc": 40_000, "solvents": ()}, "warn", "it burns (H226)", "Put out flames"),
        ({"flash_point_mc": None, "h_statements": None}, "warn", "whether it burns is unknown", "Put out flames"),
        ({"flash_point_mc": 95_000, "solvents": ()}, "note", "by what is noted it does not burn", "Air the room; wear"),
    ],
)  # fmt: skip
def test_what_burns_or_may_burn_is_a_warning_and_flames_are_put_out_first(known, severity, says, first):
    found = clean_up(reducer(name="Eddy", **known))
    assert (found.severity, found.product, found.action) == (severity, "Eddy", "take_care")
    assert says in found.message
    assert str(found.remedy).startswith(first)


def test_a_waterborne_paint_asks_for_air_and_for_no_flames_to_be_put_out():
    assert str(clean_up(product()).remedy).startswith("Air the room; wear what section 8")
