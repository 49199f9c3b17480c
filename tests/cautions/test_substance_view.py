"""What the table says of a substance, in words."""

import pytest

from stock.cautions.substance_view import MOST_LISTED, everything, figures, other_names, other_names_in_words
from stock.cautions.substances import Substance


@pytest.fixture(scope="module")
def table() -> dict[str, Substance]:
    return {one.name: one for one in everything({})}


def test_what_has_no_flash_point_but_a_vapour_that_burns_says_so(table):
    vapour = {
        name
        for name, one in table.items()
        for each in figures(one)
        if each.key == "flash_point_c" and "its vapour can burn between the limits below" in each.text
    }
    assert {"dichloromethane", "trichloroethylene"} <= vapour
    assert vapour.isdisjoint({"tetrachloroethylene", "titanium dioxide", "ethanol"})
    for name in vapour:
        assert "lower_limit_percent" in {each.key for each in figures(table[name])}


def test_of_many_other_names_the_first_eight_are_shown_and_the_rest_counted(table):
    for one in (table["xylene"], table["n-butyl acetate"], table["1-ethoxypropan-2-yl acetate"]):
        names = other_names(one)
        more = len(names) - MOST_LISTED
        said = "; ".join(names) if more <= 0 else f"{'; '.join(names[:8])} and {more} more"
        assert other_names_in_words(one) == said
