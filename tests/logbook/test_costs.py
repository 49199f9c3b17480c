"""What jobs cost, read from the books; every cent bought is on the shelf or in a cost."""

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

import pytest

from stock import clock
from stock.bench import closing, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, NotFound
from stock.logbook import costs, prices
from stock.logbook.costing import MaterialUse
from stock.logbook.months import month, month_of
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling, products
from stock.store.models import Bottle


def blue(job: str | None = None, ml: int = 8, **more: object) -> int:
    """A mix of blue at 7.90 a 60 ml bottle, so 13.1667 cents a millilitre."""
    return int(book_mix(MixRequest(parts=(("Harbour Blue", ml * 1_000),), job=job, **more))["mix"])  # type: ignore[arg-type]


def figures(read: costs.CostsRead) -> dict[str | None, tuple[int, int, int, int]]:
    return {
        job.name: (job.total("material"), job.total("washes"), job.total("share"), job.total())
        for job in read.costs.jobs
    }


def test_a_job_bears_its_mixes_its_washes_and_its_share(stocked: str) -> None:
    """
    8 ml of blue  105.33 -> 105     wash 15 ml of 9.50/250 ml = 57 for mix 1
    4 ml, no job   52.67 ->  53     wash 10 ml = 38 for nobody: 25.33 and 12.67
    """
    mix = blue("Ferry hull")
    blue(None, 4)
    washing.wash("Wash Down", 15_000, mix=mix)
    washing.wash("Wash Down", 10_000)
    assert figures(costs.read()) == {"Ferry hull": (105, 57, 25, 187), None: (53, 0, 13, 66)}
    assert figures(costs.read(job="ferry")) == {"Ferry hull": (105, 57, 25, 187)}
    assert costs.read().costs.unshared == 0


def test_what_was_undone_costs_nothing(stocked: str) -> None:
    mix = blue("Ferry hull")
    blue("Ferry hull", 4)
    washing.wash("Wash Down", 10_000, mix=mix)
    undo("mix", mix)
    assert figures(costs.read()) == {"Ferry hull": (53, 0, 38, 91)}


def test_counts_and_discards_are_waste_of_the_month(stocked: str) -> None:
    """6 ml found missing: 79.00; a whole bottle thrown away: 790; 2 ml found too much: 26.33 taken off."""
    blue("Ferry hull", 10)
    counts.count("1", 44_000)
    handling.discard("2")
    assert figures(costs.read()) == {"Ferry hull": (132, 0, 869, 1001)}
    counts.count("1", 46_000)
    assert figures(costs.read()) == {"Ferry hull": (132, 0, 843, 975)}


def test_a_jar_takes_its_part_of_the_cost_along_to_who_uses_it(stocked: str) -> None:
    """20 ml of blue at 7.90/60: 263.33; 6 ml kept: 79.00 go along, 3 of them to the next job."""
    mix = blue("First", 20)
    closing.close(mix, closing.Ending(outcome="good", left_ul=6_000, keep=True))
    jar = Bottle.select().where(Bottle.left_of == mix).get()
    book_mix(MixRequest(parts=(("Left of Harbour Blue", 3_000),), bottles=(str(jar.id),), job="Second"))
    assert figures(costs.read()) == {"First": (184, 0, 0, 184), "Second": (40, 0, 0, 40)}


def test_a_decant_keeps_the_price_and_mixing_two_lots_mixes_it(stocked: str) -> None:
    deliveries.receive("Harbour Blue", 60_000, price_minor=1_580)
    handling.decant("5", 30_000)  # bottle 6 at 26.33 a ml
    book_mix(MixRequest(parts=(("Harbour Blue", 40_000),), bottles=("1",), job="First"))
    handling.decant("5", 20_000, into="1")  # 20 ml at 13.17 and 20 ml at 26.33: 19.75
    book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), bottles=("1",), job="Second"))
    book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), bottles=("6",), job="Third"))
    assert {name: row[0] for name, row in figures(costs.read()).items()} == {
        "First": 527, "Second": 198, "Third": 263,
    }  # fmt: skip


def test_bottles_without_a_price_are_named_with_what_was_taken(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000)
    book_mix(MixRequest(parts=(("Gull White", 5_000), ("Harbour Blue", 1_000)), job="Ferry hull"))
    report = costs.read(job="ferry")
    assert figures(report)["Ferry hull"][0] == 13
    assert report.unpriced == [("Gull White B0005", 5_000)]


def test_a_month_counts_the_mixes_made_in_it(stocked: str) -> None:
    now = clock.now()
    deliveries.receive("Gull White", 30_000, price_minor=300, on=now - timedelta(days=70))
    old = now - timedelta(days=62)
    book_mix(MixRequest(parts=(("Gull White", 10_000),), job="Old", at=old), judge=False)
    blue("New")
    today = clock.today("Europe/Lisbon")
    then = month_of(clock.day_of(old, "Europe/Lisbon"))
    assert figures(costs.read(month=then)) == {"Old": (100, 0, 0, 100)}
    assert figures(costs.read(month=month_of(today))) == {"New": (105, 0, 0, 105)}
    assert figures(costs.read(as_of=then.last)) == {"Old": (100, 0, 0, 100)}


def test_every_cent_bought_is_on_the_shelf_or_in_a_cost(stocked: str) -> None:
    products.change("Slow Thinner", {"price": ["120ml=6.00"]})
    mix = blue("First", 30, reduce=Fraction(25))
    closing.close(mix, closing.Ending(outcome="good", left_ul=9_000, keep=True))
    jar = Bottle.select().where(Bottle.left_of == mix).get()
    handling.decant("2", 20_000)
    handling.decant("2", 10_000, into="1")
    book_mix(MixRequest(parts=((jar.product.name, 4_000), ("Harbour Blue", 25_000)), job="Second"))
    washing.wash("Wash Down", 33_000)
    counts.count("4", 200_000)
    handling.discard("2")
    report = costs.read()
    held = prices.read(report.as_of)
    on_hand = sum(
        (held.value(row.id, 10**9, row.on_hand_ul) or Fraction(0) for row in Bottle.select()), Fraction(0)
    )
    bought = 2 * 790 + 600 + 950
    assert abs(on_hand + report.costs.total() + report.costs.unshared - bought) <= 4
    assert report.unpriced == []


def test_a_job_that_is_not_there_is_said(stocked: str) -> None:
    with pytest.raises(NotFound, match="no job is called"):
        costs.read(job="tram")


@pytest.mark.parametrize(
    "text", ["2026", "2026-13", "2026-00", "0000-05", "26-03", "2026-3", "٢٠٢٦-٠٣", "", "2026-03-01"]
)
def test_what_is_no_month_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not a month"):
        month(text, date(2026, 5, 1))


def test_months_are_whole() -> None:
    assert month("2024-02", date(2026, 5, 1)).last == date(2024, 2, 29)
    assert month_of(date(9999, 12, 5)).last == date.max
    assert str(month("2026-03", date(2026, 3, 31))) == "2026-03"
    with pytest.raises(BadInput, match="in the future"):
        month("2026-06", date(2026, 5, 31))


def test_a_month_has_the_mixes_of_its_first_day_and_of_its_last(stocked: str) -> None:
    deliveries.receive("Harbour Blue", 60_000, on=datetime(2024, 2, 1, 12, tzinfo=UTC))
    days = [date(2024, 2, 29), date(2024, 3, 1), date(2024, 3, 31), date(2024, 4, 1)]
    made = [
        book_mix(
            MixRequest(parts=(("Harbour Blue", 1_000),), at=datetime.combine(day, time(12), tzinfo=UTC)),
            judge=False,
        )["mix"]
        for day in days
    ]
    found = costs._made(date(2024, 4, 30), month_of(days[1]))
    assert [(one.mix, one.day) for one in found] == list(zip(made, days, strict=True))[1:3]


def test_waste_belongs_to_its_month_and_what_a_mix_took_goes_with_its_mix() -> None:
    def use(in_month: str, mix: int | None = None) -> MaterialUse:
        return MaterialUse("material" if mix else "waste", 1, 1_000, None, in_month, mix)

    march = month_of(date(2026, 3, 1))
    asked = [(None, None), (None, march), ({"2026-02"}, None), ({"2026-03"}, march)]
    belongs = [[costs._belongs(use(each), *which) for which in asked] for each in ("2026-02", "2026-03")]
    assert belongs == [[True, False, True, False], [True, True, False, True]]
    assert costs._belongs(use("2026-01", mix=7), {"2026-03"}, march)


def test_a_job_s_cost_names_only_the_bottles_without_a_price_that_it_took_from(stocked: str) -> None:
    def thinned(job: str, name: str) -> None:
        book_mix(MixRequest(parts=(("Harbour Blue", 8_000), (name, 2_000)), job=job))

    deliveries.receive("Wash Down", 100_000)
    thinned("First", "Slow Thinner")
    blue("Second")
    assert [name for name, _ in costs.read(job="First").unpriced] == ["Slow Thinner B0003"]
    assert costs.read(job="Second").unpriced == []
    assert len(costs.read().unpriced) == 1


@pytest.mark.parametrize(
    ("text", "first"), [("2026-01", "2026-01-01"), ("2026-12", "2026-12-01"), ("0001-01", "0001-01-01")]
)
def test_the_first_and_the_last_month_of_a_year_are_months(text: str, first: str) -> None:
    assert month(text, date(2026, 12, 31)).first.isoformat() == first
    for none in ("2026-00", "2026-13", "0000-12"):
        with pytest.raises(BadInput, match="is not a month"):
            month(none, date(2026, 12, 31))
