"""What the logbook says of errands that moved no paint."""

from stock.bench.closing import Ending, close
from stock.logbook.history import entries
from stock.shelf import handling, places


def test_opening_moving_and_closing_are_told_in_words(mixed: int) -> None:
    places.add("Drying rack")
    handling.open_bottle("2")
    handling.move_bottle("2", "Drying rack")
    close(mixed, Ending(outcome="good"))
    told = {entry.kind: entry.words() for entry in entries()}
    assert told["open"] == "Harbour Blue, bottle B0002"
    assert told["move"] == "Harbour Blue, bottle B0002, to Drying rack"
    assert told["close"] == f"mix {mixed}, good"


def test_mix_is_told_by_its_amounts_alone(mixed: int) -> None:
    told = next(entry for entry in entries() if entry.kind == "mix")
    assert told.words() == "Harbour Blue 8 ml, Slow Thinner 1.6 ml"
