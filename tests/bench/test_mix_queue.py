"""The mixes that a job still needs: made in their order, waiting again when a mix is taken back."""

import datetime as dt

import pytest

from stock.bench import mix_queue, recipes
from stock.bench.mixes import of_last_day
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, NotFound
from stock.logbook.undo import undo
from stock.shelf import jobs
from stock.shelf.studio import settings


@pytest.fixture
def tank(stocked: str) -> str:
    recipes.add("Base", [("Harbour Blue", 4_000), ("Slow Thinner", 1_000)])
    recipes.add("Shade", [("Harbour Blue", 1_000), ("Slow Thinner", 1_000)])
    jobs.add("Tank", settings().today())
    mix_queue.append("tank", [("base", 5_000), ("Shade", 2_000), ("Base", 3_000)])
    return stocked


def words() -> list[str]:
    return [each.words for each in mix_queue.waiting("Tank")]


def test_they_are_made_in_their_order_and_wait_again_when_taken_back(tank: str):
    assert words() == ["Base 5 ml", "Shade 2 ml", "Base 3 ml"]
    first = book_mix(mix_queue.first("Tank").request())
    assert (first["total_ml"], first["reduction"]["percent_of_paint"]) == (5, 25)
    assert words() == ["Shade 2 ml", "Base 3 ml"]
    book_mix(mix_queue.first("Tank").request())
    assert words() == ["Base 3 ml"]
    undone = undo("mix", first["mix"])
    assert words() == ["Base 5 ml", "Base 3 ml"]
    undo("undo", undone["undo"])
    assert words() == ["Base 3 ml"]


def test_any_mix_of_the_recipe_for_the_job_counts_and_others_do_not(tank: str):
    shade = recipes.request(recipes.find("Shade"), 1_000)
    book_mix(shade)  # for no job
    book_mix(MixRequest((("Harbour Blue", 1_000),), job="Tank"))  # by no recipe
    assert len(words()) == 3
    book_mix(shade._replace(job="Tank"))
    assert words() == ["Base 5 ml", "Base 3 ml"]


def test_dropped_closed_and_refused(tank: str):
    gone = mix_queue.waiting("Tank")[1]
    mix_queue.drop(gone.id)
    assert words() == ["Base 5 ml", "Base 3 ml"]
    with pytest.raises(NotFound, match="no mix with the number"):
        mix_queue.drop(gone.id)
    for text, why in (("Base", "no amount"), ("Base=5", "has no unit"), ("=5ml", "no amount")):
        with pytest.raises(BadInput, match=why):
            mix_queue.read_entry(text)
    with pytest.raises(NotFound):
        mix_queue.read_entry("Gold=5ml")
    with pytest.raises(BadInput, match="may wait"):
        mix_queue.append("Tank", [("Base", 1_000)] * 99)
    jobs.close("Tank", settings().today())
    assert mix_queue.waiting() == []
    with pytest.raises(BadInput, match="is closed"):
        mix_queue.append("Tank", [("Base", 1_000)])


def test_the_last_day_before_today(stocked: str):
    today = settings().today()
    assert of_last_day(today) == []
    book_mix(MixRequest((("Harbour Blue", 1_000),)))
    assert of_last_day(today) == []
    assert [mix.cup.total_ul for mix in of_last_day(today + dt.timedelta(days=1))] == [1_000]
