"""Faults tried in a process that has a room and its tests loaded: each in a fork, on the tests that reach its line.

Loading the tools, the tests and the room takes longer than most of the tests do, so it is done once a room. A fault
takes the place of the code of the functions that are loaded, and what they remember (`functools.cache`) is forgotten. A
test that begins with what was worked out before the fault came may miss it, and a fault outside a function's code can't
be put in here: who asks tries what lives here, or can't be tried, in a new process.
"""

from __future__ import annotations

import functools
import gc
import os
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from math import ceil
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest
from hypothesis import Phase, settings

from tests.benchmarks.mutations import Mutation, mutated

OPTIONS = (
    "-q",
    "--capture=sys",
    "-p",
    "no:cacheprovider",
    "-p",
    "no:randomly",
    "--engine",
    "sqlite",
    "--no-header",
)
KILLED, ALIVE, UNREACHED, UNTRIED = "killed", "alive", "not reached", "not tried"
Tell = Callable[[Mutation, str], None]
Mark = tuple[str, str, int, bytes]
CALLS = 50
"""So often in one test the lines of a code are noted; called more often, it counts as run whole."""
OPTIMIZED = 1
"""The flag of a function's code, which a class's body has not."""


class Unshrunk:
    """A pytest plugin: a case that fails is enough, and the smallest of its kind isn't looked for."""

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self, config: pytest.Config) -> None:
        """Leave shrinking out of the profile that the tests' own settings are made from."""
        phases = (Phase.explicit, Phase.reuse, Phase.generate)
        settings.register_profile("unshrunk", parent=settings(), phases=phases)
        settings.load_profile("unshrunk")


class LoadedRoom:
    """A pytest plugin that runs the room's tests once, notes which reach which line, and then tries the faults.

    Args:
        root: the folder that the faults' paths begin in.
        files: the room's files.
        faults: what is tried, in this order.
        seconds: on the processor, that a fault's tests may take beyond what they take without it.
        tell: is called with each fault and its verdict.

    Attributes:
        lines: the tests that reach a line, by its file and number; "" for what is run while the room is loaded.
        taken: the processor's seconds of each test.
        failed: the tests that fail without a fault.
        verdicts: one for each fault.
    """

    def __init__(
        self, root: Path, files: set[str], faults: Sequence[Mutation], seconds: int, tell: Tell
    ) -> None:
        self.root, self.files, self.faults, self.seconds, self.tell = root, files, faults, seconds, tell
        self.lines: dict[str, set[str]] = defaultdict(set)
        self.taken: dict[str, float] = {}
        self.failed: set[str] = set()
        self.verdicts: list[str] = []
        self.now, self.calls = "", dict[CodeType, int]()
        self.in_fork = False
        sys.settrace(self._trace)

    def pytest_collection_finish(self) -> None:
        """From here on lines are noted test by test."""
        sys.settrace(None)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note what fails; in a fork that is the answer."""
        if report.failed:
            if self.in_fork:
                os._exit(1)
            self.failed.add(report.nodeid)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run all tests once, then those that each fault concerns."""
        for at, item in enumerate(session.items):
            self.now, began = item.nodeid, time.process_time()
            self.calls.clear()
            sys.settrace(self._trace)
            _run(item, session.items[at + 1] if at + 1 < len(session.items) else None)
            sys.settrace(None)
            self.taken[item.nodeid] = time.process_time() - began
        if not self.failed:
            self._try_all({item.nodeid: item for item in session.items})
        return True

    def _try_all(self, items: dict[str, pytest.Item]) -> None:
        gc.unfreeze()
        functions = self._functions()
        memories = [each for each in gc.get_objects() if isinstance(each, functools._lru_cache_wrapper)]
        memories = [each for each in memories if str(each.__module__).startswith("stock")]
        gc.collect()
        gc.freeze()
        shaky = self._shaky(items, memories)
        for fault in self.faults:
            reached = self.lines.get(f"{self.root / fault.path}:{fault.line}", set())
            names = sorted(reached - {""}, key=self.taken.__getitem__)
            swaps = self._swaps(fault, functions) if names and "" not in reached else []
            if not names:
                self.verdicts.append(UNREACHED)
            elif not swaps:
                self.verdicts.append(UNTRIED)
            else:
                steady = [items[name] for name in names if name not in shaky]
                self.verdicts.append(ALIVE if self._lives(steady, swaps, memories) else KILLED)
            self.tell(fault, self.verdicts[-1])

    def _shaky(self, items: dict[str, pytest.Item], memories: Sequence[Any]) -> set[str]:
        """The tests that fail when they run once more in this process, though there is no fault."""
        every, shaky = list(items.values()), set[str]()
        if self._lives(every, [], memories):
            return shaky
        return {item.nodeid for item in every if not self._lives([item], [], memories)}

    def _lives(
        self,
        items: Sequence[pytest.Item],
        swaps: Sequence[tuple[FunctionType, CodeType]],
        memories: Sequence[Any],
    ) -> bool:
        """Whether these tests pass in a fork in which these functions have other code."""
        allowed = self.seconds + ceil(sum(self.taken[item.nodeid] for item in items))
        child = os.fork()
        if child:
            return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
        try:
            self.in_fork = True
            # A fault that never ends has been noticed. Processor seconds are counted, since a busy machine is slow.
            signal.setitimer(signal.ITIMER_PROF, allowed)
            signal.alarm(20 * allowed)
            for function, code in swaps:
                function.__code__ = code
            for memory in memories:
                memory.cache_clear()
            for at, item in enumerate(items):
                _run(item, items[at + 1] if at + 1 < len(items) else None)
            os._exit(0)
        except BaseException:
            os._exit(1)

    def _functions(self) -> dict[Mark, list[FunctionType]]:
        """The room's functions that are loaded, by what their code is known by."""
        found: dict[Mark, list[FunctionType]] = defaultdict(list)
        for each in gc.get_objects():
            if isinstance(each, FunctionType) and each.__code__.co_filename in self.files:
                found[_mark(each.__code__)].append(each)
        return found

    def _swaps(
        self, fault: Mutation, functions: dict[Mark, list[FunctionType]]
    ) -> list[tuple[FunctionType, CodeType]]:
        """The loaded functions that the fault is in, each with its faulty code."""
        path = str(self.root / fault.path)
        source = Path(path).read_text(encoding="utf-8")
        whole, faulty = compile(source, path, "exec"), compile(mutated(source, fault), path, "exec")
        return [
            (function, new)
            for old, new in _changed(whole, faulty)
            for function in functions.get(_mark(old), ())
        ]

    def _trace(self, frame: FrameType, event: str, argument: object) -> Any:
        code = frame.f_code
        if code.co_filename not in self.files:
            return None
        calls = self.calls[code] = self.calls.get(code, 0) + 1
        if calls == CALLS:
            for _, _, line in code.co_lines():
                self.lines[f"{code.co_filename}:{line}"].add(self.now)
        return self._line if calls < CALLS else None

    def _line(self, frame: FrameType, event: str, argument: object) -> Any:
        self.lines[f"{frame.f_code.co_filename}:{frame.f_lineno}"].add(self.now)
        return self._line


def _run(item: pytest.Item, following: pytest.Item | None) -> None:
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)


def _mark(code: CodeType) -> Mark:
    """What a function's code is known again by; two codes aren't equal once one of them has run."""
    return code.co_filename, code.co_qualname, code.co_firstlineno, code.co_code


def _changed(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    """The functions' codes within these two that differ, the outer before the inner."""
    for one, other in zip(old.co_consts, new.co_consts, strict=False):
        if isinstance(one, CodeType) and isinstance(other, CodeType) and one != other:
            if one.co_flags & OPTIMIZED:
                yield one, other
            yield from _changed(one, other)


def tried(
    root: Path, files: set[str], tests: Sequence[str], faults: Sequence[Mutation], seconds: int, tell: Tell
) -> dict[str, Any]:
    """What became of each fault, and what the room's tests reach; in a process that is forked for it."""
    os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = tempfile.mkdtemp()
    plugin = LoadedRoom(root, files, faults, seconds, tell)
    pytest.main([*OPTIONS, *tests], plugins=[Unshrunk(), plugin])
    return {
        "ok": bool(plugin.taken) and not plugin.failed,
        "failed": sorted(plugin.failed),
        "lines": {line: sorted(names) for line, names in plugin.lines.items()},
        "seconds": plugin.taken,
        "verdicts": plugin.verdicts,
    }
