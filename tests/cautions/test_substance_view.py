"""What the table says of a substance, in words."""

import pytest

from stock.cautions.substance_view import (
    MOST_LISTED,
    UNKNOWN,
    _of_dust,
    everything,
    figures,
    other_names,
    other_names_in_words,
    unknown_in_words,
)
from stock.cautions.substances import NO_FIGURE, Substance


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


@pytest.mark.parametrize(
    ("ppm", "molar_mg", "said"),
    [
        (1, 100_000, "4.1 mg/m³ of dust"),
        (0.1, 100_000, "0.409 mg/m³ of dust"),
        (0.244654, 100_000, "1 mg/m³ of dust"),
    ],
)
def test_the_limit_of_a_dust_is_in_milligrams(ppm, molar_mg, said):
    """Parts in a million times 100 g/mol over 24.4654 L/mol; a tenth from 1 mg/m³ on, a thousandth below."""
    assert _of_dust(ppm, molar_mg) == said


def test_a_dusts_limits_are_shown_as_dust_and_a_vapours_in_parts(table):
    def shown(name: str) -> list[str]:
        return [each.text for each in figures(table[name]) if each.key == "exposure_ppm"]

    assert [text.endswith("mg/m³ of dust") for text in shown("titanium dioxide")] == [True]
    assert [text.endswith(" ppm") for text in shown("acetone")] == [True]


def test_what_is_not_known_of_a_substance_is_listed(table):
    shown = figures(table["acetone"])
    assert unknown_in_words([each for each in shown if each.text != UNKNOWN]) == ""
    some = [shown[0]._replace(text=UNKNOWN), shown[1], shown[2]._replace(text=UNKNOWN)]
    assert unknown_in_words(some) == f"{shown[0].label}, {shown[2].label}"


def test_each_figure_is_shown_in_its_unit_with_its_source(table):
    """Ethanol's figures by IEC, the CRC handbook and OSHA, as substances.csv has them."""
    shown = {each.key: (each.value, each.text) for each in figures(table["ethanol"])}
    assert shown["flash_point_c"] == (12, "12 °C")
    assert shown["boiling_point_c"] == (78.3, "78.3 °C")
    assert shown["density_g_per_ml"] == (0.7894, "0.7894 g/ml at 20 °C")
    assert shown["molar_mass_g_per_mol"] == (46.07, "46.07 g/mol")
    assert shown["lower_limit_percent"] == (3.1, "3.1 % of the air")
    assert shown["upper_limit_percent"] == (19, "19 % of the air")
    assert shown["exposure_ppm"] == (1_000, "1000 ppm")
    assert shown["ceiling_ppm"] == (None, UNKNOWN)
    assert shown["h_statements"] == (["H225"], "H225 Highly flammable liquid and vapour")
    assert (shown["us_voc"], shown["eu_voc"], shown["hap"]) == (
        ("voc", "VOC"),
        ("voc", "VOC"),
        (False, "not listed"),
    )
    sources = {each.key: each.source for each in figures(table["ethanol"])}
    assert all(
        sources[key] for key in ("flash_point_c", "boiling_point_c", "density_g_per_ml", "exposure_ppm")
    )
    assert sources["ceiling_ppm"] == ""


def test_what_has_no_flash_point_says_why(table):
    def flash(name):
        [text] = [each.text for each in figures(table[name]) if each.key == "flash_point_c"]
        return text

    assert flash("water") == NO_FIGURE["doesn't burn"]
    assert flash("titanium dioxide") == NO_FIGURE["solid"]
    assert flash("dichloromethane").startswith("none; its vapour can burn")
    assert flash("acetone") == "-20 °C"


def test_a_limit_of_the_air_is_shown_where_something_burns_or_has_one(table):
    def keys(one):
        return [each.key for each in figures(one) if each.key.endswith("_percent")]

    ethanol = table["ethanol"]
    assert keys(ethanol) == ["lower_limit_percent", "upper_limit_percent"]
    assert keys(ethanol._replace(lower_milli=None, upper_milli=None)) == ["lower_limit_percent"]
    assert keys(table["water"]) == []
    assert keys(table["dichloromethane"]) == ["lower_limit_percent", "upper_limit_percent"]
