"""Faults tried in a process that has a room and its tests loaded, each in a fork, on the tests that reach it.

Loading the tools, the tests and the room takes longer than most of the tests do, so it is done once a room. A fault
takes the place of the code of the functions that are loaded, and what they remember (`functools.cache`) is forgotten. A
test that begins with what was worked out before the fault came may miss it, and a fault outside a function's code can't
be put in here: who asks tries what lives here, or can't be tried, in a new process.
"""

from __future__ import annotations

import ast
import functools
import gc
import importlib.abc
import importlib.machinery
import os
import resource
import signal
import sys
import tempfile
import time
from collections import defaultdict, deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import zip_longest
from math import ceil
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any, ClassVar

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
NOTE = "_note_that_this_runs"
"""What the room's modules call the function that notes a statement."""
OPTIMIZED = 1
"""The flag of a function's code, which a class's body has not."""


MOST_BYTES = 4_000_000_000
"""The memory that a fault's tests may take: a fault that fills a list for ever would take the machine's."""


def bound_this_process(seconds: int) -> None:
    """End this process if it takes so many processor seconds, 20 times as long by the clock, or too much memory.

    A fault that never ends has been noticed then: the process ends with another status than 0. Processor seconds are
    counted, because a busy machine would otherwise call what is only slow noticed; a fault may wait for ever, too.
    """
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.alarm(20 * seconds)
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))


class Unshrunk:
    """A pytest plugin: a case that fails is enough, and the smallest of its kind isn't looked for."""

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self, config: pytest.Config) -> None:
        """Leave shrinking out of the profile that the tests' own settings are made from."""
        phases = (Phase.explicit, Phase.reuse, Phase.generate)
        settings.register_profile("unshrunk", parent=settings(), phases=phases)
        settings.load_profile("unshrunk")


class Noted(importlib.machinery.SourceFileLoader):
    """Loads a module of which each statement inside a function notes that it runs.

    Attributes:
        ran: the statements that ran, by their file and line, until somebody empties it.
    """

    ran: ClassVar[set[tuple[str, int]]] = set()

    def get_code(self, fullname: str) -> CodeType:
        """The module's code with the notes in it; never a kept one."""
        source = Path(self.path).read_text(encoding="utf-8")
        return compile(noting(ast.parse(source), self.path), self.path, "exec")

    def exec_module(self, module: ModuleType) -> None:
        """Run it where the notes can be made."""
        module.__dict__[NOTE] = self.ran.add
        super().exec_module(module)


class NotedFiles(importlib.abc.MetaPathFinder):
    """Finds the modules of these files so that their statements are noted.

    Args:
        files: their paths.
    """

    def __init__(self, files: set[str]) -> None:
        self.files = files

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The module's spec, if it is one of them."""
        spec = importlib.machinery.PathFinder.find_spec(name, path, target)
        if spec is None or spec.origin not in self.files:
            return None
        spec.loader = Noted(name, spec.origin)
        return spec


class _Noting(ast.NodeTransformer):
    """Puts the note of a statement before it, in each block of a function."""

    def __init__(self, path: str) -> None:
        self.path, self.depth = path, 0

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        self.depth += 1
        self.generic_visit(node)
        self.depth -= 1
        return node

    visit_AsyncFunctionDef = visit_FunctionDef  # type: ignore[assignment]

    def generic_visit(self, node: ast.AST) -> ast.AST:
        super().generic_visit(node)
        for block in ("body", "orelse", "finalbody") if self.depth else ():
            statements = getattr(node, block, None)
            if isinstance(statements, list) and not isinstance(node, ast.ClassDef):
                setattr(node, block, [each for one in statements for each in self._with_note(one)])
        return node

    def _with_note(self, statement: ast.stmt) -> Iterator[ast.stmt]:
        is_docstring = isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)
        if not is_docstring:
            where = ast.Constant((self.path, statement.lineno))
            note = ast.Expr(ast.Call(ast.Name(NOTE, ast.Load()), [where], []))
            yield ast.fix_missing_locations(ast.copy_location(note, statement))
        yield statement


def noting(tree: ast.Module, path: str) -> ast.Module:
    """The module with a note before each statement of its functions."""
    noted: ast.Module = _Noting(path).visit(tree)
    return noted


def statement_lines(tree: ast.Module) -> dict[int, int]:
    """The line that the innermost statement of each line begins in."""
    begins: dict[int, int] = {}
    for node in ast.walk(tree):  # an outer one before those within it
        if isinstance(node, ast.stmt):
            begins |= dict.fromkeys(range(node.lineno, (node.end_lineno or node.lineno) + 1), node.lineno)
    return begins


class LoadedRoom:
    """A pytest plugin that runs the room's tests once, notes which reach which statement, and then tries the faults.

    Args:
        root: the folder that the faults' paths begin in.
        files: the room's files.
        faults: what is tried, in this order.
        seconds: on the processor, that a fault's tests may take beyond what they take without it.
        tell: is called with each fault and its verdict.

    Attributes:
        reach: the tests that reach a statement, by its file and line; "" for what is run while the room is loaded.
        taken: the processor's seconds of each test.
        failed: the tests that fail without a fault.
        verdicts: one for each fault.
    """

    def __init__(
        self, root: Path, files: set[str], faults: Sequence[Mutation], seconds: int, tell: Tell
    ) -> None:
        self.root, self.files, self.faults, self.seconds, self.tell = root, files, faults, seconds, tell
        self.reach: dict[tuple[str, int], set[str]] = defaultdict(set)
        self.taken: dict[str, float] = {}
        self.failed: set[str] = set()
        self.verdicts: list[str] = []
        self.in_fork = False
        sys.meta_path.insert(0, NotedFiles(files))

    def pytest_collection_finish(self) -> None:
        """From here on statements are noted test by test."""
        self._note("")

    def _note(self, who: str) -> None:
        for where in Noted.ran:
            self.reach[where].add(who)
        Noted.ran.clear()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note what fails; in a fork that is the answer."""
        if report.failed:
            if self.in_fork:
                os._exit(1)
            self.failed.add(report.nodeid)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run all tests once, then those that each fault concerns."""
        began = time.process_time()
        for item in _each_run(session.items):
            self._note(item.nodeid)
            ended = time.process_time()
            self.taken[item.nodeid], began = ended - began, ended
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
            reached = self.reaching(fault)
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

    def reaching(self, fault: Mutation) -> set[str]:
        """The tests that run the statement that the fault is in."""
        path = self.root / fault.path
        begins = statement_lines(ast.parse(path.read_text(encoding="utf-8")))
        return self.reach.get((str(path), begins[fault.line]), set())

    def _shaky(self, items: Mapping[str, pytest.Item], memories: Sequence[Any]) -> set[str]:
        """The tests that fail when they run once more in this process, though there is no fault."""
        reader, tells = os.pipe()
        child = os.fork()
        if not child:
            try:
                for memory in memories:
                    memory.cache_clear()
                deque(_each_run(list(items.values())), maxlen=0)
                os.write(tells, "\n".join(self.failed).encode())
                os._exit(0)
            except BaseException:
                os._exit(1)
        os.close(tells)
        with os.fdopen(reader) as answer:
            names = set(answer.read().splitlines())
        return names if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0 else set(items)

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
            bound_this_process(allowed)
            for function, code in swaps:
                function.__code__ = code
            for memory in memories:
                memory.cache_clear()
            deque(_each_run(items), maxlen=0)
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
        trees = ast.parse(source), mutated(source, fault)
        whole, faulty = (compile(noting(tree, path), path, "exec") for tree in trees)
        return [
            (function, new)
            for old, new in _changed(whole, faulty)
            for function in functions.get(_mark(old), ())
        ]


def _each_run(items: Sequence[pytest.Item]) -> Iterator[pytest.Item]:
    """Run these tests and give each once it has run."""
    for item, following in zip_longest(items, items[1:]):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        yield item


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
    """What became of each fault and which tests reach it; in a process that is forked for it."""
    os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = tempfile.mkdtemp()
    plugin = LoadedRoom(root, files, faults, seconds, tell)
    pytest.main([*OPTIONS, *tests], plugins=[Unshrunk(), plugin])
    return {
        "ok": bool(plugin.taken) and not plugin.failed,
        "failed": sorted(plugin.failed),
        "reaching": [sorted(plugin.reaching(fault) - {""}) for fault in faults],
        "seconds": plugin.taken,
        "verdicts": plugin.verdicts,
    }
