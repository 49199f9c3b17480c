"""Random lines of our own commands: no traceback, no fault of ours, no hang, and a refused line changes nothing.

The lines are others each day; `--fuzz-seed N` takes those of a seed, `--fuzz-lines N` more of them; what failed is told
with its seed and its place. Four of five go to a file, where a line costs least.
"""

import functools
import shlex
from itertools import takewhile
from pathlib import Path

import pytest

from stock.store.models import database
from tests import templates
from tests.content import Watched
from tests.faults.fuzzing import Lines, litter, run, tidy

TIDIED_EVERY = 50
PARTS = 4
FEW, MANY = 320, 5_000
"""Lines on both engines together, of an ordinary run and with --deep."""
SHARE = {"sqlite": 4 / 5, "postgresql": 1 / 5}


@pytest.mark.deepens
@pytest.mark.parametrize("part", range(1, PARTS + 1))
def test_no_line_ends_in_a_fault_of_ours(
    stocked: str,
    mixed: int,
    tmp_path: Path,
    tmp_path_factory: pytest.TempPathFactory,
    monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
    engine: str,
    part: int,
) -> None:
    option = request.config.getoption
    lines = option("fuzz_lines") or (MANY if option("deep") else FEW)
    seed = f"{option('fuzz_seed') or option('sample_seed')}, part {part} on {engine}"
    share = SHARE[engine] if option("engine") == "both" else 1
    many = int(lines * share / PARTS)
    print(f"seed {seed}, {many:,} lines")
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("HOME", str(folder))
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    database.close()
    litter(folder)
    prepared(stocked)
    watched = Watched(stocked)
    request.addfinalizer(watched.close)
    sample = functools.cache(lambda: templates.sample_studio(tmp_path_factory))
    held = watched.now()
    wrong = []
    for place, line in zip(range(many), Lines(seed), strict=False):
        if place % TIDIED_EVERY == 0:
            tidy(folder, stocked)
        ran = run(line, sample)
        now = watched.now()
        fault = ran.wrong(as_json="--json" in takewhile("--".__ne__, line))
        if not fault and ran.status >= 2 and now != held:
            fault = f"refused, and {', '.join(name for name in now if now[name] != held.get(name))} changed"
        if fault:
            wrong.append(f"{place}: {fault}\n  {shlex.join(map(repr, line))}\n  {ran.err[-300:]}{ran.trace}")
        held = now
    assert not wrong, f"seed {seed}: {len(wrong)} of {many} lines\n" + "\n".join(wrong[:20])
    assert run(["check"]).status == 0


def prepared(books: str) -> None:
    """A studio in which most of the grammar's good values mean something."""
    for line in (
        ["supplier", "change", "Paint Depot", "--lead-time", "7d"],
        ["product", "change", "Harbour Blue", "--supplier", "Paint Depot"],
        ["product", "add", "Quay Red", "--role", "paint", "--usual-reducer", "Slow Thinner"],
        ["receive", "Gull White", "60ml", "--label", "J-7"],
        ["recipe", "add", "Storm Grey", "Harbour Blue=3", "Gull White=1"],
        ["job", "add", "North Door"],
        ["order", "make", "Harbour Blue=2x60ml"],
        ["backup", "good.ullage"],
        ["new", "--studio", "other.ullage"],
    ):
        ran = run(line)
        assert ran.status == 0, ran.err
