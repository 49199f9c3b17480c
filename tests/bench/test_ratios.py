"""What a mix's proportions call for."""

import datetime as dt
from fractions import Fraction
from types import SimpleNamespace

import pytest

from stock.bench import ratios
from stock.bench.mixing import MixRequest, book_mix, plan
from stock.bench.ratios import reducers_for
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


def test_how_far_beyond_its_sheet_is_said_to_a_tenth_of_a_point(stocked: str):
    """A third more than the paint's fifth: 1.667 of 8 ml are 20.84 %, said as 20.8."""
    sheets.add("Slow Thinner", "Guide", DAY, dosings=[dosing("low=5 high=20")])
    found = plan(MixRequest((("Harbour Blue", 8_000),), Fraction(20_84, 100))).cautions
    caution = next(each for each in found if each.code == "beyond-range")
    assert caution.message == "20.8 % Slow Thinner is beyond the 5 to 20 % of its sheet"
    assert (caution.source, caution.severity, caution.action) == ("Guide of 2024-01-01", "warn", "take_care")


def test_whose_ranges_count(stocked: str):
    """A range for another line or another product doesn't, nor a paint's own that names no reducer."""
    sheets.add(
        "Slow Thinner", "Guide", DAY, dosings=[dosing("low=5 high=20"), dosing("line=Pier low=5 high=60")]
    )
    sheets.add("Slow Thinner", "White", DAY, dosings=[dosing("with=Gull White low=5 high=60")])
    sheets.add("Harbour Blue", "Blue", DAY, dosings=[dosing("low=5 high=60")])
    assert "beyond-range" not in codes(thinned(20))
    assert "beyond-range" in codes(thinned(21))
    sheets.add("Slow Thinner", "Line", DAY, dosings=[dosing("line=QUAY low=5 high=30")])
    assert "beyond-range" not in codes(thinned(30))
    assert "beyond-range" in codes(thinned(31))


@pytest.mark.parametrize(("water", "warned"), [("95", True), ("94.9", False)])
def test_a_reducer_of_95_per_cent_water_is_taken_for_water(stocked: str, water: str, warned: bool):
    products.add({"name": "Thin Air", "role": "reducer", "water": water, "flash_point": "none"})
    deliveries.receive("Thin Air", 500_000)
    asked = thinned(10, reducers=(("Thin Air", 1),))
    assert ("water-as-reducer" in codes(asked)) is warned
    products.change("Thin Air", {"solvent": ["ethanol=3"]})
    assert "water-as-reducer" not in codes(asked)


def test_at_the_ends_of_its_ratio_a_hardener_is_right(stocked: str):
    products.add({"name": "Set Fast", "role": "hardener", "flash_point": "none", "water": "0"})
    deliveries.receive("Set Fast", 30_000)
    sheets.add("Set Fast", "Ratios", DAY, dosings=[dosing("low=20 high=25")])
    judged = {
        ul: {"hardener-past-ratio", "hardener-short"}
        & set(codes(MixRequest((("Harbour Blue", 8_000), ("Set Fast", ul)))))
        for ul in (1_599, 1_600, 2_000, 2_001)
    }
    assert judged == {1_599: {"hardener-short"}, 1_600: set(), 2_000: set(), 2_001: {"hardener-past-ratio"}}


def test_a_cleaner_may_thin_where_a_sheet_allows_it(stocked: str):
    blue = products.find("Harbour Blue")
    assert reducers_for(blue, as_of=DAY) == ["Slow Thinner"]
    sheets.add("Harbour Blue", "Blue", DAY, dosings=[dosing("with=Wash Down low=5 high=20")])
    assert reducers_for(blue, as_of=DAY) == ["Wash Down", "Slow Thinner"]
    assert reducers_for(products.find("Gull White"), as_of=DAY) == ["Slow Thinner"]


def test_without_paint_or_without_reducer_and_hardener_nothing_is_judged():
    for parts in ([(1, "reducer", 1_000)], [(1, "paint", 1_000)], []):
        assert ratios.findings(parts, {}, as_of=DAY) == []


def test_how_specific_a_range_is():
    """0 for the product it names, 1 for the line it names, 2 of a reducer's own sheet that names neither."""

    def named(with_product: str = "", for_line: str = "") -> SimpleNamespace:
        return SimpleNamespace(with_product=with_product, for_line=for_line)

    reducer = SimpleNamespace(name="Slow", role="reducer", line="")
    paint = SimpleNamespace(name="Blue", role="paint", line="Quay")
    entries = (
        named(with_product="blue"),
        named(for_line="quay"),
        named(),
        named("White"),
        named(for_line="Shore"),
    )
    sheet = SimpleNamespace(product="Slow", dosings=entries)
    others = SimpleNamespace(product="Quick", dosings=entries)
    found = list(ratios._about([others, sheet], reducer, paint))
    assert [(level, entry) for level, _, entry in found] == list(enumerate(entries[:3]))
    of_paint = SimpleNamespace(product="Blue", dosings=(named(),))
    assert list(ratios._about([of_paint], paint, reducer)) == []
