"""The bytecode of everything that the tests load, written once before the workers of a run start.

In a fresh clone each worker would write all of it, at the same time: the asserts of the test modules are rewritten,
which takes longer than anything else in collecting them.
"""

import compileall
import contextlib
import importlib.util
import multiprocessing
import os
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
PACKAGES = ("stock", "tui", "sample_studio")


@pytest.hookimpl(tryfirst=True)  # before the workers are started
def pytest_sessionstart(session: pytest.Session) -> None:
    """Write it, on as many processors as there are, where workers are to be started."""
    if not session.config.getoption("numprocesses", None) or hasattr(session.config, "workerinput"):
        return
    tests = [path.relative_to(TOP).with_suffix("") for path in Path(__file__).parent.rglob("*.py")]
    names = sorted(".".join(path.parts) for path in tests if path.name != "__init__")
    with multiprocessing.get_context("fork").Pool(os.cpu_count()) as processes:
        ours = processes.map_async(_compile, PACKAGES)
        processes.map(_load, names, chunksize=8)
        ours.get()


def _compile(package: str) -> None:
    compileall.compile_dir(TOP / package, quiet=2)


def _load(name: str) -> None:
    """Have a module loaded by whatever loads it in a worker, but run nothing of it.

    It finds no built-in names, so that its first import is its end; by then its bytecode is written.
    """
    spec = importlib.util.find_spec(name)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    module.__dict__["__builtins__"] = {}
    with contextlib.suppress(ImportError, NameError):
        spec.loader.exec_module(module)
