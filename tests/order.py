"""In what order a run takes its tests: the longest first, so that no worker is left with one at the end."""

import pytest

LONGEST = (
    "tests/installed/",
    "tests/faults/test_chain.py",
    "tests/faults/test_kills.py",
    "tests/logbook/test_books_as_a_machine.py",
    "tests/journeys/test_browser.py",
    "tests/faults/test_stopped_server.py",
    "tests/store/test_books.py::test_a_migration_interrupted",
    "tests/faults/test_fuzz.py",
    "tests/faults/test_crashes.py",
    "tests/cautions/test_knowledge.py",
    "tests/faults/test_damage.py",
    "tests/tui/test_sizes.py",
)
"""Longest first; what begins alike stays together, because it shares what it is tested with."""


def longest_first(items: list[pytest.Item], workers: int) -> list[pytest.Item]:
    """The tests as they are handed out: each worker gets a run of them, and later takes the last ones of others.

    Args:
        items: the tests that are run, room by room.
        workers: how many run them.
    """
    begun = [[item for item in items if item.nodeid.startswith(name)] for name in LONGEST]
    long = {item for group in begun for item in group}
    rest = [item for item in items if item not in long]
    ordered: list[pytest.Item] = []
    for worker in range(workers):
        share = [item for group in begun[worker::workers] for item in group]
        end = len(ordered) + (len(items) - len(ordered)) // (workers - worker)
        room = max(0, end - len(ordered) - len(share))
        ordered += share + rest[:room]
        del rest[:room]
    return ordered + rest
