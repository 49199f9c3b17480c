"""Which faults the rooms' own tests notice: `python -m tests.benchmarks.mutants`.

A sample of small faults (`mutations.py`) is put into the core, one at a time, and the tests of the fault's room
that reach its statement are run until one fails: in a fork of a process that has the room loaded (`loaded_room.py`),
and what lives there once more in a process of its own. What lives is listed, unless
tests/benchmarks/equivalent_mutants.txt says why it changes nothing; what is named there in vain is listed, too.

    --sample 300     how many faults, of all that could be put into the core
    --seed 1         which ones; a change of the source changes only the faults it concerns
    --room bench     only those of the sample that are in this room (may be repeated)
    --seconds 20     processor seconds that one fault's tests may take beyond what they take without it, before they
                     count as noticing it
    --path stock/…   only those of the sample that are in this file (may be repeated)
    --slice 2/5      only the second of five parts of the sample, so that a busy machine gets through it piece by piece
    --both           try what is noticed where the room is loaded once more in a process of its own, and list where
                     the two disagree
"""

from __future__ import annotations

import argparse
import hashlib
import importlib.abc
import importlib.machinery
import json
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from math import ceil
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any

import pytest

from tests.benchmarks import loaded_room
from tests.benchmarks.loaded_room import ALIVE, KILLED, OPTIONS, UNTRIED, Unshrunk
from tests.benchmarks.mutations import Mutation, mutated, mutations_of

ROOT = Path(__file__).resolve().parents[2]
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "ledger": (
        ("stock/ledger.py",),
        ("tests/test_ledger.py", "tests/store/test_books.py", "tests/logbook/test_undo.py"),
    ),
    "units": (
        ("stock/units.py", "stock/reductions.py", "stock/spans.py", "stock/money.py", "stock/grammar.py"),
        ("tests/test_units.py", "tests/test_notation.py"),
    ),
    "scale": (
        tuple(
            f"stock/scale/{name}.py"
            for name in ("line_grammar", "reading", "standing_still", "usb_report", "waiting")
        ),
        ("tests/scale",),
    ),
    "datasheets": (
        tuple(
            f"stock/datasheets/{name}.py"
            for name in (
                "composition",
                "figures",
                "hazards",
                "identity",
                "labels",
                "page_lines",
                "pdf_words",
                "wanted_pages",
                "properties",
                "proposals",
                "sections",
                "storage_temperatures",
                "technical",
            )
        ),
        ("tests/datasheets",),
    ),
    "shelf": (
        tuple(
            f"stock/shelf/{name}.py"
            for name in (
                "choosing",
                "dosings",
                "invoices",
                "life",
                "line_drift",
                "name_ranking",
                "past_shelf",
                "periods",
                "pot_life",
                "reactive",
                "shares",
                "sheet_contradictions",
            )
        ),
        ("tests/shelf", "tests/bench/test_books.py", "tests/bench/test_pot_life.py"),
    ),
    "bench": (
        ("stock/bench",),
        ("tests/bench", "tests/shelf/test_part_used.py", "tests/standards/test_viscosity.py"),
    ),
    "forecast": (("stock/forecast",), ("tests/forecast",)),
    "cautions": (
        ("stock/cautions",),
        (
            "tests/cautions",
            *(
                f"tests/standards/test_{name}.py"
                for name in (
                    "air",
                    "boiling",
                    "classification",
                    "flash_points",
                    "incompatibles",
                    "room_air",
                    "solvents",
                    "storage_limits",
                    "substance_lists",
                    "substances",
                    "voc",
                    "waste_codes",
                )
            ),
            "tests/cli/test_what_a_sheet_says.py",
            "tests/shelf/test_own_substances.py",
        ),
    ),
    "logbook": (
        ("stock/logbook",),
        (
            "tests/logbook",
            "tests/exchange/test_corrections.py",
            "tests/shelf/test_invoices.py",
            "tests/standards/test_voc.py",
        ),
    ),
}
EQUIVALENT = Path(__file__).with_name("equivalent_mutants.txt")


class MutatedModule(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module of ours with a fault in it, and leaves every other to the ordinary finders."""

    def __init__(self, mutation: Mutation) -> None:
        path = ROOT / mutation.path
        self.name = mutation.path.removesuffix(".py").replace("/", ".")
        tree = mutated(path.read_text(encoding="utf-8"), mutation)
        self.path = str(path)
        self.code: CodeType = compile(tree, self.path, "exec")

    def find_spec(self, name: str, path: object = None, target: object = None) -> Any:
        """The module's spec, if it is the one."""
        if name != self.name:
            return None
        return importlib.machinery.ModuleSpec(name, self, origin=self.path)

    def exec_module(self, module: ModuleType) -> None:
        """Run the faulty code."""
        module.__file__ = self.path
        exec(self.code, module.__dict__)


def sources(room: str) -> list[Path]:
    """The files of a room."""
    found: list[Path] = []
    for name in ROOMS[room][0]:
        path = ROOT / name
        found += sorted(path.rglob("*.py")) if path.is_dir() else [path]
    return found


def tests(room: str) -> list[str]:
    """Where the tests of a room are."""
    return list(ROOMS[room][1])


def in_a_loaded_room(room: str, mutations: Sequence[Mutation], seconds: int, into: str, out: int) -> None:
    """Try faults of a room where it is loaded, and write what became of them; in a process of its own.

    Args:
        into: the file that is written.
        out: the open file to which each verdict is told at once: a run that is cut short has not been for nothing.
    """

    def tell(mutation: Mutation, answer: str) -> None:
        os.write(out, (".\n" if answer == KILLED else f"{answer:<12} {mutation}\n").encode())

    files = {str(path) for path in sources(room)}
    answer = loaded_room.tried(ROOT, files, tests(room), mutations, seconds, tell)
    Path(into).write_text(json.dumps(answer), encoding="utf-8")


def attempt(mutation: Mutation, names: Sequence[str], seconds: int) -> None:
    """Run these tests over the fault and leave with 0 if none of them noticed it; in a process of its own."""
    loaded_room.bound_this_process(seconds)
    os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = tempfile.mkdtemp()
    sys.meta_path.insert(0, MutatedModule(mutation))
    os._exit(int(pytest.main([*OPTIONS, "-x", *names], plugins=[Unshrunk()])))


def in_its_own_process(work: Any, *args: Any) -> int:
    """Run it forked from this process, which has the tools loaded and none of our modules; its exit status."""
    process = multiprocessing.get_context("fork").Process(target=_quietly, args=(work, *args))
    process.start()
    process.join()
    return int(process.exitcode or 0)


def _quietly(work: Any, *args: Any) -> None:
    devnull = os.open(os.devnull, os.O_WRONLY)
    os.dup2(devnull, 1)
    os.dup2(devnull, 2)
    work(*args)


def verdicts(room: str, mutations: Sequence[Mutation], seconds: int, both: bool) -> list[str]:
    """What became of a room's faults; what lives where the room is loaded is tried in a process of its own.

    Args:
        both: whether what is noticed there is tried so, too.
    """
    with tempfile.TemporaryDirectory() as folder:
        into = Path(folder) / "answer.json"
        out = os.dup(1)
        in_its_own_process(in_a_loaded_room, room, mutations, seconds, str(into), out)
        os.close(out)
        found = json.loads(into.read_text(encoding="utf-8"))
    if not found["ok"]:
        raise SystemExit(
            f"the tests of {room} fail without any fault; mend that first: {found['failed'][:3]}"
        )
    answers = []
    for mutation, first, names in zip(mutations, found["verdicts"], found["reaching"], strict=True):
        answers.append(first)
        if first in (ALIVE, UNTRIED) or (both and first == KILLED):
            answers[-1] = alone(mutation, names, found["seconds"], seconds)
        if first != answers[-1] or first != KILLED:
            print(f"{answers[-1]:<12} {mutation} (tried alone; {first} where the room is loaded)", flush=True)
    return answers


def alone(mutation: Mutation, names: Sequence[str], taken: Mapping[str, float], seconds: int) -> str:
    """Whether these tests notice the fault where all is loaded with it in.

    Args:
        taken: the processor's seconds of each test without a fault.
        seconds: what they may take beyond that.
    """
    quickest = sorted(names, key=taken.__getitem__)
    seconds += ceil(sum(taken[name] for name in names))
    return ALIVE if in_its_own_process(attempt, mutation, quickest, seconds) == 0 else KILLED


def equivalents() -> set[str]:
    """The keys of faults that are known to change nothing."""
    if not EQUIVALENT.exists():
        return set()
    lines = EQUIVALENT.read_text(encoding="utf-8").splitlines()
    return {line for line in lines if line and not line.startswith((" ", "#"))}


def main(argv: Sequence[str] | None = None) -> int:
    """Print what lives and how many were noticed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sample", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", action="append", choices=sorted(ROOMS))
    parser.add_argument("--path", action="append", default=[])
    parser.add_argument("--seconds", type=int, default=20)
    parser.add_argument("--slice", default="1/1")
    parser.add_argument("--both", action="store_true")
    args = parser.parse_args(argv)
    os.chdir(ROOT)
    began = time.monotonic()
    known = equivalents()
    every = [(room, each) for room in ROOMS for path in sources(room) for each in mutations_of(path, ROOT)]
    for key in sorted(known - {each.key for _, each in every}):
        print(f"listed as equivalent, and can't be put in any more: {key}", flush=True)
    pool = [(room, each) for room, each in every if each.key not in known]
    chosen = [
        (room, each)
        for room, each in sorted(pool, key=lambda pair: _rank(pair[1], args.seed))[: args.sample]
        if (not args.room or room in args.room) and (not args.path or each.path in args.path)
    ]
    part, parts = (int(figure) for figure in args.slice.split("/"))
    chosen = chosen[part - 1 :: parts]
    by_room: dict[str, list[Mutation]] = defaultdict(list)
    for room, mutation in chosen:
        by_room[room].append(mutation)
    largest_first = sorted(by_room, key=lambda room: -len(by_room[room]))
    with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
        found = threads.map(
            lambda room: verdicts(room, by_room[room], args.seconds, args.both), largest_first
        )
        said = dict(zip(largest_first, found, strict=True))
    _report(said, len(pool), time.monotonic() - began)
    return 0


def _rank(mutation: Mutation, seed: int) -> bytes:
    """Where a fault stands in the order that the sample is the first part of."""
    return hashlib.blake2b(f"{seed} {mutation.key}".encode(), digest_size=8).digest()


def _report(said: Mapping[str, Sequence[str]], of: int, seconds: float) -> None:
    print(f"{'room':<10} {'faults':>7} {'noticed':>8} {'share':>7}")
    for room, own in said.items():
        print(f"{room:<10} {len(own):>7} {own.count(KILLED):>8} {own.count(KILLED) / len(own):>7.1%}")
    every = [answer for own in said.values() for answer in own]
    killed, used = every.count(KILLED), resource.getrusage(resource.RUSAGE_CHILDREN)
    print(
        f"{'all':<10} {len(every):>7} {killed:>8} {killed / max(len(every), 1):>7.1%}   of {of} faults, "
        f"{seconds:.0f} s, {used.ru_utime + used.ru_stime:.0f} on the processor"
    )


if __name__ == "__main__":
    sys.exit(main())
