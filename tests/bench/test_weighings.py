"""Weighings in the books: what a count came from, densities and empty weights that were learnt."""

import math
from fractions import Fraction

import pytest

from stock.bench import counting, request_parser, weighings
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.weighing import Weighed, poured_from
from stock.bench.weighings import WeighedPour, note_pours, teach_density, teach_tare
from stock.errors import BadInput, NotFound
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, product_view, products
from stock.shelf.bottles import numbered
from stock.store.connection import connection, writing
from stock.store.models import Weighing
from stock.store.orm import pw


def kept():
    with connection():
        return list(Weighing.select().order_by(Weighing.id).dicts())


def test_a_count_keeps_what_was_weighed_and_the_empty_weight(stocked: str):
    products.change("Harbour Blue", {"density": "1.05"})
    with pytest.raises(NotFound, match="the empty weight of bottle 1 is not known"):
        counting.measured("1", weight="63.2g")
    measured = counting.measured("1", weight="63.2g", resolution_mg=10, tare="20.15g")
    answer = counting.count("1", measured)
    assert answer["weighing"] == {
        "reading_g": 63.2, "tare_g": 20.15, "resolution_g": 0.01, "density_g_per_ml": 1.05,
    }  # fmt: skip
    [row] = kept()
    assert (row["gave"], row["booking"], row["bottle"]) == ("count", answer["count"], 1)
    assert (row["reading_mg"], row["tare_mg"], row["density_ug_per_ml"]) == (63_200, 20_150, 1_050_000)
    assert (row["volume_ul"], row["uncertainty_ul"]) == (41_000, measured.uncertainty_ul)
    again = counting.measured("1", weight="63.2g", resolution_mg=10)
    assert (again.volume_ul, again.uncertainty_ul) == (41_000, measured.uncertainty_ul)
    undo("count", answer["count"])
    assert kept() == [row]
    with connection(), pytest.raises(pw.IntegrityError, match="append-only"), writing():
        Weighing.delete().execute()
    assert prove().problems == []


def test_the_empty_weight_of_another_bottle_is_less_sure(stocked: str):
    products.change("Harbour Blue", {"density": "1.05", "size": ["60ml"]})
    deliveries.receive("Harbour Blue", 60_000)
    counting.count("1", counting.measured("1", weight="63.2g", tare="20.15g"))
    own = counting.measured("1", weight="63.2g")
    other = counting.measured("2", weight="63.2g")
    assert other.volume_ul == own.volume_ul
    extra_ul = 20_150 * 0.02 / math.sqrt(3) / 1.05
    assert other.uncertainty_ul == pytest.approx(math.hypot(own.uncertainty_ul, extra_ul), abs=2)


def test_a_weighed_measure_teaches_the_density(stocked: str):
    answer = teach_density("Harbour Blue", 12_620, 2_120, 10_000, resolution_mg=10, limit_ul=50)
    assert (answer["density_g_per_ml"], answer["net_g"], answer["before_g_per_ml"]) == (1.05, 10.5, 1.05)
    relative = math.hypot(10 / math.sqrt(6) / 10_500, 0.05 / math.sqrt(3) / 10)  # GUM 5.1.6
    assert answer["uncertainty_g_per_ml"] == pytest.approx(1.05 * relative, abs=2e-6)
    assert weighings.density_words(answer) == "Harbour Blue: 1.05 g/ml, give or take 0.006"
    shown = product_view.as_lines(product_view.as_json(products.find("Harbour Blue")))
    assert any("1.05 g/ml, weighed, give or take 0.006" in line for line in shown)
    measured = counting.measured("1", weight="63.2g", tare="20.15g")
    assert measured.weighed is not None
    assert measured.weighed.density_error_ug_per_ml == round(answer["uncertainty_g_per_ml"] * 1_000_000)
    assert measured.uncertainty_ul == pytest.approx(
        math.hypot(41_000 * relative, 100 / 1.05 / math.sqrt(6)), abs=2
    )
    products.change("Harbour Blue", {"density": "1.07"})
    changed = counting.measured("1", weight="63.2g", tare="20.15g")
    assert changed.weighed is not None
    assert changed.weighed.density_error_ug_per_ml is None
    assert [row["gave"] for row in kept()] == ["density"]


@pytest.mark.parametrize(
    ("gross_mg", "volume_ul", "limit_ul", "why"),
    [
        (2_120, 10_000, None, "nothing was weighed"),
        (2_000, 10_000, None, "nothing was weighed"),
        (3_000, 10_000, None, r"would be 0\.088 g/ml"),
        (90_000, 10_000, None, "which no paint or solvent is"),
        (12_620, 10_000, 5_000, "wrong by half"),
    ],
)
def test_what_teaches_no_density(stocked: str, gross_mg, volume_ul, limit_ul, why):
    with pytest.raises(BadInput, match=why):
        teach_density("Harbour Blue", gross_mg, 2_120, volume_ul, limit_ul=limit_ul)
    assert kept() == []


def test_a_sealed_bottle_teaches_its_empty_weight(stocked: str):
    number = deliveries.receive("Harbour Blue", 60_000)["bottles"][0]["id"]
    products.change("Harbour Blue", {"density": ""})
    with pytest.raises(NotFound, match="no density of Harbour Blue is known"):
        teach_tare(str(number), 83_150)
    products.change("Harbour Blue", {"density": "1.05"})
    with pytest.raises(BadInput, match="weighs"):
        teach_tare(str(number), 60_000)
    with pytest.raises(BadInput, match="weighs"):
        teach_tare(str(number), 63_000)  # 60 ml at 1.05 g/ml and no bottle around them
    assert teach_tare(str(number), 63_001)["tare_g"] == 0.001
    assert teach_tare(str(number), 83_150, resolution_mg=10)["tare_g"] == 20.15
    assert numbered(str(number)).tare_mg == 20_150
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), bottles=(str(number),)))
    with pytest.raises(BadInput, match="was opened"):
        teach_tare(str(number), 83_150)
    assert counting.measured(str(number), weight="74.75g").volume_ul == 52_000


def test_the_pours_of_a_mix_keep_their_weighings(stocked: str):
    answer = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    pour = WeighedPour(1, 1, poured_from(Weighed(18_400, 10_000, 1_050_000, 10)))
    assert pour.measured.volume_ul == 8_000
    assert poured_from(Weighed(10_000, 18_400, 1_050_000, 10)).volume_ul == 8_000  # the bottle stood on it
    note_pours(answer["mix"], [pour])
    note_pours(answer["mix"], [pour])
    [row] = kept()
    assert (row["gave"], row["booking"], row["reading_mg"], row["tare_mg"]) == (
        "pour",
        answer["mix"],
        18_400,
        10_000,
    )


def test_a_mix_typed_in_grams_keeps_its_weighings_and_a_scaled_one_none(stocked: str) -> None:
    """8.4 g of 1.05 g/ml are 8 ml; 10.0..12.1 g are 2 ml."""
    for text, before_mg, after_mg, volume_ul in (
        ("Harbour=8.4g", 0, 8_400, 8_000),
        ("harb=10.0..12.1 g", 10_000, 12_100, 2_000),
    ):
        number = book_mix(request_parser.request([text]))["mix"]
        (kept,) = Weighing.select().where(Weighing.booking == number)
        assert (kept.gave, kept.bottle_id, kept.density_ug_per_ml) == ("pour", 1, 1_050_000)
        assert (kept.tare_mg, kept.reading_mg, kept.volume_ul) == (before_mg, after_mg, volume_ul)
        assert kept.uncertainty_ul > 0
    for texts, total in (
        (["Harbour=8.4g"], "4ml"),
        (["Harbour=8.4g", "Harbour=1ml"], None),
        (["Harbour=8ml"], None),
    ):
        number = book_mix(request_parser.request(texts, total=total))["mix"]
        assert not Weighing.select().where(Weighing.booking == number).exists()


def test_a_bottle_is_only_judged_by_its_weight_with_a_density_and_an_empty_weight():
    """43.05 g at 1.05 g/ml are 41 ml; an empty weight that was just measured is its own and no other bottle's."""
    known = weighings.WeighableBottle(
        1, "Blue", 1, 40_000, 60_000, sealed=False, tare_mg=20_150, tare_of_pack=True,
        density_ug_per_ml=1_050_000, density_error_ug_per_ml=None, books_error_ul=0,
    )  # fmt: skip
    of_pack, own = known.measured(63_200, 10), known.measured(62_200, 10, 19_150)
    same = known.measured(63_200, 10, 20_150)
    assert [each.volume_ul for each in (of_pack, own, same)] == [41_000] * 3
    kept_tares = [(each.weighed.tare_of_pack, each.weighed.tare_is_new) for each in (of_pack, own, same)]
    assert kept_tares == [(True, False), (False, True), (True, False)]
    assert known.drift(own).difference_ul == 1_000
    with pytest.raises(NotFound, match="no density of Blue is known"):
        known._replace(density_ug_per_ml=None).measured(63_200, 10)
    with pytest.raises(NotFound, match="the empty weight of this bottle is not known"):
        known._replace(tare_mg=None).measured(63_200, 10)


def test_a_volume_that_may_be_wrong_by_less_than_half_teaches_a_density(stocked: str):
    assert teach_density("Harbour Blue", 12_620, 2_120, 10_000, limit_ul=4_999)["density_g_per_ml"] == 1.05
