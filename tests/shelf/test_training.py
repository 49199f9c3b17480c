"""Who is trained, and until when."""

from datetime import date

import pytest

from stock.errors import BadInput, NotFound
from stock.shelf import training
from stock.shelf.studio_words import room

TODAY = date(2026, 3, 1)


def test_a_training_holds_for_five_years_or_until_its_day(stocked):
    """Regulation (EU) 2020/1149, entry 74 paragraph 6: renewed at least every five years."""
    assert training.note("Ana Reis", date(2024, 2, 29), today=TODAY).until == date(2029, 2, 28)
    assert training.note("ANA REIS", date(2025, 1, 2), until=date(2027, 1, 1), today=TODAY).name == "ANA REIS"
    training.note("Bo", TODAY, today=TODAY)
    assert [(each.name, each.until) for each in training.everything()] == [
        ("ANA REIS", date(2027, 1, 1)), ("Bo", date(2031, 3, 1)),
    ]  # fmt: skip
    assert training.by(date(2026, 2, 28)) == (("ANA REIS", date(2027, 1, 1)),), "on the day before Bo's"
    training.forget("bo")
    assert [each.name for each in training.everything()] == ["ANA REIS"]
    with pytest.raises(NotFound, match="no training of Bo"):
        training.forget("Bo")


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"trained_on": date(2026, 3, 2)}, "still to come"),
        ({"until": date(2031, 3, 2)}, "within five years"),
        ({"until": TODAY}, "after its day"),
        ({"subject": "welding"}, "no training"),
        ({"name": "  "}, "name"),
    ],
)
def test_a_training_that_cannot_be_is_refused_and_nothing_kept(stocked, given, why):
    with pytest.raises(BadInput, match=why):
        training.note(**{"name": "Ana", "trained_on": TODAY, "today": TODAY, **given})
    assert training.everything() == []


def test_the_line_of_the_records_reads_back_and_keeps_the_ends(stocked):
    training.note("Ana Reis", date(2024, 1, 1), until=date(2026, 1, 1), today=TODAY)
    line = training.written(training.everything())
    assert line == "Ana Reis 2024-01-01"
    found = training.keep(f"{line}; Bo 2026-02-01;", TODAY)
    assert [(each.name, each.until) for each in found] == [
        ("Ana Reis", date(2026, 1, 1)), ("Bo", date(2031, 2, 1)),
    ]  # fmt: skip
    for wrong in ("Ana", "Ana Reis soon", "Ana Reis 2024-01-01; Bo 2026-03-02"):
        with pytest.raises(BadInput):
            training.keep(wrong, TODAY)
    assert training.everything() == found
    assert training.keep("", TODAY) == []


@pytest.mark.parametrize(
    ("text", "litres"), [("30 m3", 30_000), ("30", 30_000), ("4x3x2.5 m", 30_000), ("4 x 3 x 2 1/2", 30_000)]
)
def test_a_room_is_read_from_its_volume_or_its_sides(text, litres):
    assert room(text) == litres


@pytest.mark.parametrize("text", ["4x3", "30 l", "a room", "4x3x2.5 ft", "30,5 m3"])
def test_what_is_no_room_is_refused(text):
    with pytest.raises(BadInput):
        room(text)
