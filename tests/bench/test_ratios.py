"""What a mix's proportions call for."""

import datetime as dt
from fractions import Fraction

import pytest

from stock.bench.mixing import MixRequest, book_mix, plan
from stock.errors import Stopped
from stock.shelf import deliveries, products, sheets
from stock.shelf.dosings import read as dosing

DAY = dt.date(2024, 1, 1)


def codes(request: MixRequest) -> list[str]:
    return [found.code for found in plan(request).cautions]


def thinned(percent: int, **more) -> MixRequest:
    return MixRequest((("Harbour Blue", 8_000),), Fraction(percent), **more)


def test_reducer_beyond_its_sheet(stocked: str):
    assert "beyond-range" not in codes(thinned(40))
    sheets.add("Slow Thinner", "Guide", DAY, dosings=[dosing("low=5 high=20")])
    assert "beyond-range" not in codes(thinned(20))
    assert "beyond-range" in codes(thinned(21))
    sheets.add("Harbour Blue", "Blue", DAY, dosings=[dosing("with=Slow Thinner low=20 high=50")])
    assert "beyond-range" not in codes(thinned(40))


@pytest.mark.parametrize("order", [1, -1])
def test_the_sheet_of_the_paint_of_which_most_is_in_the_mix_counts(stocked: str, order: int):
    """30 % of both paints: the blue's sheet allows it up to 50 %, the white's up to 20 %."""
    deliveries.receive("Gull White", 60_000)
    sheets.add("Harbour Blue", "Blue", DAY, dosings=[dosing("with=Slow Thinner low=20 high=50")])
    sheets.add("Gull White", "White", DAY, dosings=[dosing("with=Slow Thinner low=5 high=20")])

    def paints(blue_ul: int, white_ul: int) -> MixRequest:
        parts = (("Harbour Blue", blue_ul), ("Gull White", white_ul))
        return MixRequest(parts[::order], Fraction(30))

    assert "beyond-range" not in codes(paints(8_000, 2_000))
    assert "beyond-range" in codes(paints(2_000, 8_000))


def test_a_cleaner_as_reducer_until_a_sheet_allows_it(stocked: str):
    by_cleaner = thinned(20, reducers=(("Wash Down", 1),))
    assert "cleaner-as-reducer" in codes(by_cleaner)
    assert "cleaner-as-reducer" not in codes(thinned(20))
    sheets.add("Harbour Blue", "Blue", DAY, dosings=[dosing("with=Wash Down low=5 high=20")])
    assert "cleaner-as-reducer" not in codes(by_cleaner)


def test_of_two_sheets_that_say_it_as_exactly_the_wider_one_counts(stocked: str):
    for title, high in (("Guide", 20), ("Leaflet", 30), ("Label", 25)):
        sheets.add("Slow Thinner", title, DAY, dosings=[dosing(f"low=5 high={high}")])
    assert "beyond-range" not in codes(thinned(30))
    assert "beyond-range" in codes(thinned(31))


def test_water_as_reducer(stocked: str):
    products.add({"name": "Tap Water", "role": "reducer", "water": "100", "flash_point": "none"})
    deliveries.receive("Tap Water", 500_000)
    found = plan(thinned(10, reducers=(("Tap Water", 1),))).cautions
    caution = next(each for each in found if each.code == "water-as-reducer")
    assert "adheres less well" in caution.message
    assert "common practice, no source" in caution.source
    assert "water-as-reducer" not in codes(thinned(10))


class TestHardener:
    @pytest.fixture(autouse=True)
    def bottle(self, stocked: str) -> None:
        products.add({"name": "Set Fast", "role": "hardener", "flash_point": "none", "water": "0"})
        deliveries.receive("Set Fast", 30_000)

    def mix(self, hardener_ul: int) -> MixRequest:
        return MixRequest((("Harbour Blue", 8_000), ("Set Fast", hardener_ul)))

    def test_an_unknown_ratio_is_said(self):
        assert "hardener-ratio-unknown" in codes(self.mix(2_000))

    def test_past_its_ratio_is_stopped_until_accepted_by_name(self):
        sheets.add("Set Fast", "Ratios", DAY, dosings=[dosing("low=20 high=25")])
        assert not {"hardener-past-ratio", "hardener-short"} & set(codes(self.mix(2_000)))
        with pytest.raises(Stopped):
            book_mix(
                self.mix(2_100), accept=[c for c in codes(self.mix(2_100)) if c != "hardener-past-ratio"]
            )
        assert book_mix(self.mix(2_100), accept=codes(self.mix(2_100)))["booked"]

    def test_below_its_ratio_is_warned_of(self):
        sheets.add("Set Fast", "Ratios", DAY, dosings=[dosing("line=Quay low=20 high=25")])
        assert "hardener-short" in codes(self.mix(1_000))

    def test_a_withdrawn_ratio_is_not_used(self):
        sheets.add("Set Fast", "Ratios", DAY, dosings=[dosing("low=20 high=25")], withdrawn=True)
        assert "hardener-ratio-unknown" in codes(self.mix(2_000))


def test_the_gravest_come_first(stocked: str):
    found = [each.severity for each in plan(thinned(40)).cautions]
    assert found == sorted(found, key=["stop", "warn", "note"].index)
