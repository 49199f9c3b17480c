"""The sample studio shows every caution and every kind of forecast at least once, by the real rules."""

from collections import Counter
from datetime import timedelta
from fractions import Fraction

import pytest

from stock.bench.mixing import MixRequest, plan
from stock.bench.washing import cautions_before
from stock.cautions.books import facts, findings
from stock.cautions.rules import shipped
from stock.forecast.books import read
from stock.logbook.today import to_order
from stock.shelf.studio import settings
from stock.store.connection import connection, open_books
from stock.store.models import Booking

OF_A_MIX = {
    "acetone-uncut", "air-unknown", "air-while-spraying", "cures", "curdles", "incompatible", "isocyanate-mist",
    "mix-burns", "mix-burns-by-label", "mix-flash-unknown", "not-with", "pour-slowly", "reacts",
    "unknown-with-reactive", "voc-over-limit",
}  # fmt: skip
OF_A_WASH = {"wash-burns", "wash-flash-unknown"}
PUT_RIGHT = {
    "explosive": 287, "self-heating": 242, "over-code-limit": 214, "over-building-limit": 213,
    "toxic-over-limit": 214, "aerosol-cans-many": 213, "too-much-waste": 213, "waste-on-hand": 213,
    # the afternoon on which the records were filled in from the sheets
    "age-unknown": 181, "boiling-point-unknown": 181, "flash-point-unknown": 181, "keeping-temperature-unknown": 181,
    "sheet-contradicts": 181, "statements-unknown": 181,
    # a Sunday's work at home
    "over-home-limit": 176, "place-not-described": 176, "spraying-at-home": 176,
    # a night of frost
    "frost": 73, "frozen-once": 73,
    "diisocyanate-training": 67,
    # somebody else had kept the shop
    "aerosol-can": 63, "aerosol-too-warm": 63, "between-codes": 63, "blend-burns-lower": 63, "cancer-genes-unborn": 63,
    "composition-unknown": 63, "container-too-big": 63, "corrosive-in-metal": 63, "dichloromethane": 63,
    "flame-near": 63, "gas-under-pressure": 63, "glass-in-spray-room": 63, "metal-powder": 63, "more-than-a-day": 63,
    "opened-day-unknown": 63, "organic-peroxide": 63, "past-best-before": 63, "peroxides": 63, "place-over-limit": 63,
    "place-unknown": 63, "residues-ignite": 63, "stored-apart": 63, "target-metals": 63, "toxic": 63,
    "toxic-metal": 63, "two-part-can-open": 63, "waste-apart": 63, "water-reactive": 63,
    # what grew old, one bottle after the other
    "leftover-day-unknown": 52, "perhaps-peroxides": 34, "hazardous-waste": 34, "wrong-temperature": 30,
    "bottle-in-rag-bin": 28, "leftover-too-old": 28, "label-unknown": 25,
}  # fmt: skip
"""The last day, so many days ago, on which a finding of the rule stood on the shelf; the next day it was put right.
The files of the story tell it, most of it story/7-what-was-put-right.txt."""
HALF_KNOWN = "Skimmer Flow Aid"
"""The one product of which nobody has asked what is in it."""
RECORDS = ("not-noted", "flash-point-unknown", "composition-unknown", "age-unknown", "statements-unknown")
ONLY_WITHOUT_THE_BIN = "rag-bin-missing"
"""The books don't date places: a rag bin that is noted today stands there on each past day, too."""
FLINT, EDDY, HARDENER = "Flint Reducer", "Eddy Reducer", "Tarnwick Hardener"
MIXES = (
    ({"Foilby Herring Silver": 5}, 20, [FLINT]),
    ({"Harbour Blue": 8}, 20, ["Swale Reducer"]),
    ({"Harbour Blue": 8, "Skimmer Flow Aid": 1}, 20, [EDDY]),
    ({"Hull White": 8, "Barnacle Grip": 1}, 10, ["Gullwash"]),
    ({"Tarnwick Two-Part Clear": 20, HARDENER: 5, "Slackwater Retarder": 1}, None, []),
    ({"Skimmer Flow Aid": 1, HARDENER: 5}, None, []),
    ({"Harbour Blue": 8, "Cove Spar Varnish": 2}, None, []),
    ({"Tarnwick Keel Primer": 24, "Keel Primer Hardener": 6}, None, []),
    ({"Cove Spar Varnish": 10}, 30, ["Swale Reducer"]),
)


@pytest.fixture(scope="module")
def forecasts(sample):
    open_books(sample)
    with connection():
        return {each.facts.product: each for each in read().forecasts()}


@pytest.fixture(scope="module")
def stood(sample):
    """The codes of what stood on the shelf so many days ago: of today, of each day of `PUT_RIGHT` and of the next."""
    open_books(sample)
    with connection():
        today = settings().today()
        wanted = {day for ago in PUT_RIGHT.values() for day in (ago, ago - 1)}
        return {ago: {each.code for each in findings(today - timedelta(ago))} for ago in wanted} | {
            0: {each.code for each in findings()}
        }


def test_every_caution_of_the_stock_stands_on_the_shelf_today_or_did_on_a_day_before(stood):
    codes_shown = {*stood[0], *OF_A_MIX, *OF_A_WASH, *PUT_RIGHT, ONLY_WITHOUT_THE_BIN}
    assert set(shipped()) - codes_shown == set()
    assert stood[0].isdisjoint({*PUT_RIGHT, ONLY_WITHOUT_THE_BIN}), "what was put right is calm today"


@pytest.mark.parametrize("days", sorted(set(PUT_RIGHT.values())))
def test_what_was_put_right_stood_there_until_its_day(stood, days):
    mine = {code for code, ago in PUT_RIGHT.items() if ago == days}
    assert mine - stood[days] == set()
    assert stood[days - 1] & mine == set(), "it was put right"


def test_today_the_shelf_is_calm(studio):
    """A few things that a careful painter is due to do this week, and what is worth a note."""
    found = findings()
    count = Counter(each.severity for each in found)
    assert count["stop"] == 0
    assert 0 < count["warn"] <= 10
    assert 0 < count["note"] <= 15
    not_to_use = {each.code for each in found if each.not_to_use}
    assert not_to_use == {"open-too-long"}, "a card answers it"
    assert [each.product for each in found if each.code in RECORDS] == [HALF_KNOWN], (
        "what isn't known is still seen"
    )


def test_without_its_rag_bin_the_studio_is_told_that_it_needs_one(studio):
    studio_facts = facts()
    without = studio_facts._replace(
        places=tuple(place for place in studio_facts.places if place.kind != "rag_bin")
    )
    assert ONLY_WITHOUT_THE_BIN in {each.code for each in findings(studio=without)}


def test_every_caution_of_a_mix_comes_up_at_its_bench(studio):
    found = {finding.code for mix in MIXES for finding in cautions(*mix)}
    assert found >= OF_A_MIX


def test_every_caution_of_a_wash_out_comes_up_at_its_sink(studio):
    found = {
        each.code for name in ("Gullwash", "Oldquay Reducer") for each in cautions_before(name, 15_000, None)
    }
    assert found >= OF_A_WASH


def test_a_stop_a_warning_and_a_note_each_come_up(studio):
    found = {finding.severity for mix in MIXES for finding in cautions(*mix)}
    assert found == {"stop", "warn", "note"}


def test_a_cut_blend_is_not_told_as_uncut(studio):
    cut = cautions({"Foilby Herring Silver": 5}, 20, [FLINT, EDDY])
    assert "acetone-uncut" not in {finding.code for finding in cut}


def cautions(parts, reduce, reducers):
    request = MixRequest(
        parts=tuple((name, ml * 1_000) for name, ml in parts.items()),
        reduce=Fraction(reduce) if reduce is not None else None,
        reducers=tuple((name, 1) for name in reducers),
    )
    return plan(request).cautions


@pytest.mark.parametrize("basis", ["own", "pooled"])
def test_forecasts_rest_on_own_mixes_and_on_others(forecasts, basis):
    assert basis in {each.basis for each in forecasts.values()}


def test_on_the_day_the_books_were_opened_nothing_could_be_forecast(studio):
    """With no mix in the books there are no figures to lend, so every forecast is without a basis."""
    first = Booking.select(Booking.day).where(Booking.kind == "mix").order_by(Booking.at).first().day
    early = read(first.fromordinal(first.toordinal() - 1)).forecasts()
    assert {each.basis for each in early} == {"none"}


def test_a_new_colour_with_two_mixes_leans_on_the_others(forecasts):
    assert forecasts["Sillet Blue Hour"].basis == "pooled"
    assert forecasts["Sillet Blue Hour"].facts.history.events == 2
    assert forecasts["Sillet Lagoon Lamp"].facts.history.events == 0


def test_a_paint_is_limited_by_its_reducer(forecasts):
    assert forecasts["Hull White"].limited_by == "Swale Reducer"


def test_something_must_be_ordered_at_once_and_something_later(studio, forecasts):
    """At once is today or the next day on which a supplier takes orders: over a weekend three days on."""
    today = settings().today()
    late = [each for each in forecasts.values() if each.order_by is not None and each.order_by.late]
    assert late
    assert min(each.order_by_day for each in late) <= today + timedelta(days=3)
    assert any(
        each.order_by_day > today + timedelta(days=7)
        for each in forecasts.values()
        if each.order_by is not None
    )


def test_what_is_late_to_order_is_told_before_what_has_a_day(studio):
    late = [one.late for one in to_order(read())]
    assert late == sorted(late, reverse=True)
    assert {True, False} == set(late)


def test_a_paint_has_run_out_and_more_is_on_the_way(forecasts):
    black = forecasts["Lantern Black"]
    assert black.usable_ul == 0
    assert black.runs_out[1] == 0
    assert black.facts.coming


def test_a_colour_dropped_a_year_ago_is_dying_stock(forecasts):
    plum = forecasts["Plum Dusk"]
    assert plum.dying is not None
    assert plum.abandoned > 0.5
    assert plum.order_by is None
    assert plum.usable_ul > 200_000


def test_a_colour_in_season_is_told_as_a_change(forecasts):
    grey = forecasts["Fogbank Grey"]
    assert grey.change is not None
    recent = (grey.facts.history.days > grey.today.toordinal() - 62).sum() / 62
    before = (grey.facts.history.days <= grey.today.toordinal() - 62).sum() / (540 - 62)
    assert recent > 3 * before


def test_a_discontinued_colour_names_what_is_used_in_its_place(forecasts):
    assert forecasts["Whelk Pink"].facts.discontinued_on is not None
    assert forecasts["Whelk Pink"].facts.instead


def test_a_job_plans_its_uses(forecasts):
    assert forecasts["Hull White"].facts.planned
    assert forecasts["Ferry Blue"].facts.planned


def test_the_white_is_mixed_on_most_days_of_work_and_more_than_any_other(studio, forecasts):
    events = {
        name: each.facts.history.events for name, each in forecasts.items() if each.facts.role == "paint"
    }
    assert max(events, key=events.__getitem__) == "Gannet White"
    worked = Booking.select(Booking.day).where(Booking.kind == "mix").distinct().count()
    assert events["Gannet White"] > 0.6 * worked


def test_a_wash_follows_nearly_every_day_of_mixing(studio):
    mixed = {day for (day,) in Booking.select(Booking.day).where(Booking.kind == "mix").tuples()}
    washed = {day for (day,) in Booking.select(Booking.day).where(Booking.kind == "wash").tuples()}
    assert len(mixed & washed) > 0.95 * len(mixed)
