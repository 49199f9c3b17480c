"""The order of a run's tests: nothing is left out, and each worker begins with some of what takes longest."""

import pytest

from tests.order import LONGEST, longest_first


@pytest.mark.parametrize("workers", [1, 3, 4, 40])
@pytest.mark.parametrize("short", [0, 7, 200])
def test_each_worker_begins_with_some_of_what_takes_longest(workers, short):
    names = [f"tests/bench/test_{number}" for number in range(short)]
    names += [f"{name}[{part}]" for name in sorted(LONGEST) for part in (1, 2)]
    items = [type("Test", (), {"nodeid": name})() for name in names]
    ordered = [item.nodeid for item in longest_first(items, workers)]
    assert sorted(ordered) == sorted(names)
    for name in LONGEST:
        at = ordered.index(f"{name}[1]")
        assert ordered[at + 1] == f"{name}[2]"
    if short == 200:
        left, first = len(ordered), 0
        for worker in range(min(workers, len(LONGEST))):
            assert ordered[first] == f"{LONGEST[worker]}[1]"
            first += left // (workers - worker)
            left = len(ordered) - first
