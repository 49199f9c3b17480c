"""Which tests of a run are taken: all that are quick, a sample of each grid, and the rest with `--deep`.

A test marked `deep` runs with `--deep` alone. Of a test marked `sampled(n)`, n of its cases run each time and the
others are deep; which n, the seed says, and that moves with the day unless it is given. `sampled(n, among="by mouse")`
takes n of all tests that say so. One marked `deepens`, and one that draws its cases (hypothesis), runs each time and
tries more with `--deep`.

What stands above the store asks both engines the same, through the same code. Its tests (those of the rooms in
`ON_SERVER`) all run on a file each time, and on the server a sample of them; a run that names one engine runs them all.
"""

import datetime as dt
import random
from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pytest
from hypothesis import settings

ON_SERVER = {
    "bench": 6, "cautions": 6, "cli": 6, "forecast": 6, "journeys": 6, "sample_studio": 6, "shelf": 6,
    "standards": 6, "tui": 6, "exchange": 3, "logbook": 3,
}  # fmt: skip
"""One in so many tests of a room runs on the server each time.

The first know no engine, but for the locks of a mix, which `tests/faults` races on both. The exchange copies from one
engine to the other and the logbook sums in SQL, so more of theirs do. The ledger, the store and the faults run whole
on both.
"""


_run = {"deep": False}


def options(parser: pytest.Parser) -> None:
    """What a run can be told."""
    parser.addoption(
        "--deep", action="store_true", help="the long way: every case of every grid, more random cases"
    )
    parser.addoption(
        "--sample-seed", type=int, help="which cases of the grids are taken; otherwise it moves with the day"
    )


def configure(config: pytest.Config) -> None:
    """Settle the seed once; the workers of a run are handed what their controller settled."""
    settings.register_profile("ordinary", max_examples=60, deadline=None)
    settings.register_profile("deep", max_examples=700, deadline=None)
    settings.load_profile("deep" if config.option.deep else "ordinary")
    _run["deep"] = config.option.deep
    if config.option.sample_seed is None:
        config.option.sample_seed = dt.datetime.now(dt.UTC).date().toordinal()


def whole() -> bool:
    """Whether this run takes everything."""
    return _run["deep"]


def choose(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what lies outside the samples as deep, and leave out what is deep unless it was asked for."""
    grids: dict[tuple[str, int], list[pytest.Item]] = defaultdict(list)
    for item in items:
        if (mark := item.get_closest_marker("sampled")) is not None:
            name = mark.kwargs.get("among", item.nodeid.partition("[")[0])
            grids[name, mark.args[0]].append(item)
    for (name, most), cases in grids.items():
        shuffled = random.Random(f"{config.option.sample_seed} {name}").sample(cases, len(cases))
        for item in shuffled[most:]:
            item.add_marker(pytest.mark.deep)
    if config.option.engine == "both":
        _sample_server(config.option.sample_seed, items)
    if config.option.deep:
        for item in items:
            drawn = getattr(getattr(item, "obj", None), "is_hypothesis_test", False)
            if drawn or item.get_closest_marker("deepens") is not None:
                item.add_marker(pytest.mark.deep)
        return
    deep = [item for item in items if item.get_closest_marker("deep") is not None]
    if deep:
        config.hook.pytest_deselected(items=deep)
        left_out = set(deep)
        items[:] = [item for item in items if item not in left_out]


def _sample_server(seed: int, items: Iterable[pytest.Item]) -> None:
    """Mark as deep what need not run on the server each time."""
    for item in items:
        room = item.nodeid.split("/")[1]
        asked = getattr(item, "callspec", None)
        only = item.get_closest_marker("only")
        always = item.get_closest_marker("each_engine") is not None
        alike = (
            room in ON_SERVER
            and only is None
            and not always
            and asked
            and asked.params.get("engine") == "postgresql"
        )
        if alike and random.Random(f"{seed} {item.nodeid}").randrange(ON_SERVER[room]):
            item.add_marker(pytest.mark.deep)


def some(config: pytest.Config, things: Iterable[Any], most: int) -> list[Any]:
    """So many of these, in their order, which the seed chooses; all of them with `--deep`.

    For a test that walks cases by itself; it is marked `deepens`.
    """
    every = list(things)
    if config.option.deep or len(every) <= most:
        return every
    chosen = random.Random(config.option.sample_seed).sample(range(len(every)), most)
    return [every[at] for at in sorted(chosen)]


def drawn(share: float = 1) -> settings:
    """So many times the usual number of drawn cases."""
    return settings(max_examples=round(settings.default.max_examples * share))


def parts(things: Iterable[Any], size: int) -> list[Any]:
    """The cases of a grid, so many of them to one start of what they need."""
    every = list(things)
    taken = [every[first : first + size] for first in range(0, len(every), size)]
    return [pytest.param(part, id=f"{part[0]} to {part[-1]}") for part in taken]


def sample_line(config: pytest.Config) -> str:
    """The line beneath a run's figures."""
    extent = "whole" if config.option.deep else f"a sample, seed {config.option.sample_seed}"
    return f"grids: {extent} (--sample-seed N takes another sample, --deep takes all)"
