"""What a bottle is, as a person names it, and the days on its label."""

from datetime import date, timedelta

import pytest

from stock import clock
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput
from stock.shelf import deliveries
from stock.shelf.bottle_facts import change, container_of, note_days
from stock.shelf.life import LONG_AGO
from stock.store.models import Bottle
from stock.store.words import CONTAINERS
from stock.units import from_thousandths


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        *((word, word) for word in CONTAINERS), ("Aerosol can", "aerosol_can"), ("spray can", "aerosol_can"),
        ("can", "metal"), ("TIN", "metal"), ("safety can", "safety_can"),
    ],
)  # fmt: skip
def test_a_container_is_read_as_a_person_names_it(text: str, kind: str) -> None:
    assert container_of(text) == kind


@pytest.mark.parametrize("text", ["bottle", "jar"])
def test_a_bottle_or_jar_may_be_of_glass_or_plastic_and_is_asked(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        container_of(text)
    assert "by what it is made of" in str(refused.value.remedy)


MADE, CAME, OPENED = date(2026, 1, 10), date(2026, 2, 1), date(2026, 3, 1)


@pytest.fixture
def dated(stocked: str) -> int:
    """An opened bottle whose label was read wrongly as it came."""
    came = deliveries.receive(
        "Harbour Blue", 60_000, on=clock.start_of(CAME, "UTC"),
        made_on=MADE, best_before=date(2027, 1, 10), opened_on=OPENED,
    )  # fmt: skip
    return came["bottles"][0]["id"]


def days(number: int) -> tuple[date | None, ...]:
    """When it was made, until when it is good by its label, since when it is open, and whether that is a guess."""
    row = Bottle.get_by_id(number)
    return row.made_on, row.best_before, row.opened_on, row.opened_unknown


def test_days_of_a_label_are_corrected_and_can_become_unknown(dated):
    later = date(2026, 1, 31)
    assert note_days(str(dated), {"made_on": later, "best_before": None}) == {
        "bottle": dated, "made_on": "2026-01-31", "best_before": None,
    }  # fmt: skip
    assert days(dated) == (later, None, OPENED, False)
    note_days(str(dated), {"made_on": CAME})  # on the very day it came
    note_days(str(dated), {"best_before": CAME, "opened_on": CAME})  # the first day that can be
    assert days(dated) == (CAME, CAME, CAME, False)
    note_days(str(dated), {"made_on": MADE, "opened_on": MADE, "best_before": MADE})  # judged together
    assert days(dated) == (MADE, MADE, MADE, False)


def test_an_unknown_day_of_opening_follows_the_day_it_was_made(dated):
    note_days(str(dated), {"opened_on": None})
    assert days(dated)[2:] == (MADE, True)
    note_days(str(dated), {"made_on": CAME})
    assert days(dated)[2:] == (CAME, True)
    note_days(str(dated), {"made_on": None})
    assert days(dated)[2:] == (LONG_AGO, True)
    note_days(str(dated), {"best_before": date(2026, 5, 1)})
    assert days(dated)[2:] == (LONG_AGO, True)


def test_days_that_contradict_each_other_are_refused_and_nothing_is_noted(dated):
    before = days(dated)
    for wrong, why in (
        ({"made_on": CAME + timedelta(1)}, "after it came on 2026-02-01"),
        ({"made_on": CAME, "opened_on": MADE}, "can't have been opened on 2026-01-10"),
        ({"opened_on": clock.today("UTC") + timedelta(1)}, "can't have been opened"),
        ({"best_before": MADE - timedelta(1)}, "before it was made"),
        ({"made_on": MADE, "best_before": date(2025, 1, 1)}, "before it was made"),
    ):
        with pytest.raises(BadInput, match=why):
            note_days(str(dated), wrong)
    note_days(str(dated), {"opened_on": MADE})
    with pytest.raises(BadInput, match="made on 2026-01-11, after it was opened on 2026-01-10"):
        note_days(str(dated), {"made_on": MADE + timedelta(1)})
    assert days(dated) == (*before[:2], MADE, False)
    with pytest.raises(BadInput, match="sealed"):
        note_days("1", {"opened_on": OPENED})


def test_of_several_facts_none_is_noted_if_one_is_refused(dated):
    with pytest.raises(BadInput):
        change(str(dated), {"label": "K-7", "container": "glass", "made_on": CAME + timedelta(1)})
    row = Bottle.get_by_id(dated)
    assert (row.label, row.container, row.made_on) == (None, None, MADE)
    answer = change(str(dated), {"label": "K-7", "container": "tin", "best_before": OPENED, "owner": "Ann"})
    assert answer == {
        "bottle": dated, "label": "K-7", "container": "metal", "best_before": "2026-03-01", "owner": "Ann",
    }  # fmt: skip
    assert change("K-7", {"owner": None, "tare_mg": 20_000}) == {
        "bottle": dated, "owner": "", "tare_g": from_thousandths(20_000),
    }  # fmt: skip


def test_a_leftover_has_no_label_that_could_make_it_good_for_longer(stocked):
    mix = book_mix(MixRequest(parts=(("Harbour Blue", 20_000),)))["mix"]
    kept = close(mix, Ending(outcome="good", left_ul=10_000, keep=True))["kept"]["bottle"]
    before = days(kept)
    for longer in ({"best_before": date(2030, 1, 1)}, {"made_on": before[2]}):
        with pytest.raises(BadInput, match="leftover of a mix") as refused:
            note_days(str(kept), longer)
        assert "bottle tested" in str(refused.value.remedy)
    assert days(kept) == before
