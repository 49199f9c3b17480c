"""A count that says where the difference went, and a spill: costs, forecast, emissions, waste and stock value."""

import pytest

from stock.bench import counting, weighing
from stock.bench.mixing import MixRequest, book_mix
from stock.cautions import spills
from stock.cautions.books import facts
from stock.errors import BadInput, NotEnough
from stock.forecast.uses import uses
from stock.logbook import costs, emissions
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, products
from stock.shelf.bottles import numbered
from stock.shelf.studio import settings
from stock.store.connection import connection

BLUE, THINNER = "1", "3"


def used_ul(product: int) -> float:
    with connection():
        return uses(settings().today(), product=product).volume_ul.sum()


def measured(volume_ul: int) -> weighing.Measured:
    return weighing.by_volume(volume_ul)


@pytest.fixture
def priced(stocked: str) -> str:
    """60 ml of blue cost 7.90, so 10 ml cost 1.32; one mix took 8 ml of it."""
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),)))
    return stocked


@pytest.mark.parametrize("reason", ["spilled", "leaked", "dried out"])
def test_a_loss_is_written_off_and_no_demand(priced: str, reason: str):
    blue = numbered(BLUE)
    before, emitted = used_ul(blue.product_id), emissions.read().everything.us_g
    answer = counting.count(BLUE, measured(42_000), reason=reason[:5])
    assert answer["reason"] == reason.replace(" ", "_")
    assert used_ul(blue.product_id) == before
    report = costs.read().costs
    assert report.written_off == 132
    assert report.total("share") == 0
    month = emissions.read()
    assert month.losses.volume_ml == 10
    assert month.everything.us_g > emitted or month.losses.us_g == 0
    undo("count", answer["count"])
    assert costs.read().costs.written_off == 0
    assert emissions.read().losses.volume_ml == 0
    assert not prove().problems


def test_what_was_not_logged_was_used(priced: str):
    blue = numbered(BLUE)
    before = used_ul(blue.product_id)
    answer = counting.count(BLUE, measured(42_000), reason="not logged")
    assert used_ul(blue.product_id) == before + 10_000
    report = costs.read().costs
    assert report.written_off == 0
    assert report.total("share") == 132
    assert emissions.read().losses.volume_ml == 0
    undo("count", answer["count"])
    assert used_ul(blue.product_id) == before


def test_without_a_reason_a_difference_is_neither(priced: str):
    before = used_ul(numbered(BLUE).product_id)
    assert counting.count(BLUE, measured(42_000))["reason"] is None
    assert used_ul(numbered(BLUE).product_id) == before
    assert costs.read().costs.written_off == 0


@pytest.mark.parametrize(
    ("volume_ul", "reason", "why"),
    [
        (42_000, "stolen", "no reason of a count"),
        (42_000, "", "no reason"),
        (52_000, "leaked", "nothing was leaked"),
    ],
)
def test_reasons_that_can_not_be(priced: str, volume_ul: int, reason: str, why: str):
    with pytest.raises(BadInput, match=why):
        counting.count(BLUE, measured(volume_ul), reason=reason)
    assert numbered(BLUE).on_hand_ul == 52_000


class TestSpills:
    def test_is_taken_off_written_off_and_undone_as_a_count(self, priced: str):
        answer = counts.spill(BLUE, 5_000, key="once")
        assert counts.spill(BLUE, 5_000, key="once") == answer
        assert answer == {
            "spill": answer["spill"], "bottle": 1, "product": "Harbour Blue", "spilled_ml": 5, "on_hand_ml": 47,
        }  # fmt: skip
        assert costs.read().costs.written_off == 66
        assert emissions.read().losses.volume_ml == 5
        undo("count", answer["spill"])
        assert numbered(BLUE).on_hand_ul == 52_000
        assert not prove().problems

    def test_more_than_the_bottle_holds_is_refused(self, priced: str):
        with pytest.raises(NotEnough, match="holds 52 ml by the books"):
            counts.spill(BLUE, 52_001)
        assert numbered(BLUE).on_hand_ul == 52_000

    def test_it_is_no_measurement(self, priced: str):
        """A spill says nothing of the usual loss with a mix, and the next count is compared with the one before it."""
        first = counting.count(BLUE, measured(52_000))
        counts.spill(BLUE, 5_000)
        with connection():
            assert counting.usual_loss(numbered(BLUE).product_id).counts == 1
        second = counting.count(BLUE, measured(47_000))
        assert second["beyond"] is False
        assert first["beyond"] is False

    def test_what_soaked_it_up_is_waste(self, stocked: str):
        before = facts().waste_mg
        counts.spill(THINNER, 20_000)
        assert facts().waste_mg > before

    def test_its_caution_names_section_6_and_unknown_counts_as_flammable(self, stocked: str):
        products.add({"name": "Mystery", "role": "reducer"})
        products.add(
            {"name": "Tap", "role": "reducer", "water": "100", "solvent": "none", "flash_point": "none"}
        )
        for name, severity, words in (
            ("Mystery", "warn", "counts as highly flammable"),
            ("Tap", "note", "does not burn"),
        ):
            found = spills.about(name)
            assert (found.severity, found.code) == (severity, "spill-clean-up")
            assert words in found.message
            assert "section 6" in found.source
